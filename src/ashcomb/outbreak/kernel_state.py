"""Compiled: the state of one history, its onset and infectiousness, and the lists of infected stays by apiary."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import leaf, lean
from ashcomb.outbreak.layout import (
    AT_AFTER,
    AT_AHEAD,
    AT_BROOD,
    AT_BROOD_DAY,
    AT_DEAD,
    AT_END,
    AT_HEAD,
    AT_QUANTILE,
    AT_STAY_PLACE,
    AT_STAY_PTR,
    AT_TOUCHING,
    BROOD_LAST,
    HIVE,
    STAY,
    STEPS,
)
from ashcomb.outbreak.scene import Floats, Ints

TOUCHING, APIARY, ROBBING, LATENT, ROBBED, ROUTE = (1, 2, 3, 4, 5, 6)


@leaf
def brood_days(num: Floats, idx: Ints, day: float) -> float:
    """Days with brood before a time; straight lines inside a day."""
    if day <= 0.0:
        return 0.0
    last = idx[BROOD_LAST]
    if day >= last:
        return num[idx[AT_BROOD] + last]
    k = int(day)
    return num[idx[AT_BROOD] + k] + (day - k) * (num[idx[AT_BROOD] + (k + 1)] - num[idx[AT_BROOD] + k])


@lean
def day_of_brood(num: Floats, idx: Ints, wanted: float) -> float:
    """First time at which so many days with brood have gone by; infinite beyond the grid."""
    last = idx[BROOD_LAST]
    if wanted > num[idx[AT_BROOD] + last]:
        return np.inf
    if wanted <= 0.0:
        return 0.0
    high = idx[idx[AT_BROOD_DAY] + int(wanted)]
    while num[idx[AT_BROOD] + high] < wanted:
        high += 1
    low = high - 1
    return low + (wanted - num[idx[AT_BROOD] + low]) / (num[idx[AT_BROOD] + high] - num[idx[AT_BROOD] + low])


@leaf
def delay(num: Floats, idx: Ints, chance: float) -> float:
    """Days with brood from infection to signs at that position of the law."""
    steps = idx[STEPS]
    k = min(int(chance * steps), steps - 1)
    a, b = (num[idx[AT_QUANTILE] + k], num[idx[AT_QUANTILE] + (k + 1)])
    if a == np.inf or b == np.inf:
        return np.inf
    return a + (chance * steps - k) * (b - a)


@lean
def onset_of(num: Floats, idx: Ints, time: float, chance: float) -> float:
    """Day of first signs."""
    wait = delay(num, idx, chance)
    if wait == np.inf:
        return np.inf
    return day_of_brood(num, idx, brood_days(num, idx, time) + wait)


@lean
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


@leaf
def worth_then(latent: float, robbed: float, time: float, onset: float, dead: float, end: float, at: float) -> float:
    """How infectious a colony is at a time, infected at `time` with signs from `onset`, dead and gone when it is."""
    if at < time or at >= end or time >= dead:
        return 0.0
    if at >= dead:
        return robbed
    return latent if at < onset else 1.0


@leaf
def worth_during(
    latent: float, robbed: float, time: float, onset: float, dead: float, end: float, x: float, y: float
) -> float:
    """The same summed over the days from x to y."""
    y = min(y, end)
    if time >= dead or y <= x:
        return 0.0
    total = 0.0
    a, b = (max(x, time), min(y, min(onset, dead)))
    if b > a:
        total += latent * (b - a)
    a, b = (max(x, onset), min(y, dead))
    if b > a:
        total += b - a
    a = max(x, dead)
    if y > a:
        total += robbed * (y - a)
    return total


@leaf
def worth_at(num: Floats, idx: Ints, theta: Floats, i: int, time: float, onset: float, at: float) -> float:
    """How infectious colony i is at a time, if infected at `time` with signs from `onset`."""
    dead, end = (num[idx[AT_DEAD] + HIVE * i], num[idx[AT_END] + HIVE * i])
    return worth_then(theta[LATENT], theta[ROBBED], time, onset, dead, end, at)


@leaf
def worth_over(num: Floats, idx: Ints, theta: Floats, i: int, time: float, onset: float, x: float, y: float) -> float:
    """The same summed over the days from x to y."""
    dead, end = (num[idx[AT_DEAD] + HIVE * i], num[idx[AT_END] + HIVE * i])
    return worth_during(theta[LATENT], theta[ROBBED], time, onset, dead, end, x, y)


@leaf
def touch(num: Floats, idx: Ints, i: int, j: int) -> bool:
    """Whether two colonies stand next to each other."""
    return idx[idx[AT_TOUCHING] + (2 * i + 0)] == j or idx[idx[AT_TOUCHING] + (2 * i + 1)] == j


@lean
def link(num: Floats, idx: Ints, mem: Floats, pos: Ints, i: int) -> None:
    """Enters the stays of a colony into the lists of infected stays."""
    for slot in range(idx[idx[AT_STAY_PTR] + HIVE * i], idx[idx[AT_STAY_PTR] + HIVE * (i + 1)]):
        place = idx[idx[AT_STAY_PLACE] + STAY * slot]
        first = pos[pos[AT_HEAD] + place]
        pos[pos[AT_AFTER] + STAY * slot], pos[pos[AT_AHEAD] + STAY * slot] = (first, -1)
        if first >= 0:
            pos[pos[AT_AHEAD] + STAY * first] = slot
        pos[pos[AT_HEAD] + place] = slot


@lean
def unlink(num: Floats, idx: Ints, mem: Floats, pos: Ints, i: int) -> None:
    """Takes them out again."""
    for slot in range(idx[idx[AT_STAY_PTR] + HIVE * i], idx[idx[AT_STAY_PTR] + HIVE * (i + 1)]):
        before, after = (pos[pos[AT_AHEAD] + STAY * slot], pos[pos[AT_AFTER] + STAY * slot])
        if before >= 0:
            pos[pos[AT_AFTER] + STAY * before] = after
        else:
            pos[pos[AT_HEAD] + idx[idx[AT_STAY_PLACE] + STAY * slot]] = after
        if after >= 0:
            pos[pos[AT_AHEAD] + STAY * after] = before
