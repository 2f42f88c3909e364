"""Compiled: which moves make a sweep.

A whole sweep visits every colony. In the sweeps between, known cases and some of the infected are visited, and the many
unlikely ones are served by births and deaths: a birth picks a colony by a fixed weight, a death one of those infected.
In each, branches grow anew, and among them known cases and likely colonies are visited in turn. What is picked,
and how often, never depends on what the move may change, so the posterior is kept.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import lean
from ashcomb.outbreak.kernel_background import other_background
from ashcomb.outbreak.kernel_branch import regrow, toggle_known
from ashcomb.outbreak.kernel_colony import visit
from ashcomb.outbreak.kernel_dates import free_date, other_date, other_rate
from ashcomb.outbreak.kernel_kept import rebuild
from ashcomb.outbreak.kernel_pair import toggle_duo, toggle_pair
from ashcomb.outbreak.layout import (
    AGAIN,
    ANEW,
    AT_DOUBT,
    AT_EVENT_FROM,
    AT_EVENT_TO,
    AT_ILL,
    AT_LIKELY,
    AT_OFTEN,
    AT_PLACE_PTR,
    AT_PLACE_STAY,
    AT_PLAN,
    AT_SOURCE,
    AT_STAY_OF,
    AT_STAY_PLACE,
    AT_STAY_PTR,
    AT_STOOD,
    AT_TAKEN,
    AT_TICKETS,
    AT_WEIGHT,
    BRANCHES,
    COLONIES,
    DOUBTS,
    EACH,
    EVENT,
    EVENTS,
    HIVE,
    LIKELY,
    LOCAL,
    MOVES,
    NEXT_LIKELY,
    OFTEN,
    PAIRS,
    RARE,
    STAY,
    STRIDE,
    TICKETS,
    TURN,
)
from ashcomb.outbreak.scene import NO, Floats, Ints

_SMALL = 2000.0  # colonies; in larger scenes moves that sum over all of them are rarer


@lean
def birth_or_death(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, gen: np.random.Generator) -> None:
    """A birth of an infection in a rare colony, picked by its tickets, or the death of one, all alike."""
    count = pos[pos[AT_PLAN] + RARE]
    if gen.random() < 0.5:
        j = pos[pos[AT_TICKETS] + int(gen.random() * pos[pos[AT_PLAN] + TICKETS])]
        if pos[pos[AT_SOURCE] + HIVE * j] != NO:
            return
        count += 1
    else:
        if count == 0:
            return
        j = pos[pos[AT_ILL] + int(gen.random() * count)]
    picks = -np.log(mem[pos[AT_WEIGHT] + HIVE * j] * count)
    visit(num, idx, mem, pos, theta, j, True, False, picks, gen)


@lean
def beside(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, gen: np.random.Generator) -> None:
    """A birth or death in a rare colony that stood where another infected one did, which is picked first.

    The one that shows the way is never the one that changes, so both directions differ by the number of those that may
    be picked alone.
    """
    count = pos[pos[AT_PLAN] + RARE]
    if count == 0:
        return
    i = pos[pos[AT_ILL] + int(gen.random() * count)]
    first = idx[idx[AT_STAY_PTR] + HIVE * i]
    place = idx[
        idx[AT_STAY_PLACE] + STAY * (first + int(gen.random() * (idx[idx[AT_STAY_PTR] + HIVE * (i + 1)] - first)))
    ]
    first = idx[idx[AT_PLACE_PTR] + place]
    slot = idx[idx[AT_PLACE_STAY] + first + int(gen.random() * (idx[idx[AT_PLACE_PTR] + (place + 1)] - first))]
    j = idx[idx[AT_STAY_OF] + STAY * slot]
    if j != i and mem[pos[AT_WEIGHT] + HIVE * j] > 0.0:
        least = count if pos[pos[AT_SOURCE] + HIVE * j] == NO else count - 1
        visit(num, idx, mem, pos, theta, j, True, False, np.log(least / (least + 1.0)), gen)


@lean
def _stood(pos: Ints) -> None:
    """Counts this sweep for every infected colony."""
    for k in range(pos[pos[AT_PLAN] + OFTEN]):
        j = pos[pos[AT_OFTEN] + k]
        pos[pos[AT_STOOD] + HIVE * j] += pos[pos[AT_SOURCE] + HIVE * j] != NO
    for k in range(pos[pos[AT_PLAN] + RARE]):
        pos[pos[AT_STOOD] + HIVE * pos[pos[AT_ILL] + k]] += 1


@lean
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
        if rare and (k + pos[plan + TURN]) % pos[plan + EACH] != 0:
            continue
        j = k if whole else (pos[pos[AT_ILL] + (k - pos[plan + OFTEN])] if rare else pos[pos[AT_OFTEN] + k])
        visit(num, idx, mem, pos, theta, j, not rare, True, 0.0, gen)
    if not whole:
        for _ in range(pos[plan + MOVES]):
            birth_or_death(num, idx, mem, pos, theta, gen)
        for _ in range(pos[plan + LOCAL]):
            beside(num, idx, mem, pos, theta, gen)
    turns, visits, anew = (max(pos[plan + BRANCHES], 1), 0, 0)  # spread among the branches
    for b in range(turns):
        while visits * turns < pos[plan + AGAIN] * (b + 1):
            turn, visits = (pos[plan + NEXT_LIKELY], visits + 1)
            pos[plan + NEXT_LIKELY] = (turn + 1) % pos[plan + LIKELY]
            j = pos[pos[AT_LIKELY] + turn]
            visit(num, idx, mem, pos, theta, j, mem[pos[AT_WEIGHT] + HIVE * j] > 0.0, True, 0.0, gen)
        while anew * turns < pos[plan + ANEW] * (b + 1):
            toggle_duo(num, idx, mem, pos, theta, gen)
            anew += 1
        if pos[plan + BRANCHES] > 0:
            regrow(num, idx, mem, pos, theta, gen)
    for k in range(pos[plan + DOUBTS]):
        toggle_known(num, idx, mem, pos, theta, pos[pos[AT_DOUBT] + k], gen)
    for _ in range(pos[plan + PAIRS]):
        toggle_pair(num, idx, mem, pos, theta, gen)
    large = _SMALL / max(n, 1)
    for e in range(idx[EVENTS]):
        if num[idx[AT_EVENT_TO] + EVENT * e] > num[idx[AT_EVENT_FROM] + EVENT * e]:
            if pos[pos[AT_TAKEN] + EVENT * e] == 0:
                free_date(num, idx, mem, pos, theta, e, gen)
            elif gen.random() < large:
                other_date(num, idx, mem, pos, theta, e, gen)
    if bounds[0, 1] > bounds[0, 0]:
        other_background(num, idx, mem, pos, theta, bounds[0, 0], bounds[0, 1], gen)
    for r in range(1, len(theta)):
        if bounds[r, 1] > bounds[r, 0] and gen.random() < large:
            other_rate(num, idx, mem, pos, theta, r, bounds[r, 0], bounds[r, 1], gen)
    _stood(pos)
