"""Are the chances of the engine true? Chance given to each hive on the day of the first case, against the truth.

Worlds as in the search, but without a least size: every outbreak that has a first case counts. The engine is used as
it is delivered, the chance it prints. The first case is left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.stats import binomtest
from verification.field_trial.world import world

from ashcomb.outbreak.posterior import Effort, sample
from ashcomb.outbreak.rates import PRESSURES, Rates, rates
from ashcomb.outbreak.scene import Floats

SAMPLED = PRESSURES[:4]
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
    """The engine's rates. kind: 'delivered', all at their sourced values; 'background=VALUE', so too but for it;
    'background-sampled', it drawn over its sourced range; 'sampled', the first four of pressure.
    """
    if kind.startswith("background="):
        return rates(replaced={"background": (float(kind.partition("=")[2]), "tried in the trial")})
    return rates({"delivered": (), "background-sampled": ("background",), "sampled": SAMPLED}[kind])


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


def _sums(all_given: list[Given]) -> Floats:
    """Hives, infected, logarithmic and squared scores, expected, infected in the top tenth: shape (outbreaks, 6)."""
    rows = []
    for g in all_given:
        kept = np.clip(g.chance, LEAST, 1.0 - LEAST)
        score = np.where(g.infected, np.log(kept), np.log1p(-kept)).sum()
        top = g.infected[np.argsort(-g.chance, kind="stable")[: -(-len(g.chance) // 10)]].sum()
        rows.append([len(kept), g.infected.sum(), score, ((kept - g.infected) ** 2).sum(), g.chance.sum(), top])
    return np.array(rows, dtype=float)


def _skills(sums: Floats) -> Floats:
    """The fields of `Skill`, shape (6, …), from sums over outbreaks (…, 6)."""
    hives, sick, score, squares, expected, top = np.moveaxis(sums, -1, 0)
    base = sick / hives
    flat = sick * np.log(base) + (hives - sick) * np.log1p(-base)
    return np.array([base, 1.0 - squares / hives / (base * (1.0 - base)), 1.0 - score / flat,
                     (score - flat) / sick / np.log(2.0), expected / sick, top / sick])  # fmt: skip


def skill(all_given: list[Given]) -> Skill:
    """Skill over all outbreaks together."""
    return Skill(*_skills(_sums(all_given).sum(axis=0)).tolist())


def skill_between(
    all_given: list[Given], against: list[Given] | None = None, rounds: int = 2000, seed: int = 0, level: float = 0.95
) -> tuple[Skill, Skill]:
    """Ends of the intervals of skill, drawing whole outbreaks anew; with `against` of what it is above the other's.

    against: of the same outbreaks in the same order.
    """
    if against is not None and [g.seed for g in against] != [g.seed for g in all_given]:
        raise ValueError("not the same outbreaks")
    picks = np.random.default_rng(seed).integers(0, len(all_given), (rounds, len(all_given)))
    found = _skills(_sums(all_given)[picks].sum(axis=1))
    if against is not None:
        found = found - _skills(_sums(against)[picks].sum(axis=1))
    low, high = np.quantile(found, [(1.0 - level) / 2.0, (1.0 + level) / 2.0], axis=1)
    return Skill(*low.tolist()), Skill(*high.tolist())
