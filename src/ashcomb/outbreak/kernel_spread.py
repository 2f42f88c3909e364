"""Compiled: one outbreak forward in time, event by event, with dated moves and with visits that find and remove.

Streams of chance: 2 i for the contacts of colony i, 2 i + 1 for looks at it, 2 n for all else.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import inlined, lent
from ashcomb.outbreak.kernel_chance import log_spared, shows
from ashcomb.outbreak.kernel_contact import Force, advance, force_of, stage
from ashcomb.outbreak.kernel_herd import Herd, World
from ashcomb.outbreak.kernel_queue import drop, push, replace
from ashcomb.outbreak.kernel_random import exponential, luck, stream, uniform
from ashcomb.outbreak.kernel_state import brood_days, delay
from ashcomb.outbreak.layout import (
    AT_BROOD,
    AT_EVENT_FROM,
    AT_EVENT_OUTSIDE,
    AT_EVENT_TO,
    AT_GIVE,
    AT_GIVE_PTR,
    AT_GIVE_SHARE,
    AT_GIVE_TIME,
    AT_TAKE,
    AT_TAKE_PTR,
    BROOD_LAST,
    COLONIES,
    EVENTS,
)
from ashcomb.outbreak.scene import Floats, Ints

_NO, _BEFORE, _PRESSURE = -3, -2, -1


@inlined
def _onset(world: World, at: float, chance: float) -> float:
    """Day of first signs, as `kernel_state.onset_of`, with less of the brood grid to search."""
    wait = delay(world.num, world.idx, chance)
    wanted = brood_days(world.num, world.idx, at) + wait
    high, base = world.idx[BROOD_LAST], world.idx[AT_BROOD]
    if wait == np.inf or wanted > world.num[base + high]:
        return np.inf
    if wanted <= 0.0:
        return 0.0
    whole = int(wanted)
    low = max(world.since[whole] - 1, 0)
    if whole + 1 < len(world.since):
        high = world.since[whole + 1]
    while high - low > 1:
        middle = (low + high) >> 1
        if world.num[base + middle] >= wanted:
            high = middle
        else:
            low = middle
    return low + (wanted - world.num[base + low]) / (world.num[base + high] - world.num[base + low])


@inlined
def _can(herd: Herd, j: int, at: float) -> bool:
    """Whether colony j lives and is free at a time."""
    return herd.free[j] and herd.life[j].first <= at < herd.life[j].infectable


@inlined
def _enter(world: World, herd: Herd, j: int, source: int, by: int, many: int, seed: np.uint64) -> int:
    """Colony j is one of the infected from now on; returns how many they are."""
    course = herd.course[j]
    course.source, course.by = source, by
    course.luck, course.look_luck = stream(seed, 2 * j), stream(seed, 2 * j + 1)
    herd.free[j], herd.who[many] = 0, j
    for k in range(world.give_ptr[j], world.give_ptr[j + 1]):
        herd.armed[world.gives[k]] = 1
    return many + 1


@inlined
def _infect(
    world: World, herd: Herd, j: int, source: int, by: int, at: float, many: int, seed: np.uint64
) -> int:  # fmt: skip
    """Infects colony j with a delay and a remission drawn by their laws, out of its own luck; returns how many are."""
    many = _enter(world, herd, j, source, by, many, seed)
    life, own = herd.life[j], herd.course[j].luck
    chance, own = uniform(own)
    life.time, life.onset = at, _onset(world, at, chance)
    life.turn, own = uniform(own)
    life.length, own = uniform(own)
    herd.course[j].luck = own
    return many


@lent
def spread(  # noqa: PLR0915 - one loop over events; calls out of it would cost more than they say
    world: World, herd: Herd, theta: Floats, first_event: int, begin: float, stop: float, visit_time: Floats,
    visit_place: Ints, visit: Floats, many: int, seed: np.uint64,
) -> tuple[int, int, int]:  # fmt: skip
    """Runs from `begin` to `stop` (days); returns steps made, number infected and number removed.

    first_event: the first from `begin` on, in order of time.  visit_*: in order of time; visit: chance to notice signs,
    days until removal, 1 if the whole apiary is removed.  many: infected at `begin`.
    """
    n, size, steps, visited, removed = world.idx[COLONIES], 0, 0, 0, 0
    force, event = force_of(theta), first_event
    own, outside = stream(seed, 2 * n), np.inf
    if force.background > 0.0:
        wait, own = exponential(own)
        outside = begin + wait / (force.background * n)
    started, again, at = 0, 0, begin
    while True:
        for q in range(started - again, many):
            i, since = herd.queue[0].colony, at
            if q >= started:
                i = herd.who[q]
                since = max(begin, herd.life[i].time)
                stage(world, herd, force, i, since)
            time, made = advance(world, herd, force, i, since, stop)
            steps += made
            if q >= started:
                if time < stop:
                    size = push(herd.queue, size, time, i)
            elif time < stop:
                replace(herd.queue, size, time, i)
            else:
                size = drop(herd.queue, size)
        started, again = many, 0
        at, kind = outside, 0
        if size > 0 and herd.queue[0].time < at:
            at, kind = herd.queue[0].time, 1
        while event < len(herd.order):
            e = herd.order[event]
            if herd.when[e] > at or herd.when[e] >= stop:
                break
            if herd.armed[e]:
                at, kind = herd.when[e], 2
                break
            event += 1
            steps += 1
        if visited < len(visit_time) and visit_time[visited] <= at:
            at, kind = visit_time[visited], 3
        if at >= stop:
            return steps, many, removed
        if kind <= 1:
            k, by = -1, -1
            if kind == 1:
                by, again = herd.queue[0].colony, 1
                if at < herd.life[by].end:
                    k = herd.course[by].target
            else:
                u, own = uniform(own)
                k = int(u * n)
                wait, own = exponential(own)
                outside = at + wait / (force.background * n)
                steps += 1
            if k >= 0 and _can(herd, k, at):
                many = _infect(world, herd, k, _PRESSURE, by, at, many, seed)
        elif kind == 2:
            many = _move(world, herd, force, theta, herd.order[event], many, seed)
            event += 1
            steps += 1
        else:
            removed = _look(world, herd, visit_place[visited], at, visit, removed)
            visited += 1
            steps += 1


@inlined
def _share(world: World, herd: Herd, latent: float, e: int, wanted: float) -> tuple[float, int]:
    """Contaminated share of an event; and the donor at which its running sum passes `wanted`, -3 for outside."""
    num, idx = world.num, world.idx
    share, chosen = num[idx[AT_EVENT_OUTSIDE] + e], -3
    for g in range(idx[idx[AT_GIVE_PTR] + e], idx[idx[AT_GIVE_PTR] + e + 1]):
        donor = herd.life[idx[idx[AT_GIVE] + g]]
        at = num[idx[AT_GIVE_TIME] + g]
        if np.isnan(at):
            at = herd.when[e]
        if donor.time < at <= donor.end:
            if share <= wanted:
                chosen = idx[idx[AT_GIVE] + g]
            share += num[idx[AT_GIVE_SHARE] + g] * (latent if at < donor.onset else 1.0)
    return share, chosen


@lent
def _move(world: World, herd: Herd, force: Force, theta: Floats, e: int, many: int, seed: np.uint64) -> int:
    """What a dated event does to its receivers; returns how many are now infected."""
    share, _ = _share(world, herd, force.latent, e, -1.0)
    if share <= 0.0:
        return many
    idx = world.idx
    chance, at, own = -np.expm1(log_spared(world.num, idx, theta, e, share)), herd.when[e], 2 * idx[COLONIES] + 1 + e
    for q in range(idx[idx[AT_TAKE_PTR] + e], idx[idx[AT_TAKE_PTR] + e + 1]):
        k = idx[idx[AT_TAKE] + q]
        if _can(herd, k, at) and luck(seed, own, 2 * k) < chance:
            _, by = _share(world, herd, force.latent, e, luck(seed, own, 2 * k + 1) * share)
            many = _infect(world, herd, k, e, by, at, many, seed)
    return many


@lent
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


@lent
def _remove(herd: Herd, i: int, at: float, removed: int) -> int:
    """Ends colony i at a time, if it did not end before; `gone` lists it once for each day that it was brought to."""
    life = herd.life[i]
    if life.end <= at:
        return removed
    life.end, life.infectable = at, min(life.infectable, at)
    herd.gone[removed] = i
    return removed + 1


@lent
def begin_free(world: World, herd: Herd, before: Floats, seed: np.uint64) -> int:
    """The first day: who was infected before, by its chance; later comers when they come. Returns how many."""
    many, lots = 0, 2 * world.idx[COLONIES] + 1 + world.idx[EVENTS]
    for j in range(world.idx[COLONIES]):
        if before[j] > 0.0 and luck(seed, lots, j) < before[j]:
            many = _infect(world, herd, j, _BEFORE, -2, herd.life[j].first, many, seed)
    return many


@lent
def begin_from(
    world: World, herd: Herd, first: int, last: int, colony: Ints, source: Ints, infector: Ints, part: Floats,
    seed: np.uint64,
) -> int:  # fmt: skip
    """Takes over rows of one draw: colony, source and infector; part: time, onset, turn, length. Returns how many."""
    many = 0
    for row in range(first, last):
        many = _enter(world, herd, colony[row], source[row], infector[row], many, seed)
        life = herd.life[colony[row]]
        life.time, life.onset, life.turn, life.length = part[row, 0], part[row, 1], part[row, 2], part[row, 3]
    return many


@lent
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


@lent
def dates(world: World, herd: Herd, seed: np.uint64) -> None:
    """Draws the open dates of events."""
    for e in range(world.idx[EVENTS]):
        low, high = world.num[world.idx[AT_EVENT_FROM] + e], world.num[world.idx[AT_EVENT_TO] + e]
        herd.when[e] = low
        if high > low:
            herd.when[e] += luck(seed, 2 * world.idx[COLONIES] + 1 + e, -1) * (high - low)
