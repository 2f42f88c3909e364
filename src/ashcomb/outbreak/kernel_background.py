"""Compiled: the move of the background rate, exact and cheap, for little of a history hangs on it."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import lean
from ashcomb.outbreak.layout import AT_FIRST, AT_INFECTABLE, AT_RATE, AT_SOURCE, AT_TIME, AT_WHO, COLONIES, HIVE
from ashcomb.outbreak.scene import BEFORE, PRESSURE, Floats, Ints

_STEPS = 4  # at each call: one pass over the colonies serves them all


@lean
def under_background(num: Floats, idx: Ints, mem: Floats, pos: Ints) -> tuple[float, int]:
    """Days that all colonies stood under the background until their infection; and how many were infected by pressure.

    The latter are listed in the field `who`.
    """
    days, count = (0.0, 0)
    for j in range(idx[COLONIES]):
        source = pos[pos[AT_SOURCE] + HIVE * j]
        if source != BEFORE:
            days += (
                min(mem[pos[AT_TIME] + HIVE * j], num[idx[AT_INFECTABLE] + HIVE * j]) - num[idx[AT_FIRST] + HIVE * j]
            )
        if source == PRESSURE:
            pos[pos[AT_WHO] + count] = j
            count += 1
    return (days, count)


@lean
def log_gain(mem: Floats, pos: Ints, days: float, count: int, more: float) -> float:
    """Log of the chance of the whole history with so much more background, against that with the background as it is.

    days, count: see `under_background`.  more: a day, below 0 for less.
    """
    total = -more * days
    for c in range(count):
        total += np.log1p(more / mem[pos[AT_RATE] + HIVE * pos[pos[AT_WHO] + c]])
    return total


@lean
def other_background(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, low: float, high: float, gen: np.random.Generator
) -> None:
    """Moves the background within its bounds (a day, low above 0), a few times, on its logarithm.

    All that is kept ready stays right: only the pressure at the moments of infection holds the background.
    """
    days, count = under_background(num, idx, mem, pos)
    width = min(np.log(high / low), 3.0)
    for _ in range(_STEPS):
        scale = 0.4 if gen.random() < 0.7 else 0.1
        new = np.exp(np.log(theta[0]) + gen.standard_normal() * scale * width)
        more = new - theta[0]
        if low <= new <= high and np.log(gen.random()) < log_gain(mem, pos, days, count, more):
            theta[0] = new
            for c in range(count):
                mem[pos[AT_RATE] + HIVE * pos[pos[AT_WHO] + c]] += more
