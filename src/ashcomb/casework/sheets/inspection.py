"""The inspection paper of a yard: hive by hive what was seen, and what these looks were worth."""

from __future__ import annotations

from datetime import date

from ashcomb.casework.dates import due_dates
from ashcomb.casework.looking import looks_worth
from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import (
    Block,
    Column,
    Facts,
    Framed,
    Grid,
    Lines,
    Sheet,
    Signatures,
    facts,
    filled,
    rows,
)
from ashcomb.casework.sheets.ground import DEFER, foundations
from ashcomb.kernel.time import Span, day_words
from ashcomb.plans.inspection import InspectionPlan
from ashcomb.records.looks import Inspection
from ashcomb.records.state import hives_at
from ashcomb.science.exact import percent

_COLUMNS = (
    Column("Hive", "mark"), Column("Signs", "text", 3), Column("Brood frames", "number"), Column("seen", "number"),
    Column("shaken", "number"), Column("Cells", "number"), Column("Ropy", "text"), Column("Sample, note", "write", 4),
    Column("1 frame ill", "number"), Column("2 frames ill", "number"),
)  # fmt: skip
WORTH = "Chance that the look would have noticed one, or two, diseased brood frames: the last two columns."
CAUTION = (
    "No signs seen is no proof: signs come weeks to months after infection, and go and come back. This paper says how "
    "much was seen, never that a hive is free."
)


def inspection_sheet(desk: Desk) -> Sheet:
    """The paper of the newest round of looks at the yard, or of the days that are asked for."""
    first, last = _round(desk)
    plan, trouble = desk.attempt(lambda case: looks_worth(case, desk.yard, first, last))
    grid = Grid("Hives", _COLUMNS, _rows(desk, plan), spare=desk.spare(18), lines=(WORTH,))
    blocks: list[Block] = [
        Framed("CANNOT BE WORKED OUT", tuple(filter(None, [trouble])), loud=True),
        _facts(desk, plan, first, last),
        Lines("What these looks were worth", plan.reasons if plan else (), "–"), grid,
        Framed("Caution", (CAUTION, DEFER)), Signatures(("Inspector", "Keeper, result received")),
        *foundations(desk.blank, plan),
    ]  # fmt: skip
    return Sheet("inspection", f"Inspection of apiary {desk.yard}".strip(), head_of(desk), filled(blocks))


def _round(desk: Desk) -> tuple[date, date]:
    if desk.blank:
        return date.min, date.min
    hives = {hive.mark for hive in hives_at(desk.situation, desk.yard, desk.today)}
    days = [look.happened.last for look in desk.situation.rows(Inspection) if look.hive in hives]
    last = desk.ask.day or max(days, default=desk.today)
    return desk.ask.since or last, last


def _facts(desk: Desk, plan: InspectionPlan | None, first: date, last: date) -> Facts:
    looks = _looks(desk, plan)
    who = ", ".join(dict.fromkeys(look.inspector or look.by for look in looks))
    light = ", ".join(dict.fromkeys(look.light for look in looks if look.light))
    days = "" if plan is None else day_words(last) if first == last else f"{day_words(first)} to {day_words(last)}"
    numbers = (str(len(plan.standing)), f"{len(plan.looks)}", f"{len(plan.not_looked)}") if plan else ("", "", "")
    dates, _ = desk.attempt(due_dates)
    report = dates.of("result_to_keeper") if dates else None
    return Facts("The round", facts((
        ("Day, start and end", days), ("Inspector", who), ("Light, weather", light), ("Keeper present?", ""),
        ("Hives standing", numbers[0]), ("Looked at", numbers[1]), ("Not looked at", numbers[2]),
        ("Asked by the profile", "" if plan is None or plan.asked is None else str(plan.asked)),
        ("Dead hives, stored combs", ""), ("Result to the keeper", report.words if report else ""),
    )), columns=4)  # fmt: skip


def _looks(desk: Desk, plan: InspectionPlan | None) -> list[Inspection]:
    if plan is None:
        return []
    counted: dict[str, Span] = {look.hive: look.day for look in plan.looks}
    return [look for look in desk.situation.rows(Inspection) if counted.get(look.hive) == look.happened]


def _rows(desk: Desk, plan: InspectionPlan | None) -> tuple[tuple[str, ...], ...]:
    if plan is None:
        return ()
    notes = {look.hive: look for look in _looks(desk, plan)}
    found: list[tuple[object, ...]] = []
    for worth in plan.looks:
        look = notes[worth.hive]
        ropy = "" if look.ropy is None else "yes" if look.ropy else "no"
        chances = [percent(chance) for chance in worth.chances] or ["unknown", "unknown"]
        frames = (look.brood_frames, look.frames_seen, look.frames_shaken)
        found.append((worth.hive, worth.signs, *frames, look.cells, ropy, look.note, *[*chances, "–"][:2]))
    found += [(hive, "NOT LOOKED AT: why?", *[""] * 8) for hive in plan.not_looked]
    found.sort(key=lambda row: str(row[0]))
    return rows(found)
