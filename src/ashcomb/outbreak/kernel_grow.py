"""Compiled: how a branch of the disease grows forward in time.

A branch: colonies infected in one block, and all whom they infected in turn, anywhere. All else is the stem, which is
held. Ways lie on an axis, and points fall on it at rate 1; the first in time that hits a colony infects it. Points are
thrown over more than there is, a whole apiary for each day of its sick one, and those that hit nobody are dropped.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import leaf, lean
from ashcomb.outbreak.kernel_chance import given_share, log_spared
from ashcomb.outbreak.kernel_state import (
    APIARY,
    LATENT,
    ROBBED,
    ROBBING,
    TOUCHING,
    touch,
    worth_during,
)
from ashcomb.outbreak.layout import (
    AT_BY,
    AT_DEAD,
    AT_END,
    AT_FIRST,
    AT_INFECTABLE,
    AT_NEAR,
    AT_NEAR_FALL,
    AT_NEAR_PTR,
    AT_ONSET,
    AT_OUT_EVENT,
    AT_OUT_PTR,
    AT_PLACE_PTR,
    AT_PLACE_STAY,
    AT_QUEUE,
    AT_SHARE,
    AT_SOON,
    AT_SOURCE,
    AT_SPARED,
    AT_STAY_FROM,
    AT_STAY_OF,
    AT_STAY_PLACE,
    AT_STAY_PTR,
    AT_STAY_TO,
    AT_TAKE,
    AT_TAKE_PTR,
    AT_TIME,
    AT_TOUCHING,
    AT_WEIGHT,
    AT_WHEN,
    DAYS,
    EVENT,
    HIVE,
    STAY,
)
from ashcomb.outbreak.scene import NO, PRESSURE, Floats, Ints


@leaf
def point(gen: np.random.Generator) -> float:
    """How far the next point lies on an axis."""
    return -np.log1p(-gen.random())


@leaf
def free(mem: Floats, pos: Ints, k: int) -> bool:
    """Whether the branch may infect colony k: a healthy rare one."""
    return pos[pos[AT_SOURCE] + HIVE * k] == NO and mem[pos[AT_WEIGHT] + HIVE * k] > 0.0


@leaf
def queued(mem: Floats, pos: Ints, k: int, at: float, source: int, waiting: int) -> int:
    """Notes a way in which colony k would be infected, if it is the first one; how many wait then.

    Of one moment, events come in the order of their numbers.
    """
    soon, by = (mem[pos[AT_SOON] + HIVE * k], pos[pos[AT_BY] + HIVE * k])
    if soon == np.inf:
        pos[pos[AT_QUEUE] + waiting], waiting = (k, waiting + 1)
    if at < soon or (at == soon and 0 <= source < by):
        mem[pos[AT_SOON] + HIVE * k], pos[pos[AT_BY] + HIVE * k] = (at, source)
    return waiting


@lean
def next_of(mem: Floats, pos: Ints, waiting: int) -> int:
    """Takes the first of those who wait out of the queue; -1 if nobody waits."""
    if waiting == 0:
        return -1
    best = 0
    for m in range(1, waiting):
        if mem[pos[AT_SOON] + HIVE * pos[pos[AT_QUEUE] + m]] < mem[pos[AT_SOON] + HIVE * pos[pos[AT_QUEUE] + best]]:
            best = m
    k = pos[pos[AT_QUEUE] + best]
    pos[pos[AT_QUEUE] + best] = pos[pos[AT_QUEUE] + (waiting - 1)]
    return k


@leaf
def _day_by(latent: float, robbed: float, onset: float, dead: float, x: float, y: float, wanted: float) -> float:
    """The time from x on, before y, by which a colony infected before x has been so infectious."""
    cut = min(onset, dead)
    if cut > x:
        if wanted < latent * (cut - x):
            return min(x + wanted / latent, np.nextafter(y, x))
        wanted, x = (wanted - latent * (cut - x), cut)
    if dead > x:
        if wanted < dead - x:
            return min(x + wanted, np.nextafter(y, x))
        wanted, x = (wanted - (dead - x), dead)
    return min(x + wanted / robbed if robbed > 0.0 else y, np.nextafter(y, x))


@lean
def spreads(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    waiting: int,
    gen: np.random.Generator,
) -> int:
    """Queues whom the infected colony j presses on first; how many wait then."""
    latent, robbed, time = (theta[LATENT], theta[ROBBED], mem[pos[AT_TIME] + HIVE * j])
    onset = mem[pos[AT_ONSET] + HIVE * j]
    dead, over = (num[idx[AT_DEAD] + HIVE * j], num[idx[AT_END] + HIVE * j])
    at = point(gen)
    for its in range(idx[idx[AT_STAY_PTR] + HIVE * j], idx[idx[AT_STAY_PTR] + HIVE * (j + 1)]):
        a = max(num[idx[AT_STAY_FROM] + STAY * its], time)
        b = min(num[idx[AT_STAY_TO] + STAY * its], min(over, idx[DAYS] - 1.0))
        worth = worth_during(latent, robbed, time, onset, dead, over, a, b)
        place = idx[idx[AT_STAY_PLACE] + STAY * its]
        if not worth > 0.0:
            continue
        for n in range(idx[idx[AT_NEAR_PTR] + place] - 1, idx[idx[AT_NEAR_PTR] + (place + 1)]):
            own = n < idx[idx[AT_NEAR_PTR] + place]
            speed = theta[APIARY] if own else theta[ROBBING] * num[idx[AT_NEAR_FALL] + n]
            there = place if own else idx[idx[AT_NEAR] + n]
            first = idx[idx[AT_PLACE_PTR] + there]
            stays = idx[idx[AT_PLACE_PTR] + (there + 1)] - first
            while at < speed * worth * stays:
                which = min(int(at / (speed * worth)), stays - 1)
                when = _day_by(latent, robbed, onset, dead, a, b, at / speed - which * worth)
                slot = idx[idx[AT_PLACE_STAY] + (first + which)]
                k = idx[idx[AT_STAY_OF] + STAY * slot]
                if not (own and touch(num, idx, j, k)):
                    waiting = _hit(num, idx, mem, pos, j, k, slot, when, waiting)
                at += point(gen)
            at -= speed * worth * stays
        waiting = _touches(num, idx, mem, pos, theta, j, place, a, b, waiting, gen)
    return waiting


@lean
def _hit(num: Floats, idx: Ints, mem: Floats, pos: Ints, j: int, k: int, slot: int, when: float, waiting: int) -> int:
    """A point of pressure of j falls on a stay of k."""
    if k == j or not free(mem, pos, k):
        return waiting
    low = max(num[idx[AT_STAY_FROM] + STAY * slot], num[idx[AT_FIRST] + HIVE * k])
    if low <= when < min(num[idx[AT_STAY_TO] + STAY * slot], num[idx[AT_INFECTABLE] + HIVE * k]):
        return queued(mem, pos, k, when, PRESSURE, waiting)
    return waiting


@lean
def _touches(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    place: int,
    a: float,
    b: float,
    waiting: int,
    gen: np.random.Generator,
) -> int:
    """Queues the neighbours that colony j touches at an apiary, from day a to day b; how many wait then."""
    latent, robbed, time = (theta[LATENT], theta[ROBBED], mem[pos[AT_TIME] + HIVE * j])
    onset = mem[pos[AT_ONSET] + HIVE * j]
    dead, over = (num[idx[AT_DEAD] + HIVE * j], num[idx[AT_END] + HIVE * j])
    for side in range(2):
        k = idx[idx[AT_TOUCHING] + (2 * j + side)]
        if k < 0 or not free(mem, pos, k):
            continue
        for slot in range(idx[idx[AT_STAY_PTR] + HIVE * k], idx[idx[AT_STAY_PTR] + HIVE * (k + 1)]):
            if idx[idx[AT_STAY_PLACE] + STAY * slot] == place:
                low = max(max(a, num[idx[AT_STAY_FROM] + STAY * slot]), num[idx[AT_FIRST] + HIVE * k])
                high = min(min(b, num[idx[AT_STAY_TO] + STAY * slot]), num[idx[AT_INFECTABLE] + HIVE * k])
                at = point(gen)
                if at < theta[TOUCHING] * worth_during(latent, robbed, time, onset, dead, over, low, high):
                    when = _day_by(latent, robbed, onset, dead, low, high, at / theta[TOUCHING])
                    waiting = queued(mem, pos, k, when, PRESSURE, waiting)
    return waiting


@lean
def strikes(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    waiting: int,
    gen: np.random.Generator,
) -> int:
    """Queues whom the gifts of colony j infect, which must be out; how many wait then."""
    for n in range(idx[idx[AT_OUT_PTR] + HIVE * j], idx[idx[AT_OUT_PTR] + HIVE * (j + 1)]):
        given = given_share(
            num, idx, mem, pos, theta, n, j, mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j]
        )
        if given > 0.0:
            e = idx[idx[AT_OUT_EVENT] + n]
            more = mem[pos[AT_SPARED] + EVENT * e] - log_spared(
                num, idx, theta, e, mem[pos[AT_SHARE] + EVENT * e] + given
            )
            first = idx[idx[AT_TAKE_PTR] + EVENT * e]
            takers, at = (idx[idx[AT_TAKE_PTR] + EVENT * (e + 1)] - first, point(gen))
            while at < more * takers:
                k = idx[idx[AT_TAKE] + (first + min(int(at / more), takers - 1))]
                if k != j and free(mem, pos, k) and mem[pos[AT_WHEN] + EVENT * e] > mem[pos[AT_TIME] + HIVE * j]:
                    waiting = queued(mem, pos, k, mem[pos[AT_WHEN] + EVENT * e], e, waiting)
                at += point(gen)
    return waiting
