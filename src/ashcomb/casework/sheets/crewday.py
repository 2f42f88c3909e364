"""The day sheets of the crews: a page for each crew and day, clean before dirty, with room to write at each visit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from ashcomb.casework.crews import QUICK, VisitsAsk, plan_visits
from ashcomb.casework.sheets.desk import Desk, head_of, position_words
from ashcomb.casework.sheets.form import (
    Block,
    Column,
    Fact,
    Facts,
    Framed,
    Grid,
    Lines,
    NewPage,
    Sheet,
    Signatures,
    Ticks,
    facts,
    filled,
    rows,
)
from ashcomb.casework.sheets.ground import DEFER, foundations
from ashcomb.kernel.time import day_words
from ashcomb.plans.visit_windows import clock
from ashcomb.plans.visits import CrewDay, Visit, VisitPlan
from ashcomb.records.places import Apiary

_COLUMNS = (
    Column("From", "number"), Column("To", "number"), Column("Apiary", "mark"),
    Column("Name, way in, landowner", "text", 4),
    Column("Hives", "number"), Column("Expect", "number"), Column("Truly from – to", "write", 2),
    Column("Seen", "write", 1), Column("Signs in", "write", 3), Column("done", "tick"),
)  # fmt: skip
KIT = (
    "inspection papers, pencils", "sample tubes, seals, labels", "hive tools, smoker, a spare set",
    "spare suits, boots, gloves", "disinfection kit, water", "lamp for dark combs", "bags for used gear",
    "telephone list, first aid",
)  # fmt: skip
ORDER = (
    "Go in the printed order, from what nothing points at to what is dirtiest. Where the sheet says DISINFECT FIRST, "
    "nobody enters before fresh suits and tools are on and the used ones are bagged.",
    "A suspect hive is closed again, marked and reported at once. Nothing leaves the apiary; ask before going on.",
    "Every brood frame, bees shaken off. Frames that were not seen are written down as not seen.",
)  # fmt: skip
CAUTION = "No signs seen clears no hive: it says how much was seen, on that day, of what could show by then."
BLANK_VISITS = 6


def crewday_sheet(desk: Desk) -> Sheet:
    """The day sheets of five working days from the day that is asked for, or from tomorrow."""
    plan, trouble = desk.attempt(lambda case: plan_visits(case, VisitsAsk(first=desk.ask.day), search=QUICK))
    return day_sheets(desk, plan, trouble)


def day_sheets(desk: Desk, plan: VisitPlan | None, trouble: str = "") -> Sheet:
    """The day sheets of a plan of visits; without one a blank sheet."""
    blocks: list[Block] = [Framed("CANNOT BE WORKED OUT", tuple(filter(None, [trouble])), loud=True)]
    for number, day in enumerate(plan.days if plan else ()):
        blocks += [NewPage()] * bool(number)
        blocks += _page(desk, day, plan)
    if plan is None:
        blocks += _blank()
    blocks += [NewPage()] if plan and plan.days else []
    blocks += [
        Lines("What the plan comes to", plan.answer if plan else (), "–"),
        Lines("No room for", tuple(f"{mark}: {why}" for mark, why in plan.left_out) if plan else (), "–", small=True),
        *foundations(desk.blank, plan),
    ]
    head = head_of(desk)
    if plan:
        head = replace(head, apiary="those listed below", position="", access="", landowner="")
    return Sheet("crewday", "Day sheets of the crews", head, filled(blocks))


def _page(desk: Desk, day: CrewDay, plan: VisitPlan | None) -> Iterator[Block]:
    title = f"{day_words(day.day)} – {day.crew}: {', '.join(day.people)}"
    yield Facts(title, facts((
        ("Leaves", clock(day.leaves)), ("Back at", clock(day.home)),
        ("At the wheel", f"{day.driven_min} min, {day.driven_km:.0f} km"), ("At work", f"{day.worked_min} min"),
    )), columns=4, big=True)  # fmt: skip
    yield Grid("Visits in this order", _COLUMNS, rows(_visit(desk, visit) for visit in day.visits), room=True)
    yield Lines("Hives, and what each visit would settle", tuple(_hives(desk, visit) for visit in day.visits), "1")
    yield from _foot()


def _blank() -> Iterator[Block]:
    yield Facts("Day and crew", tuple(Fact(name) for name in ("Day", "Crew", "Leaves", "Back at")), columns=4)
    yield Grid("Visits in this order", _COLUMNS, (), spare=BLANK_VISITS, room=True)
    yield from _foot()


def _foot() -> Iterator[Block]:
    yield Ticks("Loaded", KIT, columns=4)
    yield Framed("Caution, in the apiary", (*ORDER, CAUTION, DEFER))
    yield Signatures(("Leader of the crew", "Office, sheet received"))


def _visit(desk: Desk, visit: Visit) -> tuple[object, ...]:
    place = desk.situation.by_mark(Apiary).get(visit.apiary)
    way = [place.name, place.access, f"{place.landowner} {place.landowner_phone}".strip()] if place else []
    before = ["DISINFECT FIRST, fresh suits and tools"] if visit.cleaned else []
    words = "; ".join(filter(None, [*before, *way, f"{visit.drive_min} min drive"]))
    return (clock(visit.begins), clock(visit.ends), visit.part, words, len(visit.hives), f"{visit.finds:.2f}",
            "", "", "", "")  # fmt: skip


def _hives(desk: Desk, visit: Visit) -> str:
    where = position_words(desk, desk.situation.by_mark(Apiary).get(visit.apiary))
    place = f"at {where}; " if where else ""
    return f"{visit.part} ({place}{visit.risk}): {', '.join(visit.hives)}. It {visit.settles}."
