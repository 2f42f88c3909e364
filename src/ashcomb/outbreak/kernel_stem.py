"""Compiled: whom the stem infects in one apiary when its branch grows anew.

Ways lie on an axis, and points fall on it at rate 1. Those of a block lie one after the other.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import lean
from ashcomb.outbreak.kernel_grow import free, point, queued
from ashcomb.outbreak.kernel_pressure import gather, time_within
from ashcomb.outbreak.kernel_state import (
    APIARY,
    ROBBING,
    worth_over,
)
from ashcomb.outbreak.kernel_way import weigh
from ashcomb.outbreak.layout import (
    AT_AFTER,
    AT_BEFORE,
    AT_BLOCK,
    AT_BLOCK_PTR,
    AT_DAWN,
    AT_FIRST,
    AT_GIFT,
    AT_GIFT_EVENT,
    AT_GIFT_FROM,
    AT_GIFT_PTR,
    AT_HEAD,
    AT_IN_EVENT,
    AT_IN_PTR,
    AT_INFECTABLE,
    AT_MARK,
    AT_MASS,
    AT_MOVED,
    AT_NEAR,
    AT_NEAR_FALL,
    AT_NEAR_PTR,
    AT_ONSET,
    AT_SPAN,
    AT_SPARED,
    AT_STAY_FROM,
    AT_STAY_OF,
    AT_STAY_PLACE,
    AT_STAY_PTR,
    AT_STAY_TO,
    AT_TIME,
    AT_TOUCHING,
    AT_WHEN,
    DAYS,
    EVENT,
    HIVE,
    STAY,
)
from ashcomb.outbreak.scene import BEFORE, NO, PRESSURE, Floats, Ints

_SURE = 700.0  # places of an axis after which a point has fallen


@lean
def most_pressure(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, place: int) -> float:
    """A bound of the pressure, from the infected, on a colony that stood at an apiary only and touches none of them.

    Of each of them its whole stay counts, not only the days that both stood there.
    """
    total = 0.0
    for n in range(idx[idx[AT_NEAR_PTR] + place] - 1, idx[idx[AT_NEAR_PTR] + (place + 1)]):
        own = n < idx[idx[AT_NEAR_PTR] + place]
        speed = theta[APIARY] if own else theta[ROBBING] * num[idx[AT_NEAR_FALL] + n]
        slot = pos[pos[AT_HEAD] + (place if own else idx[idx[AT_NEAR] + n])]
        while slot >= 0:
            i = idx[idx[AT_STAY_OF] + STAY * slot]
            a, b = (num[idx[AT_STAY_FROM] + STAY * slot], min(num[idx[AT_STAY_TO] + STAY * slot], idx[DAYS] - 1.0))
            total += speed * worth_over(
                num, idx, theta, i, mem[pos[AT_TIME] + HIVE * i], mem[pos[AT_ONSET] + HIVE * i], a, b
            )
            slot = pos[pos[AT_AFTER] + STAY * slot]
    return total


@lean
def _from_stem(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    k: int,
    since: float,
    waiting: int,
    gen: np.random.Generator,
) -> int:
    """Queues the first way since a day in which the stem infects colony k of the block, if any; how many wait then."""
    count, at = (gather(num, idx, mem, pos, theta, k), point(gen))
    _, spared = weigh(num, idx, mem, pos, theta, k, count)
    while at < min(-spared, _SURE):
        when, source = _way_at(num, idx, mem, pos, theta, k, count, at)
        if when >= since and source != NO:
            waiting = queued(mem, pos, k, when, source, waiting)
        at += point(gen)
    return waiting


@lean
def _beside(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    place: int,
    since: float,
    waiting: int,
    gen: np.random.Generator,
) -> int:
    """The same for those of the block that touch an infected one and stood there only; marks them."""
    slot = pos[pos[AT_HEAD] + place]
    while slot >= 0:
        for side in range(2):
            k = idx[idx[AT_TOUCHING] + (2 * idx[idx[AT_STAY_OF] + STAY * slot] + side)]
            if k < 0 or pos[pos[AT_MARK] + HIVE * k] == 1 or not free(mem, pos, k):
                continue
            stay = idx[idx[AT_STAY_PTR] + HIVE * k]
            if idx[idx[AT_STAY_PTR] + HIVE * (k + 1)] - stay != 1 or idx[idx[AT_STAY_PLACE] + STAY * stay] != place:
                continue
            if (
                num[idx[AT_INFECTABLE] + HIVE * k] > num[idx[AT_FIRST] + HIVE * k]
                or num[idx[AT_BEFORE] + HIVE * k] > 0.0
            ):
                pos[pos[AT_MARK] + HIVE * k] = 1
                waiting = _from_stem(num, idx, mem, pos, theta, k, since, waiting, gen)
        slot = pos[pos[AT_AFTER] + STAY * slot]
    return waiting


@lean
def _unmarked(idx: Ints, pos: Ints, place: int) -> None:
    slot = pos[pos[AT_HEAD] + place]
    while slot >= 0:
        for side in range(2):
            k = idx[idx[AT_TOUCHING] + (2 * idx[idx[AT_STAY_OF] + STAY * slot] + side)]
            if k >= 0:
                pos[pos[AT_MARK] + HIVE * k] = 0
        slot = pos[pos[AT_AFTER] + STAY * slot]


@lean
def from_stem(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    place: int,
    since: float,
    gen: np.random.Generator,
) -> int:
    """Queues for each colony of a block the first way since a day in which the stem infects it, if any; how many wait.

    Those that stood there only and touch no infected one are done together: points fall on a bound of what presses on
    any of them, once for each, and on the events to which they came. Mostly there is none.
    """
    first, end, waiting = (pos[pos[AT_BLOCK_PTR] + place], pos[pos[AT_BLOCK_PTR] + (place + 1)], 0)
    for n in range(first, first + pos[pos[AT_MOVED] + place]):
        k = pos[pos[AT_BLOCK] + n]
        if free(mem, pos, k):
            waiting = _from_stem(num, idx, mem, pos, theta, k, since, waiting, gen)
    waiting = _beside(num, idx, mem, pos, theta, place, since, waiting, gen)
    first += pos[pos[AT_MOVED] + place]
    most, at = (most_pressure(num, idx, mem, pos, theta, place), point(gen))
    most *= 1.001  # sums of another order differ in their last digits
    each = theta[0] * mem[pos[AT_SPAN] + place] + mem[pos[AT_DAWN] + place] + most
    while at < each * (end - first):
        n = min(int(at / each), end - first - 1)
        k = pos[pos[AT_BLOCK] + (first + n)]
        if free(mem, pos, k) and pos[pos[AT_MARK] + HIVE * k] == 0:
            when, source = _pressed_at(num, idx, mem, pos, theta, k, most, at - n * each)
            if when >= since and source != NO:
                waiting = queued(mem, pos, k, when, source, waiting)
        at += point(gen)
    at -= each * (end - first)
    for g in range(pos[pos[AT_GIFT_PTR] + place], pos[pos[AT_GIFT_PTR] + (place + 1)]):
        e, low = (pos[pos[AT_GIFT_EVENT] + g], pos[pos[AT_GIFT_FROM] + g])
        one, takers = (min(-mem[pos[AT_SPARED] + EVENT * e], _SURE), pos[pos[AT_GIFT_FROM] + (g + 1)] - low)
        while at < one * takers:
            k = pos[pos[AT_GIFT] + (low + min(int(at / one), takers - 1))]
            if free(mem, pos, k) and pos[pos[AT_MARK] + HIVE * k] == 0 and mem[pos[AT_WHEN] + EVENT * e] >= since:
                waiting = queued(mem, pos, k, mem[pos[AT_WHEN] + EVENT * e], e, waiting)
            at += point(gen)
        at -= one * takers
    _unmarked(idx, pos, place)
    return waiting


@lean
def _pressed_at(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, k: int, most: float, at: float
) -> tuple[float, int]:
    """When and how colony k is infected by the way at that place of the axis, if not by an event.

    most: bound of what the infected press on it.
    """
    known = theta[0] * (num[idx[AT_INFECTABLE] + HIVE * k] - num[idx[AT_FIRST] + HIVE * k]) - np.log1p(
        -num[idx[AT_BEFORE] + HIVE * k]
    )
    if at >= known + most:
        return (np.inf, NO)
    count = 0 if at < known else gather(num, idx, mem, pos, theta, k)
    return _way_without(num, idx, mem, pos, theta, k, count, at)


@lean
def _way_without(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, k: int, count: int, at: float
) -> tuple[float, int]:
    """When and how the gathered colony k is infected by the way at that place of the axis, events left out."""
    first = num[idx[AT_FIRST] + HIVE * k]
    left = at + np.log1p(-num[idx[AT_BEFORE] + HIVE * k])
    if left < 0.0:
        return (first, BEFORE)
    span = num[idx[AT_INFECTABLE] + HIVE * k] - first
    if left < theta[0] * span:
        return (first + left / theta[0], PRESSURE)
    left -= theta[0] * span
    for c in range(count):
        if left < mem[pos[AT_MASS] + c]:
            return (time_within(mem, pos, theta, c, left / mem[pos[AT_MASS] + c]), PRESSURE)
        left -= mem[pos[AT_MASS] + c]
    return (np.inf, NO)


@lean
def _way_at(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, k: int, count: int, at: float
) -> tuple[float, int]:
    """When and how the gathered colony k is infected by the way at that place of the axis."""
    for n in range(idx[idx[AT_IN_PTR] + HIVE * k], idx[idx[AT_IN_PTR] + HIVE * (k + 1)]):
        e = idx[idx[AT_IN_EVENT] + n]
        if at < -mem[pos[AT_SPARED] + EVENT * e]:
            return (mem[pos[AT_WHEN] + EVENT * e], e)
        at += mem[pos[AT_SPARED] + EVENT * e]
    return _way_without(num, idx, mem, pos, theta, k, count, at)
