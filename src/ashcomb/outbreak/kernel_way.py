"""Compiled: the ways in which one colony may be infected, by their weight, and how likely it is with and without."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import lean
from ashcomb.outbreak.kernel_chance import came_before, log_seen
from ashcomb.outbreak.kernel_effect import log_effect, log_given
from ashcomb.outbreak.kernel_pressure import pressure_at, pressure_until, time_within
from ashcomb.outbreak.layout import (
    AT_BEFORE,
    AT_FIRST,
    AT_IN_EVENT,
    AT_IN_PTR,
    AT_INFECTABLE,
    AT_LENGTH,
    AT_LOG_STRUCK,
    AT_MASS,
    AT_ONSET,
    AT_SOURCE,
    AT_SPARED,
    AT_STRUCK,
    AT_TIME,
    AT_TURN,
    AT_WHEN,
    EVENT,
    HIVE,
)
from ashcomb.outbreak.scene import BEFORE, PRESSURE, Floats, Ints


@lean
def weigh(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int) -> tuple[float, float]:
    """Weight of all ways in which the gathered colony can be infected, and log of the chance that none did."""
    before = num[idx[AT_BEFORE] + HIVE * j]
    pressed = theta[0] * (num[idx[AT_INFECTABLE] + HIVE * j] - num[idx[AT_FIRST] + HIVE * j])
    for c in range(count):
        pressed += mem[pos[AT_MASS] + c]
    weight, free = (before + pressed, np.log1p(-before) - pressed)
    for k in range(idx[idx[AT_IN_PTR] + HIVE * j], idx[idx[AT_IN_PTR] + HIVE * (j + 1)]):
        e = idx[idx[AT_IN_EVENT] + k]
        weight, free = (weight + mem[pos[AT_STRUCK] + EVENT * e], free + mem[pos[AT_SPARED] + EVENT * e])
    return (weight, free)


@lean
def weigh_until(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int, until: float
) -> float:
    """The same of the ways before a time."""
    first = num[idx[AT_FIRST] + HIVE * j]
    if until <= first:
        return 0.0
    last = min(until, num[idx[AT_INFECTABLE] + HIVE * j])
    weight = num[idx[AT_BEFORE] + HIVE * j] + max(pressure_until(mem, pos, theta, count, first, last), 0.0)
    for k in range(idx[idx[AT_IN_PTR] + HIVE * j], idx[idx[AT_IN_PTR] + HIVE * (j + 1)]):
        e = idx[idx[AT_IN_EVENT] + k]
        if mem[pos[AT_WHEN] + EVENT * e] < until:
            weight += mem[pos[AT_STRUCK] + EVENT * e]
    return weight


@lean
def draw_way(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    count: int,
    weight: float,
    gen: np.random.Generator,
) -> tuple[int, float]:
    """A way in which the gathered colony may be infected, and when, by its weight."""
    left = gen.random() * weight
    left -= num[idx[AT_BEFORE] + HIVE * j]
    if left < 0.0:
        return (BEFORE, num[idx[AT_FIRST] + HIVE * j])
    for k in range(idx[idx[AT_IN_PTR] + HIVE * j], idx[idx[AT_IN_PTR] + HIVE * (j + 1)]):
        e = idx[idx[AT_IN_EVENT] + k]
        left -= mem[pos[AT_STRUCK] + EVENT * e]
        if left < 0.0:
            return (e, mem[pos[AT_WHEN] + EVENT * e])
    for c in range(count):
        left -= mem[pos[AT_MASS] + c]
        if left < 0.0:
            return (PRESSURE, time_within(mem, pos, theta, c, gen.random()))
    first, last = (num[idx[AT_FIRST] + HIVE * j], num[idx[AT_INFECTABLE] + HIVE * j])
    return (PRESSURE, first + gen.random() * (last - first))


@lean
def log_way(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int, source: int, time: float
) -> float:
    """Log weight of one way: the density with which `draw_way` draws it, times the weight of all."""
    if source == BEFORE:
        return np.log(num[idx[AT_BEFORE] + HIVE * j]) if num[idx[AT_BEFORE] + HIVE * j] > 0.0 else -np.inf
    if source >= 0:
        return mem[pos[AT_LOG_STRUCK] + EVENT * source]
    return np.log(pressure_at(mem, pos, theta, count, time))


@lean
def log_until(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int, source: int, time: float
) -> float:
    """Log of the chance that nothing infected the gathered colony before it was infected so."""
    if source == BEFORE:
        return 0.0
    total = np.log1p(-num[idx[AT_BEFORE] + HIVE * j])
    total -= pressure_until(mem, pos, theta, count, num[idx[AT_FIRST] + HIVE * j], time)
    for k in range(idx[idx[AT_IN_PTR] + HIVE * j], idx[idx[AT_IN_PTR] + HIVE * (j + 1)]):
        e = idx[idx[AT_IN_EVENT] + k]
        if came_before(mem, pos, e, source, time):
            total += mem[pos[AT_SPARED] + EVENT * e]
    return total


@lean
def log_beyond(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    count: int,
    source: int,
    time: float,
    onset: float,
    turn: float,
    length: float,
) -> float:
    """Log of the posterior density of the gathered colony j, infected so, given all others, beyond that of its way.

    With `log_way` it is the whole density, up to a constant; ways are drawn by their density, so most moves need not
    know it. j must be out.
    """
    return (
        log_until(num, idx, mem, pos, theta, j, count, source, time)
        + log_seen(num, idx, mem, pos, j, time, onset, turn, length)
        + log_effect(num, idx, mem, pos, theta, j, count, time, onset)
        + log_given(num, idx, mem, pos, theta, j, time, onset)
    )


@lean
def log_none(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, free: float) -> float:
    """The same with no infection of j. free: log of the chance that nothing infected it."""
    seen = log_seen(num, idx, mem, pos, j, np.inf, np.inf, 1.0, 0.0)
    return free + seen + log_given(num, idx, mem, pos, theta, j, np.inf, np.inf)


@lean
def log_now(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int) -> float:
    """Log density of the infection of colony j as it is."""
    source, time, onset = (pos[pos[AT_SOURCE] + HIVE * j], mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j])
    turn, length = (mem[pos[AT_TURN] + HIVE * j], mem[pos[AT_LENGTH] + HIVE * j])
    return log_beyond(num, idx, mem, pos, theta, j, count, source, time, onset, turn, length)
