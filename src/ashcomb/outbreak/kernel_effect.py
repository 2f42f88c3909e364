"""Compiled: how likely are all others' histories if one colony is infected so."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import leaf, lean
from ashcomb.outbreak.kernel_chance import given_share, log_event, log_event_now
from ashcomb.outbreak.kernel_state import (
    APIARY,
    LATENT,
    ROBBED,
    ROBBING,
    TOUCHING,
    worth_during,
    worth_over,
    worth_then,
)
from ashcomb.outbreak.layout import (
    AT_BASE,
    AT_DEAD,
    AT_END,
    AT_EXPOSED,
    AT_FIRST,
    AT_HIT,
    AT_INFECTABLE,
    AT_OUT_EVENT,
    AT_OUT_HIGH,
    AT_OUT_LOW,
    AT_OUT_PTR,
    AT_PRESENT,
    AT_RATE,
    AT_SHARE,
    AT_SPEED,
    AT_STAY_FROM,
    AT_STAY_PLACE,
    AT_STAY_PTR,
    AT_STAY_TO,
    AT_TIME,
    AT_TOUCHING,
    AT_WHO,
    DAY,
    DAYS,
    EVENT,
    HIVE,
    STAY,
)
from ashcomb.outbreak.scene import Floats, Ints


@leaf
def _sum_days(num: Floats, idx: Ints, field: int, place: int, x: float) -> float:
    last = idx[DAYS] - 1
    row = idx[field] + DAY * (place * idx[DAYS])
    if x <= 0.0:
        return 0.0
    if x >= last:
        return num[row + DAY * last]
    k = int(x)
    here = num[row + DAY * k]
    return here + (x - k) * (num[row + DAY * (k + 1)] - here)


@leaf
def _crowd(num: Floats, idx: Ints, theta: Floats, i: int, place: int, x: float) -> float:
    """Pressure that weight-one infectiousness of i at an apiary puts on all colonies there and near, until day x."""
    total = theta[APIARY] * (_sum_days(num, idx, AT_PRESENT, place, x) - min(x, num[idx[AT_INFECTABLE] + HIVE * i]))
    if theta[ROBBING] > 0.0:
        total += theta[ROBBING] * _sum_days(num, idx, AT_EXPOSED, place, x)
    return total


@lean
def _crowd_over(num: Floats, idx: Ints, theta: Floats, i: int, slot: int, time: float, onset: float) -> float:
    """The same for a whole stay, after how infectious i is."""
    place, dead = (idx[idx[AT_STAY_PLACE] + STAY * slot], num[idx[AT_DEAD] + HIVE * i])
    a = max(num[idx[AT_STAY_FROM] + STAY * slot], time)
    d = min(num[idx[AT_STAY_TO] + STAY * slot], num[idx[AT_END] + HIVE * i])
    if time >= dead or d <= a:
        return 0.0
    c = min(max(dead, a), d)
    b = min(max(onset, a), c)
    total, before = (0.0, _crowd(num, idx, theta, i, place, a))
    if b > a:
        here = _crowd(num, idx, theta, i, place, b)
        total, before = (theta[LATENT] * (here - before), here)
    if c > b:
        here = _crowd(num, idx, theta, i, place, c)
        total, before = (total + here - before, here)
    if d > c:
        total += theta[ROBBED] * (_crowd(num, idx, theta, i, place, d) - before)
    return total


@lean
def log_effect(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, i: int, count: int, time: float, onset: float
) -> float:
    """Log of the chance of all others' histories with the gathered colony i infected so, against not at all.

    Pressure on all is taken as if they stayed free; then what comes after each one's own infection is given back. i
    must be out.
    """
    total, product = (0.0, 1.0)
    for slot in range(idx[idx[AT_STAY_PTR] + HIVE * i], idx[idx[AT_STAY_PTR] + HIVE * (i + 1)]):
        if num[idx[AT_STAY_TO] + STAY * slot] > time:
            total -= _crowd_over(num, idx, theta, i, slot, time, onset)
            total -= _beside(num, idx, mem, pos, theta, i, slot, time, onset)
    latent, robbed, dead = (theta[LATENT], theta[ROBBED], num[idx[AT_DEAD] + HIVE * i])
    end = num[idx[AT_END] + HIVE * i]
    for c in range(count):
        low, high = (mem[pos[AT_OUT_LOW] + c], mem[pos[AT_OUT_HIGH] + c])
        if high > low and high > time:
            total += mem[pos[AT_BASE] + c] * worth_during(latent, robbed, time, onset, dead, end, low, high)
        more = worth_then(latent, robbed, time, onset, dead, end, mem[pos[AT_HIT] + c])
        if more > 0.0:
            product *= 1.0 + more * mem[pos[AT_SPEED] + c] / mem[pos[AT_RATE] + HIVE * pos[pos[AT_WHO] + c]]
            if product > 1e200:
                total, product = (total + np.log(product), 1.0)
    return total + np.log(product) if product > 1.0 else total


@lean
def _beside(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, i: int, slot: int, time: float, onset: float
) -> float:
    """What touching adds to the pressure on the two neighbours until their own infection."""
    total = 0.0
    for side in range(2):
        k = idx[idx[AT_TOUCHING] + (2 * i + side)]
        if k < 0:
            continue
        for other in range(idx[idx[AT_STAY_PTR] + HIVE * k], idx[idx[AT_STAY_PTR] + HIVE * (k + 1)]):
            if idx[idx[AT_STAY_PLACE] + STAY * other] == idx[idx[AT_STAY_PLACE] + STAY * slot]:
                low = max(
                    num[idx[AT_STAY_FROM] + STAY * slot],
                    max(num[idx[AT_STAY_FROM] + STAY * other], num[idx[AT_FIRST] + HIVE * k]),
                )
                high = min(
                    min(num[idx[AT_STAY_TO] + STAY * slot], num[idx[AT_STAY_TO] + STAY * other]),
                    min(num[idx[AT_INFECTABLE] + HIVE * k], mem[pos[AT_TIME] + HIVE * k]),
                )
                if high > low:
                    more = theta[TOUCHING] - theta[APIARY]
                    total += more * worth_over(num, idx, theta, i, time, onset, low, high)
    return total


@lean
def log_given(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, i: int, time: float, onset: float
) -> float:
    """Log of the chance of what the events in which colony i gives did to their receivers; i must be out."""
    total = 0.0
    for k in range(idx[idx[AT_OUT_PTR] + HIVE * i], idx[idx[AT_OUT_PTR] + HIVE * (i + 1)]):
        e = idx[idx[AT_OUT_EVENT] + k]
        given = given_share(num, idx, mem, pos, theta, k, i, time, onset)
        if given > 0.0:
            total += log_event(num, idx, mem, pos, theta, e, mem[pos[AT_SHARE] + EVENT * e] + given)
        else:
            total += log_event_now(mem, pos, e)
    return total
