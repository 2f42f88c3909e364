"""Which practice or rule would have cut the way of the disease to the known cases, in each drawn history.

A practice cuts single links of a chain, each surely, never, or by a chance. The chain to a case is cut when any link
of it is. What is cut is this way only: the hive might have caught it on another, later; so these are not cases spared.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from ashcomb.outbreak.forecast import Figure, figure
from ashcomb.outbreak.posterior import Draws
from ashcomb.outbreak.rates import ROUTES
from ashcomb.outbreak.scene import NEVER, PRESSURE, Floats, Ints, Scene
from ashcomb.outbreak.summaries import Bools, parents, place_at, shows

Cut = Callable[["Links"], Floats]  # chance that each link is cut


@dataclass(frozen=True)
class Links:
    """Every infection of every draw as a link from its infector. up: row of the infector, or -1.  crosses: it came by a
    dated move from another place, or from outside.  kind: index in ROUTES, or -1 for pressure.
    """

    scene: Scene
    draws: Draws
    up: Ints
    kind: Ints
    crosses: Bools


@dataclass(frozen=True)
class Judged:
    """One practice. cut: how many of the known cases it would have cut off.  by_case: chance for each of them."""

    name: str
    cut: Figure
    by_case: Floats


def links_of(scene: Scene, draws: Draws) -> Links:
    """The links of all draws."""
    kind = np.full(len(draws.draw), -1, dtype=np.int64)
    moved = draws.source >= 0
    kind[moved] = scene.event_kind[draws.source[moved]]
    crosses = np.zeros(len(kind), dtype=bool)
    rows = np.flatnonzero(moved)
    given = _given(scene, draws, rows)
    there = np.full(len(rows), -1, dtype=np.int64)
    by = draws.infector[rows]
    there[by >= 0] = place_at(scene, by[by >= 0], given[by >= 0])
    crosses[rows] = there != place_at(scene, draws.colony[rows], draws.time[rows])
    return Links(scene, draws, parents(draws), kind, crosses)


def _given(scene: Scene, draws: Draws, rows: Ints) -> Floats:
    """When the infector of each row gave its objects; the time of the event where the scene says no other."""
    at = draws.time[rows].copy()
    event = np.repeat(np.arange(len(scene.event_kind)), np.diff(scene.give_ptr))
    known = {(int(e), int(i)): t for e, i, t in zip(event, scene.give, scene.give_time, strict=True) if t == t}
    pairs = zip(draws.source[rows].tolist(), draws.infector[rows].tolist(), strict=True)
    for k, pair in enumerate(pairs):
        at[k] = known.get(pair, at[k])
    return at


def judged(links: Links, practices: dict[str, Cut], cases: Ints) -> tuple[Judged, ...]:
    """Each practice over all draws. cases: numbers of the known cases."""
    draws = links.draws
    place = np.full(len(links.scene.first), -1, dtype=np.int64)
    place[cases] = np.arange(len(cases))
    rows = np.flatnonzero(place[draws.colony] >= 0)
    found = []
    for name, cut in practices.items():
        lost = np.zeros((draws.count, len(cases)))
        lost[draws.draw[rows], place[draws.colony[rows]]] = cut_off(links.up, cut(links))[rows]
        found.append(Judged(name, figure(lost.sum(axis=1)), lost.mean(axis=0)))
    return tuple(found)


def cut_off(up: Ints, cut: Floats) -> Floats:
    """Chance that the chain to each row is cut somewhere, from the chance that each link is; by doubling of steps."""
    whole, at = 1.0 - cut, up.copy()
    while (at >= 0).any():
        has = at >= 0
        above = np.where(has, at, 0)
        whole, at = np.where(has, whole * whole[above], whole), np.where(has, at[above], -1)
    return np.asarray(1.0 - whole)


def by_kinds(names: tuple[str, ...], only_between_places: bool = False) -> Cut:
    """Moves of these kinds do not happen, or not between places."""
    kinds = [ROUTES.index(name) for name in names]

    def cut(links: Links) -> Floats:
        there = np.isin(links.kind, kinds)
        there = there & links.crosses if only_between_places else there
        return np.where(there, 1.0, 0.0)

    return cut


def standstill(first: float) -> Cut:
    """Nothing moves between places from a day on."""
    return lambda links: np.where((links.kind >= 0) & links.crosses & (links.draws.time >= first), 1.0, 0.0)


def closed_dead_outs() -> Cut:
    """A dead-out is closed to bees at once."""

    def cut(links: Links) -> Floats:
        by, draws = links.draws.infector, links.draws
        dead = np.where(by >= 0, links.scene.dead[np.maximum(by, 0)], NEVER)
        return np.where((draws.source == PRESSURE) & (draws.time >= dead), 1.0, 0.0)

    return cut


def apart(touching: float, apiary: float) -> Cut:
    """Hives do not touch: a link between neighbours is left with the share that the apiary alone would bring."""

    def cut(links: Links) -> Floats:
        draws, by = links.draws, np.maximum(links.draws.infector, 0)
        beside = (links.scene.touching[draws.colony] == by[:, None]).any(axis=1) & (draws.infector >= 0)
        same = place_at(links.scene, by, draws.time) == place_at(links.scene, draws.colony, draws.time)
        share = max(0.0, 1.0 - apiary / touching) if touching > 0 else 0.0
        return np.where((draws.source == PRESSURE) & beside & same, share, 0.0)

    return cut


def sooner(days: float) -> Cut:
    """The look that found a hive came so many days sooner, saw signs if there were any, and the hive went at once."""

    def cut(links: Links) -> Floats:
        scene, draws = links.scene, links.draws
        at, worth = _first_find(scene)
        at = at - days
        rows = np.flatnonzero(links.up >= 0)
        above = links.up[rows]
        colony = draws.colony[above]
        seen = shows(scene, draws, above, at[colony]) & (draws.time[rows] >= at[colony])
        chance = np.zeros(len(links.up))
        chance[rows] = np.where(seen, worth[colony], 0.0)
        return chance

    return cut


def _first_find(scene: Scene) -> tuple[Floats, Floats]:
    """Time of the first look that found signs in each colony, infinite if none, and its worth."""
    at, worth = np.full(len(scene.first), np.inf), np.zeros(len(scene.first))
    owner = np.repeat(np.arange(len(scene.first)), np.diff(scene.look_ptr))
    for k in np.flatnonzero(scene.look_found)[::-1]:
        at[owner[k]], worth[owner[k]] = scene.look_time[k], scene.look_worth[k]
    return at, worth
