"""Compiled: which moves make a sweep.

A whole sweep visits every colony. In the sweeps between, likely colonies are visited, and the many unlikely ones are
served by births and deaths: a birth picks a colony by a fixed weight, a death one of those infected. What is picked,
and how often, never depends on what the move may change, so the posterior is kept.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import compiled
from ashcomb.outbreak.kernel_colony import visit
from ashcomb.outbreak.kernel_dates import free_date, other_date, other_rate
from ashcomb.outbreak.kernel_kept import rebuild
from ashcomb.outbreak.kernel_pair import toggle_pair
from ashcomb.outbreak.layout import (
    AT_EVENT_FROM,
    AT_EVENT_TO,
    AT_ILL,
    AT_OFTEN,
    AT_PLAN,
    AT_SOURCE,
    AT_SUMS,
    AT_TAKEN,
    AT_WEIGHT,
    COLONIES,
    EVENTS,
    MOVES,
    OFTEN,
    PAIRS,
    RARE,
    STRIDE,
    TURN,
)
from ashcomb.outbreak.scene import NO, Floats, Ints

_SMALL = 2000.0  # colonies; in larger scenes moves that sum over all of them are rarer


@compiled
def birth_or_death(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, gen: np.random.Generator) -> None:
    """A birth of an infection in a rare colony, picked by its weight, or the death of one, all alike."""
    count, birth = (pos[pos[AT_PLAN] + RARE], gen.random() < 0.5)
    if birth:
        n, wanted = (idx[COLONIES], gen.random())
        j = np.searchsorted(mem[pos[AT_SUMS] : pos[AT_SUMS] + n], wanted, side="right")
        if j >= n or mem[pos[AT_WEIGHT] + j] == 0.0 or pos[pos[AT_SOURCE] + j] != NO:
            return
        count += 1
    else:
        if count == 0:
            return
        j = pos[pos[AT_ILL] + int(gen.random() * count)]
    picks = -np.log(mem[pos[AT_WEIGHT] + j] * count)
    visit(num, idx, mem, pos, theta, j, True, False, picks, gen)


@compiled
def sweep(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, bounds: Floats, gen: np.random.Generator
) -> None:
    """One sweep after the plan of the state; the state must be rebuilt before the first.

    Moves that need a sum over all colonies come in every sweep of a small scene, and less often in a large one.
    """
    n, plan = (idx[COLONIES], pos[AT_PLAN])
    whole = pos[plan + TURN] % pos[plan + STRIDE] == 0
    pos[plan + TURN] += 1
    if whole:
        rebuild(num, idx, mem, pos, theta)
    visited = n if whole else pos[plan + OFTEN] + pos[plan + RARE]
    for k in range(visited):
        rare = not whole and k >= pos[plan + OFTEN]
        j = k if whole else (pos[pos[AT_ILL] + (k - pos[plan + OFTEN])] if rare else pos[pos[AT_OFTEN] + k])
        visit(num, idx, mem, pos, theta, j, not rare, True, 0.0, gen)
    if not whole:
        for _ in range(pos[plan + MOVES]):
            birth_or_death(num, idx, mem, pos, theta, gen)
    for _ in range(pos[plan + PAIRS]):
        toggle_pair(num, idx, mem, pos, theta, gen)
    large = _SMALL / max(n, 1)
    for e in range(idx[EVENTS]):
        if num[idx[AT_EVENT_TO] + e] > num[idx[AT_EVENT_FROM] + e]:
            if pos[pos[AT_TAKEN] + e] == 0:
                free_date(num, idx, mem, pos, theta, e, gen)
            elif gen.random() < large:
                other_date(num, idx, mem, pos, theta, e, gen)
    for r in range(len(theta)):
        if bounds[r, 1] > bounds[r, 0] and gen.random() < large:
            other_rate(num, idx, mem, pos, theta, r, bounds[r, 0], bounds[r, 1], gen)
