"""Compiled: the moves of open dates and of sampled rates. Each keeps the posterior."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import lean
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
    AT_KEPT,
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
    EVENT,
    HIVE,
)
from ashcomb.outbreak.scene import NO, Floats, Ints


@lean
def free_date(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, gen: np.random.Generator) -> None:
    """Draws anew the open date of an event that infected nobody: only what it might have done changes."""
    old_when, old_share = (mem[pos[AT_WHEN] + EVENT * e], mem[pos[AT_SHARE] + EVENT * e])
    old_risk = pos[pos[AT_RISK] + EVENT * e]
    old = log_event(num, idx, mem, pos, theta, e, old_share)
    when = num[idx[AT_EVENT_FROM] + EVENT * e] + gen.random() * (
        num[idx[AT_EVENT_TO] + EVENT * e] - num[idx[AT_EVENT_FROM] + EVENT * e]
    )
    mem[pos[AT_WHEN] + EVENT * e], share, risk = (when, num[idx[AT_EVENT_OUTSIDE] + EVENT * e], 0)
    for g in range(idx[idx[AT_GIVE_PTR] + EVENT * e], idx[idx[AT_GIVE_PTR] + EVENT * (e + 1)]):
        i = idx[idx[AT_GIVE] + g]
        if pos[pos[AT_SOURCE] + HIVE * i] != NO:
            for k in range(idx[idx[AT_OUT_PTR] + HIVE * i], idx[idx[AT_OUT_PTR] + HIVE * (i + 1)]):
                if idx[idx[AT_OUT_EVENT] + k] == e:
                    time, onset = (mem[pos[AT_TIME] + HIVE * i], mem[pos[AT_ONSET] + HIVE * i])
                    share += given_share(num, idx, mem, pos, theta, k, i, time, onset)
    for k in range(idx[idx[AT_TAKE_PTR] + EVENT * e], idx[idx[AT_TAKE_PTR] + EVENT * (e + 1)]):
        j = idx[idx[AT_TAKE] + k]
        risk += came_before(mem, pos, e, pos[pos[AT_SOURCE] + HIVE * j], mem[pos[AT_TIME] + HIVE * j])
    pos[pos[AT_RISK] + EVENT * e] = risk
    new = log_event(num, idx, mem, pos, theta, e, share)
    if np.log(gen.random()) < new - old:
        share_is(num, idx, mem, pos, theta, e, share)
    else:
        mem[pos[AT_WHEN] + EVENT * e], pos[pos[AT_RISK] + EVENT * e] = (old_when, old_risk)


@lean
def _log_all(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats) -> float:
    return log_history(num, idx, mem, pos, theta) + log_observed(num, idx, mem, pos)


@lean
def _date_to(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, when: float) -> tuple[float, bool]:
    """Moves an event and those whom it infected, who keep their day of first signs; log of the ratio of widths, and
    whether that can be. Their former positions in the law are kept.
    """
    old_when, jacobian, possible = (mem[pos[AT_WHEN] + EVENT * e], 0.0, True)
    for k in range(idx[idx[AT_TAKE_PTR] + EVENT * e], idx[idx[AT_TAKE_PTR] + EVENT * (e + 1)]):
        j = idx[idx[AT_TAKE] + k]
        if pos[pos[AT_SOURCE] + HIVE * j] == e:
            chance, onset = (mem[pos[AT_CHANCE] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j])
            mem[pos[AT_KEPT] + j], mem[pos[AT_TIME] + HIVE * j] = (chance, when)
            if onset < np.inf:
                chance, more = new_chance(num, idx, chance, onset, old_when, when)
                jacobian, possible = (jacobian + more, possible and chance >= 0.0)
                mem[pos[AT_CHANCE] + HIVE * j] = max(chance, 0.0)
            else:
                possible = possible and onset_of(num, idx, when, chance) == np.inf
    mem[pos[AT_WHEN] + EVENT * e] = when
    return (jacobian, possible)


@lean
def _date_back(idx: Ints, mem: Floats, pos: Ints, e: int, when: float) -> None:
    for k in range(idx[idx[AT_TAKE_PTR] + EVENT * e], idx[idx[AT_TAKE_PTR] + EVENT * (e + 1)]):
        j = idx[idx[AT_TAKE] + k]
        if pos[pos[AT_SOURCE] + HIVE * j] == e:
            mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_CHANCE] + HIVE * j] = (when, mem[pos[AT_KEPT] + j])
    mem[pos[AT_WHEN] + EVENT * e] = when


@lean
def other_date(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, gen: np.random.Generator) -> None:
    """Draws the open date of an event anew; those whom it infected keep their day of first signs, if it allows."""
    old_when, old = (mem[pos[AT_WHEN] + EVENT * e], _log_all(num, idx, mem, pos, theta))
    when = num[idx[AT_EVENT_FROM] + EVENT * e] + gen.random() * (
        num[idx[AT_EVENT_TO] + EVENT * e] - num[idx[AT_EVENT_FROM] + EVENT * e]
    )
    jacobian, possible = _date_to(num, idx, mem, pos, theta, e, when)
    if possible:
        rebuild(num, idx, mem, pos, theta)
        if np.log(gen.random()) < _log_all(num, idx, mem, pos, theta) - old + jacobian:
            return
    _date_back(idx, mem, pos, e, old_when)
    rebuild(num, idx, mem, pos, theta)


@lean
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
