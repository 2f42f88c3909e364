"""The work of a search: hives opened and drives, until 80 % and 95 % of the hives with visible signs are found.

A hive opened costs 1, a drive to another apiary 10, and coming back costs again. The search starts at the apiary of the
first case. A look finds signs that are there by its true chance, each look anew; every way may look again. The k-th
look at a hive has the same luck in every way.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import numpy as np
from verification.field_trial.habits import Key
from verification.field_trial.world import World

from ashcomb.outbreak.scene import Floats

OPEN, DRIVE = 1.0, 10.0
SHARES = (0.8, 0.95)
PASSES = 12
UNSEEN = 0.003  # no chance counts as less before a look: below it the few draws of a search cannot tell hives apart


class Chances(Protocol):
    """Chances renewed after every look. left: chance that signs stay unseen in 0, 1, 2 … looks."""

    left: Floats

    @property
    def chance(self) -> Floats:
        """Chance that each colony shows signs now, shape (n,)."""

    def missed(self, colony: int) -> None:
        """A look at it showed nothing."""

    def seen(self, colony: int) -> None:
        """Signs were found in it."""


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


def one_shot(world: World, chance: Floats, left: Floats, drive: bool = True, least: float = UNSEEN) -> list[float]:
    """Cost by the order that the first chances give when nothing is found, kept to the end.

    left: chance that signs stay unseen in 0, 1, 2 … looks, as the engine thinks.  least: no chance counts as less
    before a look; at 0 a hive without a chance is never opened.
    """
    search, thought = Search(world), Search(world)
    most = PASSES * int(search.open.sum())
    todo = _likeliest(search, chance, search.here) if drive else []
    while not search.over and thought.looks.sum() < most:
        if not todo:
            after = chance * left[thought.looks]
            todo = _next(thought, after / (1.0 - chance + after), left, drive, least)
        j = todo.pop(0)
        thought.here = int(world.standing[j])
        thought.looks[j] += 1
        if search.open[j]:
            search.look(j)
    return search.reached


def by_chances(world: World, belief: Chances, drive: bool = True) -> list[float]:
    """Cost by chances renewed at every look. Not drive: always the likeliest hive, wherever it stands."""
    search = Search(world)
    most = PASSES * int(search.open.sum())
    todo = _likeliest(search, belief.chance, search.here) if drive else []
    while not search.over and search.looks.sum() < most:
        todo = todo or _next(search, belief.chance, belief.left, drive)
        j = todo.pop(0)
        if search.look(j):
            belief.seen(j)
        else:
            belief.missed(j)
    return search.reached


def _likeliest(search: Search, chance: Floats, place: int) -> list[int]:
    """All hives of an apiary not yet found sick, the likeliest first."""
    return sorted(search.hives(place), key=lambda j: (-chance[j], j))


def _next(search: Search, chance: Floats, left: Floats, drive: bool, least: float = UNSEEN) -> list[int]:
    """The hives to open next: all of the apiary with the most expected finds for the work, drive included."""
    chance = np.where(search.open, np.maximum(chance, least * left[np.minimum(search.looks, len(left) - 1)]), 0.0)
    if not drive:
        return [int(np.argmax(chance))]
    opened = chance > 0.0
    standing, apiaries = search.world.standing[opened], len(search.world.xy)
    hives = np.bincount(standing, minlength=apiaries)
    seen = 1.0 - left[np.minimum(search.looks + 1, len(left) - 1)] / left[np.minimum(search.looks, len(left) - 2)]
    finds = np.bincount(standing, (chance * seen)[opened], apiaries)
    work = OPEN * hives + np.where(np.arange(apiaries) == search.here, 0.0, DRIVE)
    place = int(np.argmax(finds / np.maximum(work, OPEN)))
    return [j for j in _likeliest(search, chance, place) if opened[j]]
