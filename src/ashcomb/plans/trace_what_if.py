"""What changes if a memory is wrong by a month: who enters or leaves the trace when one date is moved.

Every record that is told from memory or dated as an interval is moved to earlier and to later, one at a time, and so is
the day from which the start is infectious; the lists by place and by shed carry-over are made anew each time.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from ashcomb.kernel.time import Span, add_months, day_from_number, day_number, day_words
from ashcomb.outbreak.contacts import Start, earliest
from ashcomb.outbreak.transfers import Cleanings, Transfers
from ashcomb.plans.result import Plan
from ashcomb.plans.trace_starts import Begin, beginning
from ashcomb.records.movements import Cleaning
from ashcomb.records.situation import Situation
from ashcomb.sources.library import value

FORWARD, BACK = "forward", "back"
AHEAD_SHED, BACK_SHED = "forward by shed carry-over", "back by shed carry-over"
MEMORY, OPEN, START = "told from memory", "open date", "start of the trace"
_Days = Mapping[int, int]  # place to the day of a list: first possible forward, last possible back


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One place of one list. was, now: its day (earliest forward, latest back), None where it is not on the list."""

    mark: str
    way: str
    was: date | None
    now: date | None

    @property
    def words(self) -> str:
        """'A09 enters forward, Wed 1 May 2030'."""
        if self.was is None and self.now is not None:
            return f"{self.mark} enters {self.way}, {day_words(self.now)}"
        if self.now is None:
            return f"{self.mark} leaves {self.way}"
        return f"{self.mark} {self.way} from {day_words(self.now)}" + (
            f" instead of {day_words(self.was)}" if self.was else ""
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Effect:
    """What happens when one record is moved. months: by how many, negative is earlier.  why: its date is doubted."""

    record: str
    what: str
    why: str
    months: int
    moved_to: str
    enters: tuple[Change, ...]
    leaves: tuple[Change, ...]
    shifts: tuple[Change, ...]

    @property
    def changes_list(self) -> bool:
        """Whether any place enters or leaves a list."""
        return bool(self.enters or self.leaves)


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatIf(Plan):
    """Effects of moved dates, those first that change a list. doubted: records with a doubtful date, their number.

    quiet: marks of those among them that change nothing, whether earlier or later.
    """

    start: str
    months: int
    doubted: int
    effects: tuple[Effect, ...]
    quiet: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Doubt:
    """One record with a doubtful date. moves, cleanings: its elements among the columns."""

    record: str
    what: str
    why: str
    happened: Span
    moves: tuple[int, ...] = ()
    cleanings: tuple[int, ...] = ()


def what_if(
    situation: Situation,
    starts: Mapping[str, date] | None = None,
    since: date | None = None,
    until: date | None = None,
    months: int | None = None,
) -> WhatIf:
    """Who enters or leaves the trace when one doubtful date is moved by `months` months (default: the sourced value).

    The other arguments and errors are those of `trace.trace`; the window stays where it is.
    """
    begin = beginning(situation, starts, since, until)
    wrong = value("trace.memory_wrong_months")
    by = int(wrong.value) if months is None else months
    base = _lists(begin.columns.transfers, begin)
    doubts = [*_doubted_moves(begin), *_doubted_cleanings(situation)]
    effects = [
        _effect(begin, base, doubt, sign * by) for doubt in doubts if _matters(begin, base, doubt) for sign in (-1, 1)
    ]
    effects += [_moved_start(begin, base, sign * by) for sign in (-1, 1)]
    telling = [effect for effect in effects if effect.changes_list or effect.shifts]
    loud = {effect.record for effect in telling}
    return WhatIf(
        start=begin.words,
        months=by,
        doubted=len(doubts),
        effects=tuple(sorted(telling, key=lambda effect: not effect.changes_list)),
        quiet=tuple(doubt.record for doubt in doubts if doubt.record not in loud),
        uses=(*begin.uses, *((wrong,) if months is None else ())),
        assumptions=(
            "One date is moved at a time; an interval keeps its length.",
            "The lists are those by place and by shed carry-over; the narrower list by hive is not made anew.",
            "A date that was seen or is on paper is taken as right, however often such dates are not.",
        ),
    )


def _doubted_moves(begin: Begin) -> Iterator[_Doubt]:
    """Moves, and lots without a recorded move: all supers of one lot share its date."""
    together: dict[str, list[int]] = {}
    for index, shift in enumerate(begin.columns.shifts):
        together.setdefault(f"{index}" if shift.noted else shift.mark, []).append(index)
    for moves in together.values():
        shift = begin.columns.shifts[moves[0]]
        why = MEMORY if shift.evidence == "memory" else OPEN
        if why == MEMORY or not shift.happened.certain:
            yield _Doubt(shift.mark, shift.words(), why, shift.happened, moves=tuple(moves))


def _doubted_cleanings(situation: Situation) -> Iterator[_Doubt]:
    for index, done in enumerate(situation.rows(Cleaning)):
        why = MEMORY if done.evidence == "memory" else OPEN
        if why == MEMORY or not done.happened.certain:
            record = f"cleaning of {done.place}"
            yield _Doubt(record, f"{record}, {done.happened.words()}, {done.evidence}", why, done.happened,
                         cleanings=(index,))  # fmt: skip


def _lists(transfers: Transfers, begin: Begin) -> dict[str, _Days]:
    """The four lists, each with its days."""
    turned = [replace(start, day=-start.day) for start in begin.at]
    until = None if begin.until is None else day_number(begin.until)
    found: dict[str, _Days] = {}
    for plain, shed, columns, starts, bound, sign in (
        (FORWARD, AHEAD_SHED, transfers, begin.at, until, 1),
        (BACK, BACK_SHED, transfers.backwards(), turned, -day_number(begin.since), -1),
    ):
        own = {start.place for start in begin.at}
        found[plain] = _reached(columns, starts, bound, sign, own, carry_over=False)
        carried = _reached(columns, starts, bound, sign, own, carry_over=True)
        found[shed] = {place: day for place, day in carried.items() if place not in found[plain]}
    return found


def _reached(transfers: Transfers, starts: tuple[Start, ...] | list[Start], bound: int | None, sign: int,
             own: set[int], *, carry_over: bool) -> _Days:  # fmt: skip
    day, moves = earliest(transfers, starts, bound, carry_over=carry_over)
    return {place: sign * int(day[place]) for place in np.flatnonzero(moves > 0).tolist() if place not in own}


def _matters(begin: Begin, base: Mapping[str, _Days], doubt: _Doubt) -> bool:
    """Whether moving it can change anything: the first moved record of a chain starts from what is reached anyway.

    What touches a lot or a shed always can: it may pass through them while no list names the place.
    """
    if doubt.cleanings:
        return True
    transfers, own = begin.columns.transfers, {start.place for start in begin.at}
    ahead, behind = {*base[FORWARD], *base[AHEAD_SHED], *own}, {*base[BACK], *base[BACK_SHED], *own}
    shed = transfers.shed[transfers.source] | transfers.shed[transfers.target] | (transfers.lot >= 0)
    return any(
        shed[move] or int(transfers.source[move]) in ahead or int(transfers.target[move]) in behind
        for move in doubt.moves
    )


def _effect(begin: Begin, base: Mapping[str, _Days], doubt: _Doubt, months: int) -> Effect:
    moved = _moved(doubt.happened, months)
    first, last = day_number(moved.first), day_number(moved.last)
    transfers = begin.columns.transfers
    starts, ends = transfers.first.copy(), transfers.last.copy()
    starts[list(doubt.moves)], ends[list(doubt.moves)] = first, last
    begun, done = transfers.cleanings.first.copy(), transfers.cleanings.last.copy()
    begun[list(doubt.cleanings)], done[list(doubt.cleanings)] = first, last
    cleanings = Cleanings(transfers.cleanings.place, begun, done)
    lists = _lists(replace(transfers, first=starts, last=ends, cleanings=cleanings), begin)
    return _compared(begin, base, lists, (doubt.record, doubt.what, doubt.why), months, moved.words())


def _moved_start(begin: Begin, base: Mapping[str, _Days], months: int) -> Effect:
    units = tuple((mark, add_months(day, months)) for mark, day in begin.units)
    at = tuple(replace(start, day=day_number(day)) for start, (_, day) in zip(begin.at, units, strict=True))
    lists = _lists(begin.columns.transfers, replace(begin, at=at))
    days = ", ".join(day_words(day) for day in sorted({day for _, day in units}))
    return _compared(begin, base, lists, ("start", f"start: {begin.words}", START), months, days)


def _moved(happened: Span, months: int) -> Span:
    return Span(add_months(happened.first, months), add_months(happened.last, months), happened.minute)


def _compared(begin: Begin, base: Mapping[str, _Days], lists: Mapping[str, _Days], record: tuple[str, str, str],
              months: int, moved_to: str) -> Effect:  # fmt: skip
    marks, found = begin.columns.transfers.marks, []
    for way, before in base.items():
        after = lists[way]
        for place in sorted({*before, *after}, key=lambda place: marks[place]):
            was, now = before.get(place), after.get(place)
            if was != now:
                days = [None if day is None else day_from_number(day) for day in (was, now)]
                found.append(Change(mark=marks[place], way=way, was=days[0], now=days[1]))
    return Effect(
        record=record[0],
        what=record[1],
        why=record[2],
        months=months,
        moved_to=moved_to,
        enters=tuple(change for change in found if change.was is None),
        leaves=tuple(change for change in found if change.now is None),
        shifts=tuple(change for change in found if change.was is not None and change.now is not None),
    )
