"""The trace list: where it may have gone and come from, with chains and grades, and what to ask."""

from __future__ import annotations

from collections.abc import Sequence

from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import Block, Column, Framed, Grid, Lines, Sheet, Signatures, filled, rows
from ashcomb.casework.sheets.ground import DEFER, foundations
from ashcomb.kernel.time import day_words
from ashcomb.kernel.words import several
from ashcomb.plans.trace import Traced, TracePlan, trace
from ashcomb.records.places import Apiary, Keeper, Premises

_COLUMNS = (
    Column("Place", "mark"), Column("Keeper, telephone", "text", 5), Column("Chain", "text", 2),
    Column("Between", "text", 3), Column("Evidence", "text"), Column("Order", "text", 3),
    Column("told", "tick"), Column("seen", "tick"),
)  # fmt: skip
CAUTION = (
    "A place on this list may be exposed; that is no finding of disease there. A place that is not on it may be "
    "exposed too: only recorded moves count."
)


def trace_sheet(desk: Desk) -> Sheet:
    """The trace of the case, forward and back."""
    plan, trouble = desk.attempt(lambda case: trace(case.situation()))
    blocks: list[Block] = [
        Framed("CANNOT BE TRACED YET", tuple(filter(None, [trouble])), loud=True),
        *_lists(desk, plan),
        Lines("Questions that would make it surer", plan.ask if plan else (), "–"),
        Framed("Caution", (CAUTION, DEFER)), Signatures(("Officer",)), *foundations(desk.blank, plan),
    ]  # fmt: skip
    lead = ""
    if plan:
        forward, back, more = (len(x) for x in (plan.forward.places, plan.back.places, plan.forward.carry_over))
        lead = f"Forward to {several(forward, 'place')}, back to {back}; {more} more by shed carry-over."
    return Sheet("trace", "Trace list", head_of(desk), filled(blocks), lead=lead)


def _lists(desk: Desk, plan: TracePlan | None) -> list[Block]:
    if plan is None:
        return [
            _grid(desk, "Forward: where it may have gone", ()),
            _grid(desk, "Back: where it may have come from", ()),
        ]
    found: list[Block] = [_grid(desk, plan.forward.start, plan.forward.places)]
    if plan.forward.carry_over:
        found.append(_grid(desk, "Shed carry-over after these, possible only", plan.forward.carry_over))
    found.append(Lines("Narrower list, by the hives that moves name", _narrow(plan), "–"))
    found.append(_grid(desk, plan.back.start, plan.back.places))
    if plan.back.carry_over:
        found.append(_grid(desk, "Shed carry-over before these, possible only", plan.back.carry_over))
    return [*found, Lines("Beyond the window", (*plan.forward.beyond, *plan.back.beyond), "–")]


def _grid(desk: Desk, heading: str, places: Sequence[Traced]) -> Grid:
    cells = [(p.mark, _keeper(desk, p.mark), _chain(p), _days(p), p.evidence, p.order, "", "") for p in places]
    none = () if places or desk.blank else ("No recorded move leads there.",)
    return Grid(heading, _COLUMNS, rows(cells), spare=desk.spare(9), lines=none)


def _narrow(plan: TracePlan) -> tuple[str, ...]:
    forward = plan.forward
    if forward.by_hive is None:
        return ()
    return (f"Places: {', '.join(place.mark for place in forward.by_hive) or 'none'}.",
            f"Hives: {', '.join(hive.mark for hive in forward.hives or ()) or 'none'}.")  # fmt: skip


def _days(place: Traced) -> str:
    return (
        day_words(place.first) if place.first == place.last else f"{day_words(place.first)} to {day_words(place.last)}"
    )


def _keeper(desk: Desk, mark: str) -> str:
    place = desk.situation.by_mark(Apiary).get(mark) or desk.situation.by_mark(Premises).get(mark)
    keeper = desk.situation.by_mark(Keeper).get(place.keeper) if place and place.keeper else None
    who = f"{keeper.name} {keeper.phone}".strip() if keeper else ""
    return "; ".join(part for part in (place.name if place else "", who) if part)


def _chain(place: Traced) -> str:
    """The chain with room to break between its moves."""
    return place.chain.replace("→", " → ") + (f"; surer order: {place.surer}" if place.surer else "")
