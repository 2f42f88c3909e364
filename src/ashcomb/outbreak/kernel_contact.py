"""Compiled: the contacts of one infected colony, made ahead of time up to the first that matters.

Whom a colony meets, and when, hangs on nothing that happens elsewhere: only on where it stands and on its own luck. So
its contacts need not wait for their turn. Those that meet a colony which is infected already are passed over at once;
only a contact that meets a free one is put into the queue, to see when its time comes whether that colony is free
still. Contacts are drawn at the largest rate that the place allows and thinned: no rate is ever summed over colonies.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ashcomb.outbreak.compiled import inlined, lean
from ashcomb.outbreak.kernel_herd import Herd, Record, World
from ashcomb.outbreak.kernel_random import exponential, uniform
from ashcomb.outbreak.kernel_state import APIARY, LATENT, ROBBED, ROBBING, TOUCHING, touch
from ashcomb.outbreak.layout import AT_TOUCHING
from ashcomb.outbreak.scene import Floats


class Force(NamedTuple):
    """Rates a day, as the contacts use them. extra: of a touching colony above any other of the apiary, 0 or more.
    per_apiary, per_robbing: one over these rates, 0 if a rate is."""

    background: float
    extra: float
    touching: float
    apiary: float
    per_apiary: float
    robbing: float
    per_robbing: float
    latent: float
    robbed: float


@lean
def force_of(theta: Floats) -> Force:
    """The same from the vector of rates."""
    apiary, robbing = theta[APIARY], theta[ROBBING]
    per_apiary = 1.0 / apiary if apiary > 0.0 else 0.0
    per_robbing = 1.0 / robbing if robbing > 0.0 else 0.0
    extra = max(theta[TOUCHING] - apiary, 0.0)
    return Force(theta[0], extra, theta[TOUCHING], apiary, per_apiary, robbing, per_robbing, theta[LATENT],
                 theta[ROBBED])  # fmt: skip


@inlined
def _stay_at(world: World, i: int, at: float) -> int:
    for slot in range(world.stay_ptr[i], world.stay_ptr[i + 1]):
        if world.stay[slot].first <= at < world.stay[slot].last:
            return slot
    return -1


@inlined
def _reach(force: Force, place: Record) -> float:
    """Largest contact rate of a colony of worth one that stands there."""
    return force.apiary * place.size + 2.0 * force.extra + force.robbing * place.near


@inlined
def stage(world: World, herd: Herd, force: Force, i: int, at: float) -> None:
    """Writes down largest contact rate of colony i from a time on, until when it holds, and where."""
    life, course = herd.life[i], herd.course[i]
    course.rate, course.until = 0.0, np.inf
    if at >= life.end or life.time >= life.dead:
        return
    worth, until = force.robbed, life.end
    if at < life.dead:
        worth, until = 1.0, min(life.dead, life.end)
        if at < life.onset:
            worth, until = force.latent, min(until, life.onset)
    slot = _stay_at(world, i, at)
    if slot < 0:
        for other in range(world.stay_ptr[i], world.stay_ptr[i + 1]):
            if world.stay[other].first > at:
                course.until = min(course.until, world.stay[other].first)
        return
    course.place = world.stay[slot].place
    course.rate = worth * _reach(force, world.place[course.place])
    course.until = min(until, world.stay[slot].last)


@inlined
def advance(world: World, herd: Herd, force: Force, i: int, at: float, stop: float) -> tuple[float, int]:
    """Contacts of colony i from a time on, up to the first that meets a free colony: `target` of its course.

    Returns its time, infinite if none comes by `stop`, and how many contacts and changes of rate came by then.
    """
    course, steps = herd.course[i], 0
    luck, end = course.luck, herd.life[i].end
    met, place = -1, world.place[course.place]
    rate, until = course.rate, course.until
    while met < 0:
        time = np.inf
        if rate > 0.0:
            wait, luck = exponential(luck)
            time = at + wait / rate
        if time < until:
            at = time
            if at >= stop or at >= end:
                at = np.inf
                break
            steps += 1
            met, luck = _meet(world, herd, force, i, place, at, luck)
        else:
            at = until
            if at >= stop:
                at = np.inf
                break
            steps += 1
            stage(world, herd, force, i, at)
            place = world.place[course.place]
            rate, until = course.rate, course.until
    course.luck, course.target = luck, met
    return at, steps


@inlined
def _meet(
    world: World, herd: Herd, force: Force, i: int, place: Record, at: float, luck: np.uint64
) -> tuple[int, np.uint64]:
    """The free colony that a contact of colony i meets, -1 if it meets none."""
    met = -1
    left, luck = uniform(luck)
    left *= _reach(force, place)
    if left < 2.0 * force.extra:
        met = world.idx[world.idx[AT_TOUCHING] + 2 * i + (1 if left >= force.extra else 0)]
        if met >= 0 and herd.free[met]:
            slot = _stay_at(world, met, at)
            if slot < 0 or world.stay[slot].place != herd.course[i].place:
                met = -1
    else:
        left -= 2.0 * force.extra
        if left < force.apiary * place.size or force.robbing * place.near == 0.0:  # the latter by rounding
            q = place.begin + min(int(left * force.per_apiary), place.size - 1)
            met = world.stander[q]
            if force.touching < force.apiary and touch(world.num, world.idx, i, met):
                left, luck = uniform(luck)
                if left * force.apiary >= force.touching:
                    met = -1
        else:
            left = (left - force.apiary * place.size) * force.per_robbing
            q = _near(world, place, left)
            met = world.stander[q]
        if met >= 0 and herd.free[met] and not world.standing[q].first <= at < world.standing[q].last:
            met = -1
    if met >= 0 and not (herd.free[met] and herd.life[met].first <= at < herd.life[met].infectable):
        met = -1
    return met, luck


@inlined
def _near(world: World, place: Record, left: float) -> int:
    """The stay near a place at which the running sum of weights passes `left`."""
    low, high = place.near_begin, place.near_end - 1
    while low < high:
        middle = (low + high) >> 1
        if world.near[middle].sum > left:
            high = middle
        else:
            low = middle + 1
    other = world.place[world.near[low].place]
    left -= world.near[low - 1].sum if low > place.near_begin else 0.0
    return other.begin + max(min(int(left / world.near[low].fall), other.size - 1), 0)
