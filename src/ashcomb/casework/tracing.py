"""Traces where it can have gone and come from, and what suspicion is left in the hives that it reached."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from ashcomb.casework.case import Case
from ashcomb.casework.dates import due_dates
from ashcomb.casework.report import Report, Section, Table, report, table
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span, day_words
from ashcomb.plans.exposures import exposures
from ashcomb.plans.followup import FollowupPlan, followup
from ashcomb.plans.trace import Direction, Traced, TracePlan, trace
from ashcomb.records.state import cases, hive_places


def trace_of(case: Case, unit: str = "", first: date | None = None, last: date | None = None) -> TracePlan:
    """The trace both ways.

    unit: place to trace from; empty is the index apiary.  first: day from which it is infectious; None takes the day
    that the case gives.  last: last day of the trace forward; None means no bound.
    """
    begins = first or _infectious_from(case)
    return trace(case.situation(), {unit or case.head.index: begins}, None, last)


def suspicion_left(case: Case, apiary: str = "") -> FollowupPlan:
    """What the looks until today leave of the suspicion in each living hive of an exposed apiary.

    Raises UserError for an apiary that holds no case and that the trace does not reach.
    """
    situation, today = case.situation(), case.now().date()
    mark = apiary or case.head.index
    exposed = trace_of(case).exposed
    places = hive_places(situation, today)
    here = [when.first for hive, when in cases(situation).items() if places.get(hive) == mark]
    reached = exposed.get(mark) or min(here, default=None)
    if reached is None:
        raise UserError(f"{mark} holds no case and the trace does not reach it.",
                        "Record the move that reached it, or a case there.")  # fmt: skip
    exposed_hives = exposures(situation, mark, reached, exposed, today)
    return followup(situation, case.profile(), exposed_hives, today, due_dates(case))


def trace_report(plan: TracePlan) -> Report:
    """The trace in words: the officer's list by place, the narrower list by hive, carry-over, what to ask."""
    forward, back = plan.forward, plan.back
    starts = ", ".join(f"{mark} infectious from {day_words(day)}" for mark, day in plan.starts)
    headline = (
        f"{starts}. Forward: {_marks(forward.places)}. Back: {_marks(back.places)}."
        " The trace advises where to look; it judges nobody."
    )
    sections = [*_direction(forward, "Forward"), *_direction(back, "Back"), Section("Questions to ask", plan.ask)]
    filled = [section for section in sections if section.lines or (section.table and section.table.rows)]
    return report("Trace", headline, filled, plan)


def follow_report(plan: FollowupPlan, apiary: str) -> Report:
    """The suspicion left in words, worst first, with the next dates."""
    coming = [
        (day_words(look.day), look.why, "" if look.left is None else f"{look.left:.1%}") for look in plan.next_looks
    ]
    lines = plan.reasons or ("Nothing is recorded that exposes a hive.",)
    sections = [
        Section("What it says", lines),
        Section("Hive by hive", tuple(hive.words for hive in plan.hives)),
        Section("Next looks", (), table(("Day", "Why", "Largest chance left if no signs"), coming, right=(2,))),
    ]
    return report(f"Suspicion left at {apiary}", lines[0], sections, plan)


def _infectious_from(case: Case) -> date:
    if not case.head.infectious_from:
        raise UserError("The case does not say from when the index apiary is infectious.",
                        "Give the first day: --from DAY.")  # fmt: skip
    return Span.parse(case.head.infectious_from).first


def _direction(found: Direction, name: str) -> Iterable[Section]:
    yield Section(f"{name}: {found.start}", (), _table(found.places))
    if found.by_hive is not None:
        yield Section(f"{name}, narrower: only the moves that name hives", (), _table(found.by_hive))
    if found.hives is not None:
        hives = tuple(f"{entry.mark} by {entry.chain}" for entry in found.hives)
        yield Section(f"{name}, narrower: hives", hives)
    yield Section(f"{name}: shed carry-over, possible", (), _table(found.carry_over))
    yield Section(f"{name}: chains that go on outside the window", found.beyond)


def _table(entries: Iterable[Traced]) -> Table:
    rows = [
        (e.mark, e.chain, _days(e), e.evidence, e.order + (f"; surer by {e.surer}" if e.surer else "")) for e in entries
    ]
    return table(("Place", "Chain", "Between", "Evidence", "Order"), rows)


def _days(entry: Traced) -> str:
    first = day_words(entry.first)
    return first if entry.first == entry.last else f"{first} – {day_words(entry.last)}"


def _marks(entries: Iterable[Traced]) -> str:
    return ", ".join(entry.mark + (" (memory)" if entry.evidence == "memory" else "") for entry in entries) or "none"
