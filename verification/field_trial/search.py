"""The work of a search: hives opened and drives, until 80 % and 95 % of the hives with visible signs are found.

A hive opened costs 1, a drive to another apiary 10, and coming back costs again. The search starts at the apiary of the
first case. A look finds signs that are there by its true chance, each look anew; every way may look again. The k-th
look at a hive has the same luck in every way.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from verification.field_trial.belief import Belief
from verification.field_trial.habits import Key
from verification.field_trial.world import World

from ashcomb.outbreak.scene import Floats

OPEN, DRIVE = 1.0, 10.0
SHARES = (0.8, 0.95)
PASSES = 12


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


def one_shot(world: World, chance: Floats, drive: bool = True) -> list[float]:
    """Cost by the order that the first chances give, kept to the end and then begun anew."""
    search = Search(world)
    order = list(_tour(search, chance, drive))
    for _ in range(PASSES):
        for j in order:
            if search.open[j]:
                search.look(j)
            if search.over:
                return search.reached
    return search.reached


def _tour(search: Search, chance: Floats, drive: bool) -> Iterator[int]:
    left = np.where(search.open, chance + 1e-9, 0.0)
    if not drive:
        yield from (int(j) for j in np.argsort(-left, kind="stable")[: int(search.open.sum())])
        return
    row = _whole(search, left, search.here)
    while len(row):
        yield from (int(j) for j in row)
        left[row] = 0.0
        row = _best(search, left)


def by_engine(world: World, belief: Belief, drive: bool = True) -> list[float]:
    """Cost by the engine's chances, renewed at every look.

    The choice is which apiary: that with most expected finds for the work there, drive included. There every hive is
    opened that was opened least often, the likeliest first: what the chances say about single hives is too little to
    pay for coming back. Not drive: always the likeliest hive, wherever it stands.
    """
    search = Search(world)
    most = PASSES * int(search.open.sum())
    row = _whole(search, belief.chance, search.here) if drive else np.zeros(0, dtype=np.int64)
    while not search.over and search.looks.sum() < most:
        chance = np.where(search.open, belief.chance + 1e-9, 0.0)
        if not len(row):
            row = _best(search, chance) if drive else np.array([np.argmax(chance)])
        j, row = int(row[0]), row[1:]
        if search.look(j):
            belief.seen(j)
        else:
            belief.missed(j)
    return search.reached


def _best(search: Search, chance: Floats) -> np.ndarray:
    """Hives to open at the apiary with most expected finds for the work, the likeliest first; empty if none is left."""
    rows = [_whole(search, chance, int(place)) for place in np.unique(search.world.standing[chance > 0.0])]
    work = [len(row) * OPEN + (DRIVE if search.world.standing[row[0]] != search.here else 0.0) for row in rows]
    worth = [chance[row].sum() / cost for row, cost in zip(rows, work, strict=True)]
    return rows[int(np.argmax(worth))] if rows else np.zeros(0, dtype=np.int64)


def _whole(search: Search, chance: Floats, place: int) -> np.ndarray:
    """The hives of an apiary that were opened least often, the likeliest first."""
    row = np.flatnonzero((search.world.standing == place) & search.open & (chance > 0.0))
    if len(row):
        row = row[search.looks[row] == search.looks[row].min()]
    return row[np.argsort(-chance[row], kind="stable")]
