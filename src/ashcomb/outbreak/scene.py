"""What the outbreak engine works on: colonies, places, contacts and looks as arrays. Times are days since day 0.

Ragged lists are pairs of arrays: those of item i are `xs[ptr[i]:ptr[i + 1]]`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
NEVER = np.inf
NO, BEFORE, PRESSURE = -3, -2, -1  # source of an infection; 0 and up: number of the event
FOREVER = 1e9


class Scene(NamedTuple):
    """Everything that is known, for n colonies, a apiaries and m events, until the horizon.

    horizon: now, days since day 0.
    first, infectable, end, dead (n): day it begins; until when it can be infected; until when it can infect; day it
    became a dead-out left open (else FOREVER).  before (n): chance that it was infected at its beginning.
    stay_*: where each colony stood, from whole day to whole day.  touching (n, 2): colonies next to it, or -1.
    near_*: for each apiary, others in reach of robbing and the fall with distance.
    present, exposed (a, days + 1): days of living colonies at the apiary before each day, and of those near, weighted.
    event_*: kind (index in rates.ROUTES), earliest and latest time, share from outside, objects for each receiver.
    give_*: donors of each event with their share of its objects and time (NaN: that of the event).
    take_*: receivers of each event.  in_*, out_*: events in which a colony receives, and gives.
    look_*: looks at each colony, in order of time: time, chance to notice signs that are there, chance of a false
    finding, how alike they are (see `Look`), 1 if signs were found.
    pool_*: tests of samples: time, 1 if positive, false positive chance, sensitivity with signs, and before; members;
    mine_*: tests in which a colony is.
    quantile: days with brood from infection to signs, at equal steps of chance from 0 to 1.
    brood: days with brood before each day, from day 0 to beyond the horizon.
    remission: share, starts within so many days, shortest, longest.
    """

    horizon: float
    first: Floats
    infectable: Floats
    end: Floats
    dead: Floats
    before: Floats
    stay_ptr: Ints
    stay_place: Ints
    stay_from: Floats
    stay_to: Floats
    stay_of: Ints
    touching: Ints
    near_ptr: Ints
    near: Ints
    near_fall: Floats
    present: Floats
    exposed: Floats
    event_kind: Ints
    event_from: Floats
    event_to: Floats
    event_outside: Floats
    event_objects: Floats
    give_ptr: Ints
    give: Ints
    give_share: Floats
    give_time: Floats
    take_ptr: Ints
    take: Ints
    in_ptr: Ints
    in_event: Ints
    out_ptr: Ints
    out_event: Ints
    out_share: Floats
    out_time: Floats
    look_ptr: Ints
    look_time: Floats
    look_worth: Floats
    look_false: Floats
    look_alike: Floats
    look_found: Ints
    pool_time: Floats
    pool_found: Ints
    pool_false: Floats
    pool_signs: Floats
    pool_latent: Floats
    pool_ptr: Ints
    pool: Ints
    mine_ptr: Ints
    mine: Ints
    quantile: Floats
    brood: Floats
    remission: Floats


class Stay(NamedTuple):
    """A colony stood at an apiary from a day until a day, the second not included."""

    colony: int
    place: int
    first: float
    last: float


class Event(NamedTuple):
    """Objects went from donors to receivers. gives: (donor, share of the objects, time or None for the event's own).

    shares and outside sum to at most 1.  earliest, latest: of the event's time.  objects: for each receiver, may be a
    fraction: then it is the number that came, shared evenly.
    """

    kind: int
    earliest: float
    latest: float
    objects: float
    gives: Sequence[tuple[int, float, float | None]]
    takes: Sequence[int]
    outside: float = 0.0


class Look(NamedTuple):
    """One look at one colony.

    alike: 0 where it errs by itself. Looks of unknown worth at one colony err together: after so many that noticed
    signs and so many that missed them the next notices with chance (worth + alike noticed) / (1 + alike (noticed +
    missed)), as if their one worth were drawn from a beta law whose two numbers add up to 1 / alike.
    """

    colony: int
    time: float
    worth: float
    false: float
    found: bool
    alike: float = 0.0


class Pool(NamedTuple):
    """One test of material from some colonies."""

    time: float
    colonies: Sequence[int]
    found: bool
    false: float
    signs: float
    latent: float


def ragged(rows: Sequence[Sequence[int]]) -> tuple[Ints, Ints]:
    """Offsets and items of a list of lists."""
    ptr = np.zeros(len(rows) + 1, dtype=np.int64)
    ptr[1:] = np.cumsum([len(row) for row in rows])
    return ptr, np.array([item for row in rows for item in row], dtype=np.int64)


def transposed(count: int, keys: Ints) -> tuple[Ints, Ints]:
    """For each of `count` numbers the places where it stands in `keys`: offsets and positions."""
    order = np.argsort(keys, kind="stable").astype(np.int64)
    ptr = np.searchsorted(keys[order], np.arange(count + 1)).astype(np.int64)
    return ptr, order
