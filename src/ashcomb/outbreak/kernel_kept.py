"""Compiled: what is kept ready between moves, as colonies leave the state and come back."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import leaf, lean
from ashcomb.outbreak.kernel_chance import came_before, given_share, log_spared
from ashcomb.outbreak.kernel_pressure import gather, pressure_at
from ashcomb.outbreak.kernel_state import LATENT, ROBBED, link, unlink, worth_then
from ashcomb.outbreak.layout import (
    AT_DEAD,
    AT_END,
    AT_EVENT_OUTSIDE,
    AT_FREE,
    AT_GAVE,
    AT_HEAD,
    AT_HIT,
    AT_ILL,
    AT_IN_EVENT,
    AT_IN_PTR,
    AT_LOG_STRUCK,
    AT_OLD_LOG,
    AT_OLD_SHARE,
    AT_OLD_SPARED,
    AT_OLD_STRUCK,
    AT_ONSET,
    AT_OUT_EVENT,
    AT_OUT_PTR,
    AT_PLAN,
    AT_RATE,
    AT_RISK,
    AT_SHARE,
    AT_SOURCE,
    AT_SPARED,
    AT_SPEED,
    AT_SPOT,
    AT_STRUCK,
    AT_TAKEN,
    AT_TIME,
    AT_WEIGHT,
    AT_WELL,
    AT_WHO,
    COLONIES,
    EVENT,
    EVENTS,
    HIVE,
    PLACES,
    RARE,
    WELL,
)
from ashcomb.outbreak.scene import NO, PRESSURE, Floats, Ints


@leaf
def share_is(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, share: float) -> None:
    """Sets the contaminated share of an event, and the chances that go with it."""
    mem[pos[AT_SHARE] + EVENT * e] = share
    spared = log_spared(num, idx, theta, e, share)
    struck = -np.expm1(spared)
    mem[pos[AT_SPARED] + EVENT * e], mem[pos[AT_STRUCK] + EVENT * e] = (spared, struck)
    mem[pos[AT_LOG_STRUCK] + EVENT * e] = np.log(struck) if struck > 0.0 else -np.inf


@leaf
def _receives(idx: Ints, mem: Floats, pos: Ints, i: int, sign: int) -> None:
    """Enters colony i among the receivers of events that could have infected it, or did; or takes it out."""
    source, time = (pos[pos[AT_SOURCE] + HIVE * i], mem[pos[AT_TIME] + HIVE * i])
    for k in range(idx[idx[AT_IN_PTR] + HIVE * i], idx[idx[AT_IN_PTR] + HIVE * (i + 1)]):
        e = idx[idx[AT_IN_EVENT] + k]
        if source == e:
            pos[pos[AT_TAKEN] + EVENT * e] += sign
            continue
        if source == NO and mem[pos[AT_WEIGHT] + HIVE * i] > 0.0:
            pos[pos[AT_FREE] + EVENT * e] += sign
        if came_before(mem, pos, e, source, time):
            pos[pos[AT_RISK] + EVENT * e] += sign


@leaf
def _rates_near(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, i: int, count: int, sign: float) -> None:
    """Adds or takes away what the gathered colony i adds to the pressure at the others' moments of infection."""
    latent, robbed, dead = (theta[LATENT], theta[ROBBED], num[idx[AT_DEAD] + HIVE * i])
    end = num[idx[AT_END] + HIVE * i]
    time, onset = (mem[pos[AT_TIME] + HIVE * i], mem[pos[AT_ONSET] + HIVE * i])
    for c in range(count):
        worth = worth_then(latent, robbed, time, onset, dead, end, mem[pos[AT_HIT] + c])
        mem[pos[AT_RATE] + HIVE * pos[pos[AT_WHO] + c]] += sign * mem[pos[AT_SPEED] + c] * worth


@leaf
def _given_back(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, given: float) -> None:
    """Takes what a colony gave out of an event, and remembers how it was: mostly it comes back as it went."""
    mem[pos[AT_GAVE] + EVENT * e] = given
    if given > 0.0:
        mem[pos[AT_OLD_SHARE] + EVENT * e] = mem[pos[AT_SHARE] + EVENT * e]
        mem[pos[AT_OLD_SPARED] + EVENT * e] = mem[pos[AT_SPARED] + EVENT * e]
        mem[pos[AT_OLD_STRUCK] + EVENT * e] = mem[pos[AT_STRUCK] + EVENT * e]
        mem[pos[AT_OLD_LOG] + EVENT * e] = mem[pos[AT_LOG_STRUCK] + EVENT * e]
        left = mem[pos[AT_SHARE] + EVENT * e] - given
        share_is(num, idx, mem, pos, theta, e, left if left > 1e-13 else 0.0)


@leaf
def _given_anew(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, given: float) -> None:
    """Adds what a colony gives to an event."""
    if given == mem[pos[AT_GAVE] + EVENT * e]:
        mem[pos[AT_SHARE] + EVENT * e] = mem[pos[AT_OLD_SHARE] + EVENT * e]
        mem[pos[AT_SPARED] + EVENT * e] = mem[pos[AT_OLD_SPARED] + EVENT * e]
        mem[pos[AT_STRUCK] + EVENT * e] = mem[pos[AT_OLD_STRUCK] + EVENT * e]
        mem[pos[AT_LOG_STRUCK] + EVENT * e] = mem[pos[AT_OLD_LOG] + EVENT * e]
    else:
        share_is(num, idx, mem, pos, theta, e, mem[pos[AT_SHARE] + EVENT * e] + given)


