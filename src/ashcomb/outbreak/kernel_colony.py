"""Compiled: the moves of one colony. Each keeps the posterior.

A colony is taken out of the state, so that all is computed given the others, changed, and put in again.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import leaf, lean
from ashcomb.outbreak.kernel_kept import listed, put_in, take_out
from ashcomb.outbreak.kernel_pressure import gather, pressure_at
from ashcomb.outbreak.kernel_state import brood_days, cell_of, onset_of
from ashcomb.outbreak.kernel_way import draw_way, log_beyond, log_none, log_now, weigh
from ashcomb.outbreak.layout import (
    AT_BEFORE,
    AT_CHANCE,
    AT_FIRST,
    AT_INFECTABLE,
    AT_LENGTH,
    AT_ONSET,
    AT_QUANTILE,
    AT_SOURCE,
    AT_TALLY,
    AT_TIME,
    AT_TURN,
    AT_VISITS,
    HIVE,
    STEPS,
)
from ashcomb.outbreak.scene import NO, PRESSURE, Floats, Ints

_SHIFTS, _TURNS = ((3.0, 20.0, 90.0), (0.02, 0.1, 0.5))


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
    adds = pos[pos[AT_SOURCE] + HIVE * j] == NO
    if adds:
        source, time = draw_way(num, idx, mem, pos, theta, j, count, weight, gen)
        chance, turn, length = (gen.random(), gen.random(), gen.random())
        onset = onset_of(num, idx, time, chance)
    else:
        source, time = (pos[pos[AT_SOURCE] + HIVE * j], mem[pos[AT_TIME] + HIVE * j])
        chance = mem[pos[AT_CHANCE] + HIVE * j]
        onset, turn = (mem[pos[AT_ONSET] + HIVE * j], mem[pos[AT_TURN] + HIVE * j])
        length = mem[pos[AT_LENGTH] + HIVE * j]
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
    pos[pos[AT_SOURCE] + HIVE * j], mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j] = (source, time, onset)
    mem[pos[AT_CHANCE] + HIVE * j], mem[pos[AT_TURN] + HIVE * j] = (chance, turn)
    mem[pos[AT_LENGTH] + HIVE * j] = length


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
    chance, onset, jacobian = (mem[pos[AT_CHANCE] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j], 0.0)
    if keep:
        if onset == np.inf or time >= onset:
            return now
        chance, jacobian = new_chance(num, idx, chance, onset, mem[pos[AT_TIME] + HIVE * j], time)
        if chance < 0.0:
            return now
    else:
        onset = onset_of(num, idx, time, chance)
    turn, length = (mem[pos[AT_TURN] + HIVE * j], mem[pos[AT_LENGTH] + HIVE * j])
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
    source, old = (pos[pos[AT_SOURCE] + HIVE * j], mem[pos[AT_TIME] + HIVE * j])
    if source != PRESSURE:
        return now
    time = old + gen.standard_normal() * _SHIFTS[int(gen.random() * 3)]
    if not num[idx[AT_FIRST] + HIVE * j] <= time < num[idx[AT_INFECTABLE] + HIVE * j]:
        return now
    chance, turn = (mem[pos[AT_CHANCE] + HIVE * j], mem[pos[AT_TURN] + HIVE * j])
    length = mem[pos[AT_LENGTH] + HIVE * j]
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
    chance = (
        gen.random() if kind == 3 else (mem[pos[AT_CHANCE] + HIVE * j] + gen.standard_normal() * _TURNS[kind]) % 1.0
    )
    turn, length = (mem[pos[AT_TURN] + HIVE * j], mem[pos[AT_LENGTH] + HIVE * j])
    if gen.random() < 0.5:
        turn, length = (gen.random(), gen.random())
    source, time = (pos[pos[AT_SOURCE] + HIVE * j], mem[pos[AT_TIME] + HIVE * j])
    onset = onset_of(num, idx, time, chance)
    new = log_beyond(num, idx, mem, pos, theta, j, count, source, time, onset, turn, length)
    if np.log(gen.random()) < new - now:
        infect(mem, pos, j, source, time, onset, chance, turn, length)


@leaf
def fixed(num: Floats, idx: Ints, j: int) -> bool:
    """Whether colony j can never be infected."""
    return num[idx[AT_INFECTABLE] + HIVE * j] <= num[idx[AT_FIRST] + HIVE * j] and num[idx[AT_BEFORE] + HIVE * j] == 0.0


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
            pos[pos[AT_VISITS] + HIVE * j] += 1
    if moves and pos[pos[AT_SOURCE] + HIVE * j] != NO:
        if not toggles:
            now = log_now(num, idx, mem, pos, theta, j, count)
        for keep in range(2):
            now = other_way(num, idx, mem, pos, theta, j, count, weight, keep == 0, now, gen)
        now = shift_time(num, idx, mem, pos, theta, j, count, now, gen)
        other_onset(num, idx, mem, pos, theta, j, count, now, gen)
    put_in(num, idx, mem, pos, theta, j, count)
