"""Are the chances of the engine true? Chance given to each hive on the day of the first case, against the truth.

Worlds as in the search, but without a least size: every outbreak that has a first case counts. The engine is used as
it is delivered, the chance it prints. The first case is left out.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from scipy.stats import binomtest
from verification.field_trial.world import world

from ashcomb.outbreak.posterior import Effort, sample
from ashcomb.outbreak.rates import PRESSURES, Rates, rates
from ashcomb.outbreak.scene import Floats

SAMPLED = PRESSURES[:4]
UNRECORDED = 10.0
EFFORT = Effort(chains=2, burn=0.25, ess=1e9, first=800, most=800, kept=200)
BANDS = (0.0, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.4, 1.0)
LEAST = 1e-4  # a chance below counts as this one, so that one surprise does not outweigh everything


@dataclass(frozen=True)
class Given:
    """Chances given in one outbreak and the truth, one for each hive that stands and is no case."""

    seed: int
    chance: Floats
    infected: np.ndarray


def engine(kind: str) -> Rates:
    """The engine's rates. kind: 'delivered', all at their sourced values; 'sampled', the four of pressure drawn over
    their sourced ranges; 'widened', so too, with the background up to ten times its upper end.

    Widened because contacts are missing from any record: a hive that nothing on record links to a case is not as safe
    as the background of a whole country makes it.
    """
    usual = rates(sampled=() if kind == "delivered" else SAMPLED)
    if kind != "widened":
        return usual
    reason = "Widened tenfold upwards for contacts that no record holds."
    wide = [replace(r, source=replace(r.source, high=UNRECORDED * r.source.high, status="project choice",
                                      reason=reason))
            if r.name == "background" else r for r in usual.rates]  # fmt: skip
    return Rates(tuple(wide))


def given(seed: int, used: Rates, effort: Effort = EFFORT) -> Given:
    """What the engine gives in the world of a seed."""
    made = world(seed, searched=False)
    chance = sample(made.told, used, seed, effort).chance
    counts = (made.standing >= 0) & (np.arange(len(chance)) != made.index)
    return Given(seed, chance[counts], made.infected[counts])


@dataclass(frozen=True)
class Band:
    """Hives given a chance from low to high: how many, the mean chance, the share infected, its interval."""

    low: float
    high: float
    hives: int
    mean: float
    share: float
    between: tuple[float, float]

    @property
    def true(self) -> bool:
        """Whether the mean chance given lies within the interval."""
        return self.between[0] <= self.mean <= self.between[1]


def bands(all_given: list[Given], rounds: int = 2000, seed: int = 0, level: float = 0.95) -> list[Band]:
    """The table. Intervals by drawing whole outbreaks anew, for hives of one outbreak are not independent.

    They are never narrower than the exact binomial interval: where few hives are, drawing anew says too little.
    """
    rng = np.random.default_rng(seed)
    picks = rng.integers(0, len(all_given), (rounds, len(all_given)))
    found = []
    for low, high in pairwise(BANDS):
        inside = [(g.chance >= low) & ((g.chance < high) | (high == 1.0)) for g in all_given]
        size = np.array([i.sum() for i in inside], dtype=float)
        sick = np.array([g.infected[i].sum() for g, i in zip(all_given, inside, strict=True)], dtype=float)
        total = np.array([g.chance[i].sum() for g, i in zip(all_given, inside, strict=True)])
        if size.sum() == 0:
            continue
        mean, share = total.sum() / size.sum(), sick.sum() / size.sum()
        many = np.maximum(size[picks].sum(axis=1), 1.0)
        gap = (sick[picks].sum(axis=1) - total[picks].sum(axis=1)) / many - (share - mean)
        drawn = share + np.quantile(gap, [(1.0 - level) / 2.0, (1.0 + level) / 2.0])
        exact = binomtest(int(sick.sum()), int(size.sum())).proportion_ci(level)
        ends = max(min(float(drawn[0]), exact.low), 0.0), min(max(float(drawn[1]), exact.high), 1.0)
        found.append(Band(low, high, int(size.sum()), mean, share, ends))
    return found


@dataclass(frozen=True)
class Skill:
    """Skill against the base rate, the share infected of all hives: 1 is perfect, 0 no better, below 0 worse.

    gain: logarithmic score above the base rate, bits for each infected hive.  expected: infected hives the engine
    expects for each that is.  top: share of the infected among the tenth of hives given the highest chance.
    """

    base: float
    brier: float
    log: float
    gain: float
    expected: float
    top: float


def skill(all_given: list[Given]) -> Skill:
    """Skill over all outbreaks together."""
    chance = np.clip(np.concatenate([g.chance for g in all_given]), LEAST, 1.0 - LEAST)
    truth = np.concatenate([g.infected for g in all_given]).astype(float)
    base = truth.mean()
    brier = 1.0 - ((chance - truth) ** 2).mean() / (base * (1.0 - base))
    score = np.where(truth > 0, np.log(chance), np.log1p(-chance)).sum()
    flat = truth.sum() * np.log(base) + (len(truth) - truth.sum()) * np.log1p(-base)
    tops = [g.infected[np.argsort(-g.chance, kind="stable")[: -(-len(g.chance) // 10)]].sum() for g in all_given]
    return Skill(base, brier, 1.0 - score / flat, (score - flat) / truth.sum() / np.log(2.0),
                 float(np.concatenate([g.chance for g in all_given]).sum() / truth.sum()),
                 float(sum(tops) / truth.sum()))  # fmt: skip
