"""What the draws would say without one record, by weighing them anew: each draw counts by one over the chance that
its history gave to what the record says. Right as long as enough draws still count; else it is said that they do not.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from ashcomb.outbreak.posterior import Draws
from ashcomb.outbreak.rates import PRESSURES
from ashcomb.outbreak.scene import Floats, Ints, Scene
from ashcomb.outbreak.summaries import rows_of, shows

Kind = Literal["look", "pool", "event"]
_LATENT = PRESSURES.index("latent")


@dataclass(frozen=True)
class Reweighed:
    """weights (draws): sum 1.  share: effective share of the draws that still count, 0 to 1."""

    weights: Floats
    share: float

    def chance(self, draws: Draws, rows: Ints) -> float:
        """Share of the weight in draws that hold one of these rows, at most one a draw."""
        return float(self.weights[draws.draw[rows]].sum())


def without(scene: Scene, draws: Draws, kind: Kind, number: int) -> Reweighed:
    """The draws weighed as if that look, test or event were not on record. number: in the order of the scene."""
    logs = {"look": _look, "pool": _pool, "event": _event}[kind](scene, draws, number)
    best = float(logs.max(initial=-np.inf))
    if not np.isfinite(best):
        return Reweighed(np.full(draws.count, 1.0 / draws.count), 0.0)
    weights = np.exp(logs - best)
    weights /= weights.sum()
    return Reweighed(weights, float(1.0 / (draws.count * (weights**2).sum())))


def owner_of(scene: Scene, look: int) -> int:
    """The colony of a look."""
    return int(np.searchsorted(scene.look_ptr, look, side="right")) - 1


def _look(scene: Scene, draws: Draws, k: int) -> Floats:
    """Without a look, those after it that are alike say something else too."""
    j = owner_of(scene, k)
    rows, looks = rows_of(draws, j), range(scene.look_ptr[j], scene.look_ptr[j + 1])
    false = scene.look_false[k]
    with np.errstate(divide="ignore"):
        logs = np.full(draws.count, -np.log(false if scene.look_found[k] else 1 - false))
    logs[draws.draw[rows]] = _said(scene, draws, rows, [i for i in looks if i != k]) - _said(scene, draws, rows, looks)
    return logs


def _said(scene: Scene, draws: Draws, rows: Ints, looks: Iterable[int]) -> Floats:
    """Log of the chance that these rows of one colony give to what these of its looks found."""
    total, noticed, looked = (np.zeros(len(rows)) for _ in range(3))
    for k in looks:
        there = shows(scene, draws, rows, float(scene.look_time[k]))
        alike, hit = scene.look_alike[k], scene.look_found[k]
        seen = there * (scene.look_worth[k] + alike * noticed) / (1 + alike * looked)
        found = seen + (1 - seen) * scene.look_false[k]
        total += np.log(found if hit else 1 - found)
        if alike > 0:
            noticed, looked = noticed + there * hit, looked + there
    return total


def _pool(scene: Scene, draws: Draws, p: int) -> Floats:
    at, missed = scene.pool_time[p], np.full(draws.count, 1.0 - scene.pool_false[p])
    for j in scene.pool[scene.pool_ptr[p] : scene.pool_ptr[p + 1]]:
        rows = rows_of(draws, int(j))
        chance = np.where(draws.onset[rows] <= at, scene.pool_signs[p], scene.pool_latent[p])
        missed[draws.draw[rows]] *= 1 - np.where(draws.time[rows] <= at, chance, 0.0)
    with np.errstate(divide="ignore"):
        return np.asarray(-np.log(1 - missed if scene.pool_found[p] else missed))


def _event(scene: Scene, draws: Draws, e: int) -> Floats:
    when, latent = draws.date_of(scene, e), draws.rates[:, _LATENT]
    share = np.full(draws.count, float(scene.event_outside[e]))
    for g in range(scene.give_ptr[e], scene.give_ptr[e + 1]):
        rows = rows_of(draws, int(scene.give[g]))
        draw = draws.draw[rows]
        at = when[draw] if np.isnan(scene.give_time[g]) else scene.give_time[g]
        worth = np.where(draws.onset[rows] <= at, 1.0, latent[draw]) * (draws.time[rows] < at)
        share[draw] += scene.give_share[g] * worth
    chance = draws.rates[:, len(PRESSURES) + scene.event_kind[e]]
    spared = scene.event_objects[e] * np.log1p(-np.minimum(share * chance, 1 - 1e-15))
    takers = scene.take[scene.take_ptr[e] : scene.take_ptr[e + 1]]
    risk = np.full(draws.count, len(takers), dtype=float)
    used = np.zeros(draws.count, dtype=bool)
    for j in takers:
        rows = rows_of(draws, int(j))
        draw, mine = draws.draw[rows], draws.source[rows] == e
        used[draw[mine]] = True
        later = (when[draw] < draws.time[rows]) | ((when[draw] == draws.time[rows]) & (e < draws.source[rows]))
        risk[draw[mine | ~later]] -= 1
    return np.where(used, -np.inf, -risk * spared)
