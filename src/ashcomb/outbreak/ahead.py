"""The time ahead as a scene: what moved last year moves again, unless a plan forbids it; what a plan kills is gone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ashcomb.outbreak.build import Colonies, event_arrays
from ashcomb.outbreak.rates import ROUTES
from ashcomb.outbreak.scene import Event, Floats, Ints, Scene
from ashcomb.outbreak.summaries import last_place, place_at

YEAR = 365.0
SUPERS = (ROUTES.index("wet supers"), ROUTES.index("dry supers"))
FRAMES = (ROUTES.index("brood frames"),)


@dataclass(frozen=True)
class Measures:
    """One plan. name: for people.  whole: a find kills its whole apiary, not the case alone.  standstill: days from now
    in which nothing moves between apiaries.  supers_kept: supers go back to the apiary that they came from.
    frames_kept: no brood frames between hives.  wait: days until the first kill and the first look.

    order: numbers of the apiaries as they are visited, round after round.  pace: apiaries a day.  rounds, every: how
    many rounds of looks, so many days apart.  notice: chance that a look sees signs.  removal: days from find to kill.
    """

    name: str
    order: Ints
    whole: bool = False
    standstill: float = 0.0
    supers_kept: bool = False
    frames_kept: bool = False
    wait: float = 0.0
    pace: float = 4.0
    rounds: int = 1
    every: float = 60.0
    notice: float = 0.9
    removal: float = 3.0


def visits(measures: Measures, scene: Scene, days: float) -> tuple[Floats, Ints, Floats]:
    """Looks of a plan from the horizon of a scene on, as the simulator takes them; none on a day without brood."""
    now = scene.horizon
    places = np.tile(measures.order, measures.rounds)
    within = np.tile(np.floor(np.arange(len(measures.order)) / measures.pace), measures.rounds)
    begins = np.repeat(np.arange(measures.rounds) * measures.every, len(measures.order))
    at = now + measures.wait + begins + within
    order = np.argsort(at, kind="stable")
    order = order[at[order] < now + days]
    day = np.minimum(at[order].astype(np.int64), len(scene.brood) - 2)
    order = order[scene.brood[day + 1] > scene.brood[day]]
    worth = np.array([measures.notice, measures.removal, float(measures.whole)])
    return at[order].astype(float), places[order].astype(np.int64), worth


def ahead(scene: Scene, days: float, measures: Measures, cases: Ints) -> tuple[Scene, int]:
    """The scene from its horizon for so many days under a plan; and how many colonies it kills at once.

    cases: numbers of the known cases; those that still stand are killed after waiting and removal, with their apiaries
    if the plan says so. Events of the last year come again after 365 days, each split by apiary of its receivers.
    """
    now, until = scene.horizon, scene.horizon + days
    end, there = scene.end.copy(), last_place(scene)
    standing = (scene.end > now) & (scene.first <= now)
    killed = np.zeros(len(end), dtype=bool)
    killed[cases] = True
    if measures.whole:
        killed |= np.isin(there, there[killed & standing & (there >= 0)])
    killed &= standing
    end[killed] = np.minimum(end[killed], now + measures.wait + measures.removal)
    infectable = np.maximum(np.minimum(np.minimum(scene.dead, end), until), scene.first)
    colonies = Colonies(scene.first, end, scene.dead, scene.before, scene.touching)
    events = list(_again(scene, until, measures))
    made = scene._replace(horizon=until, end=end, infectable=infectable,
                          **event_arrays(len(end), colonies, infectable, events))  # fmt: skip
    return made, int(killed.sum())


def _again(scene: Scene, until: float, measures: Measures) -> Iterator[Event]:
    """Events of the year before the horizon, at the same day of each year after it, as far as the plan lets them."""
    now = scene.horizon
    middle = (scene.event_from + scene.event_to) / 2
    recent = np.flatnonzero((middle >= now - YEAR) & (middle < now))
    for years in range(1, 1 + int(np.ceil((until - now) / YEAR))):
        for e in recent[np.argsort(middle[recent], kind="stable")]:
            at = float(middle[e] + years * YEAR)
            if now <= at < until:
                yield from _parts(scene, int(e), at, at - float(middle[e]), measures)


def _parts(scene: Scene, e: int, at: float, later: float, measures: Measures) -> Iterator[Event]:
    """One event apart by apiary of its receivers; what a plan forbids brings nothing, but keeps its number."""
    kind, before = int(scene.event_kind[e]), at - later
    takes = scene.take[scene.take_ptr[e] : scene.take_ptr[e + 1]]
    span = slice(scene.give_ptr[e], scene.give_ptr[e + 1])
    donors, shares, when = scene.give[span], scene.give_share[span], scene.give_time[span]
    given = np.where(np.isnan(when), before, when)
    homes, places = place_at(scene, donors, given), place_at(scene, takes, np.full(len(takes), before))
    for place in np.unique(places):
        own, objects = homes == place, float(scene.event_objects[e])
        outside = float(scene.event_outside[e])
        gives = list(zip(donors.tolist(), shares.tolist(), (given + later).tolist(), strict=True))
        still = at < scene.horizon + measures.standstill
        if kind in SUPERS and measures.supers_kept and not still:
            factor = shares.sum() / shares[own].sum() if own.any() else 0.0
            gives = [(d, s * factor, t) for (d, s, t), mine in zip(gives, own, strict=True) if mine]
            outside = 0.0
        elif (still and not own.all()) or (kind in FRAMES and measures.frames_kept):
            objects = 0.0
        yield Event(kind, at, at, objects, gives, takes[places == place].tolist(), outside)
