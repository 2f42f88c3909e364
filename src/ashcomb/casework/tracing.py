"""Traces where it can have gone and come from, and what suspicion is left in the hives that it reached."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from ashcomb.casework.case import Case
from ashcomb.casework.dates import due_dates
from ashcomb.casework.register import is_national, register_of, transfers_of
from ashcomb.casework.report import Report, Section, Table, report, table
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span, day_words
from ashcomb.plans.exposures import exposures
from ashcomb.plans.followup import FollowupPlan, followup
from ashcomb.plans.trace import Direction, Traced, TracePlan, trace
from ashcomb.plans.trace_national import national_trace
from ashcomb.plans.trace_sizes import SizesPlan, trace_sizes
from ashcomb.plans.trace_what_if import Effect, WhatIf, what_if
from ashcomb.records.case import CaseHead
from ashcomb.records.state import cases, hive_places

_SHOWN = 30  # lines of a list for people


def trace_of(
    case: Case, unit: str = "", first: date | None = None, last: date | None = None, since: date | None = None
) -> TracePlan:
    """The trace both ways.

    unit: place, hive, extraction lot or keeper to trace from; empty is the index apiary.  first: day from which it is
    infectious; None takes the day that the case gives.  last: last day of the trace forward; None means no bound.
    since: first day of the trace back; None takes the program's window.
    """
    if is_national(case.store):
        columns, situation = register_of(case.store, _now(case))
        head = situation.case
        begins = first or _infectious_from(head)
        return national_trace(columns, situation, {unit or (head.index if head else ""): begins}, since, last)
    begins = first or _infectious_from(case.head)
    return trace(case.situation(), {unit or case.head.index: begins}, since, last)


def what_if_of(
    case: Case, unit: str = "", first: date | None = None, last: date | None = None, since: date | None = None
) -> WhatIf:
    """What changes in the trace when one doubtful date is wrong by a month; arguments as for `trace_of`."""
    if is_national(case.store):
        what = "A register of this size is not traced anew for every doubtful date."
        raise UserError(what, "Open a case with the moves that matter, and ask there.")
    begins = first or _infectious_from(case.head)
    return what_if(case.situation(), {unit or case.head.index: begins}, since, last)


def sizes_of(case: Case, unit: str = "", first: date | None = None, last: date | None = None) -> SizesPlan:
    """Contact-chain sizes of all places of the store, or of one, in a window; a national register comes as columns."""
    return trace_sizes(transfers_of(case.store, _now(case)), (unit,) if unit else (), first, last)


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


def what_if_report(plan: WhatIf) -> Report:
    """What moved dates change, in words: who enters or leaves first, then days alone, then what changes nothing."""
    lists = [effect for effect in plan.effects if effect.changes_list]
    days = [effect for effect in plan.effects if not effect.changes_list]
    names = ", ".join(dict.fromkeys(effect.record for effect in lists)) or "none"
    headline = (
        f"{plan.doubted} records are told from memory or have an open date. Moved by {_months(plan.months)}, "
        f"these change who is listed: {names}."
    )
    sections = [
        Section("Who enters or leaves", (), _effects(lists)),
        Section("The same places, on other days", (), _effects(days)),
        Section("Moved, these change nothing", plan.quiet),
    ]
    filled = [section for section in sections if section.lines or (section.table and section.table.rows)]
    return report(f"What if a date is wrong: {plan.start}", headline, filled, plan)


def sizes_report(plan: SizesPlan) -> Report:
    """Contact-chain sizes in words: the largest; JSON holds them all."""
    largest = plan.sizes[:_SHOWN]
    rows = [(size.mark, f"{size.ingoing:,}", f"{size.outgoing:,}") for size in largest]
    headline = f"{plan.places:,} places, {plan.transfers:,} transfers, {plan.window}."
    more = len(plan.sizes) - len(largest)
    lines = (f"The {len(largest)} largest; {more:,} more are in --json.",) if more else ()
    titles = ("Place", "May have got it from", "May have given it to")
    return report("Contact-chain sizes", headline, [Section("Places", lines, table(titles, rows, right=(1, 2)))], plan)


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


def _now(case: Case) -> int:
    return max(case.hand.now_ms(), case.store.latest())


def _infectious_from(head: CaseHead | None) -> date:
    if head is None or not head.infectious_from:
        raise UserError("The case does not say from when the index apiary is infectious.",
                        "Give the first day: --from DAY.")  # fmt: skip
    return Span.parse(head.infectious_from).first


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
        (e.mark, e.chain, str(e.hops), ", then ".join(e.objects), _days(e), e.evidence,
         e.order + (f"; surer by {e.surer}" if e.surer else ""))
        for e in entries
    ]  # fmt: skip
    return table(("Place", "Chain", "Moves", "What went", "Between", "Evidence", "Order"), rows, right=(2,))


def _effects(effects: Iterable[Effect]) -> Table:
    rows = []
    for effect in effects:
        way = f"{_months(abs(effect.months))} {'earlier' if effect.months < 0 else 'later'}"
        then = "; ".join(change.words for change in (*effect.enters, *effect.leaves, *effect.shifts))
        rows.append((effect.what, f"{effect.why}: {way}, {effect.moved_to}", then))
    return table(("Record", "Moved", "Then"), rows)


def _months(number: int) -> str:
    return f"{number} month{'' if number == 1 else 's'}"


def _days(entry: Traced) -> str:
    first = day_words(entry.first)
    return first if entry.first == entry.last else f"{first} – {day_words(entry.last)}"


def _marks(entries: Iterable[Traced]) -> str:
    return ", ".join(entry.mark + (" (memory)" if entry.evidence == "memory" else "") for entry in entries) or "none"
