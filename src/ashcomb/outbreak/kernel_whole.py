"""Compiled: the likelihood of a whole history."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import lean
from ashcomb.outbreak.kernel_chance import log_event_now, log_looks, log_pool
from ashcomb.outbreak.kernel_effect import log_effect
from ashcomb.outbreak.kernel_pressure import gather
from ashcomb.outbreak.layout import (
    AT_BEFORE,
    AT_FIRST,
    AT_HIT,
    AT_INFECTABLE,
    AT_LENGTH,
    AT_ONSET,
    AT_RATE,
    AT_SOURCE,
    AT_TIME,
    AT_TURN,
    COLONIES,
    EVENTS,
    HIVE,
    POOLS,
)
from ashcomb.outbreak.scene import BEFORE, NO, PRESSURE, Floats, Ints


@lean
def log_history(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats) -> float:
    """Log density of the whole history without what was observed, from a state that was just rebuilt."""
    total = 0.0
    for j in range(idx[COLONIES]):
        if pos[pos[AT_SOURCE] + HIVE * j] == BEFORE:
            total += np.log(num[idx[AT_BEFORE] + HIVE * j]) if num[idx[AT_BEFORE] + HIVE * j] > 0.0 else -np.inf
            continue
        total += np.log1p(-num[idx[AT_BEFORE] + HIVE * j])
        total -= theta[0] * (
            min(mem[pos[AT_TIME] + HIVE * j], num[idx[AT_INFECTABLE] + HIVE * j]) - num[idx[AT_FIRST] + HIVE * j]
        )
        if pos[pos[AT_SOURCE] + HIVE * j] == PRESSURE:
            total += np.log(mem[pos[AT_RATE] + HIVE * j])
    for e in range(idx[EVENTS]):
        total += log_event_now(mem, pos, e)
    return total + _log_pressed(num, idx, mem, pos, theta)


@lean
def _log_pressed(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats) -> float:
    """Minus the pressure that the infected put on all others until their own infection."""
    total = 0.0
    for i in range(idx[COLONIES]):
        if pos[pos[AT_SOURCE] + HIVE * i] != NO:
            count = gather(num, idx, mem, pos, theta, i)
            for c in range(count):  # the moments of infection are in the rates already
                mem[pos[AT_HIT] + c] = np.inf
            total += log_effect(
                num, idx, mem, pos, theta, i, count, mem[pos[AT_TIME] + HIVE * i], mem[pos[AT_ONSET] + HIVE * i]
            )
    return total


@lean
def log_observed(num: Floats, idx: Ints, mem: Floats, pos: Ints) -> float:
    """Log of the chance of everything observed."""
    total = 0.0
    for j in range(idx[COLONIES]):
        total += log_looks(
            num, idx, j, mem[pos[AT_ONSET] + HIVE * j], mem[pos[AT_TURN] + HIVE * j], mem[pos[AT_LENGTH] + HIVE * j]
        )
    for p in range(idx[POOLS]):
        total += log_pool(num, idx, mem, pos, p, -1, np.inf, np.inf)
    return total
