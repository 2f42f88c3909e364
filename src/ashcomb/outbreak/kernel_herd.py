"""What the simulator keeps in memory: what is read together lies together, and what is read often is small.

A scene lies in long arrays, one for each field, which suits a sampler that reads one field at a time. An outbreak
forward in time meets colonies at random and then reads many fields of one; here these fill one line of the processor's
fast memory. Arrays of records: `life[i].onset` is the onset of colony i.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from ashcomb.outbreak.layout import packed
from ashcomb.outbreak.scene import NEVER, NO, Floats, Ints, Scene, transposed

Records = npt.NDArray[np.void]
Record = np.record
Bytes = npt.NDArray[np.int8]
Smalls = npt.NDArray[np.int32]

_LIFE = np.dtype([(name, "f8") for name in ("first", "infectable", "end", "dead", "time", "onset", "turn", "length")])
_COURSE = np.dtype([("rate", "f8"), ("until", "f8"), ("found", "f8"), ("luck", "u8"), ("look_luck", "u8"),
                    ("place", "i4"), ("target", "i4"), ("source", "i4"), ("by", "i4")])  # fmt: skip
_STAY = np.dtype([("first", "f8"), ("last", "f8"), ("place", "i8")])
_PLACE = np.dtype([("begin", "i8"), ("size", "i8"), ("near_begin", "i8"), ("near_end", "i8"), ("near", "f8")])
_NEAR = np.dtype([("sum", "f8"), ("fall", "f8"), ("place", "i8")])
_QUEUED = np.dtype([("time", "f8"), ("colony", "i8")])


class World(NamedTuple):
    """What stays as it is. num, idx: the scene as in `layout`.  stay: by colony, see stay_ptr.  place: where its stays
    begin in standing, how many; where those near begin in near, where they end, their weights summed up.

    standing: stays again, by place; stander: their colonies.  near: running sum of weights, fall, apiary.
    since: for each whole number of days with brood the first day before which so many have gone by.
    give_ptr, gives: events in which a colony gives.  open: 1 if things from outside come into an event.
    end, infectable: of the scene, to go back to.
    """

    num: Floats
    idx: Ints
    stay_ptr: Ints
    stay: Records
    place: Records
    standing: Records
    stander: Smalls
    near: Records
    since: Ints
    give_ptr: Ints
    gives: Ints
    open: Bytes
    end: Floats
    infectable: Floats


class Herd(NamedTuple):
    """What an outbreak changes. life: times of each colony as in a state.  course: largest contact rate and until when
    it holds, day it was found, next numbers of its two streams of chance, where it stands, whom it meets next;
    source as in a state; infector, -1 background, -2 before, -3 outside.  free: 1 if never infected.

    who, gone: the infected and the removed, in order.  queue: next meeting of each infected colony that has one.
    when, order (events): their times, and their numbers in order of time.  armed: 1 if something may come into it.
    """

    life: Records
    course: Records
    free: Bytes
    who: Ints
    gone: Ints
    queue: Records
    when: Floats
    order: Ints
    armed: Bytes


def world_of(scene: Scene) -> World:
    """A scene, laid out for the simulator."""
    stay = np.zeros(len(scene.stay_of), dtype=_STAY)
    stay["first"], stay["last"], stay["place"] = scene.stay_from, scene.stay_to, scene.stay_place
    begin, slots = transposed(len(scene.near_ptr) - 1, scene.stay_place)
    place, near = _places(scene, begin)
    whole = np.arange(np.floor(scene.brood[-1]) + 1)
    since = np.searchsorted(scene.brood, whole).astype(np.int64)
    outside = (scene.event_outside > 0).astype(np.int8)
    return World(*packed(scene), scene.stay_ptr, stay, place, stay[slots], scene.stay_of[slots].astype(np.int32), near,
                 since, scene.out_ptr, scene.out_event, outside, scene.end.copy(), scene.infectable.copy())  # fmt: skip


def _places(scene: Scene, begin: Ints) -> tuple[Records, Records]:
    count = len(begin) - 1
    owner = np.repeat(np.arange(count), np.diff(scene.near_ptr))
    running = np.concatenate([[0.0], np.cumsum(scene.near_fall * np.diff(begin)[scene.near])])
    near = np.zeros(len(scene.near), dtype=_NEAR)
    near["sum"] = running[1:] - running[scene.near_ptr[owner]]
    near["fall"], near["place"] = scene.near_fall, scene.near
    place = np.zeros(count, dtype=_PLACE)
    place["begin"], place["size"] = begin[:-1], np.diff(begin)
    place["near_begin"], place["near_end"] = scene.near_ptr[:-1], scene.near_ptr[1:]
    some = np.flatnonzero(np.diff(scene.near_ptr))
    place["near"][some] = near["sum"][scene.near_ptr[some + 1] - 1]
    return place, near


def herd_of(scene: Scene, world: World) -> Herd:
    """A herd in which nobody is infected."""
    n, m = len(scene.first), len(scene.event_kind)
    life, course = np.zeros(n, dtype=_LIFE), np.zeros(n, dtype=_COURSE)
    for name in ("first", "infectable", "end", "dead"):
        life[name] = getattr(scene, name)
    life["time"], life["onset"], life["turn"] = NEVER, NEVER, 1.0
    course["found"], course["source"], course["by"] = NEVER, NO, -1
    order = np.argsort(scene.event_from, kind="stable").astype(np.int64)
    return Herd(life, course, np.ones(n, dtype=np.int8), np.zeros(n, dtype=np.int64), np.zeros(n, dtype=np.int64),
                np.zeros(n + 1, dtype=_QUEUED), np.zeros(m), order, world.open.copy())  # fmt: skip
