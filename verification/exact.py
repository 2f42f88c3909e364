"""Every history of one to four colonies, summed: exact where infections come by dated events, a fine grid otherwise."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

import numpy as np
from verification.twin_likelihood import History, log_likelihood, onset_by_hand

from ashcomb.outbreak.rates import NAMES, rates
from ashcomb.outbreak.scene import BEFORE, NEVER, NO, PRESSURE, Scene

_PARTS = 30
Cell = tuple[int, float, float, float, float, float]  # source, time, onset, turn, length, log of its measure


def cells(
    scene: Scene, j: int, days: float | None, delays: int, remissions: int = 1, when: Sequence[float] | None = None
) -> list[Cell]:
    """What may have happened to one colony: never, before, by each event, or by pressure on a grid of `days`."""
    found: list[Cell] = [(NO, NEVER, NEVER, 1.0, 0.0, 0.0)]
    dates = scene.event_from if when is None else when
    starts = [(int(e), float(dates[e]), 0.0) for e in scene.in_event[scene.in_ptr[j] : scene.in_ptr[j + 1]]]
    if scene.before[j] > 0:
        starts.append((BEFORE, float(scene.first[j]), 0.0))
    if days is not None:
        count = round((scene.infectable[j] - scene.first[j]) / days)
        step = (scene.infectable[j] - scene.first[j]) / count
        starts += [(PRESSURE, float(scene.first[j] + (k + 0.5) * step), float(np.log(step))) for k in range(count)]
    middles = [(k + 0.5) / remissions for k in range(remissions)]
    turns = [(1.0, 0.0)] if remissions == 1 else list(product(middles, middles))
    for source, time, measure in starts:
        for k in range(delays):
            onset = onset_by_hand(scene, time, (k + 0.5) / delays)
            weight = measure - np.log(delays * len(turns))
            found += [(source, time, onset, turn, length, weight) for turn, length in turns]
    return found


def worlds(scene: Scene, theta, bounds: dict[str, int] | None) -> Iterator[tuple[list[float], np.ndarray]]:
    """Dates and rates on a grid: every open date at the middles of 30 equal parts, rates at those of so many parts."""
    opened = np.flatnonzero(scene.event_to > scene.event_from)
    sampled = [(NAMES.index(name), parts) for name, parts in (bounds or {}).items()]
    ranges = rates([name for name, _ in (bounds or {}).items()] if bounds else ()).bounds()
    middles = [[(k + 0.5) / _PARTS for k in range(_PARTS)]] * len(opened)
    middles += [[(k + 0.5) / parts for k in range(parts)] for _, parts in sampled]
    for chosen in product(*middles):
        when, used = scene.event_from.copy(), np.array(theta, dtype=float)
        for e, part in zip(opened, chosen, strict=False):
            when[e] += part * (scene.event_to[e] - scene.event_from[e])
        for (r, _), part in zip(sampled, chosen[len(opened) :], strict=True):
            low, high = ranges[r]
            used[r] = np.exp(np.log(low) + part * np.log(high / low)) if r < 4 else low + part * (high - low)
        yield [float(t) for t in when], used


def exact(scene: Scene, theta, days: float | None, delays: int, remissions: int = 1, bounds=None):
    """(chance infected of each colony, distribution of the number infected, mean time of infection where infected).

    bounds: name of a sampled rate -> into how many parts its range is cut.
    """
    n = len(scene.first)
    logs, states, times = [], [], []
    for when, used in worlds(scene, theta, bounds):
        options = [cells(scene, j, days, delays, remissions, when) for j in range(n)]
        for chosen in product(*options):
            source, time, onset, turn, length, measure = map(list, zip(*chosen, strict=True))
            h = History(time, onset, turn, length, source, when)
            logs.append(log_likelihood(scene, used, h) + sum(measure))
            states.append([s != NO for s in source])
            times.append([t if s != NO else 0.0 for t, s in zip(time, source, strict=True)])
    weight = np.exp(np.array(logs) - max(logs))
    weight /= weight.sum()
    infected = np.array(states)
    chance = weight @ infected
    mean = (weight @ np.array(times)) / np.maximum(chance, 1e-300)
    number = np.bincount(infected.sum(axis=1), weights=weight, minlength=n + 1)
    return chance, number, mean
