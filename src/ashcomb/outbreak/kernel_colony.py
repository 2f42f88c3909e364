"""Compiled: the moves of one colony. Each keeps the posterior.

A colony is taken out of the state, so that all is computed given the others, changed, and put in again.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import leaf, lean
from ashcomb.outbreak.kernel_chance import came_before, log_seen
from ashcomb.outbreak.kernel_effect import log_effect, log_given
from ashcomb.outbreak.kernel_kept import listed, put_in, take_out
from ashcomb.outbreak.kernel_pressure import gather, pressure_at, pressure_until, time_within
from ashcomb.outbreak.kernel_state import brood_days, cell_of, onset_of
from ashcomb.outbreak.layout import (
    AT_BEFORE,
    AT_CHANCE,
    AT_FIRST,
    AT_IN_EVENT,
    AT_IN_PTR,
    AT_INFECTABLE,
    AT_LENGTH,
    AT_MASS,
    AT_ONSET,
    AT_QUANTILE,
    AT_SOURCE,
    AT_SPARED,
    AT_TALLY,
    AT_TIME,
    AT_TURN,
    AT_VISITS,
    AT_WHEN,
    STEPS,
)
from ashcomb.outbreak.scene import BEFORE, NO, PRESSURE, Floats, Ints

_SHIFTS, _TURNS = ((3.0, 20.0, 90.0), (0.02, 0.1, 0.5))


@lean
def weigh(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int) -> tuple[float, float]:
    """Weight of all ways in which the gathered colony can be infected, and log of the chance that none did."""
    before = num[idx[AT_BEFORE] + j]
    pressed = theta[0] * (num[idx[AT_INFECTABLE] + j] - num[idx[AT_FIRST] + j])
    for c in range(count):
        pressed += mem[pos[AT_MASS] + c]
    weight, free = (before + pressed, np.log1p(-before) - pressed)
    for k in range(idx[idx[AT_IN_PTR] + j], idx[idx[AT_IN_PTR] + (j + 1)]):
        spared = mem[pos[AT_SPARED] + idx[idx[AT_IN_EVENT] + k]]
        if spared < 0.0:
            weight, free = (weight - np.expm1(spared), free + spared)
    return (weight, free)


@lean
def draw_way(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    count: int,
    weight: float,
    gen: np.random.Generator,
) -> tuple[int, float]:
    """A way in which the gathered colony may be infected, and when, by its weight."""
    left = gen.random() * weight
    left -= num[idx[AT_BEFORE] + j]
    if left < 0.0:
        return (BEFORE, num[idx[AT_FIRST] + j])
    for k in range(idx[idx[AT_IN_PTR] + j], idx[idx[AT_IN_PTR] + (j + 1)]):
        e = idx[idx[AT_IN_EVENT] + k]
        if mem[pos[AT_SPARED] + e] < 0.0:
            left += np.expm1(mem[pos[AT_SPARED] + e])
            if left < 0.0:
                return (e, mem[pos[AT_WHEN] + e])
    for c in range(count):
        left -= mem[pos[AT_MASS] + c]
        if left < 0.0:
            return (PRESSURE, time_within(mem, pos, theta, c, gen.random()))
    first, last = (num[idx[AT_FIRST] + j], num[idx[AT_INFECTABLE] + j])
    return (PRESSURE, first + gen.random() * (last - first))


@lean
def log_way(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int, source: int, time: float
) -> float:
    """Log weight of one way: the density with which `draw_way` draws it, times the weight of all."""
    if source == BEFORE:
        return np.log(num[idx[AT_BEFORE] + j]) if num[idx[AT_BEFORE] + j] > 0.0 else -np.inf
    if source >= 0:
        spared = mem[pos[AT_SPARED] + source]
        return np.log(-np.expm1(spared)) if spared < 0.0 else -np.inf
    return np.log(pressure_at(mem, pos, theta, count, time))


@lean
def log_until(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int, source: int, time: float
) -> float:
    """Log of the chance that nothing infected the gathered colony before it was infected so."""
    if source == BEFORE:
        return 0.0
    total = np.log1p(-num[idx[AT_BEFORE] + j])
    total -= pressure_until(mem, pos, theta, count, num[idx[AT_FIRST] + j], time)
    for k in range(idx[idx[AT_IN_PTR] + j], idx[idx[AT_IN_PTR] + (j + 1)]):
        e = idx[idx[AT_IN_EVENT] + k]
        if came_before(mem, pos, e, source, time):
            total += mem[pos[AT_SPARED] + e]
    return total


@lean
def log_beyond(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    count: int,
    source: int,
    time: float,
    onset: float,
    turn: float,
    length: float,
) -> float:
    """Log of the posterior density of the gathered colony j, infected so, given all others, beyond that of its way.

    With `log_way` it is the whole density, up to a constant; ways are drawn by their density, so most moves need not
    know it. j must be out.
    """
    return (
        log_until(num, idx, mem, pos, theta, j, count, source, time)
        + log_seen(num, idx, mem, pos, j, time, onset, turn, length)
        + log_effect(num, idx, mem, pos, theta, j, count, time, onset)
        + log_given(num, idx, mem, pos, theta, j, time, onset)
    )


@lean
def log_none(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, free: float) -> float:
    """The same with no infection of j. free: log of the chance that nothing infected it."""
    seen = log_seen(num, idx, mem, pos, j, np.inf, np.inf, 1.0, 0.0)
    return free + seen + log_given(num, idx, mem, pos, theta, j, np.inf, np.inf)


@lean
def toggle(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    count: int,
    weight: float,
    free: float,
    picks: float,
    gen: np.random.Generator,
) -> tuple[float, float]:
    """Adds an infection where there is none, or deletes the one there is; returns the chance of infection after it,
    and the log density of the infection.

    That chance is taken over the acceptance alone: its mean over visits is the posterior chance, with less noise than
    the mean of what came out.  picks: log of the chance that a death picks it, against a birth (0 where a visit does).
    """
    none = log_none(num, idx, mem, pos, theta, j, free)
    adds = pos[pos[AT_SOURCE] + j] == NO
    if adds:
        source, time = draw_way(num, idx, mem, pos, theta, j, count, weight, gen)
        chance, turn, length = (gen.random(), gen.random(), gen.random())
        onset = onset_of(num, idx, time, chance)
    else:
        source, time, chance = (pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j], mem[pos[AT_CHANCE] + j])
        onset, turn, length = (mem[pos[AT_ONSET] + j], mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j])
    there = log_beyond(num, idx, mem, pos, theta, j, count, source, time, onset, turn, length)
    gain = there + np.log(weight) - none + picks
    accepted = np.exp(min(gain if adds else -gain, 0.0))
    if not accepted > 0.0:
        return (0.0 if adds else 1.0, there)
    if gen.random() < accepted:
        if adds:
            infect(mem, pos, j, source, time, onset, chance, turn, length)
        else:
            infect(mem, pos, j, NO, np.inf, np.inf, 0.0, 1.0, 0.0)
        listed(mem, pos, j, adds)
    return (accepted if adds else 1.0 - accepted, there)


@leaf
def infect(
    mem: Floats, pos: Ints, j: int, source: int, time: float, onset: float, chance: float, turn: float, length: float
) -> None:
    """Sets what happened to colony j."""
    pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j], mem[pos[AT_ONSET] + j] = (source, time, onset)
    mem[pos[AT_CHANCE] + j], mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j] = (chance, turn, length)


@lean
def new_chance(
    num: Floats, idx: Ints, chance: float, onset: float, old_when: float, when: float
) -> tuple[float, float]:
    """Position of the onset in its law if the infection moves and the onset stays, and log of the ratio of widths.

    The position is -1 where there is none, or no way back: many positions share the least delay.
    """
    start = brood_days(num, idx, onset)
    a = cell_of(num, idx, start - brood_days(num, idx, old_when))
    wait = start - brood_days(num, idx, when)
    b = cell_of(num, idx, wait) if when < onset else -1
    if a < 0 or b < 0 or a != min(int(chance * idx[STEPS]), idx[STEPS] - 1):
        return (-1.0, 0.0)
    width = num[idx[AT_QUANTILE] + (b + 1)] - num[idx[AT_QUANTILE] + b]
    log_ratio = np.log(num[idx[AT_QUANTILE] + (a + 1)] - num[idx[AT_QUANTILE] + a]) - np.log(width)
    return ((b + (wait - num[idx[AT_QUANTILE] + b]) / width) / idx[STEPS], log_ratio)


@lean
def log_now(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int) -> float:
    """Log density of the infection of colony j as it is."""
    source, time, onset = (pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j], mem[pos[AT_ONSET] + j])
    turn, length = (mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j])
    return log_beyond(num, idx, mem, pos, theta, j, count, source, time, onset, turn, length)


@lean
def other_way(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    count: int,
    weight: float,
    keep: bool,
    now: float,
    gen: np.random.Generator,
) -> float:
    """Swaps the source and time of an infection; the onset stays on its day (keep), or its delay stays.

    now: log density as things are, as in the next moves; returned as it is afterwards.
    """
    source, time = draw_way(num, idx, mem, pos, theta, j, count, weight, gen)
    chance, onset, jacobian = (mem[pos[AT_CHANCE] + j], mem[pos[AT_ONSET] + j], 0.0)
    if keep:
        if onset == np.inf or time >= onset:
            return now
        chance, jacobian = new_chance(num, idx, chance, onset, mem[pos[AT_TIME] + j], time)
        if chance < 0.0:
            return now
    else:
        onset = onset_of(num, idx, time, chance)
    turn, length = (mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j])
    new = log_beyond(num, idx, mem, pos, theta, j, count, source, time, onset, turn, length)
    if not np.log(gen.random()) < new - now + jacobian:
        return now
    infect(mem, pos, j, source, time, onset, chance, turn, length)
    return new


@lean
def shift_time(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    count: int,
    now: float,
    gen: np.random.Generator,
) -> float:
    """Moves the time of an infection by pressure a little; its delay stays."""
    source, old = (pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j])
    if source != PRESSURE:
        return now
    time = old + gen.standard_normal() * _SHIFTS[int(gen.random() * 3)]
    if not num[idx[AT_FIRST] + j] <= time < num[idx[AT_INFECTABLE] + j]:
        return now
    chance, turn, length = (mem[pos[AT_CHANCE] + j], mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j])
    onset = onset_of(num, idx, time, chance)
    new = log_beyond(num, idx, mem, pos, theta, j, count, source, time, onset, turn, length)
    ways = pressure_at(mem, pos, theta, count, time) / pressure_at(mem, pos, theta, count, old)
    if not np.log(gen.random()) < new - now + np.log(ways):
        return now
    infect(mem, pos, j, source, time, onset, chance, turn, length)
    return new


@lean
def other_onset(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    count: int,
    now: float,
    gen: np.random.Generator,
) -> None:
    """Draws the delay anew, or moves it a little; with even chance the remission anew too."""
    kind = int(gen.random() * 4)
    chance = gen.random() if kind == 3 else (mem[pos[AT_CHANCE] + j] + gen.standard_normal() * _TURNS[kind]) % 1.0
    turn, length = (mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j])
    if gen.random() < 0.5:
        turn, length = (gen.random(), gen.random())
    source, time = (pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j])
    onset = onset_of(num, idx, time, chance)
    new = log_beyond(num, idx, mem, pos, theta, j, count, source, time, onset, turn, length)
    if np.log(gen.random()) < new - now:
        infect(mem, pos, j, source, time, onset, chance, turn, length)


@leaf
def fixed(num: Floats, idx: Ints, j: int) -> bool:
    """Whether colony j can never be infected."""
    return num[idx[AT_INFECTABLE] + j] <= num[idx[AT_FIRST] + j] and num[idx[AT_BEFORE] + j] == 0.0


@lean
def visit(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    toggles: bool,
    moves: bool,
    picks: float,
    gen: np.random.Generator,
) -> None:
    """The moves of one colony: adding or deleting its infection, and moving the one there is."""
    if fixed(num, idx, j):
        return
    count = gather(num, idx, mem, pos, theta, j)
    take_out(num, idx, mem, pos, theta, j, count)
    (weight, free), now = (weigh(num, idx, mem, pos, theta, j, count), 0.0)
    if toggles:
        chance, now = toggle(num, idx, mem, pos, theta, j, count, weight, free, picks, gen)
        if moves:
            mem[pos[AT_TALLY] + j] += chance
            pos[pos[AT_VISITS] + j] += 1
    if moves and pos[pos[AT_SOURCE] + j] != NO:
        if not toggles:
            now = log_now(num, idx, mem, pos, theta, j, count)
        for keep in range(2):
            now = other_way(num, idx, mem, pos, theta, j, count, weight, keep == 0, now, gen)
        now = shift_time(num, idx, mem, pos, theta, j, count, now, gen)
        other_onset(num, idx, mem, pos, theta, j, count, now, gen)
    put_in(num, idx, mem, pos, theta, j, count)
