"""The likelihood of one outbreak history, written to be read: no lists kept ready, no sums reused, plain loops.

The compiled sampler must agree with it. Times are days; a history is infection time, onset and source of each colony
(see ashcomb.outbreak.scene for sources), and a time for each event.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import expm1, inf, isnan, log, log1p

import numpy as np

from ashcomb.outbreak.scene import BEFORE, NO, PRESSURE, Scene

BACKGROUND, TOUCHING, APIARY, ROBBING, LATENT, ROBBED, FIRST_ROUTE = range(7)


@dataclass
class History:
    """time, onset, turn, length, source: of each colony.  when: of each event."""

    time: list[float]
    onset: list[float]
    turn: list[float]
    length: list[float]
    source: list[int]
    when: list[float]


def place_of(scene: Scene, i: int, at: float) -> int | None:
    for slot in range(scene.stay_ptr[i], scene.stay_ptr[i + 1]):
        if scene.stay_from[slot] <= at < scene.stay_to[slot]:
            return int(scene.stay_place[slot])
    return None


def infectiousness(scene: Scene, theta, h: History, i: int, at: float) -> float:
    if h.source[i] == NO or at < h.time[i] or at >= scene.end[i] or h.time[i] >= scene.dead[i]:
        return 0.0
    if at >= scene.dead[i]:
        return theta[ROBBED]
    return 1.0 if at >= h.onset[i] else theta[LATENT]


def contact(scene: Scene, theta, i: int, j: int, at: float) -> float:
    """Pressure of a fully infectious colony i on colony j."""
    a, b = place_of(scene, i, at), place_of(scene, j, at)
    if a is None or b is None or i == j:
        return 0.0
    if a == b:
        return theta[TOUCHING] if j in scene.touching[i] or i in scene.touching[j] else theta[APIARY]
    for n in range(scene.near_ptr[b], scene.near_ptr[b + 1]):
        if scene.near[n] == a:
            return theta[ROBBING] * scene.near_fall[n]
    return 0.0


def pressure(scene: Scene, theta, h: History, j: int, at: float) -> float:
    others = (i for i in range(len(h.time)) if h.source[i] != NO and i != j)
    return theta[BACKGROUND] + sum(
        contact(scene, theta, i, j, at) * infectiousness(scene, theta, h, i, at) for i in others
    )


def cumulated(scene: Scene, theta, h: History, j: int, until: float) -> float:
    """Pressure on j summed from its first day; it changes only at these moments."""
    cuts = {float(scene.first[j]), until}
    for values in (scene.stay_from, scene.stay_to, scene.end, scene.dead, h.time, h.onset):
        cuts |= {float(x) for x in values if scene.first[j] < x < until}
    ordered = sorted(cuts)
    return sum((b - a) * pressure(scene, theta, h, j, (a + b) / 2) for a, b in pairwise(ordered))


def contaminated(scene: Scene, theta, h: History, e: int) -> float:
    share = float(scene.event_outside[e])
    for g in range(scene.give_ptr[e], scene.give_ptr[e + 1]):
        i = scene.give[g]
        at = h.when[e] if isnan(scene.give_time[g]) else scene.give_time[g]
        if h.time[i] < at:
            share += scene.give_share[g] * (1.0 if h.onset[i] <= at else theta[LATENT])
    return share


def spared(scene: Scene, theta, h: History, e: int) -> float:
    """Log of the chance that a receiver stays free."""
    p = theta[FIRST_ROUTE + scene.event_kind[e]]
    return float(scene.event_objects[e]) * log1p(-min(contaminated(scene, theta, h, e) * p, 1 - 1e-15))


def log_infection(scene: Scene, theta, h: History, j: int) -> float:
    """Log density of how and when colony j was infected, or of staying free."""
    if h.source[j] == BEFORE:
        return log(scene.before[j]) if scene.before[j] > 0 else -inf
    until = float(scene.infectable[j]) if h.source[j] == NO else h.time[j]
    total = log1p(-scene.before[j]) - cumulated(scene, theta, h, j, until)
    for e in range(len(h.when)):
        receives = j in scene.take[scene.take_ptr[e] : scene.take_ptr[e + 1]]
        same_moment = h.source[j] >= 0 and h.when[e] == until and e < h.source[j]
        if receives and e != h.source[j] and (h.source[j] == NO or h.when[e] < until or same_moment):
            total += spared(scene, theta, h, e)
    if h.source[j] == PRESSURE:
        total += log(pressure(scene, theta, h, j, h.time[j]))
    if h.source[j] >= 0:
        chance = -expm1(spared(scene, theta, h, h.source[j]))
        total += log(chance) if chance > 0 else -inf
    return total


def visible(scene: Scene, h: History, j: int, at: float) -> bool:
    if at < h.onset[j]:
        return False
    share, within, least, most = scene.remission
    if h.turn[j] >= share:
        return True
    begins = h.onset[j] + within * h.turn[j] / share
    return not begins <= at < begins + least + (most - least) * h.length[j]


def log_looks(scene: Scene, h: History) -> float:
    total = 0.0
    for j in range(len(h.time)):
        past: list[int] = []  # looks that are alike, while signs were there: 1 noticed, 0 missed
        for k in range(scene.look_ptr[j], scene.look_ptr[j + 1]):
            p = 0.0
            if visible(scene, h, j, scene.look_time[k]):
                p = scene.look_worth[k]
                if scene.look_alike[k] > 0:
                    numbers = 1 / scene.look_alike[k]  # of the beta law, together
                    p = (p * numbers + sum(past)) / (numbers + len(past))
                    past.append(int(scene.look_found[k]))
            p = p + (1 - p) * scene.look_false[k]
            chance = p if scene.look_found[k] else 1 - p
            total += log(chance) if chance > 0 else -inf
    for p in range(len(scene.pool_time)):
        missed, at = 1 - scene.pool_false[p], scene.pool_time[p]
        for j in scene.pool[scene.pool_ptr[p] : scene.pool_ptr[p + 1]]:
            if h.time[j] <= at:
                missed *= 1 - (scene.pool_signs[p] if h.onset[j] <= at else scene.pool_latent[p])
        chance = 1 - missed if scene.pool_found[p] else missed
        total += log(chance) if chance > 0 else -inf
    return total


def log_likelihood(scene: Scene, theta, h: History) -> float:
    """Log density of the history times the chance of what was observed; positions of onset and remission are flat."""
    return sum(log_infection(scene, theta, h, j) for j in range(len(h.time))) + log_looks(scene, h)


def onset_by_hand(scene: Scene, time: float, chance: float) -> float:
    """Day of first signs from its position in the law."""
    steps = len(scene.quantile) - 1
    delay = float(np.interp(chance * steps, np.arange(steps + 1), scene.quantile))
    brood = float(np.interp(time, np.arange(len(scene.brood)), scene.brood)) + delay
    if not brood <= scene.brood[-1]:
        return inf
    return float(np.interp(brood, scene.brood, np.arange(len(scene.brood)))) if np.all(np.diff(scene.brood) > 0) else (
        _first_time(scene, brood))  # fmt: skip


def _first_time(scene: Scene, brood: float) -> float:
    k = int(np.argmax(scene.brood >= brood))
    if k == 0:
        return 0.0
    return k - 1 + (brood - scene.brood[k - 1]) / (scene.brood[k] - scene.brood[k - 1])
