"""Compiled: one outbreak forward in time, event by event, with dated moves and with visits that find and remove.

Streams of chance: 2 i for the contacts of colony i, 2 i + 1 for looks at it, 2 n for all else.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import inlined, lean
from ashcomb.outbreak.kernel_chance import log_spared, shows
from ashcomb.outbreak.kernel_contact import Force, advance, force_of, stage
from ashcomb.outbreak.kernel_herd import Herd, World
from ashcomb.outbreak.kernel_infect import can_fall_ill, enter, infect
from ashcomb.outbreak.kernel_queue import drop, push, replace
from ashcomb.outbreak.kernel_random import exponential, luck, stream, uniform
from ashcomb.outbreak.layout import (
    AT_EVENT_FROM,
    AT_EVENT_OUTSIDE,
    AT_EVENT_TO,
    AT_GIVE,
    AT_GIVE_PTR,
    AT_GIVE_SHARE,
    AT_GIVE_TIME,
    AT_TAKE,
    AT_TAKE_PTR,
    COLONIES,
    EVENT,
    EVENTS,
)
from ashcomb.outbreak.scene import Floats, Ints

_NO, _BEFORE, _PRESSURE = -3, -2, -1
_OUTSIDE, _CONTACT, _EVENT, _VISIT = range(4)


@lean
def spread(
    world: World, herd: Herd, theta: Floats, first_event: int, begin: float, stop: float, visit_time: Floats,
    visit_place: Ints, visit: Floats, many: int, seed: np.uint64,
) -> tuple[int, int, int]:  # fmt: skip
    """Runs from `begin` to `stop` (days); returns steps made, number infected and number removed.

    A step is a contact, a change of a rate, a dated event or a visit, also where it is passed over in a bunch.
    first_event: the first from `begin` on, in order of time.  visit_*: in order of time; visit: chance to notice signs,
    days until removal, 1 if the whole apiary is removed.  many: infected at `begin`.
    """
    n, size, steps, visited, removed = world.idx[COLONIES], 0, 0, 0, 0
    force, event = force_of(theta), first_event
    own, outside = stream(seed, 2 * n), np.inf
    if force.background > 0.0:
        wait, own = exponential(own)
        outside = begin + wait / (force.background * n)
    waiting, again, at = 0, 0, begin
    while True:
        size, made = _queue_up(world, herd, force, waiting, again, many, size, at, stop)
        waiting, again = many, 0
        at, kind = outside, _OUTSIDE
        if size > 0 and herd.queue[0].time < at:
            at, kind = herd.queue[0].time, _CONTACT
        idle = _idle(herd, event, at, stop)
        event, steps = event + idle, steps + made + idle
        if event < len(herd.order) and herd.when[herd.order[event]] <= at:
            at, kind = herd.when[herd.order[event]], _EVENT
        if visited < len(visit_time) and visit_time[visited] <= at:
            at, kind = visit_time[visited], _VISIT
        if at >= stop:
            return steps, many, removed
        k, by = -1, -1
        if kind == _CONTACT:
            by, again = herd.queue[0].colony, 1
            k = herd.course[by].target if at < herd.life[by].end else -1
        else:
            steps += 1
        if kind == _OUTSIDE:
            u, own = uniform(own)
            wait, own = exponential(own)
            k, outside = int(u * n), at + wait / (force.background * n)
        elif kind == _EVENT:
            many = _move(world, herd, force, theta, herd.order[event], many, seed)
            event += 1
        elif kind == _VISIT:
            removed = _look(world, herd, visit_place[visited], at, visit, removed)
            visited += 1
        if k >= 0 and can_fall_ill(herd, k, at):
            many = infect(world, herd, k, _PRESSURE, by, at, many, seed)


@inlined
def _queue_up(
    world: World, herd: Herd, force: Force, first: int, again: int, many: int, size: int, at: float, stop: float
) -> tuple[int, int]:
    """Puts the next meeting of each newly infected colony into the queue, and that of the first in it, if `again`.

    first: of the new ones.  Returns how many are in the queue, and steps made.
    """
    steps = 0
    for q in range(first - again, many):
        i, since = herd.queue[0].colony, at
        if q >= first:
            i = herd.who[q]
            since = max(at, herd.life[i].time)
            stage(world, herd, force, i, since)
        time, made = advance(world, herd, force, i, since, stop)
        steps += made
        if q >= first:
            size = push(herd.queue, size, time, i) if time < stop else size
        elif time < stop:
            replace(herd.queue, size, time, i)
        else:
            size = drop(herd.queue, size)
    return size, steps


@inlined
def _idle(herd: Herd, event: int, at: float, stop: float) -> int:
    """How many events come next, by a time and before `stop`, that can bring nothing: no donor was ever infected."""
    e = event
    while e < len(herd.order):
        when = herd.when[herd.order[e]]
        if herd.armed[herd.order[e]] or when > at or when >= stop:
            break
        e += 1
    return e - event


@inlined
def _share(world: World, herd: Herd, latent: float, e: int, wanted: float) -> tuple[float, int]:
    """Contaminated share of an event; and the donor at which its running sum passes `wanted`, -3 for outside."""
    num, idx = world.num, world.idx
    share, chosen = num[idx[AT_EVENT_OUTSIDE] + EVENT * e], -3
    for g in range(idx[idx[AT_GIVE_PTR] + EVENT * e], idx[idx[AT_GIVE_PTR] + EVENT * (e + 1)]):
        donor = herd.life[idx[idx[AT_GIVE] + g]]
        at = num[idx[AT_GIVE_TIME] + g]
        if np.isnan(at):
            at = herd.when[e]
        if donor.time < at <= donor.end:
            if share <= wanted:
                chosen = idx[idx[AT_GIVE] + g]
            share += num[idx[AT_GIVE_SHARE] + g] * (latent if at < donor.onset else 1.0)
    return share, chosen


@lean
def _move(world: World, herd: Herd, force: Force, theta: Floats, e: int, many: int, seed: np.uint64) -> int:
    """What a dated event does to its receivers; returns how many are now infected."""
    share, _ = _share(world, herd, force.latent, e, -1.0)
    if share <= 0.0:
        return many
    idx = world.idx
    chance, at, own = -np.expm1(log_spared(world.num, idx, theta, e, share)), herd.when[e], 2 * idx[COLONIES] + 1 + e
    for q in range(idx[idx[AT_TAKE_PTR] + EVENT * e], idx[idx[AT_TAKE_PTR] + EVENT * (e + 1)]):
        k = idx[idx[AT_TAKE] + q]
        if can_fall_ill(herd, k, at) and luck(seed, own, 2 * k) < chance:
            _, by = _share(world, herd, force.latent, e, luck(seed, own, 2 * k + 1) * share)
            many = infect(world, herd, k, e, by, at, many, seed)
    return many


@lean
def _look(world: World, herd: Herd, place: int, at: float, visit: Floats, removed: int) -> int:
    """A look at every colony of an apiary; those found are removed after some days, or with all that stand there.

    A colony that ends before its removal would come is not looked at: its end was settled without this look.
    """
    any_found = False
    there = world.place[place]
    for q in range(there.begin, there.begin + there.size):
        i = world.stander[q]
        life, course = herd.life[i], herd.course[i]
        here = not herd.free[i] and world.standing[q].first <= at < world.standing[q].last
        looked = here and course.found == np.inf and at + visit[1] < life.end
        if looked and shows(world.num, world.idx, life.onset, life.turn, life.length, at):
            seen, course.look_luck = uniform(course.look_luck)
            if seen < visit[0]:
                course.found, any_found = at, True
                removed = _remove(herd, i, at + visit[1], removed)
    if any_found and visit[2] > 0.0:
        for q in range(there.begin, there.begin + there.size):
            i = world.stander[q]
            if world.standing[q].first <= at < world.standing[q].last and herd.life[i].first <= at:
                removed = _remove(herd, i, at + visit[1], removed)
    return removed


@lean
def _remove(herd: Herd, i: int, at: float, removed: int) -> int:
    """Ends colony i at a time, if it did not end before; `gone` lists it once for each day that it was brought to."""
    life = herd.life[i]
    if life.end <= at:
        return removed
    life.end, life.infectable = at, min(life.infectable, at)
    herd.gone[removed] = i
    return removed + 1


@lean
def begin_free(world: World, herd: Herd, before: Floats, seed: np.uint64) -> int:
    """The first day: who was infected before, by its chance; later comers when they come. Returns how many."""
    many, lots = 0, 2 * world.idx[COLONIES] + 1 + world.idx[EVENTS]
    for j in range(world.idx[COLONIES]):
        if before[j] > 0.0 and luck(seed, lots, j) < before[j]:
            many = infect(world, herd, j, _BEFORE, -2, herd.life[j].first, many, seed)
    return many


@lean
def begin_from(
    world: World, herd: Herd, first: int, last: int, colony: Ints, source: Ints, infector: Ints, part: Floats,
    seed: np.uint64,
) -> int:  # fmt: skip
    """Takes over rows of one draw: colony, source and infector; part: time, onset, turn, length. Returns how many."""
    many = 0
    for row in range(first, last):
        many = enter(world, herd, colony[row], source[row], infector[row], many, seed)
        life = herd.life[colony[row]]
        life.time, life.onset, life.turn, life.length = part[row, 0], part[row, 1], part[row, 2], part[row, 3]
    return many


@lean
def clear(world: World, herd: Herd, many: int, removed: int) -> None:
    """Undoes a run: the infected are free again, the removed there again."""
    for q in range(many):
        j = herd.who[q]
        life, course = herd.life[j], herd.course[j]
        life.time, life.onset, life.turn, life.length = np.inf, np.inf, 1.0, 0.0
        course.source, course.by, course.found = _NO, -1, np.inf
        herd.free[j] = 1
        for k in range(world.give_ptr[j], world.give_ptr[j + 1]):
            herd.armed[world.gives[k]] = world.open[world.gives[k]]
    for q in range(removed):
        j = herd.gone[q]
        herd.life[j].end, herd.life[j].infectable = world.end[j], world.infectable[j]


@lean
def dates(world: World, herd: Herd, seed: np.uint64) -> None:
    """Draws the open dates of events."""
    for e in range(world.idx[EVENTS]):
        low, high = world.num[world.idx[AT_EVENT_FROM] + EVENT * e], world.num[world.idx[AT_EVENT_TO] + EVENT * e]
        herd.when[e] = low
        if high > low:
            herd.when[e] += luck(seed, 2 * world.idx[COLONIES] + 1 + e, -1) * (high - low)
