"""What the trial assumes: the named table of everything in its worlds that is no sourced value.

None of these numbers was measured. They are chosen so that the worlds differ from what the engine assumes, and so that
they look like a district of small keepers and a few firms. Rates, ranges and looks come from `ashcomb.sources`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ashcomb.outbreak.rates import NAMES, ROUTES, rates
from ashcomb.outbreak.scene import Floats

KIND = {name: k for k, name in enumerate(ROUTES)}
Range = tuple[float, float]


@dataclass(frozen=True)
class Assumptions:
    """Days count from 1 April of the first of two seasons. Pairs are the ends of a range that is drawn from."""

    apiaries: Range = (20, 30)
    hives: Range = (4, 60)  # of an apiary, log-uniform
    firms: Range = (2, 3)
    firm_share: float = 0.5  # of the apiaries; the others belong to keepers with one to three
    side_km: float = 20.0
    keeper_spread_km: float = 1.5  # of the apiaries of a small keeper around the first
    seasons: tuple[Range, Range] = ((0, 200), (365, 565))  # in which hives are opened
    brood_starts: tuple[int, int] = (1, 3)  # last month without brood; the engine assumes 2
    brood_stops: tuple[int, int] = (10, 12)  # first month without brood; the engine assumes 11
    frame_swaps: float = 0.2  # a hive a season, among hives of one keeper
    swap_away: float = 0.3  # share of them to another apiary
    pulled: float = 0.7  # share of hives whose supers go to each extraction
    lot_hives: int = 40
    stack_mixing: float = 6.0  # places in the stack by which supers of a lot are shuffled; the engine thinks: fully
    supers: int = 2  # of each hive
    migrations: Range = (0, 3)  # of a firm a season
    migrating: Range = (0.4, 1.0)  # share of the hives that goes along
    away_days: Range = (25, 60)
    nuclei: float = 0.08  # a hive a season
    packages: float = 3.0  # a season, between keepers, of three hives each
    sold_hives: float = 2.0  # a season, between keepers
    used_boxes: float = 2.0  # a season, between keepers
    winter_loss: float = 0.06
    open_days: Range = (5, 60)  # a dead-out stands open
    never_told: float = 0.06  # contacts a hive a season of which nobody keeps a record, with anybody within reach
    never_told_km: float = 6.0
    tool_contacts: float = 0.5  # a hive a season, never recorded
    tool_reach: int = 30  # places along the round of the keeper to which tools carry on
    robbing: Range = (0.0, 1.0)  # part of the sourced range of its rate that is drawn from, in its logarithm
    introductions: Range = (1, 2)  # hives infected from outside, in the first season
    look_every: Range = (25, 70)  # days between looks of a keeper
    looked_at: float = 0.8  # share of the hives opened at such a look
    lost: Range = (0.1, 0.3)  # share of contacts that the record lacks
    lost_moves: Range = (0.05, 0.2)  # share of moves to and fro that the record lacks
    lost_looks: Range = (0.1, 0.3)
    misdated: float = 0.3  # share of recorded contacts with a wrong date
    wrong_days: Range = (2, 21)
    by_month: float = 0.15  # share of recorded contacts of which only the month is known
    fewest_signs: int = 5  # hives with visible signs beside the first: fewer are no search


TRIAL = Assumptions()
ON_RECORD = Assumptions(
    robbing=(0.0, 0.3), never_told=0.0, tool_contacts=0.0, lost=(0.0, 0.0), lost_moves=(0.0, 0.0), misdated=0.0,
    by_month=0.0,
)  # fmt: skip

# Medians of the true rates of seeds 100 to 249, which are in no table; the background stands for what is not on record.
FITTED = {
    "background": 1e-5, "touching": 7e-4, "apiary": 1.3e-4, "robbing": 8e-5, "latent": 0.28, "robbed": 7.0,
    "brood frames": 0.7, "nucleus": 0.73, "package": 0.2, "swarm": 0.19, "queens": 0.025, "wet supers": 0.41,
    "dry supers": 0.14, "used boxes": 0.17, "feed": 0.28, "honey": 0.27, "tools": 0.05, "people": 0.05,
}  # fmt: skip
FITTED_LOOK = 0.2  # worth of a keeper's look there


def drawn_rates(rng: np.random.Generator, trial: Assumptions) -> Floats:
    """True rates: each between the ends of its sourced range, even in its logarithm (even as such if it may be 0)."""
    vector = rates().vector()
    for k, rate in enumerate(rates().rates):
        low, high = rate.source.low, rate.source.high
        if NAMES[k] == "background":
            vector[k] = low  # here infection comes from hives, and from the introductions
        elif low > 0:
            begins, ends = trial.robbing if NAMES[k] == "robbing" else (0.0, 1.0)
            vector[k] = low * (high / low) ** rng.uniform(begins, ends)
        else:
            vector[k] = rng.uniform(low, high)
    return vector


def between(rng: np.random.Generator, ends: Range) -> float:
    """A number of that range."""
    return float(rng.uniform(*ends))
