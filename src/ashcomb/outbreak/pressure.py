"""Who presses on whom: touching stands, the same apiary, robbing by distance. Builds these parts of a scene."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ashcomb.outbreak.scene import Floats, Ints
from ashcomb.science.arrays import Array

Fall = Callable[[Array], Array]


def exponential_fall(range_km: float) -> Fall:
    """Robbing falls with distance as exp(-d / range): 1 at no distance."""
    return lambda km: np.exp(-km / range_km)


def fat_tail_fall(range_km: float) -> Fall:
    """Robbing falls as 1 / (1 + (d / range)^2): the named sensitivity case with longer jumps."""
    return lambda km: 1.0 / (1.0 + (km / range_km) ** 2)


def near_apiaries(xy_km: Floats, cutoff_km: float, fall: Fall) -> tuple[Ints, Ints, Floats]:
    """For each apiary those within the cutoff, itself left out: offsets, apiaries, fall with distance.

    xy_km: (a, 2), plane; an apiary with NaN is unplaced and near none.  cutoff_km: edge included.
    """
    from scipy.spatial import cKDTree

    placed = np.flatnonzero(np.isfinite(xy_km).all(axis=1))
    pairs = cKDTree(xy_km[placed]).query_pairs(cutoff_km, output_type="ndarray") if len(placed) else np.zeros((0, 2))
    pairs = placed[pairs.astype(np.int64).reshape(-1, 2)]
    both = np.concatenate([pairs, pairs[:, ::-1]])
    both = both[np.lexsort((both[:, 1], both[:, 0]))]
    km = np.hypot(*(xy_km[both[:, 0]] - xy_km[both[:, 1]]).T)
    ptr = np.searchsorted(both[:, 0], np.arange(len(xy_km) + 1)).astype(np.int64)
    return ptr, both[:, 1].astype(np.int64), fall(km)


def colony_days(
    places: int, days: int, stay_place: Ints, stay_from: Floats, stay_to: Floats, near: tuple[Ints, Ints, Floats]
) -> tuple[Floats, Floats]:
    """Days of living colonies before each day, at each apiary and near it (weighted by the fall); (places, days + 1).

    stay_from, stay_to: whole days within 0 to `days`, cut to the life of the colony.
    """
    change = np.zeros((places, days + 1))
    kept = stay_to > stay_from
    np.add.at(change, (stay_place[kept], stay_from[kept].astype(np.int64)), 1.0)
    np.add.at(change, (stay_place[kept], stay_to[kept].astype(np.int64)), -1.0)
    standing = np.cumsum(change[:, :-1], axis=1)
    present = np.concatenate([np.zeros((places, 1)), np.cumsum(standing, axis=1)], axis=1)
    exposed = np.zeros_like(present)
    ptr, other, fall = near
    owner = np.repeat(np.arange(places), np.diff(ptr))
    for a, b, weight in zip(owner, other, fall, strict=True):
        exposed[a] += weight * present[b]
    return present, exposed
