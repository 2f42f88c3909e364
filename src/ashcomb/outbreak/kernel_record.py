"""Compiled: runs a chain and writes down its draws as rows, one for each infected colony of each draw."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import compiled, lean
from ashcomb.outbreak.kernel_chance import given_share
from ashcomb.outbreak.kernel_pressure import gather, its_worth, pressure_at
from ashcomb.outbreak.kernel_sweep import sweep
from ashcomb.outbreak.layout import (
    AT_EVENT_OUTSIDE,
    AT_GIVE,
    AT_GIVE_PTR,
    AT_HIGH,
    AT_LENGTH,
    AT_LOW,
    AT_ONSET,
    AT_OUT_EVENT,
    AT_OUT_PTR,
    AT_SHARE,
    AT_SOURCE,
    AT_SPEED,
    AT_TIME,
    AT_TURN,
    AT_WHEN,
    AT_WHO,
    COLONIES,
    EVENT,
    HIVE,
)
from ashcomb.outbreak.scene import Floats, Ints

_NO, _BEFORE, _PRESSURE = (-3, -2, -1)


@lean
def infector(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, gen: np.random.Generator) -> int:
    """A colony that infected j, drawn by its share; -1 background, -2 before the history, -3 outside."""
    source = pos[pos[AT_SOURCE] + HIVE * j]
    if source == _BEFORE:
        return -2
    if source == _PRESSURE:
        count = gather(num, idx, mem, pos, theta, j)
        left = gen.random() * pressure_at(mem, pos, theta, count, mem[pos[AT_TIME] + HIVE * j]) - theta[0]
        if left < 0.0:
            return -1
        for c in range(count):
            i = pos[pos[AT_WHO] + c]
            if mem[pos[AT_LOW] + c] <= mem[pos[AT_TIME] + HIVE * j] < mem[pos[AT_HIGH] + c]:
                left -= mem[pos[AT_SPEED] + c] * its_worth(mem, pos, theta, c, mem[pos[AT_TIME] + HIVE * j])
                if left < 0.0:
                    return i
        return -1
    left = gen.random() * mem[pos[AT_SHARE] + EVENT * source] - num[idx[AT_EVENT_OUTSIDE] + EVENT * source]
    if left < 0.0:
        return -3
    for g in range(idx[idx[AT_GIVE_PTR] + EVENT * source], idx[idx[AT_GIVE_PTR] + EVENT * (source + 1)]):
        i = idx[idx[AT_GIVE] + g]
        if pos[pos[AT_SOURCE] + HIVE * i] != _NO:
            for k in range(idx[idx[AT_OUT_PTR] + HIVE * i], idx[idx[AT_OUT_PTR] + HIVE * (i + 1)]):
                if idx[idx[AT_OUT_EVENT] + k] == source:
                    left -= given_share(
                        num, idx, mem, pos, theta, k, i, mem[pos[AT_TIME] + HIVE * i], mem[pos[AT_ONSET] + HIVE * i]
                    )
            if left < 0.0:
                return i
    return -3


@compiled
def advance(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    bounds: Floats,
    draws: int,
    thin: int,
    whole: Ints,
    part: Floats,
    ends: Ints,
    rates: Floats,
    dates: Floats,
    opened: Ints,
    resume: bool,
    gen: np.random.Generator,
) -> int:
    """Makes up to `draws` draws, each after `thin` sweeps, and returns how many fitted into the buffers.

    whole: rows of (colony, source, infector).  part: rows of (time, onset, turn, length).  ends: end of each draw's
    rows.  rates, dates: of each draw; dates of the events `opened`.  resume: the first draw was made before, but did
    not fit; it is written down before any more sweeps.
    """
    row = 0
    for d in range(draws):
        if d > 0 or not resume:
            for _ in range(thin):
                sweep(num, idx, mem, pos, theta, bounds, gen)
        for j in range(idx[COLONIES]):
            if pos[pos[AT_SOURCE] + HIVE * j] != _NO:
                if row >= len(whole):
                    return d
                whole[row, 0], whole[row, 1] = (j, pos[pos[AT_SOURCE] + HIVE * j])
                whole[row, 2] = infector(num, idx, mem, pos, theta, j, gen)
                part[row, 0], part[row, 1] = (mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j])
                part[row, 2], part[row, 3] = (mem[pos[AT_TURN] + HIVE * j], mem[pos[AT_LENGTH] + HIVE * j])
                row += 1
        ends[d] = row
        for k in range(len(theta)):
            rates[d, k] = theta[k]
        for k in range(len(opened)):
            dates[d, k] = mem[pos[AT_WHEN] + EVENT * opened[k]]
    return draws
