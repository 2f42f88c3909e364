"""Compiled: how a branch of the disease grows forward in time, and what its growth did not know.

A branch: colonies infected in one block, and all whom they infected in turn, anywhere. All else is the stem, which is
held. Ways lie on an axis, and points fall on it at rate 1; the first in time that hits a colony infects it. Points are
thrown over more than there is, a whole apiary for each day of its sick one, and those that hit nobody are dropped.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import leaf, lean
from ashcomb.outbreak.kernel_chance import came_before, given_share, log_seen, log_spared
from ashcomb.outbreak.kernel_pressure import gather, meet, time_within
from ashcomb.outbreak.kernel_state import (
    APIARY,
    LATENT,
    ROBBED,
    ROBBING,
    TOUCHING,
    touch,
    worth_during,
    worth_over,
)
from ashcomb.outbreak.kernel_way import weigh
from ashcomb.outbreak.layout import (
    AT_AFTER,
    AT_BEFORE,
    AT_BEGIN,
    AT_BLOCK,
    AT_BLOCK_PTR,
    AT_BY,
    AT_DAWN,
    AT_DEAD,
    AT_END,
    AT_FIRST,
    AT_FREE,
    AT_GIFT,
    AT_GIFT_EVENT,
    AT_GIFT_FROM,
    AT_GIFT_PTR,
    AT_HEAD,
    AT_HIGH,
    AT_IN_EVENT,
    AT_IN_PTR,
    AT_INFECTABLE,
    AT_ITS_DEAD,
    AT_ITS_END,
    AT_ITS_ONSET,
    AT_ITS_TIME,
    AT_LENGTH,
    AT_LOG_STRUCK,
    AT_LOW,
    AT_MARK,
    AT_MASS,
    AT_MOVED,
    AT_NEAR,
    AT_NEAR_FALL,
    AT_NEAR_PTR,
    AT_ONSET,
    AT_OUT_EVENT,
    AT_OUT_HIGH,
    AT_OUT_PTR,
    AT_PLACE_PTR,
    AT_PLACE_STAY,
    AT_PLAN,
    AT_QUEUE,
    AT_RISK,
    AT_SHARE,
    AT_SOON,
    AT_SOURCE,
    AT_SPAN,
    AT_SPARED,
    AT_SPEED,
    AT_STAY_FROM,
    AT_STAY_OF,
    AT_STAY_PLACE,
    AT_STAY_PTR,
    AT_STAY_TO,
    AT_STEM_SHARE,
    AT_TAKE,
    AT_TAKE_PTR,
    AT_TAKEN,
    AT_TIME,
    AT_TOLD,
    AT_TOUCHING,
    AT_TREE,
    AT_TURN,
    AT_WEIGHT,
    AT_WELL,
    AT_WHEN,
    AT_WHO,
    DAYS,
    WELL,
)
from ashcomb.outbreak.scene import BEFORE, NO, PRESSURE, Floats, Ints

_SURE = 700.0  # places of an axis after which a point has fallen


@leaf
def point(gen: np.random.Generator) -> float:
    """How far the next point lies on an axis."""
    return -np.log1p(-gen.random())


@leaf
def free(mem: Floats, pos: Ints, k: int) -> bool:
    """Whether the branch may infect colony k: a healthy rare one."""
    return pos[pos[AT_SOURCE] + k] == NO and mem[pos[AT_WEIGHT] + k] > 0.0


@leaf
def queued(mem: Floats, pos: Ints, k: int, at: float, source: int, waiting: int) -> int:
    """Notes a way in which colony k would be infected, if it is the first one; how many wait then.

    Of one moment, events come in the order of their numbers.
    """
    soon, by = (mem[pos[AT_SOON] + k], pos[pos[AT_BY] + k])
    if soon == np.inf:
        pos[pos[AT_QUEUE] + waiting], waiting = (k, waiting + 1)
    if at < soon or (at == soon and 0 <= source < by):
        mem[pos[AT_SOON] + k], pos[pos[AT_BY] + k] = (at, source)
    return waiting


@lean
def next_of(mem: Floats, pos: Ints, waiting: int) -> int:
    """Takes the first of those who wait out of the queue; -1 if nobody waits."""
    if waiting == 0:
        return -1
    best = 0
    for m in range(1, waiting):
        if mem[pos[AT_SOON] + pos[pos[AT_QUEUE] + m]] < mem[pos[AT_SOON] + pos[pos[AT_QUEUE] + best]]:
            best = m
    k = pos[pos[AT_QUEUE] + best]
    pos[pos[AT_QUEUE] + best] = pos[pos[AT_QUEUE] + (waiting - 1)]
    return k


@lean
def most_pressure(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, place: int) -> float:
    """A bound of the pressure, from the infected, on a colony that stood at an apiary only and touches none of them.

    Of each of them its whole stay counts, not only the days that both stood there.
    """
    total = 0.0
    for n in range(idx[idx[AT_NEAR_PTR] + place] - 1, idx[idx[AT_NEAR_PTR] + (place + 1)]):
        own = n < idx[idx[AT_NEAR_PTR] + place]
        speed = theta[APIARY] if own else theta[ROBBING] * num[idx[AT_NEAR_FALL] + n]
        slot = pos[pos[AT_HEAD] + (place if own else idx[idx[AT_NEAR] + n])]
        while slot >= 0:
            i = idx[idx[AT_STAY_OF] + slot]
            a, b = (num[idx[AT_STAY_FROM] + slot], min(num[idx[AT_STAY_TO] + slot], idx[DAYS] - 1.0))
            total += speed * worth_over(num, idx, theta, i, mem[pos[AT_TIME] + i], mem[pos[AT_ONSET] + i], a, b)
            slot = pos[pos[AT_AFTER] + slot]
    return total


@leaf
def stood(idx: Ints, j: int, place: int) -> bool:
    """Whether colony j ever stood at that apiary."""
    for slot in range(idx[idx[AT_STAY_PTR] + j], idx[idx[AT_STAY_PTR] + (j + 1)]):
        if idx[idx[AT_STAY_PLACE] + slot] == place:
            return True
    return False


@lean
def _from_stem(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    k: int,
    since: float,
    waiting: int,
    gen: np.random.Generator,
) -> int:
    """Queues the first way since a day in which the stem infects colony k of the block, if any; how many wait then."""
    count, at = (gather(num, idx, mem, pos, theta, k), point(gen))
    _, spared = weigh(num, idx, mem, pos, theta, k, count)
    while at < min(-spared, _SURE):
        when, source = _way_at(num, idx, mem, pos, theta, k, count, at)
        if when >= since and source != NO:
            waiting = queued(mem, pos, k, when, source, waiting)
        at += point(gen)
    return waiting


@lean
def _beside(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    place: int,
    since: float,
    waiting: int,
    gen: np.random.Generator,
) -> int:
    """The same for those of the block that touch an infected one and stood there only; marks them."""
    slot = pos[pos[AT_HEAD] + place]
    while slot >= 0:
        for side in range(2):
            k = idx[idx[AT_TOUCHING] + (2 * idx[idx[AT_STAY_OF] + slot] + side)]
            if k < 0 or pos[pos[AT_MARK] + k] == 1 or not free(mem, pos, k):
                continue
            stay = idx[idx[AT_STAY_PTR] + k]
            if idx[idx[AT_STAY_PTR] + (k + 1)] - stay != 1 or idx[idx[AT_STAY_PLACE] + stay] != place:
                continue
            if num[idx[AT_INFECTABLE] + k] > num[idx[AT_FIRST] + k] or num[idx[AT_BEFORE] + k] > 0.0:
                pos[pos[AT_MARK] + k] = 1
                waiting = _from_stem(num, idx, mem, pos, theta, k, since, waiting, gen)
        slot = pos[pos[AT_AFTER] + slot]
    return waiting


@lean
def _unmarked(idx: Ints, pos: Ints, place: int) -> None:
    slot = pos[pos[AT_HEAD] + place]
    while slot >= 0:
        for side in range(2):
            k = idx[idx[AT_TOUCHING] + (2 * idx[idx[AT_STAY_OF] + slot] + side)]
            if k >= 0:
                pos[pos[AT_MARK] + k] = 0
        slot = pos[pos[AT_AFTER] + slot]


@lean
def from_stem(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    place: int,
    since: float,
    gen: np.random.Generator,
) -> int:
    """Queues for each colony of a block the first way since a day in which the stem infects it, if any; how many wait.

    Those that stood there only and touch no infected one are done together: points fall on a bound of what presses on
    any of them, once for each, and on the events to which they came. Mostly there is none.
    """
    first, end, waiting = (pos[pos[AT_BLOCK_PTR] + place], pos[pos[AT_BLOCK_PTR] + (place + 1)], 0)
    for n in range(first, first + pos[pos[AT_MOVED] + place]):
        k = pos[pos[AT_BLOCK] + n]
        if free(mem, pos, k):
            waiting = _from_stem(num, idx, mem, pos, theta, k, since, waiting, gen)
    waiting = _beside(num, idx, mem, pos, theta, place, since, waiting, gen)
    first += pos[pos[AT_MOVED] + place]
    most, at = (most_pressure(num, idx, mem, pos, theta, place), point(gen))
    most *= 1.001  # sums of another order differ in their last digits
    each = theta[0] * mem[pos[AT_SPAN] + place] + mem[pos[AT_DAWN] + place] + most
    while at < each * (end - first):
        n = min(int(at / each), end - first - 1)
        k = pos[pos[AT_BLOCK] + (first + n)]
        if free(mem, pos, k) and pos[pos[AT_MARK] + k] == 0:
            when, source = _pressed_at(num, idx, mem, pos, theta, k, most, at - n * each)
            if when >= since and source != NO:
                waiting = queued(mem, pos, k, when, source, waiting)
        at += point(gen)
    at -= each * (end - first)
    for g in range(pos[pos[AT_GIFT_PTR] + place], pos[pos[AT_GIFT_PTR] + (place + 1)]):
        e, low = (pos[pos[AT_GIFT_EVENT] + g], pos[pos[AT_GIFT_FROM] + g])
        one, takers = (min(-mem[pos[AT_SPARED] + e], _SURE), pos[pos[AT_GIFT_FROM] + (g + 1)] - low)
        while at < one * takers:
            k = pos[pos[AT_GIFT] + (low + min(int(at / one), takers - 1))]
            if free(mem, pos, k) and pos[pos[AT_MARK] + k] == 0 and mem[pos[AT_WHEN] + e] >= since:
                waiting = queued(mem, pos, k, mem[pos[AT_WHEN] + e], e, waiting)
            at += point(gen)
        at -= one * takers
    _unmarked(idx, pos, place)
    return waiting


@lean
def _pressed_at(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, k: int, most: float, at: float
) -> tuple[float, int]:
    """When and how colony k is infected by the way at that place of the axis, if not by an event.

    most: bound of what the infected press on it.
    """
    known = theta[0] * (num[idx[AT_INFECTABLE] + k] - num[idx[AT_FIRST] + k]) - np.log1p(-num[idx[AT_BEFORE] + k])
    if at >= known + most:
        return (np.inf, NO)
    count = 0 if at < known else gather(num, idx, mem, pos, theta, k)
    return _way_without(num, idx, mem, pos, theta, k, count, at)


@lean
def _way_without(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, k: int, count: int, at: float
) -> tuple[float, int]:
    """When and how the gathered colony k is infected by the way at that place of the axis, events left out."""
    first = num[idx[AT_FIRST] + k]
    left = at + np.log1p(-num[idx[AT_BEFORE] + k])
    if left < 0.0:
        return (first, BEFORE)
    span = num[idx[AT_INFECTABLE] + k] - first
    if left < theta[0] * span:
        return (first + left / theta[0], PRESSURE)
    left -= theta[0] * span
    for c in range(count):
        if left < mem[pos[AT_MASS] + c]:
            return (time_within(mem, pos, theta, c, left / mem[pos[AT_MASS] + c]), PRESSURE)
        left -= mem[pos[AT_MASS] + c]
    return (np.inf, NO)


@lean
def _way_at(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, k: int, count: int, at: float
) -> tuple[float, int]:
    """When and how the gathered colony k is infected by the way at that place of the axis."""
    for n in range(idx[idx[AT_IN_PTR] + k], idx[idx[AT_IN_PTR] + (k + 1)]):
        e = idx[idx[AT_IN_EVENT] + n]
        if at < -mem[pos[AT_SPARED] + e]:
            return (mem[pos[AT_WHEN] + e], e)
        at += mem[pos[AT_SPARED] + e]
    return _way_without(num, idx, mem, pos, theta, k, count, at)


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
    latent, robbed, time, onset = (theta[LATENT], theta[ROBBED], mem[pos[AT_TIME] + j], mem[pos[AT_ONSET] + j])
    dead, over = (num[idx[AT_DEAD] + j], num[idx[AT_END] + j])
    at = point(gen)
    for its in range(idx[idx[AT_STAY_PTR] + j], idx[idx[AT_STAY_PTR] + (j + 1)]):
        a, b = (max(num[idx[AT_STAY_FROM] + its], time), min(num[idx[AT_STAY_TO] + its], min(over, idx[DAYS] - 1.0)))
        worth, place = (worth_during(latent, robbed, time, onset, dead, over, a, b), idx[idx[AT_STAY_PLACE] + its])
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
                k = idx[idx[AT_STAY_OF] + slot]
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
    low = max(num[idx[AT_STAY_FROM] + slot], num[idx[AT_FIRST] + k])
    if low <= when < min(num[idx[AT_STAY_TO] + slot], num[idx[AT_INFECTABLE] + k]):
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
    latent, robbed, time, onset = (theta[LATENT], theta[ROBBED], mem[pos[AT_TIME] + j], mem[pos[AT_ONSET] + j])
    dead, over = (num[idx[AT_DEAD] + j], num[idx[AT_END] + j])
    for side in range(2):
        k = idx[idx[AT_TOUCHING] + (2 * j + side)]
        if k < 0 or not free(mem, pos, k):
            continue
        for slot in range(idx[idx[AT_STAY_PTR] + k], idx[idx[AT_STAY_PTR] + (k + 1)]):
            if idx[idx[AT_STAY_PLACE] + slot] == place:
                low = max(max(a, num[idx[AT_STAY_FROM] + slot]), num[idx[AT_FIRST] + k])
                high = min(min(b, num[idx[AT_STAY_TO] + slot]), num[idx[AT_INFECTABLE] + k])
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
    for n in range(idx[idx[AT_OUT_PTR] + j], idx[idx[AT_OUT_PTR] + (j + 1)]):
        given = given_share(num, idx, mem, pos, theta, n, j, mem[pos[AT_TIME] + j], mem[pos[AT_ONSET] + j])
        if given > 0.0:
            e = idx[idx[AT_OUT_EVENT] + n]
            more = mem[pos[AT_SPARED] + e] - log_spared(num, idx, theta, e, mem[pos[AT_SHARE] + e] + given)
            first = idx[idx[AT_TAKE_PTR] + e]
            takers, at = (idx[idx[AT_TAKE_PTR] + (e + 1)] - first, point(gen))
            while at < more * takers:
                k = idx[idx[AT_TAKE] + (first + min(int(at / more), takers - 1))]
                if k != j and free(mem, pos, k) and mem[pos[AT_WHEN] + e] > mem[pos[AT_TIME] + j]:
                    waiting = queued(mem, pos, k, mem[pos[AT_WHEN] + e], e, waiting)
                at += point(gen)
    return waiting


@lean
def worth(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    count: int,
    place: int,
) -> float:
    """Log of what growth does not know of when it adds the gathered colony j to the branch, as an infected one.

    What was seen of it; what it did to all but the healthy rare ones, who are infected by the branch only as it grows.
    For one outside the block: that the branch, and not the stem, infected it. j must be out, its dates set; all others
    in the branch were infected before it.
    """
    time, onset = (mem[pos[AT_TIME] + j], mem[pos[AT_ONSET] + j])
    total = log_seen(num, idx, mem, pos, j, time, onset, mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j])
    total -= log_seen(num, idx, mem, pos, j, np.inf, np.inf, 1.0, 0.0)
    total += _gave(num, idx, mem, pos, theta, j)
    if not stood(idx, j, place):
        total += _by_branch(num, idx, mem, pos, theta, j, count)
    latent, robbed, dead, over = (theta[LATENT], theta[ROBBED], num[idx[AT_DEAD] + j], num[idx[AT_END] + j])
    for c in range(count):
        if pos[pos[AT_TREE] + pos[pos[AT_WHO] + c]] == 0:
            low, high = (mem[pos[AT_BEGIN] + c], min(mem[pos[AT_ITS_TIME] + c], mem[pos[AT_OUT_HIGH] + c]))
            total -= mem[pos[AT_SPEED] + c] * worth_during(latent, robbed, time, onset, dead, over, low, high)
    for m in range(pos[pos[AT_PLAN] + WELL]):
        total -= _mass(num, idx, mem, pos, theta, j, pos[pos[AT_WELL] + m], count)
    return total


@lean
def _mass(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, k: int, first: int) -> float:
    """How much the infected colony j presses on the healthy colony k; entries from `first` are scratch."""
    end = first
    for slot in range(idx[idx[AT_STAY_PTR] + k], idx[idx[AT_STAY_PTR] + (k + 1)]):
        place = idx[idx[AT_STAY_PLACE] + slot]
        for other in range(idx[idx[AT_STAY_PTR] + j], idx[idx[AT_STAY_PTR] + (j + 1)]):
            there = idx[idx[AT_STAY_PLACE] + other]
            if there == place:
                end = meet(num, idx, mem, pos, theta, k, slot, other, theta[APIARY], True, end)
                continue
            for n in range(idx[idx[AT_NEAR_PTR] + place], idx[idx[AT_NEAR_PTR] + (place + 1)]):
                if idx[idx[AT_NEAR] + n] == there:
                    base = theta[ROBBING] * num[idx[AT_NEAR_FALL] + n]
                    end = meet(num, idx, mem, pos, theta, k, slot, other, base, False, end)
    total = 0.0
    for c in range(first, end):
        total += mem[pos[AT_MASS] + c]
    return total


@leaf
def _stem_share(mem: Floats, pos: Ints, e: int) -> float:
    """Contaminated share of an event that comes from the stem."""
    return mem[pos[AT_STEM_SHARE] + e] if pos[pos[AT_TOLD] + e] != 0 else mem[pos[AT_SHARE] + e]


@lean
def _by_branch(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int) -> float:
    """For a colony outside the block, infected by the branch: the stem's chance to infect it later falls away.

    By an event to which both gave, the branch's part of the chance, against that with which growth strikes.
    """
    time, source = (mem[pos[AT_TIME] + j], pos[pos[AT_SOURCE] + j])
    total = theta[0] * (num[idx[AT_INFECTABLE] + j] - time)
    for c in range(count):
        i = pos[pos[AT_WHO] + c]
        if pos[pos[AT_TREE] + i] == 0:
            low, high = (max(mem[pos[AT_LOW] + c], time), mem[pos[AT_HIGH] + c])
            its, signs = (mem[pos[AT_ITS_TIME] + c], mem[pos[AT_ITS_ONSET] + c])
            gone, over = (mem[pos[AT_ITS_DEAD] + c], mem[pos[AT_ITS_END] + c])
            late = worth_during(theta[LATENT], theta[ROBBED], its, signs, gone, over, low, high)
            total += mem[pos[AT_SPEED] + c] * late
    for n in range(idx[idx[AT_IN_PTR] + j], idx[idx[AT_IN_PTR] + (j + 1)]):
        e = idx[idx[AT_IN_EVENT] + n]
        if not came_before(mem, pos, e, source, time):
            total -= log_spared(num, idx, theta, e, _stem_share(mem, pos, e))
    if source >= 0:
        stem, share = (_stem_share(mem, pos, source), mem[pos[AT_SHARE] + source])
        spared = log_spared(num, idx, theta, source, share)
        grows = -np.expm1(spared - log_spared(num, idx, theta, source, stem))
        total += np.log((share - stem) / share * -np.expm1(spared) / grows)
    return total


@lean
def _gave(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int) -> float:
    """Log of what the gifts of colony j did to all but the healthy rare ones.

    Of those whom an event infected none is in the branch yet: each has it from the stem, by the stem's part.
    """
    total = 0.0
    for n in range(idx[idx[AT_OUT_PTR] + j], idx[idx[AT_OUT_PTR] + (j + 1)]):
        given = given_share(num, idx, mem, pos, theta, n, j, mem[pos[AT_TIME] + j], mem[pos[AT_ONSET] + j])
        if given > 0.0:
            e = idx[idx[AT_OUT_EVENT] + n]
            old, share = (mem[pos[AT_SHARE] + e], mem[pos[AT_SHARE] + e] + given)
            spared = log_spared(num, idx, theta, e, share)
            total += (pos[pos[AT_RISK] + e] - pos[pos[AT_FREE] + e]) * (spared - mem[pos[AT_SPARED] + e])
            if pos[pos[AT_TAKEN] + e] > 0:
                if not old > 0.0:
                    return -np.inf
                part = np.log(-np.expm1(spared) / share * old) - mem[pos[AT_LOG_STRUCK] + e]
                total += pos[pos[AT_TAKEN] + e] * part
    return total
