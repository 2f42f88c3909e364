"""A register of national size, made ready once and then traced from any place over any window, as arrays.

Same rules as the list by place in `contacts`: same-day moves in the worse order, hours where known, intervals of days,
lots kept apart. No grades and no chains. Importing this module starts the compiler.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from threading import Lock

import numpy as np

from ashcomb.outbreak import chain_rows, chain_sizes
from ashcomb.outbreak.contacts import Start
from ashcomb.outbreak.day_order import Small, arrange, list_by_unit, place_by_moment, starts_of
from ashcomb.outbreak.fast_reach import WALK_COST, Moves, Room, Way, taken_out, trace
from ashcomb.outbreak.moments import Moments, moments_of
from ashcomb.outbreak.network import by_place
from ashcomb.outbreak.transfers import Ints, Transfers


@dataclass(frozen=True)
class Cone:
    """What a trace reached, the start places among it, in order of being found.

    place: numbers.  day: earliest (forward) or latest (back) possible.  moves: fewest, over any chain in the window.
    """

    place: Ints
    day: Ints
    moves: Ints

    def __len__(self) -> int:
        return len(self.place)


@dataclass(frozen=True)
class Sizes:
    """Contact-chain sizes by place. ingoing: places from which it can be reached.  outgoing: that it reaches."""

    ingoing: Ints
    outgoing: Ints


class Register:
    """Transfers made ready for tracing. It gives one answer at a time; threads wait for each other."""

    walk_cost = WALK_COST

    def __init__(self, transfers: Transfers, workers: int = 2) -> None:
        """Sorts the transfers. workers: threads that share the work.

        Raises UserError where too many days are uncertain to write them out.
        """
        self.places, self._workers, self._lock = len(transfers.marks), workers, Lock()
        self._transfers = transfers
        tail, head, which, vessels = _ends(transfers)
        self._number, self.units = _numbered(tail, head, self.places, vessels)
        if self._number is not None:
            tail, head = self._number[tail], self._number[head]
        first, last, minute = transfers.first, transfers.last, transfers.minute
        if which is not None:
            first, last, minute = first[which], last[which], minute[which]
        ready = moments_of(tail, head, first, last, minute, self.units)
        self._day, self._long = ready.day, ready.long
        self._moves = self._arranged(ready)
        self._room = Room.of(self.units, len(self._day), np.uint8)

    def forward(self, starts: Sequence[Start], last_day: int | None = None) -> Cone:
        """What moves after the starts may have reached. last_day: days since 1970, bounds every move."""
        return self._traced(starts, last_day, back=False)

    def back(self, starts: Sequence[Start], first_day: int | None = None) -> Cone:
        """From where moves may have reached the starts until their days. first_day: bounds every move."""
        if self._number is None:
            return self._traced(starts, first_day, back=True)
        turned = [replace(start, day=-start.day) for start in starts]  # lots part other ways when time runs back
        found = self._turned.forward(turned, None if first_day is None else -first_day)
        return Cone(found.place, -found.day, found.moves)

    def sizes(self, first_day: int | None = None, last_day: int | None = None) -> Sizes:
        """Contact-chain sizes of all places within a window of days, both included; a place is not in its own chain.

        Time: at most places times moves of the window, divided by 1,024; less where most is reached, or little.
        """
        begin = 0 if first_day is None else int(np.searchsorted(self._day, first_day))
        end = len(self._day) if last_day is None else int(np.searchsorted(self._day, last_day, side="right"))
        inside = first_day is None or last_day is None or first_day <= last_day
        giver, taker = self._long.open_at(begin if inside else -1)
        opened = self._small(giver), self._small(taker)
        first = self._first_gives(begin, end, opened[0])
        givers = np.argsort(first, kind="stable")[: int((first <= end).sum())]
        ingoing, outgoing = np.zeros(self.places, dtype=np.int64), np.zeros(self.places, dtype=np.int64)

        def count(low: int) -> Ints:
            mine = givers[low : low + chain_rows.COLUMNS]
            rows, came = self._seeded(mine), np.zeros(self.places, dtype=np.int64)
            went = np.zeros(chain_rows.COLUMNS, dtype=np.int64)
            chain_sizes.spread(self._moves, opened, int(first[mine[0]]), end, rows)
            chain_rows.count(rows, self.places, came, went)
            outgoing[mine] = went[: len(mine)] - 1
            came[mine] -= 1
            return came

        with ThreadPoolExecutor(self._workers) as pool:
            for some in pool.map(count, range(0, len(givers), chain_rows.COLUMNS)):
                ingoing += some
        return Sizes(ingoing, outgoing)

    def _first_gives(self, begin: int, end: int, opened: Small) -> Ints:
        """Moment at which what is in each place is first given on; one after `end` where it is not."""
        first = chain_sizes.first_gives(self._moves, begin, end, self.units)
        first[opened] = begin
        if self._number is None:
            return first
        other = self._number[self.places : 2 * self.places]
        return np.minimum(first[: self.places], np.where(other >= 0, first[other], end + 1))

    def _seeded(self, places: Ints) -> chain_rows.Bits:
        rows = chain_rows.empty_rows(self.units)
        column = np.arange(len(places))
        bit = np.uint64(1) << (column % 64).astype(np.uint64)
        rows[places, column // 64] |= bit
        if self._number is not None:
            other = self._number[self.places + places]
            there = other >= 0
            rows[other[there], column[there] // 64] |= bit[there]
        return rows

    def _small(self, units: Ints) -> Small:
        return units.astype(np.uint16 if self.units <= 1 << 16 else np.uint32)

    def _arranged(self, ready: Moments) -> Moves:
        starts = starts_of(ready.moment, len(ready.day), ready.origin)
        source, target = self._small(ready.source), self._small(ready.target)
        place_by_moment(ready.source, ready.target, ready.moment, ready.origin, starts, source, target)
        repeat = np.empty(len(ready.day), dtype=np.int64)
        parts = np.linspace(0, len(source), self._workers + 1)
        cuts = [0, *np.searchsorted(starts[:-1], parts[1:-1]).tolist(), len(ready.day)]
        with ThreadPoolExecutor(self._workers) as pool:
            jobs = [
                pool.submit(arrange, source, target, starts, repeat, low, high, self.units)
                for low, high in pairwise(cuts)
            ]
            for job in jobs:
                job.result()
        return Moves(source, target, starts, repeat)

    def _traced(self, starts: Sequence[Start], bound: int | None, *, back: bool) -> Cone:
        by_day: dict[int, list[int]] = {}
        for start in starts:
            by_day.setdefault(start.day, []).extend(self._seeds(start))
        with self._lock:
            cones = [self._from(np.array(seeds, dtype=np.int64), day, bound, back) for day, seeds in by_day.items()]
        if len(cones) == 1 and self.units == self.places:
            return cones[0]
        return _together(cones, self.places, back)

    def _seeds(self, start: Start) -> list[int]:
        if self._number is None:
            return [start.place]
        other = self.places + start.place if start.lot is None else 2 * self.places + start.lot
        return [start.place, *(int(unit) for unit in self._number[[other]] if unit >= 0)]

    def _from(self, seeds: Ints, day: int, bound: int | None, back: bool) -> Cone:
        begin, end = self._window(day, bound, back)
        inside = bound is None or (day >= bound if back else day <= bound)
        way = self._behind if back else self._ahead
        count = trace(self._moves, way, self._room, seeds, begin, end, inside, self.walk_cost)
        if count < 0:  # a chain of more than 253 moves: from now on count in wider numbers
            self._room = Room.of(self.units, len(self._day), np.int32)
            count = trace(self._moves, way, self._room, seeds, begin, end, inside, self.walk_cost)
        return Cone(*taken_out(self._room, way, count, begin, day))

    def _window(self, day: int, bound: int | None, back: bool) -> tuple[int, int]:
        """First moment, and the one after the last; counted from the end when tracing back."""
        moments = len(self._day)
        if back:
            low = 0 if bound is None else int(np.searchsorted(self._day, bound))
            return moments - int(np.searchsorted(self._day, day, side="right")), moments - low
        high = moments if bound is None else int(np.searchsorted(self._day, bound, side="right"))
        return int(np.searchsorted(self._day, day)), high

    @cached_property
    def _turned(self) -> Register:
        return Register(self._transfers.backwards(), self._workers)

    @cached_property
    def _ahead(self) -> Way:
        begins, listed = list_by_unit(*self._moves[:3], self.units, False)
        return Way(begins, listed, self._long.begins, self._long.rows, self._day, False)

    @cached_property
    def _behind(self) -> Way:
        begins, listed = list_by_unit(*self._moves[:3], self.units, True)
        long = self._long.turned(len(self._day), self.units)
        return Way(begins, listed, long.begins, long.rows, self._day[::-1].copy(), True)


def _ends(transfers: Transfers) -> tuple[Ints, Ints, Ints | None, int]:
    """Tails and heads of the network by place, whose transfers they are (None: each its own), number of vessels."""
    if not transfers.shed.any():
        return transfers.source, transfers.target, None, len(transfers.marks)
    network = by_place(transfers)
    return network.tail, network.head, network.transfer, network.vessels


def _numbered(tail: Ints, head: Ints, places: int, vessels: int) -> tuple[Ints | None, int]:
    """Numbers without gaps: places as they are, then the other vessels that have moves, -1 for the rest."""
    if vessels == places:
        return None, places
    used = np.zeros(vessels, dtype=np.bool_)
    used[tail] = used[head] = used[:places] = True
    number = np.where(used, np.cumsum(used) - 1, -1)
    return number, int(used.sum())


def _together(cones: list[Cone], places: int, back: bool) -> Cone:
    """Several traces as one, by place: best day and fewest moves of each."""
    place = np.concatenate([cone.place for cone in cones] or [np.zeros(0, dtype=np.int64)])
    day, moves = np.full(places, np.iinfo(np.int64).max), np.full(places, np.iinfo(np.int64).max)
    for cone in cones:
        here = cone.place < places
        np.minimum.at(day, cone.place[here], -cone.day[here] if back else cone.day[here])
        np.minimum.at(moves, cone.place[here], cone.moves[here])
    which = np.unique(place[place < places])
    return Cone(which, -day[which] if back else day[which], moves[which])
