"""From lists of colonies, stays, events, looks and tests to the arrays of a scene."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from ashcomb.kernel.errors import UserError
from ashcomb.outbreak.observation import onset_quantiles, remission
from ashcomb.outbreak.pressure import colony_days
from ashcomb.outbreak.scene import FOREVER, Event, Floats, Ints, Look, Pool, Scene, Stay, ragged, transposed

YEARS_BEYOND = 4 * 366  # of the brood clock, for onsets after the horizon


@dataclass
class Colonies:
    """What is known of n colonies. first: day it begins.  gone: day it was destroyed or left, else FOREVER.

    dead: day it became a dead-out left open, else FOREVER.  before: chance that it was infected when it began.
    touching: (n, 2) numbers of the colonies next to it, or -1.
    """

    first: Floats
    gone: Floats
    dead: Floats
    before: Floats
    touching: Ints

    @classmethod
    def plain(cls, count: int, before: float = 0.0) -> Colonies:
        """So many colonies that live from day 0 and touch nobody."""
        far = np.full(count, FOREVER)
        return cls(np.zeros(count), far, far.copy(), np.full(count, before), np.full((count, 2), -1, dtype=np.int64))


@dataclass
class Records:
    """All that is known beside the colonies."""

    stays: Sequence[Stay]
    near: tuple[Ints, Ints, Floats]
    events: Sequence[Event] = ()
    looks: Sequence[Look] = ()
    pools: Sequence[Pool] = ()
    brood: Floats | None = None
    quantile: Floats | None = None
    remission: Floats | None = field(default=None)


def build_scene(horizon: int, colonies: Colonies, records: Records) -> Scene:
    """The scene until a horizon (whole days, 1 or more). Raises UserError for what cannot be.

    Stays are cut to the life of their colony. Receivers that do not live over the whole span of an event, and donors
    that give nothing, are left out. Several gifts of one donor to one event are joined.
    """
    n, places = len(colonies.first), len(records.near[0]) - 1
    infectable = np.minimum(np.minimum(colonies.dead, colonies.gone), horizon)
    infectable = np.maximum(infectable, colonies.first)
    stays = sorted(records.stays, key=lambda s: (s.colony, s.first))
    _refuse(n, places, stays)
    place = np.array([s.place for s in stays], dtype=np.int64)
    start = np.array([max(s.first, colonies.first[s.colony], 0) for s in stays], dtype=float)
    stop = np.array([min(s.last, colonies.gone[s.colony]) for s in stays], dtype=float)
    of = np.array([s.colony for s in stays], dtype=np.int64)
    alive_from = np.clip(np.floor(start), 0, horizon)
    alive_to = np.clip(np.floor(np.minimum(stop, infectable[of])), 0, horizon)
    present, exposed = colony_days(places, horizon, place, alive_from, alive_to, records.near)
    brood = records.brood if records.brood is not None else np.arange(horizon + YEARS_BEYOND + 1.0)
    return Scene(
        horizon=float(horizon), first=colonies.first, infectable=infectable, end=colonies.gone, dead=colonies.dead,
        before=colonies.before, stay_ptr=np.searchsorted(of, np.arange(n + 1)).astype(np.int64), stay_place=place,
        stay_from=start, stay_to=stop, stay_of=of, touching=colonies.touching, near_ptr=records.near[0],
        near=records.near[1], near_fall=records.near[2], present=present, exposed=exposed, brood=brood,
        quantile=records.quantile if records.quantile is not None else onset_quantiles(),
        remission=records.remission if records.remission is not None else remission(),
        **event_arrays(n, colonies, infectable, records.events), **_looks(n, records.looks), **_pools(n, records.pools),
    )  # fmt: skip


def _refuse(n: int, places: int, stays: Sequence[Stay]) -> None:
    bad = next((s for s in stays if not (0 <= s.colony < n and 0 <= s.place < places)), None)
    if bad is not None:
        raise UserError(f"A stay names colony {bad.colony} or apiary {bad.place}, which there is not.", "Correct it.")


def event_arrays(n: int, colonies: Colonies, infectable: Floats, events: Sequence[Event]) -> dict[str, np.ndarray]:
    """The arrays of the events of a scene, see `build_scene`."""
    gives: list[list[tuple[int, float, float]]] = []
    takes: list[list[int]] = []
    objects = []
    for event in events:
        joined: dict[tuple[int, float], float] = defaultdict(float)
        for donor, share, at in event.gives:
            joined[donor, np.nan if at is None else at] += share
        merged: dict[int, tuple[float, float]] = {}
        for (donor, at), share in joined.items():
            old = merged.get(donor)
            merged[donor] = (share, at) if old is None else (old[0] + share, min(old[1], at))
        gives.append([(donor, share, at) for donor, (share, at) in sorted(merged.items()) if share > 0])
        there = [
            j
            for j in sorted(set(event.takes))
            if colonies.first[j] <= event.earliest and event.latest <= infectable[j] and event.objects > 0
        ]
        takes.append(there)
        objects.append(event.objects)
    give_ptr, give = ragged([[donor for donor, _, _ in row] for row in gives])
    parts = np.array([s for row in gives for _, s, _ in row], dtype=float)
    gave_at = np.array([t for row in gives for _, _, t in row], dtype=float)
    event_of = np.repeat(np.arange(len(events)), np.diff(give_ptr)).astype(np.int64)
    take_ptr, take = ragged(takes)
    taker_of = np.repeat(np.arange(len(events)), np.diff(take_ptr)).astype(np.int64)
    out_ptr, out = transposed(n, give)
    in_ptr, into = transposed(n, take)
    return {
        "event_kind": np.array([e.kind for e in events], dtype=np.int64),
        "event_from": np.array([e.earliest for e in events], dtype=float),
        "event_to": np.array([e.latest for e in events], dtype=float),
        "event_outside": np.array([e.outside for e in events], dtype=float),
        "event_objects": np.array(objects, dtype=float),
        "give_ptr": give_ptr, "give": give, "give_share": parts, "give_time": gave_at,
        "take_ptr": take_ptr, "take": take,
        "in_ptr": in_ptr, "in_event": taker_of[into],
        "out_ptr": out_ptr, "out_event": event_of[out], "out_share": parts[out], "out_time": gave_at[out],
    }  # fmt: skip


def _looks(n: int, looks: Sequence[Look]) -> dict[str, np.ndarray]:
    looks = sorted(looks, key=lambda look: (look.colony, look.time))
    of = np.array([look.colony for look in looks], dtype=np.int64)
    return {
        "look_ptr": np.searchsorted(of, np.arange(n + 1)).astype(np.int64),
        "look_time": np.array([look.time for look in looks], dtype=float),
        "look_worth": np.array([look.worth for look in looks], dtype=float),
        "look_false": np.array([look.false for look in looks], dtype=float),
        "look_alike": np.array([look.alike for look in looks], dtype=float),
        "look_found": np.array([look.found for look in looks], dtype=np.int64),
    }


def _pools(n: int, pools: Sequence[Pool]) -> dict[str, np.ndarray]:
    ptr, members = ragged([sorted(set(pool.colonies)) for pool in pools])
    of = np.repeat(np.arange(len(pools)), np.diff(ptr)).astype(np.int64)
    mine_ptr, mine = transposed(n, members)
    return {
        "pool_time": np.array([pool.time for pool in pools], dtype=float),
        "pool_found": np.array([pool.found for pool in pools], dtype=np.int64),
        "pool_false": np.array([pool.false for pool in pools], dtype=float),
        "pool_signs": np.array([pool.signs for pool in pools], dtype=float),
        "pool_latent": np.array([pool.latent for pool in pools], dtype=float),
        "pool_ptr": ptr, "pool": members, "mine_ptr": mine_ptr, "mine": of[mine],
    }  # fmt: skip
