"""First arrival and fewest moves from some units through a window: a walk over what is reached, then one pass.

The walk follows only the next move of each reached unit, so a small reach costs little however large the register is.
When the reached units hold so many moves that passing over all of them is cheaper, the pass takes over at that moment
with what the walk has found; nothing is done twice. Kernels on plain columns; `register` uses them.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from ashcomb.outbreak.compiled import compiled, inlined
from ashcomb.outbreak.day_order import Index, Small, Ticks, Whole

WALK_COST = 96.0  # one move on a walk takes as long as this many in a pass (bench/bench_trace.py shows both)
_CALM, _DONE, _WAITS = 0, 1, 2  # of a unit within one moment


class Moves(NamedTuple):
    """All moves, arranged by moment as `day_order.arrange` does. repeat: where the cyclic rest of a moment begins."""

    source: Small
    target: Small
    starts: Ticks
    repeat: Ticks


class Way(NamedTuple):
    """One direction of time. Moments rise with it: for tracing back they are counted from the end.

    begins, listed: the moves of each unit, as `day_order.list_by_unit` gives.  long_begins, long: moves that may have
    happened at any of several moments, as `moments.Long`.  day: of each moment.  back: whether takers give.
    """

    begins: Ticks
    listed: npt.NDArray[np.uint64]
    long_begins: Ticks
    long: Ticks
    day: Ticks
    back: bool


class Room(NamedTuple):
    """Room to trace in, kept between traces so that a small one need not prepare it.

    moves: fewest, by unit; `far` between traces.  when: moment at which each was reached, the one before the first for
    what was reached at the very start.  at: place in its list.  link, heads: units by the moment of their next move;
    heads is -1 between traces.  state: 0 between moments.  found: units in the order of being reached.
    """

    moves: Whole
    far: int
    when: Index
    at: Ticks
    link: Index
    state: npt.NDArray[np.uint8]
    heads: Index
    found: Index
    waiting: Index
    today: Index

    @classmethod
    def of(cls, units: int, moments: int, size: npt.DTypeLike) -> Room:
        """For that many units and moments. size: whole numbers that count moves."""
        far = int(np.iinfo(np.dtype(size)).max)
        when, link, found, waiting, today = (np.empty(units, dtype=np.int32) for _ in range(5))
        moves, state = np.full(units, far, dtype=size), np.zeros(units, dtype=np.uint8)
        heads = np.full(moments, -1, dtype=np.int32)
        return cls(moves, far, when, np.empty(units, dtype=np.int64), link, state, heads, found, waiting, today)


@inlined
def _moment(entry: Any) -> Any:
    return np.int64(entry >> np.uint64(32))


@inlined
def _taker(entry: Any) -> Any:
    return np.int64(entry & np.uint64(0xFFFFFFFF))


@compiled
def trace(moves: Moves, way: Way, room: Room, seeds: Ticks, begin: int, end: int, inside: bool,
          walk_cost: float) -> int:  # fmt: skip
    """Traces from the seeds through the moments from `begin` to before `end`; returns how many units are found.

    room: found, when and moves hold the answer, the seeds among it.  inside: whether the start lies within the window.
    walk_cost: 0 never passes, infinity passes at once.  A result of -1 says that `room` counts moves too small; it is
    spent then.
    """
    count = _begin(way, room, seeds, begin, inside)
    moment, count = _walk(moves, way, room, begin, end, walk_cost, count)
    if count >= 0 and moment < end:
        count = _pass(moves, way, room, moment, end, count)
    return count


@compiled
def _begin(way: Way, room: Room, seeds: Ticks, begin: int, inside: bool) -> int:
    """Finds the seeds, and what moves of several moments may have brought at the start itself."""
    count = 0
    for unit in seeds:
        if room.moves[unit] == room.far:
            room.moves[unit], room.when[unit], room.found[count] = 0, begin - 1, unit
            count += 1
    done = 0 if inside else count
    while done < count:
        unit = room.found[done]
        done += 1
        if room.moves[unit] + 1 >= room.far - 1:
            return -1
        for row in range(way.long_begins[unit], way.long_begins[unit + 1]):
            taker = way.long[row, 3]
            if way.long[row, 1] < begin <= way.long[row, 2] and room.moves[taker] == room.far:
                room.moves[taker], room.when[taker], room.found[count] = room.moves[unit] + 1, begin - 1, taker
                count += 1
    return count


@compiled
def _walk(moves: Moves, way: Way, room: Room, begin: int, end: int, walk_cost: float, count: int) -> tuple[int, int]:
    """Walks until a pass is cheaper; returns the moment where it stopped and the number of units found."""
    moments, ahead = len(moves.starts) - 1, 0
    for done in range(count):
        unit = room.found[done]
        ahead += _open_list(way, room, unit, begin)
        _wait(way, room, unit, end)
    moment = begin
    while moment < end and ahead > 0 and count >= 0:
        left = moves.starts[moments - moment] if way.back else moves.starts[moments] - moves.starts[moment]
        if ahead * walk_cost > left:
            room.heads[moment:end] = -1
            return moment, count
        if room.heads[moment] >= 0:
            count, busy, more = _one_moment(way, room, moment, count)
            ahead += more
            for index in range(busy):
                unit = room.today[index]
                room.state[unit] = _CALM
                ahead -= _close_moment(way, room, unit, moment)
                _wait(way, room, unit, end)
        moment += 1
    return end, count


@compiled
def _open_list(way: Way, room: Room, unit: int, moment: int) -> int:
    """Opens the list of a unit at its first move not before the moment; returns how many moves are left in it."""
    low, high = way.begins[unit], way.begins[unit + 1]
    while low < high:
        middle = (low + high) >> 1
        if _moment(way.listed[middle]) < moment:
            low = middle + 1
        else:
            high = middle
    room.at[unit] = low
    return int(way.begins[unit + 1] - low)


@compiled
def _wait(way: Way, room: Room, unit: int, end: int) -> None:
    """Puts a unit down for the moment of its next move, if that is in the window."""
    place = room.at[unit]
    if place < way.begins[unit + 1]:
        moment = _moment(way.listed[place])
        if moment < end:
            room.link[unit], room.heads[moment] = room.heads[moment], unit


@compiled
def _close_moment(way: Way, room: Room, unit: int, moment: int) -> int:
    """Moves a unit beyond its moves of the moment; returns their number."""
    place = room.at[unit]
    while place < way.begins[unit + 1] and _moment(way.listed[place]) == moment:
        place += 1
    passed = int(place - room.at[unit])
    room.at[unit] = place
    return passed


@compiled
def _one_moment(way: Way, room: Room, moment: int, count: int) -> tuple[int, int, int]:
    """Follows the moves of one moment until nothing improves.

    Returns the number of units found, of those in `today`, and how many moves the new ones have before them.
    """
    size, unit, busy, more = len(room.waiting), room.heads[moment], 0, 0
    room.heads[moment] = -1
    while unit >= 0:
        room.waiting[busy], room.today[busy], room.state[unit] = unit, unit, _WAITS
        busy += 1
        unit = room.link[unit]
    taken, waits = 0, busy
    while waits:
        unit = room.waiting[taken]
        taken, waits = (taken + 1) % size, waits - 1
        room.state[unit] = _DONE
        hops, place = np.int64(room.moves[unit]) + 1, room.at[unit]
        if hops >= room.far - 1:
            return -1, busy, more
        while place < way.begins[unit + 1] and _moment(way.listed[place]) == moment:
            taker = _taker(way.listed[place])
            place += 1
            if hops >= room.moves[taker]:
                continue
            if room.moves[taker] == room.far:
                room.when[taker], room.found[count] = moment, taker
                count += 1
                more += _open_list(way, room, taker, moment)
                room.state[taker], room.today[busy] = _DONE, taker
                busy += 1
            room.moves[taker] = hops
            here = room.at[taker]
            gives = here < way.begins[taker + 1] and _moment(way.listed[here]) == moment
            if gives and room.state[taker] != _WAITS:
                room.state[taker] = _WAITS
                room.waiting[(taken + waits) % size] = taker
                waits += 1
    return count, busy, more


@compiled
def _pass(moves: Moves, way: Way, room: Room, moment: int, end: int, count: int) -> int:
    """Passes over all moves from a moment on; returns the number of units found."""
    giver, taker = (moves.target, moves.source) if way.back else (moves.source, moves.target)
    for turn in range(moment, end):
        day = len(moves.starts) - 2 - turn if way.back else turn
        low, rest, high = moves.starts[day], moves.repeat[day], moves.starts[day + 1]
        if not way.back:
            count, _ = _moved(giver, taker, low, rest, False, room, turn, count)
        gained = rest < high
        while gained:  # what lies on or behind a cycle of the moment
            count, gained = _moved(giver, taker, rest, high, way.back, room, turn, count)
        if way.back:
            count, _ = _moved(giver, taker, low, rest, True, room, turn, count)
    for index in range(count):
        if room.moves[room.found[index]] >= room.far - 1:
            return -1
    return count


@compiled
def _moved(giver: Small, taker: Small, low: int, high: int, down: bool, room: Room, moment: int,
           count: int) -> tuple[int, bool]:  # fmt: skip
    """Follows moves once, from the last to the first if `down`; returns the units found, and if anything improved.

    Twice as fast for two reasons: arrays are taken out of the room before the loop, so that the compiler does not count
    references in it, and places in them have no sign, so that none is looked for from the end.
    """
    hops, when, found, far, gained = room.moves, room.when, room.found, room.far, False
    at, step = (np.uint64(high - 1), ~np.uint64(0)) if down else (np.uint64(low), np.uint64(1))
    for _ in range(high - low):
        unit, more = taker[at], np.int64(hops[giver[at]]) + 1
        at += step
        if more < hops[unit]:
            gained = True
            if hops[unit] == far:
                when[unit], found[count] = moment, unit
                count += 1
            hops[unit] = more
    return count, gained


@compiled
def taken_out(room: Room, way: Way, count: int, begin: int, start: int) -> tuple[Ticks, Ticks, Ticks]:
    """Unit, day and fewest moves of what a trace found; `room` is then free for the next. start: day of the start."""
    unit, day, moves = np.empty(count, np.int64), np.empty(count, np.int64), np.empty(count, np.int64)
    for index in range(count):
        found = room.found[index]
        unit[index], moves[index] = found, room.moves[found]
        day[index] = start if room.when[found] < begin else way.day[room.when[found]]
    if count * 8 > len(room.moves):
        room.moves[:] = room.far
    else:
        for index in range(count):
            room.moves[room.found[index]] = room.far
    return unit, day, moves
