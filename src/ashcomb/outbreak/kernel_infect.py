"""Compiled: how a colony becomes one of the infected: out of its own luck, so that nothing elsewhere shifts it."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import inlined
from ashcomb.outbreak.kernel_herd import Herd, World
from ashcomb.outbreak.kernel_random import stream, uniform
from ashcomb.outbreak.kernel_state import brood_days, delay
from ashcomb.outbreak.layout import AT_BROOD, BROOD_LAST


@inlined
def onset_in(world: World, at: float, chance: float) -> float:
    """Day of first signs, as `kernel_state.onset_of`, with less of the brood grid to search."""
    wait = delay(world.num, world.idx, chance)
    wanted = brood_days(world.num, world.idx, at) + wait
    high, base = world.idx[BROOD_LAST], world.idx[AT_BROOD]
    if wait == np.inf or wanted > world.num[base + high]:
        return np.inf
    if wanted <= 0.0:
        return 0.0
    whole = int(wanted)
    low = max(world.since[whole] - 1, 0)
    if whole + 1 < len(world.since):
        high = world.since[whole + 1]
    while high - low > 1:
        middle = (low + high) >> 1
        if world.num[base + middle] >= wanted:
            high = middle
        else:
            low = middle
    return low + (wanted - world.num[base + low]) / (world.num[base + high] - world.num[base + low])


@inlined
def can_fall_ill(herd: Herd, j: int, at: float) -> bool:
    """Whether colony j lives and is free at a time."""
    return herd.free[j] and herd.life[j].first <= at < herd.life[j].infectable


@inlined
def enter(world: World, herd: Herd, j: int, source: int, by: int, many: int, seed: np.uint64) -> int:
    """Colony j is one of the infected from now on; returns how many they are."""
    course = herd.course[j]
    course.source, course.by = source, by
    course.luck, course.look_luck = stream(seed, 2 * j), stream(seed, 2 * j + 1)
    herd.free[j], herd.who[many] = 0, j
    for k in range(world.give_ptr[j], world.give_ptr[j + 1]):
        herd.armed[world.gives[k]] = 1
    return many + 1


@inlined
def infect(
    world: World, herd: Herd, j: int, source: int, by: int, at: float, many: int, seed: np.uint64
) -> int:  # fmt: skip
    """Infects colony j with a delay and a remission drawn by their laws, out of its own luck; returns how many are."""
    many = enter(world, herd, j, source, by, many, seed)
    life, own = herd.life[j], herd.course[j].luck
    chance, own = uniform(own)
    life.time, life.onset = at, onset_in(world, at, chance)
    life.turn, own = uniform(own)
    life.length, own = uniform(own)
    herd.course[j].luck = own
    return many
