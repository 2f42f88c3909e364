"""Compiled: the moves of open dates and of sampled rates. Each keeps the posterior."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import compiled
from ashcomb.outbreak.kernel_chance import came_before, given_share, log_event
from ashcomb.outbreak.kernel_colony import new_chance
from ashcomb.outbreak.kernel_kept import rebuild, share_is
from ashcomb.outbreak.kernel_state import LATENT, onset_of
from ashcomb.outbreak.kernel_whole import log_history, log_observed
from ashcomb.outbreak.layout import (
    AT_CHANCE,
    AT_EVENT_FROM,
    AT_EVENT_OUTSIDE,
    AT_EVENT_TO,
    AT_GIVE,
    AT_GIVE_PTR,
    AT_ONSET,
    AT_OUT_EVENT,
    AT_OUT_PTR,
    AT_RISK,
    AT_SHARE,
    AT_SOURCE,
    AT_TAKE,
    AT_TAKE_PTR,
    AT_TIME,
    AT_WHEN,
)
from ashcomb.outbreak.scene import NO, Floats, Ints


@compiled
def free_date(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, gen: np.random.Generator) -> None:
    """Draws anew the open date of an event that infected nobody: only what it might have done changes."""
    old_when, old_share, old_risk = (mem[pos[AT_WHEN] + e], mem[pos[AT_SHARE] + e], pos[pos[AT_RISK] + e])
    old = log_event(num, idx, mem, pos, theta, e, old_share)
    when = num[idx[AT_EVENT_FROM] + e] + gen.random() * (num[idx[AT_EVENT_TO] + e] - num[idx[AT_EVENT_FROM] + e])
    mem[pos[AT_WHEN] + e], share, risk = (when, num[idx[AT_EVENT_OUTSIDE] + e], 0)
    for g in range(idx[idx[AT_GIVE_PTR] + e], idx[idx[AT_GIVE_PTR] + (e + 1)]):
        i = idx[idx[AT_GIVE] + g]
        if pos[pos[AT_SOURCE] + i] != NO:
            for k in range(idx[idx[AT_OUT_PTR] + i], idx[idx[AT_OUT_PTR] + (i + 1)]):
                if idx[idx[AT_OUT_EVENT] + k] == e:
                    time, onset = (mem[pos[AT_TIME] + i], mem[pos[AT_ONSET] + i])
                    share += given_share(num, idx, mem, pos, theta, k, i, time, onset)
    for k in range(idx[idx[AT_TAKE_PTR] + e], idx[idx[AT_TAKE_PTR] + (e + 1)]):
        j = idx[idx[AT_TAKE] + k]
        risk += came_before(mem, pos, e, pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j])
    pos[pos[AT_RISK] + e] = risk
    new = log_event(num, idx, mem, pos, theta, e, share)
    if np.log(gen.random()) < new - old:
        share_is(num, idx, mem, pos, theta, e, share)
    else:
        mem[pos[AT_WHEN] + e], pos[pos[AT_RISK] + e] = (old_when, old_risk)


@compiled
def _log_all(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats) -> float:
    return log_history(num, idx, mem, pos, theta) + log_observed(num, idx, mem, pos)


@compiled
def other_date(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, gen: np.random.Generator) -> None:
    """Draws the open date of an event anew; those whom it infected keep their day of first signs, if it allows."""
    old_when, old = (mem[pos[AT_WHEN] + e], _log_all(num, idx, mem, pos, theta))
    when = num[idx[AT_EVENT_FROM] + e] + gen.random() * (num[idx[AT_EVENT_TO] + e] - num[idx[AT_EVENT_FROM] + e])
    jacobian, first = (0.0, idx[AT_TAKE] + idx[idx[AT_TAKE_PTR] + e])
    moved = idx[first : idx[AT_TAKE] + idx[idx[AT_TAKE_PTR] + (e + 1)]]
    kept = np.empty((len(moved), 3))
    for k in range(len(moved)):
        j = moved[k]
        kept[k, 0], kept[k, 1], kept[k, 2] = (mem[pos[AT_CHANCE] + j], mem[pos[AT_ONSET] + j], mem[pos[AT_CHANCE] + j])
        if pos[pos[AT_SOURCE] + j] == e and kept[k, 1] < np.inf:
            kept[k, 2], more = new_chance(num, idx, kept[k, 0], kept[k, 1], old_when, when)
            jacobian += more
            if kept[k, 2] < 0.0:
                return
    possible = True
    for k in range(len(moved)):
        j = moved[k]
        if pos[pos[AT_SOURCE] + j] == e:
            mem[pos[AT_TIME] + j], mem[pos[AT_CHANCE] + j] = (when, kept[k, 2])
            possible = possible and (kept[k, 1] < np.inf or onset_of(num, idx, when, kept[k, 2]) == np.inf)
    mem[pos[AT_WHEN] + e] = when
    rebuild(num, idx, mem, pos, theta)
    if possible and np.log(gen.random()) < _log_all(num, idx, mem, pos, theta) - old + jacobian:
        return
    for k in range(len(moved)):
        j = moved[k]
        if pos[pos[AT_SOURCE] + j] == e:
            mem[pos[AT_TIME] + j], mem[pos[AT_CHANCE] + j] = (old_when, kept[k, 0])
    mem[pos[AT_WHEN] + e] = old_when
    rebuild(num, idx, mem, pos, theta)


@compiled
def other_rate(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    r: int,
    low: float,
    high: float,
    gen: np.random.Generator,
) -> None:
    """Moves one rate within its bounds: the first four on their logarithm, the others as they are."""
    old, before = (theta[r], log_history(num, idx, mem, pos, theta))
    scale = 0.4 if gen.random() < 0.7 else 0.1
    if r < LATENT:
        width = np.log(high / low)
        new = np.exp(np.log(old) + gen.standard_normal() * scale * min(width, 3.0))
    else:
        new = old + gen.standard_normal() * scale * (high - low)
    if not low <= new <= high:
        return
    theta[r] = new
    rebuild(num, idx, mem, pos, theta)
    gain = log_history(num, idx, mem, pos, theta) - before
    if not np.log(gen.random()) < gain:
        theta[r] = old
        rebuild(num, idx, mem, pos, theta)
