"""The work of a search: hives opened and drives, until 80 % and 95 % of the hives with visible signs are found.

A hive opened costs 1, a drive to another apiary 10, and coming back costs again. The search starts at the apiary of the
first case. A look finds signs that are there by its true chance, each look anew; every way may look again. The k-th
look at a hive has the same luck in every way.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from verification.field_trial.belief import Belief
from verification.field_trial.habits import Key
from verification.field_trial.world import World

from ashcomb.outbreak.scene import Floats

OPEN, DRIVE = 1.0, 10.0
SHARES = (0.8, 0.95)
PASSES = 12
UNSEEN = 0.003  # no chance counts as less before a look: of hives given less, more were infected (calibration page)
STAYS = 0.5  # of what is best elsewhere; chosen on worlds that are in no table


@dataclass
class Search:
    """One search under way. found: in order.  cost: so far.  at80, at95: cost when these shares were reached."""

    world: World

    def __post_init__(self) -> None:
        world = self.world
        gen = np.random.Generator(np.random.Philox(np.random.SeedSequence(world.seed, spawn_key=(999,))))
        self.luck = gen.random((len(world.standing), 4 * PASSES)) < world.notice
        self.looks = np.zeros(len(world.standing), dtype=np.int64)
        self.open = (world.standing >= 0) & (np.arange(len(world.standing)) != world.index)
        self.found = [world.index]
        self.here = int(world.standing[world.index])
        self.cost = 0.0
        self.wanted = [int(np.ceil(share * world.signs.sum() - 1e-9)) for share in SHARES]
        self.reached = [np.nan, np.nan]

    def look(self, colony: int) -> bool:
        """Opens a hive; returns whether signs were found."""
        place = int(self.world.standing[colony])
        self.cost += OPEN + (DRIVE if place != self.here else 0.0)
        self.here = place
        seen = bool(self.world.signs[colony] and self.luck[colony, min(self.looks[colony], 4 * PASSES - 1)])
        self.looks[colony] += 1
        if seen:
            self.found.append(colony)
            self.open[colony] = False
            for k, wanted in enumerate(self.wanted):
                if len(self.found) - 1 == wanted:
                    self.reached[k] = self.cost
        return seen

    @property
    def over(self) -> bool:
        """Whether 95 % are found."""
        return len(self.found) - 1 >= self.wanted[-1]

    def hives(self, place: int) -> list[int]:
        """Hives of an apiary not yet found sick."""
        return [int(j) for j in np.flatnonzero((self.world.standing == place) & self.open)]


def by_habit(world: World, key: Key, renewed: bool) -> list[float]:
    """Cost at 80 % and 95 % by a habit."""
    search = Search(world)
    apiaries = sorted(set(world.standing[world.standing >= 0].tolist()))
    known, order = 0, np.zeros(0)
    for _ in range(PASSES):
        left = set(apiaries)
        while left:
            cases = search.found if renewed else [world.index]
            if len(cases) > known:
                known, order = len(cases), key(world, cases)
            place = min(left, key=lambda a: (order[a], a))
            left.remove(place)
            for j in search.hives(place):
                search.look(j)
                if search.over:
                    return search.reached
    return search.reached


def one_shot(world: World, chance: Floats, left: Floats, drive: bool = True) -> list[float]:
    """Cost by the order that the first chances give when nothing is found, kept to the end.

    left: chance that signs stay unseen in 0, 1, 2 … looks, as the engine thinks.
    """
    search, thought = Search(world), Search(world)
    most = PASSES * int(search.open.sum())
    first = _at_first(search, chance) if drive else []
    while not search.over and thought.looks.sum() < most:
        after = chance * left[thought.looks]
        j = first.pop(0) if first else _next(thought, after / (1.0 - chance + after), left, drive)
        thought.here = int(world.standing[j])
        thought.looks[j] += 1
        if search.open[j]:
            search.look(j)
    return search.reached


def by_engine(world: World, belief: Belief, drive: bool = True) -> list[float]:
    """Cost by the engine's chances, renewed at every look. Not drive: always the likeliest hive, wherever it stands."""
    search = Search(world)
    most = PASSES * int(search.open.sum())
    first = _at_first(search, belief.chance) if drive else []
    while not search.over and search.looks.sum() < most:
        j = first.pop(0) if first else _next(search, belief.chance, belief.left, drive)
        if search.look(j):
            belief.seen(j)
        else:
            belief.missed(j)
    return search.reached


def _at_first(search: Search, chance: Floats) -> list[int]:
    """All hives of the apiary of the first case, the likeliest first: these everybody opens."""
    return sorted(search.hives(search.here), key=lambda j: (-chance[j], j))


def _next(search: Search, chance: Floats, left: Floats, drive: bool) -> int:
    """The hive to open next.

    Elsewhere counts the apiary, and there the number of hives, the likeliest first, with most expected finds for the
    work, drive included. Whoever is at an apiary stays while its likeliest hive is worth more than a share of that:
    coming back costs a drive again.
    """
    standing = search.world.standing
    chance = np.where(search.open, np.maximum(chance, UNSEEN * left[np.minimum(search.looks, len(left) - 1)]), 0.0)
    if not drive:
        return int(np.argmax(chance))
    order = np.lexsort((-chance, standing))
    order = order[chance[order] > 0.0]
    starts = np.flatnonzero(np.diff(standing[order], prepend=-1))
    rank = np.arange(len(order)) - np.repeat(starts, np.diff(np.append(starts, len(order))))
    sums = np.cumsum(chance[order])
    sums -= np.repeat(sums[starts] - chance[order[starts]], np.diff(np.append(starts, len(order))))
    worth = np.where(standing[order] == search.here, 0.0, sums / (DRIVE + OPEN * (rank + 1.0)))
    best = int(np.argmax(worth))
    here = order[standing[order] == search.here]
    if len(here) and (chance[here[0]] >= STAYS * worth[best] * OPEN):
        return int(here[0])
    return int(order[best - rank[best]])
