"""Compiled: how likely are the looks at one colony, and what one event did to its receivers."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import leaf, lean
from ashcomb.outbreak.kernel_state import LATENT, ROUTE
from ashcomb.outbreak.layout import (
    AT_EVENT_KIND,
    AT_EVENT_OBJECTS,
    AT_LOG_STRUCK,
    AT_LOOK_ALIKE,
    AT_LOOK_FALSE,
    AT_LOOK_FOUND,
    AT_LOOK_PTR,
    AT_LOOK_TIME,
    AT_LOOK_WORTH,
    AT_MINE,
    AT_MINE_PTR,
    AT_ONSET,
    AT_OUT_EVENT,
    AT_OUT_SHARE,
    AT_OUT_TIME,
    AT_POOL,
    AT_POOL_FALSE,
    AT_POOL_FOUND,
    AT_POOL_LATENT,
    AT_POOL_PTR,
    AT_POOL_SIGNS,
    AT_POOL_TIME,
    AT_REMISSION,
    AT_RISK,
    AT_SPARED,
    AT_TAKEN,
    AT_TIME,
    AT_WHEN,
    EVENT,
    HIVE,
    LOOK,
    OUT,
)
from ashcomb.outbreak.scene import Floats, Ints


@leaf
def log_spared(num: Floats, idx: Ints, theta: Floats, e: int, share: float) -> float:
    """Log of the chance that a receiver of the event is spared, at that contaminated share."""
    return num[idx[AT_EVENT_OBJECTS] + EVENT * e] * np.log1p(
        -min(share * theta[ROUTE + idx[idx[AT_EVENT_KIND] + EVENT * e]], 1.0 - 1e-15)
    )


@lean
def log_event(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, share: float) -> float:
    """Log of the chance of what the event did to its receivers, at that contaminated share."""
    spared = log_spared(num, idx, theta, e, share)
    total = pos[pos[AT_RISK] + EVENT * e] * spared
    if pos[pos[AT_TAKEN] + EVENT * e] > 0:
        total += pos[pos[AT_TAKEN] + EVENT * e] * np.log(-np.expm1(spared)) if spared < 0.0 else -np.inf
    return total


@leaf
def came_before(mem: Floats, pos: Ints, e: int, source: int, time: float) -> bool:
    """Whether an event came before an infection: of one moment, the events come in the order of their numbers."""
    when = mem[pos[AT_WHEN] + EVENT * e]
    return when < time or (when == time and e < source)


@leaf
def log_event_now(mem: Floats, pos: Ints, e: int) -> float:
    """The same at the share as it is, from what is kept ready."""
    total = pos[pos[AT_RISK] + EVENT * e] * mem[pos[AT_SPARED] + EVENT * e]
    if pos[pos[AT_TAKEN] + EVENT * e] > 0:
        total += pos[pos[AT_TAKEN] + EVENT * e] * mem[pos[AT_LOG_STRUCK] + EVENT * e]
    return total


@leaf
def shows(num: Floats, idx: Ints, onset: float, turn: float, length: float, at: float) -> bool:
    """Whether signs can be seen at a time: after the onset and not in a remission."""
    if at < onset:
        return False
    share = num[idx[AT_REMISSION] + 0]
    if turn >= share:
        return True
    start = onset + num[idx[AT_REMISSION] + 1] * turn / share
    return (
        not start
        <= at
        < start + num[idx[AT_REMISSION] + 2] + (num[idx[AT_REMISSION] + 3] - num[idx[AT_REMISSION] + 2]) * length
    )


@lean
def log_looks(num: Floats, idx: Ints, j: int, onset: float, turn: float, length: float) -> float:
    """Log of the chance of what the looks at colony j found."""
    total, product, noticed, looked = 0.0, 1.0, 0.0, 0.0
    for k in range(idx[idx[AT_LOOK_PTR] + HIVE * j], idx[idx[AT_LOOK_PTR] + HIVE * (j + 1)]):
        seen, hit = (0.0, idx[idx[AT_LOOK_FOUND] + k] != 0)
        if shows(num, idx, onset, turn, length, num[idx[AT_LOOK_TIME] + LOOK * k]):
            seen, alike = (num[idx[AT_LOOK_WORTH] + LOOK * k], num[idx[AT_LOOK_ALIKE] + LOOK * k])
            if alike > 0.0:
                seen = (seen + alike * noticed) / (1.0 + alike * looked)
                noticed, looked = (noticed + hit, looked + 1.0)
        found = seen + (1.0 - seen) * num[idx[AT_LOOK_FALSE] + LOOK * k]
        product *= found if hit else 1.0 - found
        if product < 1e-200:
            total, product = total + np.log(product), 1.0
    return total + np.log(product)


@lean
def log_pool(num: Floats, idx: Ints, mem: Floats, pos: Ints, p: int, j: int, time: float, onset: float) -> float:
    """Log of the chance of one test, with colony j infected at `time` and the others as they are."""
    at, missed = (num[idx[AT_POOL_TIME] + p], 1.0 - num[idx[AT_POOL_FALSE] + p])
    for k in range(idx[idx[AT_POOL_PTR] + p], idx[idx[AT_POOL_PTR] + (p + 1)]):
        i = idx[idx[AT_POOL] + k]
        t, s = (time, onset) if i == j else (mem[pos[AT_TIME] + HIVE * i], mem[pos[AT_ONSET] + HIVE * i])
        if t <= at:
            missed *= 1.0 - (num[idx[AT_POOL_SIGNS] + p] if s <= at else num[idx[AT_POOL_LATENT] + p])
    return np.log(1.0 - missed if idx[idx[AT_POOL_FOUND] + p] else missed)


@lean
def log_seen(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, j: int, time: float, onset: float, turn: float, length: float
) -> float:
    """Log of the chance of all that was observed of colony j."""
    total = log_looks(num, idx, j, onset, turn, length)
    for k in range(idx[idx[AT_MINE_PTR] + HIVE * j], idx[idx[AT_MINE_PTR] + HIVE * (j + 1)]):
        total += log_pool(num, idx, mem, pos, idx[idx[AT_MINE] + k], j, time, onset)
    return total


@leaf
def given_share(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, k: int, i: int, time: float, onset: float
) -> float:
    """Share of contaminated objects that donor entry k of colony i adds to its event."""
    e, at = (idx[idx[AT_OUT_EVENT] + k], num[idx[AT_OUT_TIME] + OUT * k])
    if np.isnan(at):
        at = mem[pos[AT_WHEN] + EVENT * e]
    if time >= at:
        return 0.0
    return num[idx[AT_OUT_SHARE] + OUT * k] * (theta[LATENT] if at < onset else 1.0)
