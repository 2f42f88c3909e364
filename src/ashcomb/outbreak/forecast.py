"""What comes under each of several plans: forward runs from the draws of the posterior, on common luck.

Every plan goes on from the same histories, and each colony has the same luck under every plan, so differences between
plans are known better than the plans. New infections from outside the records are left out: a forecast tells the
end of this outbreak. Hives die only by order here.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from ashcomb.outbreak.ahead import Measures, ahead, visits
from ashcomb.outbreak.posterior import Draws
from ashcomb.outbreak.scene import Floats, Ints, Scene
from ashcomb.outbreak.simulate import Rows, Simulator, seeds_of

BATCHES = 20


@dataclass(frozen=True)
class Figure:
    """A quantity over the runs. mean; low, high: 95 % of the runs; error: standard error of the mean by drawing."""

    mean: float
    low: float
    high: float
    error: float


@dataclass(frozen=True)
class Outcome:
    """What comes under one plan. runs: found, new, lost, days to freedom (infinite: not within the time), (runs, 4).

    found: cases beside the known ones.  new: infections from now on.  lost: hives killed, the known cases among them.
    free: chance that the last infected hive is gone within the time, with its error.  days: middle; low, high 95 %;
    infinite where not within the time.  more_new, more_lost: new infections and lost hives beyond the first plan's.
    """

    name: str
    runs: Floats
    found: Figure
    new: Figure
    lost: Figure
    free: Figure
    days: tuple[float, float, float]
    more_new: Figure
    more_lost: Figure


def forecast(
    scene: Scene, draws: Draws, plans: Sequence[Measures], cases: Ints, days: float, gen: np.random.Generator,
    most: int = 2000, workers: int = 1,
) -> tuple[Outcome, ...]:  # fmt: skip
    """Each plan for so many days from the horizon of the scene on. most: draws to go on from, 20 or more.

    The same generator gives the same figures on any number of workers. Raises ValueError without plans or draws.
    """
    if not plans or draws.count < BATCHES:
        raise ValueError("a forecast needs a plan and twenty draws")
    after, rates = states(draws, most)
    seeds = seeds_of(gen, len(rates))

    def one(plan: Measures) -> Floats:
        here, killed = ahead(scene, days, plan, cases)
        simulator = Simulator(here, rates[0])
        told = simulator.many(seeds, np.zeros(0), here.horizon, scene.horizon, after, rates,
                              visits(plan, scene, days))  # fmt: skip
        return np.stack([told[:, 3], told[:, 2], told[:, 4] + killed, told[:, 5] - scene.horizon], axis=1)

    with ThreadPoolExecutor(workers) as pool:
        runs = list(pool.map(one, plans))
    return tuple(_outcome(plan.name, each, runs[0]) for plan, each in zip(plans, runs, strict=True))


def states(draws: Draws, most: int) -> tuple[Rows, Floats]:
    """At most so many draws, evenly taken, as states to go on from; and their rates, without infection from outside."""
    chosen = np.arange(0, draws.count, max(1, -(-draws.count // most)))
    number = np.full(draws.count, -1, dtype=np.int64)
    number[chosen] = np.arange(len(chosen))
    kept = np.flatnonzero(number[draws.draw] >= 0)
    kept = kept[np.argsort(number[draws.draw[kept]], kind="stable")]
    ptr = np.searchsorted(number[draws.draw[kept]], np.arange(len(chosen) + 1)).astype(np.int64)
    part = np.stack([draws.time, draws.onset, draws.turn, draws.length], axis=1)[kept]
    rates = draws.rates[chosen].copy()
    rates[:, 0] = 0.0
    return Rows(ptr, draws.colony[kept], draws.source[kept], draws.infector[kept], np.ascontiguousarray(part)), rates


def figure(values: Floats) -> Figure:
    """Mean, 95 % of the values, and the error of the mean by twenty batches in order of drawing."""
    batches = np.array([part.mean() for part in np.array_split(values, BATCHES)])
    low, high = np.quantile(values, [0.025, 0.975], method="nearest")
    return Figure(float(values.mean()), float(low), float(high), float(batches.std(ddof=1) / np.sqrt(BATCHES)))


def _outcome(name: str, runs: Floats, first: Floats) -> Outcome:
    low, middle, high = np.quantile(runs[:, 3], [0.025, 0.5, 0.975], method="nearest")
    return Outcome(
        name=name, runs=runs, found=figure(runs[:, 0]), new=figure(runs[:, 1]), lost=figure(runs[:, 2]),
        free=figure(np.isfinite(runs[:, 3]).astype(float)), days=(float(middle), float(low), float(high)),
        more_new=figure(runs[:, 1] - first[:, 1]), more_lost=figure(runs[:, 2] - first[:, 2]),
    )  # fmt: skip
