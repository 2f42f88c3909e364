"""Compiled: one outbreak forward in time, event by event, with dated moves and with visits that find and remove.

Every infected colony carries one entry in a heap: its next contact, or the next moment at which its rate changes.
Contacts are drawn at the largest rate that the place allows and thinned, so no rate is ever summed over colonies.
Streams of chance: 2 i for the contacts of colony i, 2 i + 1 for looks at it, 2 n for all else.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import compiled, inlined
from ashcomb.outbreak.kernel_chance import log_spared, shows
from ashcomb.outbreak.kernel_random import Keys, exponential, luck, stream, uniform
from ashcomb.outbreak.kernel_state import APIARY, LATENT, ROBBED, ROBBING, TOUCHING, link, onset_of, touch
from ashcomb.outbreak.layout import (
    AT_AFTER,
    AT_CHANCE,
    AT_DEAD,
    AT_END,
    AT_EVENT_FROM,
    AT_EVENT_OUTSIDE,
    AT_EVENT_TO,
    AT_FIRST,
    AT_GIVE,
    AT_GIVE_PTR,
    AT_GIVE_SHARE,
    AT_GIVE_TIME,
    AT_HEAD,
    AT_INFECTABLE,
    AT_LENGTH,
    AT_NEAR,
    AT_NEAR_FALL,
    AT_NEAR_PTR,
    AT_ONSET,
    AT_SOURCE,
    AT_STAY_FROM,
    AT_STAY_OF,
    AT_STAY_PLACE,
    AT_STAY_PTR,
    AT_STAY_TO,
    AT_TAKE,
    AT_TAKE_PTR,
    AT_TIME,
    AT_TOUCHING,
    AT_TURN,
    AT_WHEN,
    COLONIES,
    EVENTS,
)
from ashcomb.outbreak.scene import Floats, Ints

_NO, _BEFORE, _PRESSURE = -3, -2, -1


@inlined
def _push(times: Floats, items: Ints, size: int, time: float, item: int) -> int:
    k = size
    while k > 0:
        up = (k - 1) >> 1
        if times[up] <= time:
            break
        times[k], items[k] = times[up], items[up]
        k = up
    times[k], items[k] = time, item
    return size + 1


@inlined
def _replace_top(times: Floats, items: Ints, size: int, time: float, item: int) -> None:
    k = 0
    while True:
        down = 2 * k + 1
        if down >= size:
            break
        if down + 1 < size and times[down + 1] < times[down]:
            down += 1
        if times[down] >= time:
            break
        times[k], items[k] = times[down], items[down]
        k = down
    times[k], items[k] = time, item


@inlined
def _slot_at(num: Floats, idx: Ints, i: int, at: float) -> int:
    for slot in range(idx[idx[AT_STAY_PTR] + i], idx[idx[AT_STAY_PTR] + i + 1]):
        if num[idx[AT_STAY_FROM] + slot] <= at < num[idx[AT_STAY_TO] + slot]:
            return slot
    return -1


@inlined
def _stage(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, place_ptr: Ints, near_ready: Floats, i: int,
    at: float, now: Floats,
) -> None:  # fmt: skip
    """Writes down largest contact rate of colony i from a time on, until when it holds, and where: rate, end, place."""
    end, dead, onset = num[idx[AT_END] + i], num[idx[AT_DEAD] + i], mem[pos[AT_ONSET] + i]
    now[3 * i], now[3 * i + 1] = 0.0, np.inf
    if at >= end or mem[pos[AT_TIME] + i] >= dead:
        return
    worth, until = theta[ROBBED], end
    if at < dead:
        worth, until = (theta[LATENT], min(min(onset, dead), end)) if at < onset else (1.0, min(dead, end))
    slot = _slot_at(num, idx, i, at)
    if slot < 0:
        for other in range(idx[idx[AT_STAY_PTR] + i], idx[idx[AT_STAY_PTR] + i + 1]):
            if num[idx[AT_STAY_FROM] + other] > at:
                now[3 * i + 1] = min(now[3 * i + 1], num[idx[AT_STAY_FROM] + other])
        return
    place = idx[idx[AT_STAY_PLACE] + slot]
    now[3 * i] = worth * _reach(idx, theta, place_ptr, near_ready, place)
    now[3 * i + 1], now[3 * i + 2] = min(until, num[idx[AT_STAY_TO] + slot]), place


@inlined
def _reach(idx: Ints, theta: Floats, place_ptr: Ints, near_ready: Floats, place: int) -> float:
    """Largest contact rate of a colony of worth one that stands there."""
    here, last = place_ptr[place + 1] - place_ptr[place], idx[idx[AT_NEAR_PTR] + place + 1]
    near = near_ready[last - 1] if last > idx[idx[AT_NEAR_PTR] + place] else 0.0
    return theta[APIARY] * here + 2.0 * max(theta[TOUCHING] - theta[APIARY], 0.0) + theta[ROBBING] * near


@inlined
def _target(
    num: Floats, idx: Ints, theta: Floats, place_ptr: Ints, place_slot: Ints, near_ready: Floats, i: int, place: int,
    at: float, keys: Keys,
) -> int:  # fmt: skip
    """Whom a contact of colony i meets; -1 nobody."""
    extra = max(theta[TOUCHING] - theta[APIARY], 0.0)
    here = place_ptr[place + 1] - place_ptr[place]
    left = uniform(keys, 2 * i) * _reach(idx, theta, place_ptr, near_ready, place)
    if left < 2.0 * extra:
        k = idx[idx[AT_TOUCHING] + 2 * i + (1 if left >= extra else 0)]
        if k < 0:
            return -1
        slot = _slot_at(num, idx, k, at)
        return k if slot >= 0 and idx[idx[AT_STAY_PLACE] + slot] == place else -1
    left -= 2.0 * extra
    if left < theta[APIARY] * here:
        slot = place_slot[place_ptr[place] + min(int(left / theta[APIARY]), here - 1)]
        k = idx[idx[AT_STAY_OF] + slot]
        weaker = theta[TOUCHING] < theta[APIARY] and touch(num, idx, i, k)
        if weaker and uniform(keys, 2 * i) * theta[APIARY] >= theta[TOUCHING]:
            return -1
    else:
        left = (left - theta[APIARY] * here) / theta[ROBBING]
        slot = _slot_near(num, idx, place_ptr, place_slot, near_ready, place, left)
        k = idx[idx[AT_STAY_OF] + slot]
    inside = num[idx[AT_STAY_FROM] + slot] <= at < num[idx[AT_STAY_TO] + slot]
    return k if inside and k != i else -1


@inlined
def _slot_near(
    num: Floats, idx: Ints, place_ptr: Ints, place_slot: Ints, near_ready: Floats, place: int, left: float
) -> int:
    """The stay near a place at which the running sum of weights passes `left`."""
    first, high = idx[idx[AT_NEAR_PTR] + place], idx[idx[AT_NEAR_PTR] + place + 1] - 1
    low = first
    while low < high:
        middle = (low + high) >> 1
        if near_ready[middle] > left:
            high = middle
        else:
            low = middle + 1
    other = idx[idx[AT_NEAR] + low]
    size = place_ptr[other + 1] - place_ptr[other]
    left -= near_ready[low - 1] if low > first else 0.0
    return place_slot[place_ptr[other] + max(min(int(left / num[idx[AT_NEAR_FALL] + low]), size - 1), 0)]


@compiled
def _infect(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, j: int, source: int, at: float, seed: np.uint64, keys: Keys
) -> None:
    """Infects colony j with a delay and a remission drawn by their laws, out of its own luck."""
    _wake(j, seed, keys)
    chance = uniform(keys, 2 * j)
    pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j], mem[pos[AT_CHANCE] + j] = source, at, chance
    mem[pos[AT_ONSET] + j] = onset_of(num, idx, at, chance)
    mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j] = uniform(keys, 2 * j), uniform(keys, 2 * j)


@compiled
def _wake(j: int, seed: np.uint64, keys: Keys) -> None:
    keys[2 * j], keys[2 * j + 1] = stream(seed, 2 * j), stream(seed, 2 * j + 1)


@inlined
def _can(num: Floats, idx: Ints, pos: Ints, j: int, at: float) -> bool:
    """Whether colony j lives and is free at a time."""
    free = pos[pos[AT_SOURCE] + j] == _NO
    return free and num[idx[AT_FIRST] + j] <= at < num[idx[AT_INFECTABLE] + j]


@compiled
def _donor(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, wanted: float) -> tuple[float, int]:
    """Contaminated share of an event; and the donor at which its running sum passes `wanted`, -3 for outside."""
    share, chosen = num[idx[AT_EVENT_OUTSIDE] + e], -3
    for g in range(idx[idx[AT_GIVE_PTR] + e], idx[idx[AT_GIVE_PTR] + e + 1]):
        i = idx[idx[AT_GIVE] + g]
        at = num[idx[AT_GIVE_TIME] + g]
        if np.isnan(at):
            at = mem[pos[AT_WHEN] + e]
        if mem[pos[AT_TIME] + i] < at and num[idx[AT_END] + i] >= at:
            if share <= wanted:
                chosen = i
            share += num[idx[AT_GIVE_SHARE] + g] * (theta[LATENT] if at < mem[pos[AT_ONSET] + i] else 1.0)
    return share, chosen


@compiled
def spread(  # noqa: PLR0915 - one loop over events; calls out of it would cost more than they say
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, place_ptr: Ints, place_slot: Ints,
    near_ready: Floats, event_order: Ints, begin: float, stop: float, visit_time: Floats, visit_place: Ints,
    visit: Floats, by: Ints, found: Floats, times: Floats, items: Ints, now: Floats, who: Ints, many: int, gone: Ints,
    seed: np.uint64, keys: Keys,
) -> tuple[int, int, int]:  # fmt: skip
    """Runs from `begin` to `stop` (days); returns steps made, number infected and number removed.

    place_ptr, place_slot: stays by place.  near_ready: running sum of the weights of the stays near each place.
    event_order: events from `begin` on, in order of time.  visit_*: in order of time; visit: chance to notice signs,
    days until removal, 1 if the whole apiary is removed.  by (n): infector of each.  found (n): day it was found,
    infinite if never.  times, items: heap.  now (3 n): see `_stage`.  who: the infected, `many` of them at `begin`,
    with their streams awake; the others follow.  gone: the removed.
    """
    n, size, steps, next_event, next_visit, removed = idx[COLONIES], 0, 0, 0, 0, 0
    keys[2 * n] = stream(seed, 2 * n)
    outside = begin + exponential(keys, 2 * n) / (theta[0] * n) if theta[0] > 0.0 else np.inf
    first = 0
    while True:
        for q in range(first, many):
            i = who[q]
            link(num, idx, mem, pos, i)
            start = max(begin, mem[pos[AT_TIME] + i])
            _stage(num, idx, mem, pos, theta, place_ptr, near_ready, i, start, now)
            time = start + exponential(keys, 2 * i) / now[3 * i] if now[3 * i] > 0.0 else np.inf
            if min(time, now[3 * i + 1]) < stop:
                size = _push(times, items, size, min(time, now[3 * i + 1]), 2 * i + (time >= now[3 * i + 1]))
        first = many
        at = outside
        kind = 0
        if size > 0 and times[0] < at:
            at, kind = times[0], 1
        if next_event < len(event_order) and mem[pos[AT_WHEN] + event_order[next_event]] <= at:
            at, kind = mem[pos[AT_WHEN] + event_order[next_event]], 2
        if next_visit < len(visit_time) and visit_time[next_visit] <= at:
            at, kind = visit_time[next_visit], 3
        if at >= stop:
            return steps, many, removed
        steps += 1
        if kind == 1:
            i = items[0] >> 1
            if items[0] & 1 or at >= num[idx[AT_END] + i]:
                _stage(num, idx, mem, pos, theta, place_ptr, near_ready, i, at, now)
            else:
                k = _target(num, idx, theta, place_ptr, place_slot, near_ready, i, int(now[3 * i + 2]), at, keys)
                if k >= 0 and _can(num, idx, pos, k, at):
                    _infect(num, idx, mem, pos, k, _PRESSURE, at, seed, keys)
                    by[k], who[many] = i, k
                    many += 1
            time, until = np.inf, now[3 * i + 1]
            if now[3 * i] > 0.0:
                time = at + exponential(keys, 2 * i) / now[3 * i]
            item = 2 * i + (time >= until)
            time = min(time, until)
            if time >= stop:
                size -= 1
                time, item = times[size], items[size]
            if size > 0:
                _replace_top(times, items, size, time, item)
        elif kind == 0:
            k = int(uniform(keys, 2 * n) * n)
            if _can(num, idx, pos, k, at):
                _infect(num, idx, mem, pos, k, _PRESSURE, at, seed, keys)
                by[k], who[many] = -1, k
                many += 1
            outside = at + exponential(keys, 2 * n) / (theta[0] * n)
        elif kind == 2:
            many = _move(num, idx, mem, pos, theta, event_order[next_event], by, who, many, seed, keys)
            next_event += 1
        else:
            removed = _look(num, idx, mem, pos, place_ptr, place_slot, visit_place[next_visit], at, visit, found, gone,
                            removed, keys)  # fmt: skip
            next_visit += 1


@compiled
def _move(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, by: Ints, who: Ints, many: int,
    seed: np.uint64, keys: Keys,
) -> int:  # fmt: skip
    """What a dated event does to its receivers; returns how many are now infected."""
    share, _ = _donor(num, idx, mem, pos, theta, e, -1.0)
    if share <= 0.0:
        return many
    chance, n = -np.expm1(log_spared(num, idx, theta, e, share)), idx[COLONIES]
    for q in range(idx[idx[AT_TAKE_PTR] + e], idx[idx[AT_TAKE_PTR] + e + 1]):
        k = idx[idx[AT_TAKE] + q]
        if _can(num, idx, pos, k, mem[pos[AT_WHEN] + e]) and luck(seed, 2 * n + 1 + e, 2 * k) < chance:
            _, by[k] = _donor(num, idx, mem, pos, theta, e, luck(seed, 2 * n + 1 + e, 2 * k + 1) * share)
            _infect(num, idx, mem, pos, k, e, mem[pos[AT_WHEN] + e], seed, keys)
            who[many] = k
            many += 1
    return many


@compiled
def _look(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, place_ptr: Ints, place_slot: Ints, place: int, at: float,
    visit: Floats, found: Floats, gone: Ints, removed: int, keys: Keys,
) -> int:  # fmt: skip
    """A look at every colony of an apiary; those found are removed after some days, or with all that stand there.

    A colony that ends before its removal would come is not looked at: its end was settled without this look.
    """
    any_found = False
    slot = pos[pos[AT_HEAD] + place]
    while slot >= 0:
        i = idx[idx[AT_STAY_OF] + slot]
        here = num[idx[AT_STAY_FROM] + slot] <= at < num[idx[AT_STAY_TO] + slot] and at < num[idx[AT_END] + i]
        doomed = found[i] < np.inf or num[idx[AT_END] + i] <= at + visit[1]
        if here and not doomed:
            signs = shows(num, idx, mem[pos[AT_ONSET] + i], mem[pos[AT_TURN] + i], mem[pos[AT_LENGTH] + i], at)
            if signs and uniform(keys, 2 * i + 1) < visit[0]:
                found[i], any_found = at, True
                removed = _remove(num, idx, i, at + visit[1], gone, removed)
        slot = pos[pos[AT_AFTER] + slot]
    if any_found and visit[2] > 0.0:
        for q in range(place_ptr[place], place_ptr[place + 1]):
            slot = place_slot[q]
            i = idx[idx[AT_STAY_OF] + slot]
            if num[idx[AT_STAY_FROM] + slot] <= at < num[idx[AT_STAY_TO] + slot] and num[idx[AT_FIRST] + i] <= at:
                removed = _remove(num, idx, i, at + visit[1], gone, removed)
    return removed


@compiled
def _remove(num: Floats, idx: Ints, i: int, at: float, gone: Ints, removed: int) -> int:
    """Ends colony i at a time, if it did not end before; `gone` lists it once for each day that it was brought to."""
    if num[idx[AT_END] + i] <= at:
        return removed
    num[idx[AT_END] + i] = at
    num[idx[AT_INFECTABLE] + i] = min(num[idx[AT_INFECTABLE] + i], at)
    gone[removed] = i
    return removed + 1


@compiled
def begin_free(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, before: Floats, by: Ints, who: Ints, seed: np.uint64, keys: Keys
) -> int:
    """The first day: who was infected before, by its chance; later comers when they come. Returns how many."""
    many, lots = 0, 2 * idx[COLONIES] + 1 + idx[EVENTS]
    for j in range(idx[COLONIES]):
        if before[j] > 0.0 and luck(seed, lots, j) < before[j]:
            _infect(num, idx, mem, pos, j, _BEFORE, num[idx[AT_FIRST] + j], seed, keys)
            by[j], who[many] = -2, j
            many += 1
    return many


@compiled
def begin_from(
    mem: Floats, pos: Ints, first: int, last: int, colony: Ints, source: Ints, infector: Ints, part: Floats, by: Ints,
    who: Ints, seed: np.uint64, keys: Keys,
) -> int:  # fmt: skip
    """Takes over rows of one draw: colony, source and infector; part: time, onset, turn, length. Returns how many."""
    for row in range(first, last):
        j = colony[row]
        pos[pos[AT_SOURCE] + j], by[j], who[row - first] = source[row], infector[row], j
        mem[pos[AT_TIME] + j], mem[pos[AT_ONSET] + j] = part[row, 0], part[row, 1]
        mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j] = part[row, 2], part[row, 3]
        _wake(j, seed, keys)
    return last - first


@compiled
def clear(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, end: Floats, infectable: Floats, by: Ints, found: Floats, who: Ints,
    many: int, gone: Ints, removed: int,
) -> None:  # fmt: skip
    """Undoes a run: the infected are free again, the removed there again."""
    for q in range(many):
        j = who[q]
        pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j], mem[pos[AT_ONSET] + j] = _NO, np.inf, np.inf
        mem[pos[AT_CHANCE] + j], mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j] = 0.0, 1.0, 0.0
        by[j], found[j] = -1, np.inf
        for slot in range(idx[idx[AT_STAY_PTR] + j], idx[idx[AT_STAY_PTR] + j + 1]):
            pos[pos[AT_HEAD] + idx[idx[AT_STAY_PLACE] + slot]] = -1
    for q in range(removed):
        num[idx[AT_END] + gone[q]], num[idx[AT_INFECTABLE] + gone[q]] = end[gone[q]], infectable[gone[q]]


@compiled
def dates(num: Floats, idx: Ints, mem: Floats, pos: Ints, seed: np.uint64) -> None:
    """Draws the open dates of events."""
    for e in range(idx[EVENTS]):
        low, high = num[idx[AT_EVENT_FROM] + e], num[idx[AT_EVENT_TO] + e]
        mem[pos[AT_WHEN] + e] = low + luck(seed, 2 * idx[COLONIES] + 1 + e, -1) * (high - low)
