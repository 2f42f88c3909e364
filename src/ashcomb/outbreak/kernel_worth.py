"""Compiled: what the growth of a branch did not know: looks, and what it did to all that is held."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import leaf, lean
from ashcomb.outbreak.kernel_chance import came_before, given_share, log_seen, log_spared
from ashcomb.outbreak.kernel_pressure import meet
from ashcomb.outbreak.kernel_state import (
    APIARY,
    LATENT,
    ROBBED,
    ROBBING,
    worth_during,
)
from ashcomb.outbreak.layout import (
    AT_BEGIN,
    AT_DEAD,
    AT_END,
    AT_FREE,
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
    AT_MASS,
    AT_NEAR,
    AT_NEAR_FALL,
    AT_NEAR_PTR,
    AT_ONSET,
    AT_OUT_EVENT,
    AT_OUT_HIGH,
    AT_OUT_PTR,
    AT_PLAN,
    AT_RISK,
    AT_SHARE,
    AT_SOURCE,
    AT_SPARED,
    AT_SPEED,
    AT_STAY_PLACE,
    AT_STAY_PTR,
    AT_STEM_SHARE,
    AT_TAKEN,
    AT_TIME,
    AT_TOLD,
    AT_TREE,
    AT_TURN,
    AT_WELL,
    AT_WHO,
    EVENT,
    HIVE,
    STAY,
    WELL,
)
from ashcomb.outbreak.scene import Floats, Ints


@leaf
def stood(idx: Ints, j: int, place: int) -> bool:
    """Whether colony j ever stood at that apiary."""
    for slot in range(idx[idx[AT_STAY_PTR] + HIVE * j], idx[idx[AT_STAY_PTR] + HIVE * (j + 1)]):
        if idx[idx[AT_STAY_PLACE] + STAY * slot] == place:
            return True
    return False


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
    time, onset = (mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j])
    total = log_seen(num, idx, mem, pos, j, time, onset, mem[pos[AT_TURN] + HIVE * j], mem[pos[AT_LENGTH] + HIVE * j])
    total -= log_seen(num, idx, mem, pos, j, np.inf, np.inf, 1.0, 0.0)
    total += _gave(num, idx, mem, pos, theta, j)
    if not stood(idx, j, place):
        total += _by_branch(num, idx, mem, pos, theta, j, count)
    latent, robbed, dead = (theta[LATENT], theta[ROBBED], num[idx[AT_DEAD] + HIVE * j])
    over = num[idx[AT_END] + HIVE * j]
    for c in range(count):
        if pos[pos[AT_TREE] + HIVE * pos[pos[AT_WHO] + c]] == 0:
            low, high = (mem[pos[AT_BEGIN] + c], min(mem[pos[AT_ITS_TIME] + c], mem[pos[AT_OUT_HIGH] + c]))
            total -= mem[pos[AT_SPEED] + c] * worth_during(latent, robbed, time, onset, dead, over, low, high)
    for m in range(pos[pos[AT_PLAN] + WELL]):
        total -= mass_on(num, idx, mem, pos, theta, j, pos[pos[AT_WELL] + m], count)
    return total


@lean
def mass_on(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, k: int, first: int) -> float:
    """How much the infected colony j presses on the healthy colony k; entries from `first` are scratch."""
    end = first
    for slot in range(idx[idx[AT_STAY_PTR] + HIVE * k], idx[idx[AT_STAY_PTR] + HIVE * (k + 1)]):
        place = idx[idx[AT_STAY_PLACE] + STAY * slot]
        for other in range(idx[idx[AT_STAY_PTR] + HIVE * j], idx[idx[AT_STAY_PTR] + HIVE * (j + 1)]):
            there = idx[idx[AT_STAY_PLACE] + STAY * other]
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
    return mem[pos[AT_STEM_SHARE] + EVENT * e] if pos[pos[AT_TOLD] + EVENT * e] != 0 else mem[pos[AT_SHARE] + EVENT * e]


@lean
def _by_branch(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int) -> float:
    """For a colony outside the block, infected by the branch: the stem's chance to infect it later falls away.

    By an event to which both gave, the branch's part of the chance, against that with which growth strikes.
    """
    time, source = (mem[pos[AT_TIME] + HIVE * j], pos[pos[AT_SOURCE] + HIVE * j])
    total = theta[0] * (num[idx[AT_INFECTABLE] + HIVE * j] - time)
    for c in range(count):
        i = pos[pos[AT_WHO] + c]
        if pos[pos[AT_TREE] + HIVE * i] == 0:
            low, high = (max(mem[pos[AT_LOW] + c], time), mem[pos[AT_HIGH] + c])
            its, signs = (mem[pos[AT_ITS_TIME] + c], mem[pos[AT_ITS_ONSET] + c])
            gone, over = (mem[pos[AT_ITS_DEAD] + c], mem[pos[AT_ITS_END] + c])
            late = worth_during(theta[LATENT], theta[ROBBED], its, signs, gone, over, low, high)
            total += mem[pos[AT_SPEED] + c] * late
    for n in range(idx[idx[AT_IN_PTR] + HIVE * j], idx[idx[AT_IN_PTR] + HIVE * (j + 1)]):
        e = idx[idx[AT_IN_EVENT] + n]
        if not came_before(mem, pos, e, source, time):
            total -= log_spared(num, idx, theta, e, _stem_share(mem, pos, e))
    if source >= 0:
        stem, share = (_stem_share(mem, pos, source), mem[pos[AT_SHARE] + EVENT * source])
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
    for n in range(idx[idx[AT_OUT_PTR] + HIVE * j], idx[idx[AT_OUT_PTR] + HIVE * (j + 1)]):
        given = given_share(
            num, idx, mem, pos, theta, n, j, mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j]
        )
        if given > 0.0:
            e = idx[idx[AT_OUT_EVENT] + n]
            old, share = (mem[pos[AT_SHARE] + EVENT * e], mem[pos[AT_SHARE] + EVENT * e] + given)
            spared = log_spared(num, idx, theta, e, share)
            total += (pos[pos[AT_RISK] + EVENT * e] - pos[pos[AT_FREE] + EVENT * e]) * (
                spared - mem[pos[AT_SPARED] + EVENT * e]
            )
            if pos[pos[AT_TAKEN] + EVENT * e] > 0:
                if not old > 0.0:
                    return -np.inf
                part = np.log(-np.expm1(spared) / share * old) - mem[pos[AT_LOG_STRUCK] + EVENT * e]
                total += pos[pos[AT_TAKEN] + EVENT * e] * part
    return total
