"""Compiled: the infected stays that one colony meets, and the pressure that they put on it."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import leaf, lean
from ashcomb.outbreak.kernel_state import APIARY, LATENT, ROBBED, ROBBING, TOUCHING, touch, worth_during, worth_then
from ashcomb.outbreak.layout import (
    AT_AFTER,
    AT_BASE,
    AT_BEGIN,
    AT_DEAD,
    AT_END,
    AT_FIRST,
    AT_HEAD,
    AT_HIGH,
    AT_HIT,
    AT_INFECTABLE,
    AT_ITS_DEAD,
    AT_ITS_END,
    AT_ITS_ONSET,
    AT_ITS_TIME,
    AT_LOW,
    AT_MASS,
    AT_NEAR,
    AT_NEAR_FALL,
    AT_NEAR_PTR,
    AT_ONSET,
    AT_OUT_HIGH,
    AT_OUT_LOW,
    AT_SOURCE,
    AT_SPEED,
    AT_STAY_FROM,
    AT_STAY_OF,
    AT_STAY_PLACE,
    AT_STAY_PTR,
    AT_STAY_TO,
    AT_TIME,
    AT_WHO,
    HIVE,
    STAY,
)
from ashcomb.outbreak.scene import PRESSURE, Floats, Ints


@leaf
def meet(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    slot: int,
    other: int,
    base: float,
    own: bool,
    count: int,
) -> int:
    """Writes down the meeting of one stay of j with one infected stay, if either can press on the other."""
    i = idx[idx[AT_STAY_OF] + STAY * other]
    begins = max(num[idx[AT_STAY_FROM] + STAY * slot], num[idx[AT_STAY_FROM] + STAY * other])
    ends = min(num[idx[AT_STAY_TO] + STAY * slot], num[idx[AT_STAY_TO] + STAY * other])
    low, high = (max(begins, num[idx[AT_FIRST] + HIVE * j]), min(ends, num[idx[AT_INFECTABLE] + HIVE * j]))
    out_low, out_high = (max(begins, num[idx[AT_FIRST] + HIVE * i]), min(ends, num[idx[AT_INFECTABLE] + HIVE * i]))
    if high <= low and out_high <= out_low:
        return count
    time, onset = (mem[pos[AT_TIME] + HIVE * i], mem[pos[AT_ONSET] + HIVE * i])
    dead, end = (num[idx[AT_DEAD] + HIVE * i], num[idx[AT_END] + HIVE * i])
    speed = theta[TOUCHING] if own and touch(num, idx, i, j) else base
    pressed = pos[pos[AT_SOURCE] + HIVE * i] == PRESSURE and out_low <= time < out_high
    pos[pos[AT_WHO] + count], mem[pos[AT_SPEED] + count], mem[pos[AT_BASE] + count] = (i, speed, base)
    mem[pos[AT_LOW] + count], mem[pos[AT_HIGH] + count] = (low, high)
    mem[pos[AT_OUT_LOW] + count], mem[pos[AT_OUT_HIGH] + count] = (max(out_low, time), out_high)
    mem[pos[AT_BEGIN] + count] = out_low
    mem[pos[AT_ITS_TIME] + count], mem[pos[AT_ITS_ONSET] + count] = (time, onset)
    mem[pos[AT_ITS_DEAD] + count], mem[pos[AT_ITS_END] + count] = (dead, end)
    mem[pos[AT_HIT] + count] = time if pressed else np.inf
    mem[pos[AT_MASS] + count] = speed * worth_during(theta[LATENT], theta[ROBBED], time, onset, dead, end, low, high)
    return count + 1


@lean
def gather(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int) -> int:
    """Writes down every infected stay that colony j meets over its life; returns how many.

    low, high: while it may press on j, with `speed`; mass: how much it does.  base: its pressure on one that it does
    not touch.  out_low, out_high: while j would press on it after its own infection; begin: from when it would before.
    hit: its infection, if by pressure that j could have been a part of, else infinite.  its_*: its dates.
    """
    count = 0
    for slot in range(idx[idx[AT_STAY_PTR] + HIVE * j], idx[idx[AT_STAY_PTR] + HIVE * (j + 1)]):
        place = idx[idx[AT_STAY_PLACE] + STAY * slot]
        for n in range(idx[idx[AT_NEAR_PTR] + place] - 1, idx[idx[AT_NEAR_PTR] + (place + 1)]):
            own = n < idx[idx[AT_NEAR_PTR] + place]
            base = theta[APIARY] if own else theta[ROBBING] * num[idx[AT_NEAR_FALL] + n]
            other = pos[pos[AT_HEAD] + (place if own else idx[idx[AT_NEAR] + n])]
            while other >= 0:
                if idx[idx[AT_STAY_OF] + STAY * other] != j:
                    count = meet(num, idx, mem, pos, theta, j, slot, other, base, own, count)
                other = pos[pos[AT_AFTER] + STAY * other]
    return count


@leaf
def its_worth(mem: Floats, pos: Ints, theta: Floats, c: int, at: float) -> float:
    """How infectious the colony of entry c is at a time."""
    return worth_then(
        theta[LATENT],
        theta[ROBBED],
        mem[pos[AT_ITS_TIME] + c],
        mem[pos[AT_ITS_ONSET] + c],
        mem[pos[AT_ITS_DEAD] + c],
        mem[pos[AT_ITS_END] + c],
        at,
    )


@lean
def pressure_at(mem: Floats, pos: Ints, theta: Floats, count: int, at: float) -> float:
    """Pressure on the gathered colony at a time."""
    total = theta[0]
    for c in range(count):
        if mem[pos[AT_LOW] + c] <= at < mem[pos[AT_HIGH] + c]:
            total += mem[pos[AT_SPEED] + c] * its_worth(mem, pos, theta, c, at)
    return total


@lean
def pressure_until(mem: Floats, pos: Ints, theta: Floats, count: int, first: float, at: float) -> float:
    """The same summed from its first day to a time."""
    total = theta[0] * (at - first)
    for c in range(count):
        low, high = (mem[pos[AT_LOW] + c], mem[pos[AT_HIGH] + c])
        if at >= high:
            total += mem[pos[AT_MASS] + c]
        elif at > low:
            total += mem[pos[AT_SPEED] + c] * worth_during(
                theta[LATENT],
                theta[ROBBED],
                mem[pos[AT_ITS_TIME] + c],
                mem[pos[AT_ITS_ONSET] + c],
                mem[pos[AT_ITS_DEAD] + c],
                mem[pos[AT_ITS_END] + c],
                low,
                at,
            )
    return total


@lean
def time_within(mem: Floats, pos: Ints, theta: Floats, c: int, part: float) -> float:
    """The time by which that part of the pressure of entry c has come."""
    wanted = part * mem[pos[AT_MASS] + c] / mem[pos[AT_SPEED] + c]
    low = max(mem[pos[AT_LOW] + c], mem[pos[AT_ITS_TIME] + c])
    high = min(mem[pos[AT_HIGH] + c], mem[pos[AT_ITS_END] + c])
    onset, dead = (mem[pos[AT_ITS_ONSET] + c], mem[pos[AT_ITS_DEAD] + c])
    x = low
    for cut in (min(max(onset, low), high), min(max(dead, low), high), high):
        worth = its_worth(mem, pos, theta, c, x)
        if cut > x:
            if worth * (cut - x) >= wanted and worth > 0.0:
                return min(x + wanted / worth, np.nextafter(cut, x))
            wanted -= worth * (cut - x)
            x = cut
    return np.nextafter(high, low)
