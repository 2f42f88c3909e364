"""Habits of today: which apiary next. All open every hive of an apiary in the order of its rows before they drive on.

Within one pass no apiary is opened twice; after a pass over all the next begins, for signs that were missed.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from verification.field_trial.world import World

from ashcomb.outbreak.scene import Floats

WINDOW_DAYS = 365.0  # how far back contacts are traced
Key = Callable[[World, list[int]], Floats]


def nearest(world: World, cases: list[int]) -> Floats:
    """Distance of each apiary to the nearest apiary with a case, km: within the zone and beyond it."""
    there = world.xy[[world.standing[j] for j in cases]]
    return np.asarray(np.hypot(*(world.xy[:, None] - there[None]).transpose(2, 0, 1)).min(axis=1))


def own_firm(world: World, cases: list[int]) -> Floats:
    """Apiaries of the keepers with cases first, nearest first; then all others, nearest first."""
    struck = {int(world.owner[world.standing[j]]) for j in cases}
    return nearest(world, cases) + np.where(np.isin(world.owner, list(struck)), 0.0, 1e3)


def traced(world: World, cases: list[int]) -> Floats:
    """Apiaries with hives on chains of contacts from and to the cases first, fewest contacts first; then nearest.

    Chains respect time: each contact lies after the one before, in the window of a year, on the record as it is.
    """
    hops = np.minimum(_chains(world, cases, forward=True), _chains(world, cases, forward=False))
    alive = world.standing >= 0
    least = np.full(len(world.xy), np.inf)
    np.minimum.at(least, world.standing[alive], hops[alive])
    return nearest(world, cases) + 1e3 * np.minimum(least, 50.0)


def _chains(world: World, cases: list[int], forward: bool) -> Floats:
    """Fewest contacts on a chain from the cases to each colony (or from it to them); infinite where there is none."""
    scene = world.told
    hops, when = np.full(len(scene.first), np.inf), np.full(len(scene.first), np.nan)
    hops[cases], when[cases] = 0.0, world.now - WINDOW_DAYS if forward else world.now
    order = np.argsort(scene.event_to if forward else -scene.event_from, kind="stable")
    for level in range(1, 6):
        before, then = hops.copy(), when.copy()
        for e in order:
            gives = scene.give[scene.give_ptr[e] : scene.give_ptr[e + 1]]
            takes = scene.take[scene.take_ptr[e] : scene.take_ptr[e + 1]]
            sources, targets = (gives, takes) if forward else (takes, gives)
            at = scene.event_to[e] if forward else scene.event_from[e]
            if at < world.now - WINDOW_DAYS:
                continue
            ready = then[sources] <= at if forward else then[sources] >= at
            if (ready & (before[sources] == level - 1)).any():
                new = targets[np.isinf(hops[targets])]
                hops[new], when[new] = level, at
        if (hops == before).all():
            break
    return hops


HABITS: dict[str, Key] = {"nearest first": nearest, "traced contacts first": traced, "own firm first": own_firm}
