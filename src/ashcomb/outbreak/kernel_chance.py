"""Compiled: how likely one colony's history is, given all others: its infection, its looks, its effect on others."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import compiled
from ashcomb.outbreak.kernel_state import (
    APIARY,
    LATENT,
    ROBBING,
    ROUTE,
    TOUCHING,
    pressure_at,
    pressure_until,
    touch,
    worth_at,
    worth_over,
)
from ashcomb.outbreak.layout import (
    AT_AFTER,
    AT_BEFORE,
    AT_DEAD,
    AT_END,
    AT_EVENT_KIND,
    AT_EVENT_OBJECTS,
    AT_EXPOSED,
    AT_FIRST,
    AT_HEAD,
    AT_IN_EVENT,
    AT_IN_PTR,
    AT_INFECTABLE,
    AT_LOOK_FALSE,
    AT_LOOK_FOUND,
    AT_LOOK_PTR,
    AT_LOOK_TIME,
    AT_LOOK_WORTH,
    AT_MINE,
    AT_MINE_PTR,
    AT_NEAR,
    AT_NEAR_FALL,
    AT_NEAR_PTR,
    AT_ONSET,
    AT_OUT_EVENT,
    AT_OUT_PTR,
    AT_OUT_SHARE,
    AT_OUT_TIME,
    AT_POOL,
    AT_POOL_FALSE,
    AT_POOL_FOUND,
    AT_POOL_LATENT,
    AT_POOL_PTR,
    AT_POOL_SIGNS,
    AT_POOL_TIME,
    AT_PRESENT,
    AT_RATE,
    AT_REMISSION,
    AT_RISK,
    AT_SHARE,
    AT_SOURCE,
    AT_STAY_FROM,
    AT_STAY_OF,
    AT_STAY_PLACE,
    AT_STAY_PTR,
    AT_STAY_TO,
    AT_TAKEN,
    AT_TIME,
    AT_TOUCHING,
    AT_WHEN,
    DAYS,
)
from ashcomb.outbreak.scene import Floats, Ints

_NO, _BEFORE, _PRESSURE = (-3, -2, -1)


@compiled
def log_spared(num: Floats, idx: Ints, theta: Floats, e: int, share: float) -> float:
    """Log of the chance that a receiver of the event is spared, at that contaminated share."""
    return num[idx[AT_EVENT_OBJECTS] + e] * np.log1p(
        -min(share * theta[ROUTE + idx[idx[AT_EVENT_KIND] + e]], 1.0 - 1e-15)
    )


@compiled
def log_event(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, share: float) -> float:
    """Log of the chance of what the event did to its receivers, at that contaminated share."""
    spared = log_spared(num, idx, theta, e, share)
    total = pos[pos[AT_RISK] + e] * spared
    if pos[pos[AT_TAKEN] + e] > 0:
        total += pos[pos[AT_TAKEN] + e] * np.log(-np.expm1(spared)) if spared < 0.0 else -np.inf
    return total


@compiled
def came_before(mem: Floats, pos: Ints, e: int, source: int, time: float) -> bool:
    """Whether an event came before an infection: of one moment, the events come in the order of their numbers."""
    when = mem[pos[AT_WHEN] + e]
    return when < time or (when == time and e < source)


@compiled
def log_own(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int, source: int, time: float
) -> float:
    """Log density of the infection of the gathered colony j (or of none), given all others."""
    if source == _BEFORE:
        return np.log(num[idx[AT_BEFORE] + j]) if num[idx[AT_BEFORE] + j] > 0.0 else -np.inf
    until = num[idx[AT_INFECTABLE] + j] if source == _NO else time
    total = np.log1p(-num[idx[AT_BEFORE] + j]) - pressure_until(
        num, idx, mem, pos, theta, count, num[idx[AT_FIRST] + j], until
    )
    for k in range(idx[idx[AT_IN_PTR] + j], idx[idx[AT_IN_PTR] + (j + 1)]):
        e = idx[idx[AT_IN_EVENT] + k]
        if came_before(mem, pos, e, source, time):
            total += log_spared(num, idx, theta, e, mem[pos[AT_SHARE] + e])
    if source == _PRESSURE:
        total += np.log(pressure_at(num, idx, mem, pos, theta, count, time))
    elif source >= 0:
        spared = log_spared(num, idx, theta, source, mem[pos[AT_SHARE] + source])
        total += np.log(-np.expm1(spared)) if spared < 0.0 else -np.inf
    return total


@compiled
def shows(num: Floats, idx: Ints, onset: float, turn: float, length: float, at: float) -> bool:
    """Whether signs can be seen at a time: after the onset and not in a remission."""
    if at < onset:
        return False
    share = num[idx[AT_REMISSION] + 0]
    if turn >= share:
        return True
    start = onset + num[idx[AT_REMISSION] + 1] * turn / share
    return (
        not start
        <= at
        < start + num[idx[AT_REMISSION] + 2] + (num[idx[AT_REMISSION] + 3] - num[idx[AT_REMISSION] + 2]) * length
    )


@compiled
def log_looks(num: Floats, idx: Ints, j: int, onset: float, turn: float, length: float) -> float:
    """Log of the chance of what the looks at colony j found."""
    total, product = 0.0, 1.0
    for k in range(idx[idx[AT_LOOK_PTR] + j], idx[idx[AT_LOOK_PTR] + (j + 1)]):
        seen = num[idx[AT_LOOK_WORTH] + k] if shows(num, idx, onset, turn, length, num[idx[AT_LOOK_TIME] + k]) else 0.0
        found = seen + (1.0 - seen) * num[idx[AT_LOOK_FALSE] + k]
        product *= found if idx[idx[AT_LOOK_FOUND] + k] else 1.0 - found
        if product < 1e-200:
            total, product = total + np.log(product), 1.0
    return total + np.log(product)


@compiled
def log_pool(num: Floats, idx: Ints, mem: Floats, pos: Ints, p: int, j: int, time: float, onset: float) -> float:
    """Log of the chance of one test, with colony j infected at `time` and the others as they are."""
    at, missed = (num[idx[AT_POOL_TIME] + p], 1.0 - num[idx[AT_POOL_FALSE] + p])
    for k in range(idx[idx[AT_POOL_PTR] + p], idx[idx[AT_POOL_PTR] + (p + 1)]):
        i = idx[idx[AT_POOL] + k]
        t, s = (time, onset) if i == j else (mem[pos[AT_TIME] + i], mem[pos[AT_ONSET] + i])
        if t <= at:
            missed *= 1.0 - (num[idx[AT_POOL_SIGNS] + p] if s <= at else num[idx[AT_POOL_LATENT] + p])
    return np.log(1.0 - missed if idx[idx[AT_POOL_FOUND] + p] else missed)


@compiled
def log_seen(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, j: int, time: float, onset: float, turn: float, length: float
) -> float:
    """Log of the chance of all that was observed of colony j."""
    total = log_looks(num, idx, j, onset, turn, length)
    for k in range(idx[idx[AT_MINE_PTR] + j], idx[idx[AT_MINE_PTR] + (j + 1)]):
        total += log_pool(num, idx, mem, pos, idx[idx[AT_MINE] + k], j, time, onset)
    return total


@compiled
def given_share(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, k: int, i: int, time: float, onset: float
) -> float:
    """Share of contaminated objects that donor entry k of colony i adds to its event."""
    e, at = (idx[idx[AT_OUT_EVENT] + k], num[idx[AT_OUT_TIME] + k])
    if np.isnan(at):
        at = mem[pos[AT_WHEN] + e]
    if time >= at:
        return 0.0
    return num[idx[AT_OUT_SHARE] + k] * (theta[LATENT] if at < onset else 1.0)


@compiled
def _sum_days(num: Floats, idx: Ints, field: int, place: int, x: float) -> float:
    last = idx[DAYS] - 1
    row = idx[field] + place * idx[DAYS]
    if x <= 0.0:
        return 0.0
    if x >= last:
        return num[row + last]
    k = int(x)
    return num[row + k] + (x - k) * (num[row + k + 1] - num[row + k])


@compiled
def _crowd(num: Floats, idx: Ints, theta: Floats, i: int, place: int, x: float, y: float) -> float:
    """Pressure that weight-one infectiousness at an apiary from x to y puts on all colonies there and near."""
    if y <= x:
        return 0.0
    total = theta[APIARY] * (_sum_days(num, idx, AT_PRESENT, place, y) - _sum_days(num, idx, AT_PRESENT, place, x))
    if theta[ROBBING] > 0.0:
        total += theta[ROBBING] * (
            _sum_days(num, idx, AT_EXPOSED, place, y) - _sum_days(num, idx, AT_EXPOSED, place, x)
        )
    return total - theta[APIARY] * max(0.0, min(y, num[idx[AT_INFECTABLE] + i]) - x)


@compiled
def _crowd_over(num: Floats, idx: Ints, theta: Floats, i: int, slot: int, time: float, onset: float) -> float:
    place, x, y = (
        idx[idx[AT_STAY_PLACE] + slot],
        num[idx[AT_STAY_FROM] + slot],
        min(num[idx[AT_STAY_TO] + slot], num[idx[AT_END] + i]),
    )
    dead = num[idx[AT_DEAD] + i]
    if time >= dead:
        return 0.0
    total = theta[LATENT] * _crowd(num, idx, theta, i, place, max(x, time), min(y, min(onset, dead)))
    total += _crowd(num, idx, theta, i, place, max(x, onset), min(y, dead))
    return total + theta[5] * _crowd(num, idx, theta, i, place, max(x, dead), y)


@compiled
def _on_stay(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    i: int,
    slot: int,
    other: int,
    base: float,
    at: float,
    time: float,
    onset: float,
) -> float:
    """What is changed by colony k of an infected stay: pressure after its infection never counts, and its own rate."""
    k = idx[idx[AT_STAY_OF] + other]
    low = max(num[idx[AT_STAY_FROM] + slot], max(num[idx[AT_STAY_FROM] + other], num[idx[AT_FIRST] + k]))
    high = min(num[idx[AT_STAY_TO] + slot], min(num[idx[AT_STAY_TO] + other], num[idx[AT_INFECTABLE] + k]))
    if high <= low:
        return 0.0
    total = base * worth_over(num, idx, theta, i, time, onset, max(low, mem[pos[AT_TIME] + k]), high)
    if pos[pos[AT_SOURCE] + k] == _PRESSURE and low <= mem[pos[AT_TIME] + k] < high:
        more = at * worth_at(num, idx, theta, i, time, onset, mem[pos[AT_TIME] + k])
        if more > 0.0:
            total += np.log1p(more / mem[pos[AT_RATE] + k])
    return total


@compiled
def log_effect(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, i: int, time: float, onset: float
) -> float:
    """Log of the chance of all others' histories with colony i infected so, against not at all; i must be out."""
    total = 0.0
    for slot in range(idx[idx[AT_STAY_PTR] + i], idx[idx[AT_STAY_PTR] + (i + 1)]):
        if num[idx[AT_STAY_TO] + slot] <= time:
            continue
        total -= _crowd_over(num, idx, theta, i, slot, time, onset)
        place = idx[idx[AT_STAY_PLACE] + slot]
        other = pos[pos[AT_HEAD] + place]
        while other >= 0:
            k = idx[idx[AT_STAY_OF] + other]
            if k != i:
                at = theta[TOUCHING] if touch(num, idx, i, k) else theta[APIARY]
                total += _on_stay(num, idx, mem, pos, theta, i, slot, other, theta[APIARY], at, time, onset)
            other = pos[pos[AT_AFTER] + other]
        for n in range(idx[idx[AT_NEAR_PTR] + place], idx[idx[AT_NEAR_PTR] + (place + 1)]):
            other = pos[pos[AT_HEAD] + idx[idx[AT_NEAR] + n]]
            while other >= 0:
                if idx[idx[AT_STAY_OF] + other] != i:
                    speed = theta[ROBBING] * num[idx[AT_NEAR_FALL] + n]
                    total += _on_stay(num, idx, mem, pos, theta, i, slot, other, speed, speed, time, onset)
                other = pos[pos[AT_AFTER] + other]
        total -= _beside(num, idx, mem, pos, theta, i, slot, time, onset)
    return total


