"""The release paper, only if every gate is met; else the paper that says what is missing and who can meet it."""

from __future__ import annotations

from ashcomb.casework.dates import due_dates
from ashcomb.casework.releasing import release_of
from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import (
    Block,
    Column,
    Facts,
    Framed,
    Grid,
    Sheet,
    Signatures,
    facts,
    filled,
    rows,
)
from ashcomb.casework.sheets.ground import DEFER, foundations
from ashcomb.kernel.time import day_words
from ashcomb.plans.release import WHO, ReleasePlan
from ashcomb.records.acts import Notice

_GATES = (
    Column("Gate", "mark"), Column("Met?", "text"),
    Column("Why, with the number of the paper that shows it", "text", 5),
    Column("Who can meet it", "text", 3),
)  # fmt: skip
STATEMENT = "The restrictions named here are lifted from the day of signing, with the conditions above."
CAUTION = (
    "Only the signed paper of the competent authority releases. Spores stay alive for decades: keep looking, and keep "
    "the records."
)


def release_sheet(desk: Desk) -> Sheet:
    """The release of the yard of the paper on a day (today if none is asked for)."""
    plan, trouble = desk.attempt(lambda case: release_of(case, desk.yard, desk.ask.day))
    granted = plan is not None and plan.ready
    refused = tuple(filter(None, [trouble])) or _names(plan)
    blocks: list[Block] = [
        Framed(f"NOT RELEASED: {_count(plan)}", refused, loud=True), _facts(desk, plan),
        Grid("Gates", _GATES, _rows(plan)), *(_conditions(desk) if granted or desk.blank else []),
        Framed("Caution", (CAUTION, DEFER)),
        Signatures(("For the authority", "Keeper"), STATEMENT) if granted or desk.blank else Signatures(("Officer",)),
        *foundations(desk.blank, plan),
    ]  # fmt: skip
    title = "Release" if granted or desk.blank else "Not released: gates unmet"
    return Sheet("release", f"{title} – apiary {desk.yard}" if desk.yard else title, head_of(desk), filled(blocks),
                 lead=plan.answer[0] if plan else "")  # fmt: skip


def _names(plan: ReleasePlan | None) -> tuple[str, ...]:
    if plan is None or plan.ready:
        return ()
    return (f"{', '.join(gate.name for gate in plan.unmet)}. Each is explained below, with who can meet it.",)


def _count(plan: ReleasePlan | None) -> str:
    return "not asked yet" if plan is None else f"{len(plan.unmet)} gate{'s' if len(plan.unmet) > 1 else ''} not met"


def _facts(desk: Desk, plan: ReleasePlan | None) -> Facts:
    notices = [n.mark for n in desk.situation.rows(Notice) if n.type == "standstill" and n.apiary in ("", desk.yard)]
    earliest = "" if plan is None else day_words(plan.earliest) if plan.earliest else "no clock has started for it"
    return Facts("", facts((
        ("Asked for on", day_words(plan.asked.date()) if plan else ""), ("First day that the clocks allow", earliest),
        ("Ends notice", "" if desk.blank else ", ".join(notices)), ("Number of this paper", ""),
    )))  # fmt: skip


def _rows(plan: ReleasePlan | None) -> tuple[tuple[str, ...], ...]:
    if plan is None:
        return rows((name, "", "", who) for name, who in WHO.items())
    ordered = sorted(plan.gates, key=lambda gate: gate.met)
    return rows((gate.name, "met" if gate.met else "NOT MET", gate.why, gate.who) for gate in ordered)


def _conditions(desk: Desk) -> list[Block]:
    dates, _ = desk.attempt(due_dates)
    coming = [clock.words for clock in dates.clocks if clock.state in ("waiting", "open")] if dates else []
    return [
        Facts("Released", facts((("Hives, places, objects", ""), ("What may move again, and where to", ""))), 1),
        Facts(
            "Conditions that remain", facts((("Looks still to come", " ".join(coming)), ("Other conditions", ""))), 1
        ),
    ]
