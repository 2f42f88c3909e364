"""Compiled: moves of a pair. A giver and the receiver that it infected come and go together; or one of them comes or
goes while the other, which stays infected, mostly a known case, is infected anew.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import lean
from ashcomb.outbreak.kernel_colony import fixed, infect, new_chance
from ashcomb.outbreak.kernel_kept import listed, put_in, take_out
from ashcomb.outbreak.kernel_pressure import gather
from ashcomb.outbreak.kernel_state import onset_of
from ashcomb.outbreak.kernel_way import draw_way, log_beyond, log_none, log_now, log_way, weigh, weigh_until
from ashcomb.outbreak.layout import (
    AT_CHANCE,
    AT_DUO,
    AT_GIVE,
    AT_GIVE_PTR,
    AT_LENGTH,
    AT_ONSET,
    AT_PLAN,
    AT_SOURCE,
    AT_STRONG,
    AT_TAKE,
    AT_TAKE_PTR,
    AT_TIME,
    AT_TURN,
    AT_WHEN,
    DUOS,
    EVENT,
    HIVE,
    STRONG,
)
from ashcomb.outbreak.scene import NO, Floats, Ints

_LEAST = 1e-4  # share of all ways below which a restricted one is not drawn


@lean
def gained(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    e: int,
    adds: bool,
    until: float,
    gen: np.random.Generator,
) -> float:
    """Infects colony j by event e (below 0: in any way before a time), or deletes that infection; log of how much
    likelier it is with it than without, against the density with which it is drawn. Minus infinity, and nothing is
    done, where there is hardly any such way.
    """
    count = gather(num, idx, mem, pos, theta, j)
    take_out(num, idx, mem, pos, theta, j, count)
    weight, free = weigh(num, idx, mem, pos, theta, j, count)
    none, whole = (log_none(num, idx, mem, pos, theta, j, free), weight)
    if until < np.inf:
        weight = weigh_until(num, idx, mem, pos, theta, j, count, until)
        if weight < _LEAST * whole:
            put_in(num, idx, mem, pos, theta, j, count)
            return -np.inf if adds else np.inf
    if adds:
        source, time = (e, mem[pos[AT_WHEN] + EVENT * e])
        if e < 0:
            source, time = draw_way(num, idx, mem, pos, theta, j, count, whole, gen)
            while time >= until:
                source, time = draw_way(num, idx, mem, pos, theta, j, count, whole, gen)
        chance, turn, length = (gen.random(), gen.random(), gen.random())
        infect(mem, pos, j, source, time, onset_of(num, idx, time, chance), chance, turn, length)
    there = log_now(num, idx, mem, pos, theta, j, count)
    there += np.log(weight) if e < 0 else log_way(num, idx, mem, pos, theta, j, count, e, mem[pos[AT_WHEN] + EVENT * e])
    if not adds:
        infect(mem, pos, j, NO, np.inf, np.inf, 0.0, 1.0, 0.0)
    listed(mem, pos, j, adds)
    put_in(num, idx, mem, pos, theta, j, count)
    return there - none


@lean
def put_back(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    source: int,
    time: float,
    onset: float,
    chance: float,
    turn: float,
    length: float,
) -> None:
    """Puts back what happened to colony j."""
    count = gather(num, idx, mem, pos, theta, j)
    take_out(num, idx, mem, pos, theta, j, count)
    infect(mem, pos, j, source, time, onset, chance, turn, length)
    listed(mem, pos, j, source != NO)
    put_in(num, idx, mem, pos, theta, j, count)


@lean
def _pair_comes(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, i: int, j: int, gen: np.random.Generator
) -> None:
    gain = gained(num, idx, mem, pos, theta, i, -1, True, np.inf, gen)
    if mem[pos[AT_TIME] + HIVE * i] < mem[pos[AT_WHEN] + EVENT * e] and gain > -np.inf:
        gain += gained(num, idx, mem, pos, theta, j, e, True, np.inf, gen)
        if np.log(gen.random()) < gain:
            return
        put_back(num, idx, mem, pos, theta, j, NO, np.inf, np.inf, 0.0, 1.0, 0.0)
    put_back(num, idx, mem, pos, theta, i, NO, np.inf, np.inf, 0.0, 1.0, 0.0)


@lean
def _pair_goes(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, i: int, j: int, gen: np.random.Generator
) -> None:
    source, time, onset = (pos[pos[AT_SOURCE] + HIVE * i], mem[pos[AT_TIME] + HIVE * i], mem[pos[AT_ONSET] + HIVE * i])
    chance, turn = (mem[pos[AT_CHANCE] + HIVE * i], mem[pos[AT_TURN] + HIVE * i])
    length = mem[pos[AT_LENGTH] + HIVE * i]
    when, signs = (mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j])
    place, shift, size = (mem[pos[AT_CHANCE] + HIVE * j], mem[pos[AT_TURN] + HIVE * j], mem[pos[AT_LENGTH] + HIVE * j])
    gain = gained(num, idx, mem, pos, theta, j, e, False, np.inf, gen)
    gain += gained(num, idx, mem, pos, theta, i, -1, False, np.inf, gen)
    if not np.log(gen.random()) < -gain:
        put_back(num, idx, mem, pos, theta, i, source, time, onset, chance, turn, length)
        put_back(num, idx, mem, pos, theta, j, e, when, signs, place, shift, size)


@lean
def toggle_pair(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, gen: np.random.Generator) -> None:
    """A giver of an event and one that it infects appear together or go together.

    One alone would have to pass where the giver was sick and yet spared the other, which a strong event hardly does.
    """
    e = pos[pos[AT_STRONG] + int(gen.random() * pos[pos[AT_PLAN] + STRONG])]
    g, t = (idx[idx[AT_GIVE_PTR] + EVENT * e], idx[idx[AT_TAKE_PTR] + EVENT * e])
    i = idx[idx[AT_GIVE] + g + int(gen.random() * (idx[idx[AT_GIVE_PTR] + EVENT * (e + 1)] - g))]
    j = idx[idx[AT_TAKE] + t + int(gen.random() * (idx[idx[AT_TAKE_PTR] + EVENT * (e + 1)] - t))]
    if i == j or fixed(num, idx, i) or fixed(num, idx, j):
        return
    if pos[pos[AT_SOURCE] + HIVE * i] == NO and pos[pos[AT_SOURCE] + HIVE * j] == NO:
        _pair_comes(num, idx, mem, pos, theta, e, i, j, gen)
    elif pos[pos[AT_SOURCE] + HIVE * i] != NO and pos[pos[AT_SOURCE] + HIVE * j] == e:
        _pair_goes(num, idx, mem, pos, theta, e, i, j, gen)


@lean
def _anew(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    keep: bool,
    was: float,
    onset: float,
    chance: float,
    turn: float,
    length: float,
    gen: np.random.Generator,
) -> float:
    """Infects the healthy colony j in any way; log of how much likelier it is so than healthy, against the density with
    which it is drawn. keep: signs stay on their day, as of an infection at `was`; minus infinity, and healthy, where
    they cannot.
    """
    count = gather(num, idx, mem, pos, theta, j)
    take_out(num, idx, mem, pos, theta, j, count)
    weight, free = weigh(num, idx, mem, pos, theta, j, count)
    none = log_none(num, idx, mem, pos, theta, j, free)
    source, time = draw_way(num, idx, mem, pos, theta, j, count, weight, gen)
    if keep:
        chance, gain = new_chance(num, idx, chance, onset, was, time) if time < onset < np.inf else (-1.0, 0.0)
    else:
        chance, turn, length, gain = (gen.random(), gen.random(), gen.random(), 0.0)
        onset = onset_of(num, idx, time, chance)
    if chance < 0.0:
        gain = -np.inf
    else:
        there = log_beyond(num, idx, mem, pos, theta, j, count, source, time, onset, turn, length)
        gain += there + np.log(weight) - none
        infect(mem, pos, j, source, time, onset, chance, turn, length)
        listed(mem, pos, j, True)
    put_in(num, idx, mem, pos, theta, j, count)
    return gain


@lean
def _duo(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    i: int,
    j: int,
    gives: bool,
    until: float,
    picks: float,
    gen: np.random.Generator,
) -> None:
    """Colony i appears or goes, infected before a time, and j, which stays infected, is infected anew in any way.

    gives: i may have infected j, else j may have infected i.  picks: log of the chance that the way back picks i,
    against that with which it was picked.
    """
    source, time, onset = (pos[pos[AT_SOURCE] + HIVE * i], mem[pos[AT_TIME] + HIVE * i], mem[pos[AT_ONSET] + HIVE * i])
    chance, turn = (mem[pos[AT_CHANCE] + HIVE * i], mem[pos[AT_TURN] + HIVE * i])
    length = mem[pos[AT_LENGTH] + HIVE * i]
    by, when, signs = (pos[pos[AT_SOURCE] + HIVE * j], mem[pos[AT_TIME] + HIVE * j], mem[pos[AT_ONSET] + HIVE * j])
    place, shift, size = (mem[pos[AT_CHANCE] + HIVE * j], mem[pos[AT_TURN] + HIVE * j], mem[pos[AT_LENGTH] + HIVE * j])
    there, gain = (source != NO, picks)
    if there and not gives:
        gain -= gained(num, idx, mem, pos, theta, i, -1, False, until, gen)
    gain -= gained(num, idx, mem, pos, theta, j, -1, False, np.inf, gen)
    if gives:
        more = gained(num, idx, mem, pos, theta, i, -1, not there, until, gen)
        gain += -more if there else more
    if gain > -np.inf:
        gain += _anew(num, idx, mem, pos, theta, j, gen.random() < 0.5, when, signs, place, shift, size, gen)
    if gain > -np.inf and not there and not gives:
        gain += gained(num, idx, mem, pos, theta, i, -1, True, until, gen)
    if not np.log(gen.random()) < gain:
        if not gives and pos[pos[AT_SOURCE] + HIVE * i] != NO:
            put_back(num, idx, mem, pos, theta, i, NO, np.inf, np.inf, 0.0, 1.0, 0.0)
        if pos[pos[AT_SOURCE] + HIVE * j] != NO:
            put_back(num, idx, mem, pos, theta, j, NO, np.inf, np.inf, 0.0, 1.0, 0.0)
        if gives and (pos[pos[AT_SOURCE] + HIVE * i] == NO) == there:
            put_back(num, idx, mem, pos, theta, i, source, time, onset, chance, turn, length)
        put_back(num, idx, mem, pos, theta, j, by, when, signs, place, shift, size)
        if there and not gives:
            put_back(num, idx, mem, pos, theta, i, source, time, onset, chance, turn, length)


@lean
def toggle_duo(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, gen: np.random.Generator) -> None:
    """A colony appears or goes, and another that stays infected, mostly a known case, is infected anew in any way.

    Either a giver of an event, infected before it, and the receiver anew: the giver alone could not go while the case
    has it from there. Or a receiver, and the giver anew: the giver's day alone could not pass the day of the event.
    """
    d = pos[AT_DUO] + 3 * int(gen.random() * pos[pos[AT_PLAN] + DUOS])
    i, j, gives = (pos[d], pos[d + 1], pos[d + 2] >= 0)
    if pos[pos[AT_SOURCE] + HIVE * j] == NO or fixed(num, idx, i):
        return
    until = mem[pos[AT_WHEN] + EVENT * pos[d + 2]] if gives else np.inf
    if pos[pos[AT_SOURCE] + HIVE * i] != NO and not mem[pos[AT_TIME] + HIVE * i] < until:
        return
    _duo(num, idx, mem, pos, theta, i, j, gives, until, 0.0, gen)
