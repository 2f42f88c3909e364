"""The moments of a register: its days, and the hours of those days on which hours are known.

A move of one moment happens then. A long move may have happened at any of several moments: its day is an interval, or
its hour is unknown on a day of known hours. It is written out at its first moment and at every later one at which its
giver may just have been reached, so that a pass through the moments finds all that it may have carried, and no more.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ashcomb.kernel.errors import UserError
from ashcomb.outbreak.compiled import compiled
from ashcomb.outbreak.day_order import Ticks, place_by_moment, starts_of
from ashcomb.outbreak.transfers import UNKNOWN, Ints

_MINUTES = 1440
_ROOM, _SPARE = 8, 1_000_000  # written-out long moves: at most so many a move, and so many more


@dataclass(frozen=True)
class Long:
    """Long moves by giver. begins: where the list of a unit begins.  rows: giver, first, last moment, taker, which."""

    begins: Ticks
    rows: Ticks

    @classmethod
    def of(cls, rows: Ticks, units: int) -> Long:
        """Sorted by giver and first moment."""
        ordered = rows[np.lexsort((rows[:, 1], rows[:, 0]))]
        return cls(np.searchsorted(ordered[:, 0], np.arange(units + 1)).astype(np.int64), ordered)

    def turned(self, moments: int, units: int) -> Long:
        """The same for tracing back: takers give, and moments count from the end."""
        giver, first, last, taker, which = self.rows.T
        return Long.of(np.column_stack([taker, moments - 1 - last, moments - 1 - first, giver, which]), units)

    def open_at(self, moment: int) -> tuple[Ticks, Ticks]:
        """Giver and taker of those that may happen at a moment but are not written out there as their first."""
        here = (self.rows[:, 1] < moment) & (moment <= self.rows[:, 2])
        return self.rows[here, 0], self.rows[here, 3]


@dataclass(frozen=True)
class Moments:
    """Moves at moments, long ones written out. day: of each moment, rising.  source, target, moment: of each move.

    origin: moment that the column `moment` calls the first.
    """

    day: Ints
    source: Ints
    target: Ints
    moment: Ints
    origin: int
    long: Long


def moments_of(source: Ints, target: Ints, first: Ints, last: Ints, minute: Ints, units: int) -> Moments:
    """The moments of moves with days from first to last, and minutes after midnight (-1 unknown).

    Raises UserError where so many days are uncertain that writing them out would take eight times the register.
    """
    none = Long.of(np.zeros((0, 5), dtype=np.int64), units)
    if not len(source):
        return Moments(np.zeros(0, dtype=np.int64), source, target, first, 0, none)
    known = (minute != UNKNOWN) & (first == last)
    if not known.any() and bool(np.array_equal(first, last)):
        low, high = int(first.min()), int(first.max())
        return Moments(np.arange(low, high + 1, dtype=np.int64), source, target, first, low, none)
    day, begin, end = _between(first, last, minute, known)
    sure = begin == end
    doubtful = np.flatnonzero(~sure)
    rows = [source[doubtful], begin[doubtful], end[doubtful], target[doubtful], np.arange(len(doubtful))]
    long = Long.of(np.column_stack(rows), units)
    once = (source[sure], target[sure], begin[sure])
    which, when = _written_out(once, long, len(day), units)
    written = doubtful[which]
    out = (source[written], target[written], when)
    giver, taker, moment = (np.concatenate(pair) for pair in zip(once, out, strict=True))
    return Moments(day, giver, taker, moment, 0, long)


def _between(first: Ints, last: Ints, minute: Ints, known: np.ndarray) -> tuple[Ints, Ints, Ints]:
    """Days of the moments, and the first and last moment of each move."""
    low = int(first.min())
    seen = np.zeros(int(last.max()) - low + 1, dtype=np.bool_)
    seen[first - low], seen[last - low] = True, True
    exact = first[known] * _MINUTES + minute[known]
    ends = np.unique(first[known]) * _MINUTES + _MINUTES - 1
    at = np.unique(np.concatenate([(np.flatnonzero(seen) + low) * _MINUTES, exact, ends]))
    day = at // _MINUTES
    every = np.arange(low, low + len(seen))
    begin = np.searchsorted(day, every, side="left")[first - low]
    end = np.searchsorted(day, every, side="right")[last - low] - 1
    begin[known] = end[known] = np.searchsorted(at, exact)
    return day, begin.astype(np.int64), end.astype(np.int64)


def _written_out(once: tuple[Ints, Ints, Ints], long: Long, moments: int, units: int) -> tuple[Ints, Ints]:
    """Which long moves are written out, and at which moments, for tracing in both directions."""
    source, target, moment = once
    limit = _ROOM * (len(source) + len(long.rows)) + _SPARE
    ahead = _copies(target, moment, long, moments, units, limit)
    behind = _copies(source, moments - 1 - moment, long.turned(moments, units), moments, units, limit)
    behind = np.column_stack([behind[:, 0], moments - 1 - behind[:, 1]])
    ends = [long.rows[:, [4, 1]], long.rows[:, [4, 2]]]
    keys = np.concatenate([ahead, behind, *ends])
    pairs = np.unique(keys[:, 0] * moments + keys[:, 1])
    return pairs // moments, pairs % moments


def _copies(taker: Ints, moment: Ints, long: Long, moments: int, units: int, limit: int) -> Ticks:
    starts = starts_of(moment, moments, 0)
    takers, unused = np.empty_like(taker), np.empty_like(taker)
    place_by_moment(taker, taker, moment, 0, starts, takers, unused)
    order = np.argsort(long.rows[:, 1], kind="stable")
    first_starts = np.searchsorted(long.rows[order, 1], np.arange(moments + 1)).astype(np.int64)
    widest = int((long.rows[:, 2] - long.rows[:, 1]).max(initial=0))
    found = _reopened(takers, starts, order, first_starts, long.begins, long.rows, widest, limit, units)
    if len(found) > limit:
        raise UserError(
            "Too many moves have uncertain days for a trace through the whole register.",
            "Trace from one place, or give the days of the moves where papers tell them.",
        )
    return found


@compiled
def _reopened(takers: Ticks, starts: Ticks, order: Ticks, first_starts: Ticks, begins: Ticks, rows: Ticks,
              widest: int, limit: int, units: int) -> Ticks:  # fmt: skip
    """(which, moment) of long moves whose giver may just have been reached at a moment after their first."""
    found, count = np.empty((1024, 2), dtype=np.int64), 0
    seen, stack = np.full(units, -1, dtype=np.int64), np.empty(units, dtype=np.int64)
    for moment in range(len(starts) - 1):
        waits = 0
        for index in range(starts[moment], starts[moment + 1]):
            if seen[takers[index]] != moment:
                seen[takers[index]] = moment
                stack[waits], waits = takers[index], waits + 1
        for index in range(first_starts[moment], first_starts[moment + 1]):
            taker = rows[order[index], 3]
            if seen[taker] != moment:
                seen[taker] = moment
                stack[waits], waits = taker, waits + 1
        while waits:
            waits -= 1
            unit = stack[waits]
            low, high = begins[unit], begins[unit + 1]
            while low < high:
                middle = (low + high) >> 1
                if rows[middle, 1] < moment - widest:
                    low = middle + 1
                else:
                    high = middle
            while low < begins[unit + 1] and rows[low, 1] < moment:
                if rows[low, 2] >= moment:
                    if count > limit:
                        return found[:count]
                    if count == len(found):
                        larger = np.empty((2 * count, 2), dtype=np.int64)
                        larger[:count] = found
                        found = larger
                    found[count, 0], found[count, 1] = rows[low, 4], moment
                    count += 1
                    if seen[rows[low, 3]] != moment:
                        seen[rows[low, 3]] = moment
                        stack[waits], waits = rows[low, 3], waits + 1
                low += 1
    return found[:count]