@lean
def take_out(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, i: int, count: int) -> None:
    """Removes the gathered colony i from all that is kept ready; its own time and source stay readable."""
    _receives(idx, mem, pos, i, -1)
    infected, time = (pos[pos[AT_SOURCE] + HIVE * i] != NO, mem[pos[AT_TIME] + HIVE * i])
    onset = mem[pos[AT_ONSET] + HIVE * i]
    for k in range(idx[idx[AT_OUT_PTR] + HIVE * i], idx[idx[AT_OUT_PTR] + HIVE * (i + 1)]):
        given = given_share(num, idx, mem, pos, theta, k, i, time, onset) if infected else 0.0
        _given_back(num, idx, mem, pos, theta, idx[idx[AT_OUT_EVENT] + k], given)
    if infected:
        unlink(num, idx, mem, pos, i)
        _rates_near(num, idx, mem, pos, theta, i, count, -1.0)


@lean
def put_in(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, i: int, count: int) -> None:
    """Enters the gathered colony i, as its time and source now are; it was the last one taken out."""
    _receives(idx, mem, pos, i, 1)
    mem[pos[AT_RATE] + HIVE * i] = 0.0
    if pos[pos[AT_SOURCE] + HIVE * i] == NO:
        return
    time, onset = (mem[pos[AT_TIME] + HIVE * i], mem[pos[AT_ONSET] + HIVE * i])
    if pos[pos[AT_SOURCE] + HIVE * i] == PRESSURE:
        mem[pos[AT_RATE] + HIVE * i] = pressure_at(mem, pos, theta, count, time)
    _rates_near(num, idx, mem, pos, theta, i, count, 1.0)
    link(num, idx, mem, pos, i)
    for k in range(idx[idx[AT_OUT_PTR] + HIVE * i], idx[idx[AT_OUT_PTR] + HIVE * (i + 1)]):
        given = given_share(num, idx, mem, pos, theta, k, i, time, onset)
        if given > 0.0:
            _given_anew(num, idx, mem, pos, theta, idx[idx[AT_OUT_EVENT] + k], given)


@lean
def listed(mem: Floats, pos: Ints, j: int, infected: bool) -> None:
    """Enters a colony that was or is infected now into its list, or takes it out: of the infected rare colonies, or of
    the healthy ones that are visited often.
    """
    ill, count, enters = (pos[AT_ILL], pos[AT_PLAN] + RARE, infected)
    if mem[pos[AT_WEIGHT] + HIVE * j] == 0.0:
        ill, count, enters = (pos[AT_WELL], pos[AT_PLAN] + WELL, not infected)
    if enters:
        pos[ill + pos[count]], pos[pos[AT_SPOT] + HIVE * j] = (j, pos[count])
        pos[count] += 1
        return
    pos[count] -= 1
    last, spot = (pos[ill + pos[count]], pos[pos[AT_SPOT] + HIVE * j])
    pos[ill + spot], pos[pos[AT_SPOT] + HIVE * last] = (last, spot)


@lean
def _fill(pos: Ints, first: int, size: int, value: int) -> None:
    for k in range(first, first + size):
        pos[k] = value


@lean
def rebuild(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats) -> None:
    """Computes all that is kept ready anew from times, sources and dates."""
    _fill(pos, pos[AT_HEAD], idx[PLACES], -1)
    for e in range(idx[EVENTS]):
        mem[pos[AT_SHARE] + EVENT * e] = num[idx[AT_EVENT_OUTSIDE] + EVENT * e]
        pos[pos[AT_RISK] + EVENT * e], pos[pos[AT_TAKEN] + EVENT * e], pos[pos[AT_FREE] + EVENT * e] = (0, 0, 0)
    pos[pos[AT_PLAN] + RARE], pos[pos[AT_PLAN] + WELL] = (0, 0)
    for j in range(idx[COLONIES]):
        _receives(idx, mem, pos, j, 1)
        infected = pos[pos[AT_SOURCE] + HIVE * j] != NO
        if infected == (mem[pos[AT_WEIGHT] + HIVE * j] > 0.0):
            listed(mem, pos, j, infected)
        if infected:
            link(num, idx, mem, pos, j)
            for k in range(idx[idx[AT_OUT_PTR] + HIVE * j], idx[idx[AT_OUT_PTR] + HIVE * (j + 1)]):
                share = given_share(
                    num, idx, mem, pos, theta, k, j, mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j]
                )
                mem[pos[AT_SHARE] + EVENT * idx[idx[AT_OUT_EVENT] + k]] += share
    for e in range(idx[EVENTS]):
        share_is(num, idx, mem, pos, theta, e, mem[pos[AT_SHARE] + EVENT * e])
    for j in range(idx[COLONIES]):
        mem[pos[AT_RATE] + HIVE * j] = 0.0
        if pos[pos[AT_SOURCE] + HIVE * j] == PRESSURE:
            count = gather(num, idx, mem, pos, theta, j)
            mem[pos[AT_RATE] + HIVE * j] = pressure_at(mem, pos, theta, count, mem[pos[AT_TIME] + HIVE * j])