@compiled
def _beside(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, i: int, slot: int, time: float, onset: float
) -> float:
    """What touching adds to the pressure on the two neighbours until their own infection."""
    total = 0.0
    for side in range(2):
        k = idx[idx[AT_TOUCHING] + (2 * i + side)]
        if k < 0:
            continue
        for other in range(idx[idx[AT_STAY_PTR] + k], idx[idx[AT_STAY_PTR] + (k + 1)]):
            if idx[idx[AT_STAY_PLACE] + other] == idx[idx[AT_STAY_PLACE] + slot]:
                low = max(num[idx[AT_STAY_FROM] + slot], max(num[idx[AT_STAY_FROM] + other], num[idx[AT_FIRST] + k]))
                high = min(
                    min(num[idx[AT_STAY_TO] + slot], num[idx[AT_STAY_TO] + other]),
                    min(num[idx[AT_INFECTABLE] + k], mem[pos[AT_TIME] + k]),
                )
                if high > low:
                    more = theta[TOUCHING] - theta[APIARY]
                    total += more * worth_over(num, idx, theta, i, time, onset, low, high)
    return total


@compiled
def log_given(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, i: int, time: float, onset: float
) -> float:
    """Log of the chance of what the events in which colony i gives did to their receivers."""
    total = 0.0
    for k in range(idx[idx[AT_OUT_PTR] + i], idx[idx[AT_OUT_PTR] + (i + 1)]):
        e = idx[idx[AT_OUT_EVENT] + k]
        total += log_event(
            num,
            idx,
            mem,
            pos,
            theta,
            e,
            mem[pos[AT_SHARE] + e] + given_share(num, idx, mem, pos, theta, k, i, time, onset),
        )
    return total
