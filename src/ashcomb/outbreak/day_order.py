"""Transfers in the order in which one pass can follow them: by moment, and within a moment givers before takers.

Kernels on plain columns. A moment is a day, or an hour of a day on which hours are known. Transfers of one moment are
sorted topologically once; those on or behind a cycle of that moment come last and are repeated by whoever passes.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from ashcomb.outbreak.compiled import compiled

Small = npt.NDArray[np.unsignedinteger]
Whole = npt.NDArray[np.integer]
Ticks = npt.NDArray[np.int64]
Index = npt.NDArray[np.int32]
_SHELF = 9  # units are shelved by 512 while lists are made


@compiled
def days_of(first: Ticks) -> tuple[int, int]:
    """Smallest and largest of the days."""
    low, high = first[0], first[0]
    for day in first:
        low, high = min(low, day), max(high, day)
    return low, high


@compiled
def starts_of(moment: Ticks, moments: int, origin: int) -> Ticks:
    """Where the transfers of each moment begin once they are sorted; one element more than there are moments."""
    starts = np.zeros(moments + 2, dtype=np.int64)
    for index in range(len(moment)):
        starts[moment[index] - origin + 2] += 1
    for index in range(2, moments + 2):
        starts[index] += starts[index - 1]
    return starts[1:]


@compiled
def place_by_moment(
    tail: Ticks, head: Ticks, moment: Ticks, origin: int, starts: Ticks, source: Whole, target: Whole
) -> None:
    """Writes source and target sorted by moment, in their order within one."""
    at = starts.copy()
    for index in range(len(tail)):
        slot = at[moment[index] - origin]
        at[moment[index] - origin] = slot + 1
        source[slot], target[slot] = tail[index], head[index]


class _Desk(NamedTuple):
    """Room for sorting one moment. takes, waiting, first: by unit; 0, 0 and -1 between moments.  Others: by move."""

    takes: npt.NDArray[np.uint8]
    waiting: Index
    first: Index
    source: Small
    target: Small
    following: Index
    ready: Index


@compiled
def arrange(source: Small, target: Small, starts: Ticks, repeat: Ticks, begin: int, end: int, units: int) -> None:
    """Sorts each moment from `begin` to before `end` in place; `repeat` gets where its cyclic rest begins."""
    most = 0
    for moment in range(begin, end):
        most = max(most, starts[moment + 1] - starts[moment])
    desk = _Desk(
        np.zeros(units, dtype=np.uint8),
        np.zeros(units, dtype=np.int32),
        np.full(units, -1, dtype=np.int32),
        np.empty(most, dtype=source.dtype),
        np.empty(most, dtype=source.dtype),
        np.empty(most, dtype=np.int32),
        np.empty(2 * most, dtype=np.int32),
    )
    for moment in range(begin, end):
        put, rest = _pure_givers(source, target, starts[moment], starts[moment + 1], desk)
        repeat[moment] = _peeled(source, target, put, rest, desk)


@compiled
def _pure_givers(source: Small, target: Small, low: int, high: int, desk: _Desk) -> tuple[int, int]:
    """Puts first what comes from units that take nothing in this moment: most of it. The rest goes on the desk."""
    for index in range(low, high):
        desk.takes[target[index]] = 1
    put, rest = low, 0
    for index in range(low, high):
        giver, taker = source[index], target[index]
        if desk.takes[giver] == 0:
            source[put], target[put] = giver, taker
            put += 1
        else:
            desk.source[rest], desk.target[rest] = giver, taker
            rest += 1
    for index in range(low, put):
        desk.takes[target[index]] = 0
    for index in range(rest):
        desk.takes[desk.target[index]] = 0
    return put, rest


@compiled
def _peeled(source: Small, target: Small, put: int, rest: int, desk: _Desk) -> int:
    """Puts the rest giver by giver, each when all it takes is put; returns where those on or behind a cycle begin."""
    waiting, first, ready = desk.waiting, desk.first, desk.ready
    for index in range(rest):
        waiting[desk.target[index]] += 1
        desk.following[index], first[desk.source[index]] = first[desk.source[index]], index
    count = 0
    for index in range(rest):
        if waiting[desk.source[index]] == 0:
            waiting[desk.source[index]] = -1
            ready[count] = desk.source[index]
            count += 1
    done = 0
    while done < count:
        index = first[ready[done]]
        first[ready[done]] = -1
        done += 1
        while index >= 0:
            taker = desk.target[index]
            source[put], target[put] = desk.source[index], taker
            put += 1
            waiting[taker] -= 1
            if waiting[taker] == 0 and first[taker] >= 0:
                ready[count] = taker
                count += 1
            index = desk.following[index]
    cyclic = put
    for index in range(rest):
        if first[desk.source[index]] >= 0:
            source[put], target[put] = desk.source[index], desk.target[index]
            put += 1
    for index in range(rest):
        waiting[desk.source[index]], waiting[desk.target[index]] = 0, 0
        first[desk.source[index]] = -1
    return cyclic


@compiled
def list_by_unit(
    source: Small, target: Small, starts: Ticks, units: int, mirrored: bool
) -> tuple[Ticks, npt.NDArray[np.uint64]]:
    """The transfers of each giver in order of time: where its list begins, and (moment << 32) | taker.

    mirrored: for tracing back, takers give and time runs the other way. Sorted by the giver's shelf of units and then
    within each shelf, so that what is written stays close together.
    """
    moments = len(starts) - 1
    if mirrored:
        source, target = target, source
    begins = np.zeros(units + 2, dtype=np.int64)
    for giver in source:
        begins[giver + 2] += 1
    for unit in range(2, units + 2):
        begins[unit] += begins[unit - 1]
    shelves = (units >> _SHELF) + 1
    at = np.empty(shelves, dtype=np.int64)
    for shelf in range(shelves):
        at[shelf] = begins[min(units, shelf << _SHELF) + 1]
    givers = np.empty(len(source), dtype=source.dtype)
    shelved = np.empty(len(source), dtype=np.uint64)
    for turn in range(moments):
        moment = moments - 1 - turn if mirrored else turn
        for index in range(starts[moment], starts[moment + 1]):
            giver = source[index]
            slot = at[giver >> _SHELF]
            at[giver >> _SHELF] = slot + 1
            givers[slot] = giver
            shelved[slot] = (np.uint64(turn) << np.uint64(32)) | np.uint64(target[index])
    listed = np.empty(len(source), dtype=np.uint64)
    for index in range(len(source)):
        slot = begins[givers[index] + 1]
        begins[givers[index] + 1] = slot + 1
        listed[slot] = shelved[index]
    return begins[:-1], listed
