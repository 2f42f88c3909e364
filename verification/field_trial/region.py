"""A region: keepers and firms, apiaries, hives that stand, move, are sold, split and die over two seasons."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from verification.field_trial.laws import Assumptions, between

from ashcomb.outbreak.scene import FOREVER, Floats, Ints

DAYS = 600


@dataclass
class Move:
    """Hive `colony` stands at `place` from a day until the next move.

    trip: moves of one trip, or sale, have one number: they are recorded or lost together.
    """

    colony: int
    day: int
    place: int
    trip: int


@dataclass
class Region:
    """xy (a, 2) km.  owner (a): keeper of each apiary.  firm (keepers).  first, dead, gone, next to (n): of colonies.

    moves: of each colony, the first is where it began.
    """

    xy: Floats
    owner: Ints
    firm: list[bool]
    first: list[float] = field(default_factory=list)
    dead: list[float] = field(default_factory=list)
    gone: list[float] = field(default_factory=list)
    beside: list[list[int]] = field(default_factory=list)
    moves: list[list[Move]] = field(default_factory=list)
    trips: int = 0
    grid: Ints = field(default_factory=lambda: np.zeros((0, 0), dtype=np.int16))
    seen: dict[tuple[int, int, int], list[int]] = field(default_factory=dict)

    def add(self, place: int, day: float) -> int:
        """A new colony."""
        self.first.append(day)
        self.dead.append(FOREVER)
        self.gone.append(FOREVER)
        self.beside.append([-1, -1])
        self.moves.append([Move(len(self.moves), int(day), place, -1)])
        if len(self.grid):
            self._enter(len(self.moves) - 1)
        return len(self.first) - 1

    def settle(self) -> None:
        """Writes down where every colony stands each day; after it only new colonies come, which do not move."""
        self.grid = np.full((3 * len(self.first), DAYS), -1, dtype=np.int16)
        for j in range(len(self.first)):
            self._enter(j)

    def _enter(self, colony: int) -> None:
        for move in sorted(self.moves[colony], key=lambda m: m.day):
            self.grid[colony, move.day :] = move.place
        end = min(self.dead[colony], self.gone[colony])
        if end < DAYS:
            self.grid[colony, int(end) :] = -1

    def place(self, colony: int, day: float) -> int:
        """Where it stands."""
        return [move.place for move in self.moves[colony] if move.day <= day][-1]

    def at(self, place: int, day: float) -> list[int]:
        """Colonies that live at an apiary on a day."""
        return [int(j) for j in np.flatnonzero(self.grid[: len(self.first), int(day)] == place)]

    def lives(self, colony: int, day: float) -> bool:
        """Whether it lives on a day."""
        return self.first[colony] <= day < min(self.dead[colony], self.gone[colony])

    def of(self, keeper: int, day: float) -> list[int]:
        """Colonies of a keeper in order of apiary."""
        key = (keeper, int(day), len(self.first))
        if key not in self.seen:
            places = self.grid[: len(self.first), int(day)]
            mine = np.flatnonzero((places >= 0) & (self.owner[places] == keeper))
            self.seen[key] = [int(j) for j in mine[np.argsort(places[mine], kind="stable")]]
        return self.seen[key]

    def move(self, colonies: list[int], day: int, place: int) -> None:
        """Takes colonies to an apiary, as one trip."""
        for j in colonies:
            self.moves[j].append(Move(j, day, place, self.trips))
        self.trips += 1


def region(rng: np.random.Generator, trial: Assumptions) -> Region:
    """Keepers, apiaries and hives on day 0, then winter losses and moves of two seasons."""
    count = int(rng.integers(int(trial.apiaries[0]), int(trial.apiaries[1]) + 1))
    owner, firm = _keepers(rng, count, trial)
    xy = rng.uniform(0, trial.side_km, (count, 2))
    for keeper, big in enumerate(firm):
        mine = np.flatnonzero(owner == keeper)
        if not big:
            xy[mine[1:]] = xy[mine[0]] + rng.normal(0, trial.keeper_spread_km, (len(mine) - 1, 2))
    made = Region(xy, owner, firm)
    for place in range(count):
        size = int(np.exp(rng.uniform(*np.log([trial.hives[0], trial.hives[1] + 1]))))
        row = [made.add(place, 0) for _ in range(size)]
        for left, right in pairwise(row):
            made.beside[left][1], made.beside[right][0] = right, left
    for j in np.flatnonzero(rng.random(len(made.first)) < trial.winter_loss):
        made.dead[j] = float(rng.integers(220, 345))
        made.gone[j] = made.dead[j] + np.floor(between(rng, trial.open_days))
    for begins, ends in trial.seasons:
        _migrate(rng, made, trial, begins, ends)
        _sell(rng, made, trial, begins)
    made.settle()
    return made


def _keepers(rng: np.random.Generator, count: int, trial: Assumptions) -> tuple[Ints, list[bool]]:
    firms = int(rng.integers(int(trial.firms[0]), int(trial.firms[1]) + 1))
    of_firms = round(count * trial.firm_share)
    owner = [k % firms for k in range(of_firms)]
    keeper = firms
    while len(owner) < count:
        owner += [keeper] * int(rng.integers(1, 4))
        keeper += 1
    owner = owner[:count]
    return np.array(owner), [k < firms for k in range(max(owner) + 1)]


def _migrate(rng: np.random.Generator, made: Region, trial: Assumptions, begins: float, ends: float) -> None:
    for keeper in np.flatnonzero(made.firm):
        places = np.flatnonzero(made.owner == keeper)
        trips = int(rng.integers(int(trial.migrations[0]), int(trial.migrations[1]) + 1))
        for a, b in [rng.choice(places, 2, replace=False) for _ in range(trips)]:
            day = int(begins + rng.integers(25, 80))
            back = int(min(day + between(rng, trial.away_days), ends - 5))
            goes = [j for j in range(len(made.first)) if made.lives(j, day) and made.place(j, day) == a]
            goes = [j for j in goes if made.moves[j][-1].day < begins + 1]
            goes = goes[: int(np.ceil(len(goes) * between(rng, trial.migrating)))]
            if goes:
                made.move(goes, day, int(b))
                made.trips -= 1
                made.move(goes, back, int(a))


def _sell(rng: np.random.Generator, made: Region, trial: Assumptions, begins: float) -> None:
    for _ in range(rng.poisson(trial.sold_hives)):
        day, j = int(begins + rng.integers(10, 120)), int(rng.integers(len(made.first)))
        buyers = np.flatnonzero(made.owner != made.owner[made.place(j, day)])
        if made.lives(j, day) and made.moves[j][-1].day <= day:
            made.move([j], day, int(rng.choice(buyers)))
