"""Compiled: the state of one history, its onset and infectiousness, and the lists of infected stays by apiary."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import compiled
from ashcomb.outbreak.layout import (
    AT_AFTER,
    AT_AHEAD,
    AT_BROOD,
    AT_DEAD,
    AT_END,
    AT_FIRST,
    AT_HEAD,
    AT_HIGH,
    AT_INFECTABLE,
    AT_LOW,
    AT_MASS,
    AT_NEAR,
    AT_NEAR_FALL,
    AT_NEAR_PTR,
    AT_ONSET,
    AT_QUANTILE,
    AT_SPEED,
    AT_STAY_FROM,
    AT_STAY_OF,
    AT_STAY_PLACE,
    AT_STAY_PTR,
    AT_STAY_TO,
    AT_TIME,
    AT_TOUCHING,
    AT_WHO,
    BROOD_LAST,
    STEPS,
)
from ashcomb.outbreak.scene import Floats, Ints

TOUCHING, APIARY, ROBBING, LATENT, ROBBED, ROUTE = (1, 2, 3, 4, 5, 6)


@compiled
def brood_days(num: Floats, idx: Ints, day: float) -> float:
    """Days with brood before a time; straight lines inside a day."""
    if day <= 0.0:
        return 0.0
    last = idx[BROOD_LAST]
    if day >= last:
        return num[idx[AT_BROOD] + last]
    k = int(day)
    return num[idx[AT_BROOD] + k] + (day - k) * (num[idx[AT_BROOD] + (k + 1)] - num[idx[AT_BROOD] + k])


@compiled
def day_of_brood(num: Floats, idx: Ints, wanted: float) -> float:
    """First time at which so many days with brood have gone by; infinite beyond the grid."""
    last = idx[BROOD_LAST]
    if wanted > num[idx[AT_BROOD] + last]:
        return np.inf
    if wanted <= 0.0:
        return 0.0
    low, high = (0, last)
    while high - low > 1:
        middle = (low + high) // 2
        if num[idx[AT_BROOD] + middle] >= wanted:
            high = middle
        else:
            low = middle
    return low + (wanted - num[idx[AT_BROOD] + low]) / (num[idx[AT_BROOD] + high] - num[idx[AT_BROOD] + low])


@compiled
def delay(num: Floats, idx: Ints, chance: float) -> float:
    """Days with brood from infection to signs at that position of the law."""
    steps = idx[STEPS]
    k = min(int(chance * steps), steps - 1)
    a, b = (num[idx[AT_QUANTILE] + k], num[idx[AT_QUANTILE] + (k + 1)])
    if a == np.inf or b == np.inf:
        return np.inf
    return a + (chance * steps - k) * (b - a)


@compiled
def onset_of(num: Floats, idx: Ints, time: float, chance: float) -> float:
    """Day of first signs."""
    wait = delay(num, idx, chance)
    if wait == np.inf:
        return np.inf
    return day_of_brood(num, idx, brood_days(num, idx, time) + wait)


@compiled
def cell_of(num: Floats, idx: Ints, wait: float) -> int:
    """The step of the law in which a delay lies; -1 if none of any width does."""
    steps = idx[STEPS]
    if wait < num[idx[AT_QUANTILE] + 0]:
        return -1
    low, high = (0, steps)
    while high - low > 1:
        middle = (low + high) // 2
        if num[idx[AT_QUANTILE] + middle] <= wait:
            low = middle
        else:
            high = middle
    if num[idx[AT_QUANTILE] + (low + 1)] == np.inf or num[idx[AT_QUANTILE] + (low + 1)] <= num[idx[AT_QUANTILE] + low]:
        return -1
    return low if wait < num[idx[AT_QUANTILE] + (low + 1)] else -1


@compiled
def worth_at(num: Floats, idx: Ints, theta: Floats, i: int, time: float, onset: float, at: float) -> float:
    """How infectious colony i is at a time, if infected at `time` with signs from `onset`."""
    if at < time or at >= num[idx[AT_END] + i] or time >= num[idx[AT_DEAD] + i]:
        return 0.0
    if at >= num[idx[AT_DEAD] + i]:
        return theta[ROBBED]
    return theta[LATENT] if at < onset else 1.0


@compiled
def worth_over(num: Floats, idx: Ints, theta: Floats, i: int, time: float, onset: float, x: float, y: float) -> float:
    """The same summed over the days from x to y."""
    dead, y = (num[idx[AT_DEAD] + i], min(y, num[idx[AT_END] + i]))
    if time >= dead or y <= x:
        return 0.0
    total = 0.0
    a, b = (max(x, time), min(y, min(onset, dead)))
    if b > a:
        total += theta[LATENT] * (b - a)
    a, b = (max(x, onset), min(y, dead))
    if b > a:
        total += b - a
    a = max(x, dead)
    if y > a:
        total += theta[ROBBED] * (y - a)
    return total


@compiled
def touch(num: Floats, idx: Ints, i: int, j: int) -> bool:
    """Whether two colonies stand next to each other."""
    return idx[idx[AT_TOUCHING] + (2 * i + 0)] == j or idx[idx[AT_TOUCHING] + (2 * i + 1)] == j


@compiled
def link(num: Floats, idx: Ints, mem: Floats, pos: Ints, i: int) -> None:
    """Enters the stays of a colony into the lists of infected stays."""
    for slot in range(idx[idx[AT_STAY_PTR] + i], idx[idx[AT_STAY_PTR] + (i + 1)]):
        place = idx[idx[AT_STAY_PLACE] + slot]
        first = pos[pos[AT_HEAD] + place]
        pos[pos[AT_AFTER] + slot], pos[pos[AT_AHEAD] + slot] = (first, -1)
        if first >= 0:
            pos[pos[AT_AHEAD] + first] = slot
        pos[pos[AT_HEAD] + place] = slot


@compiled
def unlink(num: Floats, idx: Ints, mem: Floats, pos: Ints, i: int) -> None:
    """Takes them out again."""
    for slot in range(idx[idx[AT_STAY_PTR] + i], idx[idx[AT_STAY_PTR] + (i + 1)]):
        before, after = (pos[pos[AT_AHEAD] + slot], pos[pos[AT_AFTER] + slot])
        if before >= 0:
            pos[pos[AT_AFTER] + before] = after
        else:
            pos[pos[AT_HEAD] + idx[idx[AT_STAY_PLACE] + slot]] = after
        if after >= 0:
            pos[pos[AT_AHEAD] + after] = before


@compiled
def _add(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    slot: int,
    other: int,
    speed: float,
    count: int,
) -> int:
    i = idx[idx[AT_STAY_OF] + other]
    low = max(max(num[idx[AT_STAY_FROM] + slot], num[idx[AT_FIRST] + j]), num[idx[AT_STAY_FROM] + other])
    high = min(min(num[idx[AT_STAY_TO] + slot], num[idx[AT_INFECTABLE] + j]), num[idx[AT_STAY_TO] + other])
    mass = (
        speed * worth_over(num, idx, theta, i, mem[pos[AT_TIME] + i], mem[pos[AT_ONSET] + i], low, high)
        if high > low
        else 0.0
    )
    if mass > 0.0:
        pos[pos[AT_WHO] + count], mem[pos[AT_SPEED] + count] = (i, speed)
        mem[pos[AT_LOW] + count], mem[pos[AT_HIGH] + count], mem[pos[AT_MASS] + count] = (low, high, mass)
        return count + 1
    return count


@compiled
def gather(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int) -> int:
    """Writes down every infected stay that presses on colony j over its life; returns how many."""
    count = 0
    for slot in range(idx[idx[AT_STAY_PTR] + j], idx[idx[AT_STAY_PTR] + (j + 1)]):
        place = idx[idx[AT_STAY_PLACE] + slot]
        other = pos[pos[AT_HEAD] + place]
        while other >= 0:
            i = idx[idx[AT_STAY_OF] + other]
            if i != j:
                speed = theta[TOUCHING] if touch(num, idx, i, j) else theta[APIARY]
                count = _add(num, idx, mem, pos, theta, j, slot, other, speed, count)
            other = pos[pos[AT_AFTER] + other]
        for n in range(idx[idx[AT_NEAR_PTR] + place], idx[idx[AT_NEAR_PTR] + (place + 1)]):
            other = pos[pos[AT_HEAD] + idx[idx[AT_NEAR] + n]]
            while other >= 0:
                if idx[idx[AT_STAY_OF] + other] != j:
                    speed = theta[ROBBING] * num[idx[AT_NEAR_FALL] + n]
                    count = _add(num, idx, mem, pos, theta, j, slot, other, speed, count)
                other = pos[pos[AT_AFTER] + other]
    return count


@compiled
def pressure_at(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, count: int, at: float) -> float:
    """Pressure on the gathered colony at a time."""
    total = theta[0]
    for c in range(count):
        if mem[pos[AT_LOW] + c] <= at < mem[pos[AT_HIGH] + c]:
            i = pos[pos[AT_WHO] + c]
            total += mem[pos[AT_SPEED] + c] * worth_at(
                num, idx, theta, i, mem[pos[AT_TIME] + i], mem[pos[AT_ONSET] + i], at
            )
    return total


@compiled
def pressure_until(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, count: int, first: float, at: float
) -> float:
    """The same summed from its first day to a time."""
    total = theta[0] * (at - first)
    for c in range(count):
        i = pos[pos[AT_WHO] + c]
        y = min(mem[pos[AT_HIGH] + c], at)
        if y > mem[pos[AT_LOW] + c]:
            total += mem[pos[AT_SPEED] + c] * worth_over(
                num, idx, theta, i, mem[pos[AT_TIME] + i], mem[pos[AT_ONSET] + i], mem[pos[AT_LOW] + c], y
            )
    return total
