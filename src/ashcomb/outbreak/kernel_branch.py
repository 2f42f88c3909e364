"""Compiled: the move of a branch. What an apiary caught since a day goes, with all that came of it, and grows anew.

First each infection outside the block is given to the branch or to the stem, by their parts in it. Then the branch
goes, and another grows by the model's own law, given the stem. So the ratio of old and new is only what growth does not
know; see `kernel_worth.worth`. A branch that infected a colony visited often is left as it is: that one seldom goes,
and where it is in doubt, it goes and comes with the branch of its apiary.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import lean
from ashcomb.outbreak.kernel_chance import given_share, log_spared
from ashcomb.outbreak.kernel_colony import fixed, infect
from ashcomb.outbreak.kernel_grow import free, next_of, queued, spreads, strikes
from ashcomb.outbreak.kernel_kept import listed, put_in, take_out
from ashcomb.outbreak.kernel_pair import gained, put_back
from ashcomb.outbreak.kernel_pressure import gather
from ashcomb.outbreak.kernel_state import LATENT, ROBBED, onset_of, worth_then
from ashcomb.outbreak.kernel_stem import from_stem
from ashcomb.outbreak.kernel_worth import mass_on, stood, worth
from ashcomb.outbreak.layout import (
    AT_AFTER,
    AT_BLOCK,
    AT_BLOCK_PTR,
    AT_BY,
    AT_CAME,
    AT_CHANCE,
    AT_DEAD,
    AT_DOSE,
    AT_END,
    AT_GREW,
    AT_HEAD,
    AT_HIT,
    AT_LENGTH,
    AT_ONSET,
    AT_OUT_EVENT,
    AT_OUT_PTR,
    AT_PLAN,
    AT_QUEUE,
    AT_RATE,
    AT_SHARE,
    AT_SOON,
    AT_SOURCE,
    AT_SPARED,
    AT_SPEED,
    AT_STAY_OF,
    AT_STAY_PLACE,
    AT_STAY_PTR,
    AT_STAYED,
    AT_STEM_SHARE,
    AT_TAKE,
    AT_TAKE_PTR,
    AT_TAKEN,
    AT_TIME,
    AT_TOLD,
    AT_TREE,
    AT_TURN,
    AT_WAS,
    AT_WAS_CHANCE,
    AT_WAS_LENGTH,
    AT_WAS_ONSET,
    AT_WAS_SOURCE,
    AT_WAS_TIME,
    AT_WAS_TURN,
    AT_WEIGHT,
    AT_WHEN,
    AT_WHO,
    AT_YARDS,
    DAYS,
    EVENT,
    HIVE,
    NEXT_YARD,
    PLACES,
    STAY,
    YARDS,
)
from ashcomb.outbreak.scene import NO, PRESSURE, Floats, Ints


@lean
def _branch(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    place: int,
    since: float,
    gen: np.random.Generator,
) -> int:
    """Draws the branch, by time; its size, or -1, and nothing is done, if a colony visited often is in it."""
    waiting, size, slot = (0, 0, pos[pos[AT_HEAD] + place])
    while slot >= 0:
        j = idx[idx[AT_STAY_OF] + STAY * slot]
        if mem[pos[AT_WEIGHT] + HIVE * j] > 0.0 and mem[pos[AT_TIME] + HIVE * j] >= since:
            waiting = queued(mem, pos, j, mem[pos[AT_TIME] + HIVE * j], NO, waiting)
        slot = pos[pos[AT_AFTER] + STAY * slot]
    while True:
        j = next_of(mem, pos, waiting)
        if j < 0:
            return size
        waiting, dose = (waiting - 1, mem[pos[AT_DOSE] + j])
        mem[pos[AT_SOON] + HIVE * j], mem[pos[AT_DOSE] + j] = (np.inf, 0.0)
        if mem[pos[AT_WEIGHT] + HIVE * j] == 0.0 or not stood(idx, j, place):
            source = pos[pos[AT_SOURCE] + HIVE * j]
            whole = mem[pos[AT_RATE] + HIVE * j] if source == PRESSURE else mem[pos[AT_SHARE] + EVENT * source]
            if not gen.random() * whole < dose:
                continue
            if mem[pos[AT_WEIGHT] + HIVE * j] == 0.0:
                _forget(mem, pos, waiting, size)
                return -1
        pos[pos[AT_TREE] + HIVE * j], pos[pos[AT_WAS] + size], size = (1, j, size + 1)
        waiting = _doses(num, idx, mem, pos, theta, j, waiting)


@lean
def _forget(mem: Floats, pos: Ints, waiting: int, size: int) -> None:
    for m in range(waiting):
        j = pos[pos[AT_QUEUE] + m]
        mem[pos[AT_SOON] + HIVE * j], mem[pos[AT_DOSE] + j] = (np.inf, 0.0)
    for m in range(size):
        pos[pos[AT_TREE] + HIVE * pos[pos[AT_WAS] + m]] = 0


@lean
def _doses(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, waiting: int) -> int:
    """Adds the part of colony j to the infections that it may have caused; how many wait then."""
    time, onset = (mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j])
    dead, over = (num[idx[AT_DEAD] + HIVE * j], num[idx[AT_END] + HIVE * j])
    for c in range(gather(num, idx, mem, pos, theta, j)):
        k, hit = (pos[pos[AT_WHO] + c], mem[pos[AT_HIT] + c])
        dose = mem[pos[AT_SPEED] + c] * worth_then(theta[LATENT], theta[ROBBED], time, onset, dead, over, hit)
        if dose > 0.0 and hit > time:
            waiting = queued(mem, pos, k, hit, NO, waiting)
            mem[pos[AT_DOSE] + k] += dose
    for n in range(idx[idx[AT_OUT_PTR] + HIVE * j], idx[idx[AT_OUT_PTR] + HIVE * (j + 1)]):
        e, given = (idx[idx[AT_OUT_EVENT] + n], given_share(num, idx, mem, pos, theta, n, j, time, onset))
        if given > 0.0 and pos[pos[AT_TAKEN] + EVENT * e] > 0 and mem[pos[AT_WHEN] + EVENT * e] > time:
            for t in range(idx[idx[AT_TAKE_PTR] + EVENT * e], idx[idx[AT_TAKE_PTR] + EVENT * (e + 1)]):
                k = idx[idx[AT_TAKE] + t]
                if pos[pos[AT_SOURCE] + HIVE * k] == e:
                    waiting = queued(mem, pos, k, mem[pos[AT_WHEN] + EVENT * e], NO, waiting)
                    mem[pos[AT_DOSE] + k] += given
    return waiting


@lean
def _stem(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, takes: bool) -> None:
    """Remembers what the stem gives to the events to which colony j gives; takes: its own part is in it yet."""
    for n in range(idx[idx[AT_OUT_PTR] + HIVE * j], idx[idx[AT_OUT_PTR] + HIVE * (j + 1)]):
        given = given_share(
            num, idx, mem, pos, theta, n, j, mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j]
        )
        if given > 0.0:
            e = idx[idx[AT_OUT_EVENT] + n]
            if pos[pos[AT_TOLD] + EVENT * e] == 0:
                pos[pos[AT_TOLD] + EVENT * e], mem[pos[AT_STEM_SHARE] + EVENT * e] = (1, mem[pos[AT_SHARE] + EVENT * e])
            if takes:
                left = mem[pos[AT_STEM_SHARE] + EVENT * e] - given
                mem[pos[AT_STEM_SHARE] + EVENT * e] = left if left > 1e-13 else 0.0


@lean
def _untold(idx: Ints, pos: Ints, j: int) -> None:
    for n in range(idx[idx[AT_OUT_PTR] + HIVE * j], idx[idx[AT_OUT_PTR] + HIVE * (j + 1)]):
        pos[pos[AT_TOLD] + EVENT * idx[idx[AT_OUT_EVENT] + n]] = 0


@lean
def _cleared(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, place: int, size: int) -> float:
    """Deletes the branch, the last first, and remembers it; log of its worth."""
    total = 0.0
    for m in range(size):
        _stem(num, idx, mem, pos, theta, pos[pos[AT_WAS] + m], True)
    for m in range(size - 1, -1, -1):
        j = pos[pos[AT_WAS] + m]
        count = gather(num, idx, mem, pos, theta, j)
        take_out(num, idx, mem, pos, theta, j, count)
        pos[pos[AT_TREE] + HIVE * j] = 0
        total += worth(num, idx, mem, pos, theta, j, count, place)
        pos[pos[AT_WAS_SOURCE] + m] = pos[pos[AT_SOURCE] + HIVE * j]
        mem[pos[AT_WAS_TIME] + m] = mem[pos[AT_TIME] + HIVE * j]
        mem[pos[AT_WAS_ONSET] + m] = mem[pos[AT_ONSET] + HIVE * j]
        mem[pos[AT_WAS_CHANCE] + m] = mem[pos[AT_CHANCE] + HIVE * j]
        mem[pos[AT_WAS_TURN] + m] = mem[pos[AT_TURN] + HIVE * j]
        mem[pos[AT_WAS_LENGTH] + m] = mem[pos[AT_LENGTH] + HIVE * j]
        _healthy(num, idx, mem, pos, theta, j, count)
    for m in range(size):
        _untold(idx, pos, pos[pos[AT_WAS] + m])
    return total


@lean
def _healthy(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int) -> None:
    infect(mem, pos, j, NO, np.inf, np.inf, 0.0, 1.0, 0.0)
    listed(mem, pos, j, False)
    put_in(num, idx, mem, pos, theta, j, count)


@lean
def _goes(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int) -> None:
    """Deletes the infection of colony j."""
    count = gather(num, idx, mem, pos, theta, j)
    take_out(num, idx, mem, pos, theta, j, count)
    _healthy(num, idx, mem, pos, theta, j, count)


@lean
def _grown(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    place: int,
    since: float,
    gen: np.random.Generator,
) -> tuple[int, float]:
    """Grows a branch on the stem; its size and log of its worth."""
    size, total, waiting = (0, 0.0, from_stem(num, idx, mem, pos, theta, place, since, gen))
    while True:
        j = next_of(mem, pos, waiting)
        if j < 0:
            break
        soon, source, waiting = (mem[pos[AT_SOON] + HIVE * j], pos[pos[AT_BY] + HIVE * j], waiting - 1)
        mem[pos[AT_SOON] + HIVE * j] = np.inf
        count = gather(num, idx, mem, pos, theta, j)
        take_out(num, idx, mem, pos, theta, j, count)
        chance, turn, length = (gen.random(), gen.random(), gen.random())
        infect(mem, pos, j, source, soon, onset_of(num, idx, soon, chance), chance, turn, length)
        listed(mem, pos, j, True)
        _stem(num, idx, mem, pos, theta, j, False)
        total += worth(num, idx, mem, pos, theta, j, count, place)
        waiting = strikes(num, idx, mem, pos, theta, j, waiting, gen)
        put_in(num, idx, mem, pos, theta, j, count)
        pos[pos[AT_TREE] + HIVE * j], pos[pos[AT_CAME] + size], size = (1, j, size + 1)
        waiting = spreads(num, idx, mem, pos, theta, j, waiting, gen)
    for m in range(size):
        _untold(idx, pos, pos[pos[AT_CAME] + m])
        pos[pos[AT_TREE] + HIVE * pos[pos[AT_CAME] + m]] = 0
    return (size, total)


@lean
def _restored(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, size: int, came: int) -> None:
    """Deletes the new branch, the last first, and infects the old one as it was."""
    for m in range(came - 1, -1, -1):
        _goes(num, idx, mem, pos, theta, pos[pos[AT_CAME] + m])
    for m in range(size):
        j = pos[pos[AT_WAS] + m]
        count = gather(num, idx, mem, pos, theta, j)
        take_out(num, idx, mem, pos, theta, j, count)
        time, onset, chance = (mem[pos[AT_WAS_TIME] + m], mem[pos[AT_WAS_ONSET] + m], mem[pos[AT_WAS_CHANCE] + m])
        turn, length = (mem[pos[AT_WAS_TURN] + m], mem[pos[AT_WAS_LENGTH] + m])
        infect(mem, pos, j, pos[pos[AT_WAS_SOURCE] + m], time, onset, chance, turn, length)
        listed(mem, pos, j, True)
        put_in(num, idx, mem, pos, theta, j, count)


@lean
def regrow(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, gen: np.random.Generator) -> None:
    """What the next apiary caught since a day, and all that came of it, goes and grows anew.

    As it is listed, that is all of it each time, or half of the time.
    """
    turn = pos[pos[AT_PLAN] + NEXT_YARD]
    entry, pos[pos[AT_PLAN] + NEXT_YARD] = (pos[pos[AT_YARDS] + turn], (turn + 1) % pos[pos[AT_PLAN] + YARDS])
    place = entry % idx[PLACES]
    since = 0.0 if entry >= idx[PLACES] else (idx[DAYS] - 1.0) * max(0.0, 1.0 - 2.0 * gen.random())
    size = _branch(num, idx, mem, pos, theta, place, since, gen)
    if size >= 0:
        old = _cleared(num, idx, mem, pos, theta, place, size)
        came, new = _grown(num, idx, mem, pos, theta, place, since, gen)
        pos[pos[AT_GREW] + place] += came
        if np.log(gen.random()) < new - old:
            pos[pos[AT_STAYED] + place] += size + came > 0
        else:
            _restored(num, idx, mem, pos, theta, size, came)


@lean
def _spared(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, place: int, j: int) -> float:
    """Log of the chance that the infected colony j, by pressure and gifts, spared every healthy one of a block."""
    total = 0.0
    for n in range(pos[pos[AT_BLOCK_PTR] + place], pos[pos[AT_BLOCK_PTR] + (place + 1)]):
        k = pos[pos[AT_BLOCK] + n]
        if free(mem, pos, k):
            total -= mass_on(num, idx, mem, pos, theta, j, k, 0)
    for n in range(idx[idx[AT_OUT_PTR] + HIVE * j], idx[idx[AT_OUT_PTR] + HIVE * (j + 1)]):
        e = idx[idx[AT_OUT_EVENT] + n]
        given = given_share(
            num, idx, mem, pos, theta, n, j, mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j]
        )
        if given > 0.0:
            left = mem[pos[AT_SHARE] + EVENT * e] - given
            more = mem[pos[AT_SPARED] + EVENT * e] - log_spared(num, idx, theta, e, left if left > 1e-13 else 0.0)
            for t in range(idx[idx[AT_TAKE_PTR] + EVENT * e], idx[idx[AT_TAKE_PTR] + EVENT * (e + 1)]):
                k = idx[idx[AT_TAKE] + t]
                if k != j and free(mem, pos, k) and stood(idx, k, place):
                    total += more
    return total


@lean
def toggle_known(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, gen: np.random.Generator
) -> None:
    """The infection of a colony visited often appears or goes, and all that an apiary where it stood caught grows anew.

    Alone it could not go while it has infected others there, nor they without it. Growth knows what it does to them.
    """
    if fixed(num, idx, j):
        return
    first = idx[idx[AT_STAY_PTR] + HIVE * j]
    place = idx[
        idx[AT_STAY_PLACE] + STAY * (first + int(gen.random() * (idx[idx[AT_STAY_PTR] + HIVE * (j + 1)] - first)))
    ]
    size = _branch(num, idx, mem, pos, theta, place, 0.0, gen)
    if size < 0:
        return
    source, time, onset = (pos[pos[AT_SOURCE] + HIVE * j], mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j])
    chance, turn = (mem[pos[AT_CHANCE] + HIVE * j], mem[pos[AT_TURN] + HIVE * j])
    length = mem[pos[AT_LENGTH] + HIVE * j]
    gain, came = (-_cleared(num, idx, mem, pos, theta, place, size), 0)
    if source == NO:
        gain += gained(num, idx, mem, pos, theta, j, -1, True, np.inf, gen)
        gain -= _spared(num, idx, mem, pos, theta, place, j)
    else:
        gain += _spared(num, idx, mem, pos, theta, place, j)
        gain -= gained(num, idx, mem, pos, theta, j, -1, False, np.inf, gen)
    if gain > -np.inf:
        came, new = _grown(num, idx, mem, pos, theta, place, 0.0, gen)
        if np.log(gen.random()) < gain + new:
            return
    _restored(num, idx, mem, pos, theta, 0, came)
    put_back(num, idx, mem, pos, theta, j, source, time, onset, chance, turn, length)
    _restored(num, idx, mem, pos, theta, size, 0)
