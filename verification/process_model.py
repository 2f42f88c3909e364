"""A special case of the outbreak model, written for SimPy: a general library of processes knows nothing of ours.

Colonies of equal apiaries in a row; same-apiary contact, and robbing between neighbours in the row; a delay until signs
by any law; infectious before the signs by a share; each apiary is visited every so many days, and what shows signs is
found by a chance and gone some days later. No dated moves, no background: `as_scene` says the same to the simulator.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import simpy

from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.pressure import near_apiaries
from ashcomb.outbreak.rates import Rates, rates
from ashcomb.outbreak.scene import FOREVER, Scene, Stay


@dataclass(frozen=True)
class Case:
    """quantile: days until signs at equal steps of chance.  first: colonies that are infected on day 0, by number.

    within, between: rates a day of one infected colony to one other of the same, and of a next apiary.
    """

    apiaries: int
    each: int
    days: int
    quantile: np.ndarray
    within: float
    between: float
    latent: float
    notice: float
    every: float
    wait: float
    first: tuple[int, ...] = (0,)

    @property
    def size(self) -> int:
        return self.apiaries * self.each


def visits(case: Case) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Every apiary on every round, as the simulator takes them."""
    rounds = np.arange(case.every, case.days, case.every) if case.every > 0 else np.zeros(0)
    place = np.tile(np.arange(case.apiaries, dtype=np.int64), len(rounds))
    return np.repeat(rounds, case.apiaries), place, np.array([case.notice, case.wait, 0.0])


def as_scene(case: Case) -> tuple[Scene, Rates]:
    """The same for the simulator."""
    known = Colonies.plain(case.size)
    known.before[list(case.first)] = 1.0
    stays = [Stay(j, j // case.each, 0, FOREVER) for j in range(case.size)]
    row = np.stack([np.arange(case.apiaries, dtype=float), np.zeros(case.apiaries)], axis=1)
    near = near_apiaries(row, 1.5, np.ones_like)
    scene = build_scene(case.days, known, Records(stays, near, (), (), (), None, case.quantile,
                                                  np.array([0.0, 28.0, 7.0, 21.0])))  # fmt: skip
    given = {"background": 0.0, "touching": case.within, "apiary": case.within, "robbing": case.between,
             "latent": case.latent}  # fmt: skip
    return scene, rates(replaced={name: (rate, "special case") for name, rate in given.items()})


class Row:
    """One run: the day of infection, of signs and of removal of each colony. contacts: made by anyone."""

    def __init__(self, case: Case, rng: np.random.Generator) -> None:
        self.case, self.rng, self.contacts = case, rng, 0
        self.time, self.onset = np.full(case.size, np.inf), np.full(case.size, np.inf)
        self.gone, self.found = np.full(case.size, np.inf), np.zeros(case.size, dtype=bool)
        self.env = simpy.Environment()
        for j in case.first:
            self.infect(j)
        if case.every > 0:
            self.env.process(self.rounds())
        self.env.run(until=case.days)

    def infect(self, j: int) -> None:
        if self.time[j] == np.inf:
            chance = self.rng.random() * (len(self.case.quantile) - 1)
            k = int(chance)
            low, high = self.case.quantile[k], self.case.quantile[k + 1]
            self.time[j], self.onset[j] = self.env.now, self.env.now + low + (chance - k) * (high - low)
            self.env.process(self.colony(j))

    def colony(self, j: int):
        """Meets others at the rate of its apiary and the next ones; a contact before the signs counts by a share."""
        case, place = self.case, j // self.case.each
        sides = [p for p in (place - 1, place + 1) if 0 <= p < case.apiaries]
        own, near = case.within * (case.each - 1), case.between * case.each * len(sides)
        while True:
            yield self.env.timeout(self.rng.exponential(1 / (own + near)))
            now = self.env.now
            if now >= self.gone[j]:
                return
            self.contacts += 1
            if now < self.onset[j] and self.rng.random() >= case.latent:
                continue
            if self.rng.random() * (own + near) < own:
                k = place * case.each + int(self.rng.integers(case.each - 1))
                k += k >= j
            else:
                k = sides[int(self.rng.integers(len(sides)))] * case.each + int(self.rng.integers(case.each))
            if now < self.gone[k]:
                self.infect(k)

    def rounds(self):
        while True:
            yield self.env.timeout(self.case.every)
            now = self.env.now
            for j in np.flatnonzero((self.onset <= now) & (self.gone == np.inf)):
                if self.rng.random() < self.case.notice:
                    self.gone[j], self.found[j] = now + self.case.wait, True


def curves(case: Case, runs: int, rng: np.random.Generator, grid: np.ndarray) -> np.ndarray:
    """Infected and showing by each day of the grid, and the found, shape (runs, 2 len(grid) + 1)."""
    rows = []
    for _ in range(runs):
        run = Row(case, rng)
        told = [[(run.time <= day).sum(), (run.onset <= day).sum()] for day in grid]
        rows.append([*np.ravel(told), run.found.sum()])
    return np.array(rows, dtype=float)
