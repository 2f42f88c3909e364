"""Compiled: the moves of the sampler. Each keeps the posterior.

A colony is taken out of the state, so that all is computed given the others, changed, and put in again. A whole sweep
visits every colony. In the sweeps between, likely colonies are visited, and the many unlikely ones are served by births
and deaths: a birth picks a colony by a fixed weight, a death one of those infected. What is picked, and how often,
never depends on what the move may change, so the posterior is kept.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.compiled import compiled
from ashcomb.outbreak.kernel_chance import (
    came_before,
    given_share,
    log_effect,
    log_event,
    log_given,
    log_looks,
    log_own,
    log_pool,
    log_seen,
    log_spared,
)
from ashcomb.outbreak.kernel_state import (
    APIARY,
    LATENT,
    ROBBING,
    TOUCHING,
    brood_days,
    cell_of,
    gather,
    link,
    onset_of,
    pressure_at,
    touch,
    unlink,
    worth_at,
)
from ashcomb.outbreak.layout import (
    AT_AFTER,
    AT_BEFORE,
    AT_CHANCE,
    AT_DEAD,
    AT_END,
    AT_EVENT_FROM,
    AT_EVENT_OUTSIDE,
    AT_EVENT_TO,
    AT_FIRST,
    AT_GIVE,
    AT_GIVE_PTR,
    AT_HEAD,
    AT_HIGH,
    AT_ILL,
    AT_IN_EVENT,
    AT_IN_PTR,
    AT_INFECTABLE,
    AT_LENGTH,
    AT_LOW,
    AT_MASS,
    AT_NEAR,
    AT_NEAR_FALL,
    AT_NEAR_PTR,
    AT_OFTEN,
    AT_ONSET,
    AT_OUT_EVENT,
    AT_OUT_PTR,
    AT_PLAN,
    AT_QUANTILE,
    AT_RATE,
    AT_RISK,
    AT_SHARE,
    AT_SOURCE,
    AT_SPEED,
    AT_SPOT,
    AT_STAY_FROM,
    AT_STAY_OF,
    AT_STAY_PLACE,
    AT_STAY_PTR,
    AT_STAY_TO,
    AT_SUMS,
    AT_TAKE,
    AT_TAKE_PTR,
    AT_TAKEN,
    AT_TALLY,
    AT_TIME,
    AT_TURN,
    AT_VISITS,
    AT_WEIGHT,
    AT_WHEN,
    AT_WHO,
    COLONIES,
    EVENTS,
    MOVES,
    OFTEN,
    PLACES,
    POOLS,
    RARE,
    STEPS,
    STRIDE,
    TURN,
)
from ashcomb.outbreak.scene import Floats, Ints

_NO, _BEFORE, _PRESSURE = (-3, -2, -1)
_SHIFTS, _TURNS = ((3.0, 20.0, 90.0), (0.02, 0.1, 0.5))
_SMALL = 2000.0  # colonies; in larger scenes moves that sum over all of them are rarer


@compiled
def _rates_near(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, i: int, sign: float) -> None:
    """Adds or takes away what colony i adds to the pressure at the others' moments of infection."""
    for slot in range(idx[idx[AT_STAY_PTR] + i], idx[idx[AT_STAY_PTR] + (i + 1)]):
        place = idx[idx[AT_STAY_PLACE] + slot]
        for n in range(idx[idx[AT_NEAR_PTR] + place] - 1, idx[idx[AT_NEAR_PTR] + (place + 1)]):
            own = n < idx[idx[AT_NEAR_PTR] + place]
            other = pos[pos[AT_HEAD] + (place if own else idx[idx[AT_NEAR] + n])]
            while other >= 0:
                k = idx[idx[AT_STAY_OF] + other]
                at = mem[pos[AT_TIME] + k]
                if (
                    k != i
                    and pos[pos[AT_SOURCE] + k] == _PRESSURE
                    and (at < num[idx[AT_STAY_TO] + slot])
                    and (at < num[idx[AT_STAY_TO] + other])
                    and at >= num[idx[AT_STAY_FROM] + slot]
                    and at >= num[idx[AT_STAY_FROM] + other]
                ):
                    speed = theta[TOUCHING] if touch(num, idx, i, k) else theta[APIARY]
                    if not own:
                        speed = theta[ROBBING] * num[idx[AT_NEAR_FALL] + n]
                    worth = worth_at(num, idx, theta, i, mem[pos[AT_TIME] + i], mem[pos[AT_ONSET] + i], at)
                    mem[pos[AT_RATE] + k] += sign * speed * worth
                other = pos[pos[AT_AFTER] + other]


@compiled
def take_out(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, i: int) -> None:
    """Removes colony i from all that is kept ready; its own time and source stay readable."""
    for k in range(idx[idx[AT_IN_PTR] + i], idx[idx[AT_IN_PTR] + (i + 1)]):
        e = idx[idx[AT_IN_EVENT] + k]
        if pos[pos[AT_SOURCE] + i] == e:
            pos[pos[AT_TAKEN] + e] -= 1
        elif came_before(mem, pos, e, pos[pos[AT_SOURCE] + i], mem[pos[AT_TIME] + i]):
            pos[pos[AT_RISK] + e] -= 1
    if pos[pos[AT_SOURCE] + i] == _NO:
        return
    unlink(num, idx, mem, pos, i)
    _rates_near(num, idx, mem, pos, theta, i, -1.0)
    for k in range(idx[idx[AT_OUT_PTR] + i], idx[idx[AT_OUT_PTR] + (i + 1)]):
        e = idx[idx[AT_OUT_EVENT] + k]
        left = mem[pos[AT_SHARE] + e] - given_share(
            num, idx, mem, pos, theta, k, i, mem[pos[AT_TIME] + i], mem[pos[AT_ONSET] + i]
        )
        mem[pos[AT_SHARE] + e] = left if left > 1e-13 else 0.0


@compiled
def put_in(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, i: int) -> None:
    """Enters colony i, as its time and source now are."""
    for k in range(idx[idx[AT_IN_PTR] + i], idx[idx[AT_IN_PTR] + (i + 1)]):
        e = idx[idx[AT_IN_EVENT] + k]
        if pos[pos[AT_SOURCE] + i] == e:
            pos[pos[AT_TAKEN] + e] += 1
        elif came_before(mem, pos, e, pos[pos[AT_SOURCE] + i], mem[pos[AT_TIME] + i]):
            pos[pos[AT_RISK] + e] += 1
    if pos[pos[AT_SOURCE] + i] == _NO:
        return
    _rates_near(num, idx, mem, pos, theta, i, 1.0)
    link(num, idx, mem, pos, i)
    for k in range(idx[idx[AT_OUT_PTR] + i], idx[idx[AT_OUT_PTR] + (i + 1)]):
        e = idx[idx[AT_OUT_EVENT] + k]
        mem[pos[AT_SHARE] + e] += given_share(
            num, idx, mem, pos, theta, k, i, mem[pos[AT_TIME] + i], mem[pos[AT_ONSET] + i]
        )


@compiled
def weigh(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int) -> float:
    """Weight of all ways in which the gathered colony can be infected."""
    total = num[idx[AT_BEFORE] + j] + theta[0] * (num[idx[AT_INFECTABLE] + j] - num[idx[AT_FIRST] + j])
    for k in range(idx[idx[AT_IN_PTR] + j], idx[idx[AT_IN_PTR] + (j + 1)]):
        e = idx[idx[AT_IN_EVENT] + k]
        total -= np.expm1(log_spared(num, idx, theta, e, mem[pos[AT_SHARE] + e]))
    for c in range(count):
        total += mem[pos[AT_MASS] + c]
    return total


@compiled
def log_way(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int, source: int, time: float
) -> float:
    """Log weight of one way: the density with which `draw_way` draws it, times the weight of all."""
    if source == _BEFORE:
        return np.log(num[idx[AT_BEFORE] + j]) if num[idx[AT_BEFORE] + j] > 0.0 else -np.inf
    if source >= 0:
        spared = log_spared(num, idx, theta, source, mem[pos[AT_SHARE] + source])
        return np.log(-np.expm1(spared)) if spared < 0.0 else -np.inf
    return np.log(pressure_at(num, idx, mem, pos, theta, count, time))


@compiled
def _within(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, c: int, part: float) -> float:
    """The time by which that part of the pressure of entry c has come."""
    i = pos[pos[AT_WHO] + c]
    wanted = part * mem[pos[AT_MASS] + c] / mem[pos[AT_SPEED] + c]
    low, high = (max(mem[pos[AT_LOW] + c], mem[pos[AT_TIME] + i]), min(mem[pos[AT_HIGH] + c], num[idx[AT_END] + i]))
    cuts = (min(max(mem[pos[AT_ONSET] + i], low), high), min(max(num[idx[AT_DEAD] + i], low), high), high)
    x = low
    for cut in cuts:
        worth = worth_at(num, idx, theta, i, mem[pos[AT_TIME] + i], mem[pos[AT_ONSET] + i], x)
        if cut > x:
            if worth * (cut - x) >= wanted and worth > 0.0:
                return min(x + wanted / worth, np.nextafter(cut, x))
            wanted -= worth * (cut - x)
            x = cut
    return np.nextafter(high, low)


@compiled
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
        return (_BEFORE, num[idx[AT_FIRST] + j])
    for k in range(idx[idx[AT_IN_PTR] + j], idx[idx[AT_IN_PTR] + (j + 1)]):
        e = idx[idx[AT_IN_EVENT] + k]
        left += np.expm1(log_spared(num, idx, theta, e, mem[pos[AT_SHARE] + e]))
        if left < 0.0:
            return (e, mem[pos[AT_WHEN] + e])
    for c in range(count):
        left -= mem[pos[AT_MASS] + c]
        if left < 0.0:
            return (_PRESSURE, _within(num, idx, mem, pos, theta, c, gen.random()))
    first, last = (num[idx[AT_FIRST] + j], num[idx[AT_INFECTABLE] + j])
    return (_PRESSURE, first + gen.random() * (last - first))


@compiled
def log_rest(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    time: float,
    onset: float,
    turn: float,
    length: float,
) -> float:
    """Log of the chance of the looks at j and of all others' histories, if j is infected so."""
    return (
        log_seen(num, idx, mem, pos, j, time, onset, turn, length)
        + log_effect(num, idx, mem, pos, theta, j, time, onset)
        + log_given(num, idx, mem, pos, theta, j, time, onset)
    )


@compiled
def log_target(
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
    """Log of the posterior density of the gathered colony j, infected so, given all others, up to a constant."""
    own = log_own(num, idx, mem, pos, theta, j, count, source, time)
    return own + log_rest(num, idx, mem, pos, theta, j, time, onset, turn, length)


@compiled
def toggle(
    num: Floats,
    idx: Ints,
    mem: Floats,
    pos: Ints,
    theta: Floats,
    j: int,
    count: int,
    weight: float,
    picks: float,
    gen: np.random.Generator,
) -> tuple[float, float]:
    """Adds an infection where there is none, or deletes the one there is; returns the chance of infection after it,
    and the log density of the infection.

    That chance is taken over the acceptance alone: its mean over visits is the posterior chance, with less noise than
    the mean of what came out.  picks: log of the chance that a death picks it, against a birth (0 where a visit does).
    """
    none = log_own(num, idx, mem, pos, theta, j, count, _NO, np.inf)
    none += log_seen(num, idx, mem, pos, j, np.inf, np.inf, 1.0, 0.0)
    none += log_given(num, idx, mem, pos, theta, j, np.inf, np.inf)
    adds = pos[pos[AT_SOURCE] + j] == _NO
    if adds:
        source, time = draw_way(num, idx, mem, pos, theta, j, count, weight, gen)
        chance, turn, length = (gen.random(), gen.random(), gen.random())
        onset = onset_of(num, idx, time, chance)
    else:
        source, time, chance = (pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j], mem[pos[AT_CHANCE] + j])
        onset, turn, length = (mem[pos[AT_ONSET] + j], mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j])
    there = log_target(num, idx, mem, pos, theta, j, count, source, time, onset, turn, length)
    gain = there + np.log(weight) - log_way(num, idx, mem, pos, theta, j, count, source, time) - none + picks
    accepted = np.exp(min(gain if adds else -gain, 0.0))
    if not accepted > 0.0:
        return (0.0 if adds else 1.0, there)
    if gen.random() < accepted:
        if adds:
            _set(mem, pos, j, source, time, onset, chance, turn, length)
        else:
            _set(mem, pos, j, _NO, np.inf, np.inf, 0.0, 1.0, 0.0)
        _listed(mem, pos, j, adds)
    return (accepted if adds else 1.0 - accepted, there)


@compiled
def _listed(mem: Floats, pos: Ints, j: int, enters: bool) -> None:
    """Enters a rare colony into the list of the infected ones, or takes it out."""
    if mem[pos[AT_WEIGHT] + j] == 0.0:
        return
    ill, count = (pos[AT_ILL], pos[AT_PLAN] + RARE)
    if enters:
        pos[ill + pos[count]], pos[pos[AT_SPOT] + j] = (j, pos[count])
        pos[count] += 1
        return
    pos[count] -= 1
    last, spot = (pos[ill + pos[count]], pos[pos[AT_SPOT] + j])
    pos[ill + spot], pos[pos[AT_SPOT] + last] = (last, spot)


@compiled
def _set(
    mem: Floats, pos: Ints, j: int, source: int, time: float, onset: float, chance: float, turn: float, length: float
) -> None:
    pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j], mem[pos[AT_ONSET] + j] = (source, time, onset)
    mem[pos[AT_CHANCE] + j], mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j] = (chance, turn, length)


@compiled
def _new_chance(
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


@compiled
def _log_now(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, j: int, count: int) -> float:
    """Log density of the infection of colony j as it is."""
    source, time, onset = (pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j], mem[pos[AT_ONSET] + j])
    turn, length = (mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j])
    return log_target(num, idx, mem, pos, theta, j, count, source, time, onset, turn, length)


@compiled
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
        chance, jacobian = _new_chance(num, idx, chance, onset, mem[pos[AT_TIME] + j], time)
        if chance < 0.0:
            return now
    else:
        onset = onset_of(num, idx, time, chance)
    turn, length = (mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j])
    new = log_target(num, idx, mem, pos, theta, j, count, source, time, onset, turn, length)
    gain = new - now + jacobian - log_way(num, idx, mem, pos, theta, j, count, source, time)
    gain += log_way(num, idx, mem, pos, theta, j, count, pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j])
    if not np.log(gen.random()) < gain:
        return now
    _set(mem, pos, j, source, time, onset, chance, turn, length)
    return new


@compiled
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
    source = pos[pos[AT_SOURCE] + j]
    if source != _PRESSURE:
        return now
    time = mem[pos[AT_TIME] + j] + gen.standard_normal() * _SHIFTS[int(gen.random() * 3)]
    if not num[idx[AT_FIRST] + j] <= time < num[idx[AT_INFECTABLE] + j]:
        return now
    chance, turn, length = (mem[pos[AT_CHANCE] + j], mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j])
    onset = onset_of(num, idx, time, chance)
    new = log_target(num, idx, mem, pos, theta, j, count, source, time, onset, turn, length)
    if not np.log(gen.random()) < new - now:
        return now
    _set(mem, pos, j, source, time, onset, chance, turn, length)
    return new


@compiled
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
    new = log_target(num, idx, mem, pos, theta, j, count, source, time, onset, turn, length)
    if np.log(gen.random()) < new - now:
        _set(mem, pos, j, source, time, onset, chance, turn, length)


@compiled
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
    if num[idx[AT_INFECTABLE] + j] <= num[idx[AT_FIRST] + j] and num[idx[AT_BEFORE] + j] == 0.0:
        return
    take_out(num, idx, mem, pos, theta, j)
    count = gather(num, idx, mem, pos, theta, j)
    weight, now = (weigh(num, idx, mem, pos, theta, j, count), 0.0)
    if toggles:
        chance, now = toggle(num, idx, mem, pos, theta, j, count, weight, picks, gen)
        if moves:
            mem[pos[AT_TALLY] + j] += chance
            pos[pos[AT_VISITS] + j] += 1
    if moves and pos[pos[AT_SOURCE] + j] != _NO:
        if not toggles:
            now = _log_now(num, idx, mem, pos, theta, j, count)
        for keep in range(2):
            now = other_way(num, idx, mem, pos, theta, j, count, weight, keep == 0, now, gen)
        now = shift_time(num, idx, mem, pos, theta, j, count, now, gen)
        other_onset(num, idx, mem, pos, theta, j, count, now, gen)
    mem[pos[AT_RATE] + j] = 0.0
    if pos[pos[AT_SOURCE] + j] == _PRESSURE:
        mem[pos[AT_RATE] + j] = pressure_at(num, idx, mem, pos, theta, count, mem[pos[AT_TIME] + j])
    put_in(num, idx, mem, pos, theta, j)


@compiled
def birth_or_death(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, gen: np.random.Generator) -> None:
    """A birth of an infection in a rare colony, picked by its weight, or the death of one, all alike."""
    count, birth = (pos[pos[AT_PLAN] + RARE], gen.random() < 0.5)
    if birth:
        n, wanted = (idx[COLONIES], gen.random())
        j = np.searchsorted(mem[pos[AT_SUMS] : pos[AT_SUMS] + n], wanted, side="right")
        if j >= n or mem[pos[AT_WEIGHT] + j] == 0.0 or pos[pos[AT_SOURCE] + j] != _NO:
            return
        count += 1
    else:
        if count == 0:
            return
        j = pos[pos[AT_ILL] + int(gen.random() * count)]
    picks = -np.log(mem[pos[AT_WEIGHT] + j] * count)
    visit(num, idx, mem, pos, theta, j, True, False, picks, gen)


@compiled
def _fill(pos: Ints, first: int, size: int, value: int) -> None:
    for k in range(first, first + size):
        pos[k] = value


@compiled
def rebuild(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats) -> None:
    """Computes all that is kept ready anew from times, sources and dates."""
    _fill(pos, pos[AT_HEAD], idx[PLACES], -1)
    for e in range(idx[EVENTS]):
        mem[pos[AT_SHARE] + e] = num[idx[AT_EVENT_OUTSIDE] + e]
    _fill(pos, pos[AT_RISK], idx[EVENTS], 0)
    _fill(pos, pos[AT_TAKEN], idx[EVENTS], 0)
    n = idx[COLONIES]
    for j in range(n):
        if pos[pos[AT_SOURCE] + j] != _NO:
            link(num, idx, mem, pos, j)
            for k in range(idx[idx[AT_OUT_PTR] + j], idx[idx[AT_OUT_PTR] + (j + 1)]):
                share = given_share(num, idx, mem, pos, theta, k, j, mem[pos[AT_TIME] + j], mem[pos[AT_ONSET] + j])
                mem[pos[AT_SHARE] + idx[idx[AT_OUT_EVENT] + k]] += share
        for k in range(idx[idx[AT_IN_PTR] + j], idx[idx[AT_IN_PTR] + (j + 1)]):
            e = idx[idx[AT_IN_EVENT] + k]
            if pos[pos[AT_SOURCE] + j] == e:
                pos[pos[AT_TAKEN] + e] += 1
            elif came_before(mem, pos, e, pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j]):
                pos[pos[AT_RISK] + e] += 1
    pos[pos[AT_PLAN] + RARE] = 0
    for j in range(n):
        if pos[pos[AT_SOURCE] + j] != _NO:
            _listed(mem, pos, j, True)
        mem[pos[AT_RATE] + j] = 0.0
        if pos[pos[AT_SOURCE] + j] == _PRESSURE:
            count = gather(num, idx, mem, pos, theta, j)
            mem[pos[AT_RATE] + j] = pressure_at(num, idx, mem, pos, theta, count, mem[pos[AT_TIME] + j])


@compiled
def log_history(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats) -> float:
    """Log density of the whole history without what was observed, from a state that was just rebuilt."""
    total = 0.0
    for j in range(idx[COLONIES]):
        if pos[pos[AT_SOURCE] + j] == _BEFORE:
            total += np.log(num[idx[AT_BEFORE] + j]) if num[idx[AT_BEFORE] + j] > 0.0 else -np.inf
            continue
        total += np.log1p(-num[idx[AT_BEFORE] + j])
        total -= theta[0] * (min(mem[pos[AT_TIME] + j], num[idx[AT_INFECTABLE] + j]) - num[idx[AT_FIRST] + j])
        if pos[pos[AT_SOURCE] + j] == _PRESSURE:
            total += np.log(mem[pos[AT_RATE] + j])
    for e in range(idx[EVENTS]):
        total += log_event(num, idx, mem, pos, theta, e, mem[pos[AT_SHARE] + e])
    return total + _log_pressed(num, idx, mem, pos, theta)


@compiled
def _log_pressed(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats) -> float:
    """Minus the pressure that the infected put on all others until their own infection."""
    total = 0.0
    for i in range(idx[COLONIES]):
        if pos[pos[AT_SOURCE] + i] != _NO:
            unlink(num, idx, mem, pos, i)
            total += log_effect(num, idx, mem, pos, theta, i, mem[pos[AT_TIME] + i], mem[pos[AT_ONSET] + i])
            total -= _log_rates(num, idx, mem, pos, theta, i)
            link(num, idx, mem, pos, i)
    return total


@compiled
def _log_rates(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, i: int) -> float:
    """The part of `log_effect` that speaks of the moments of infection; it is in the rates already."""
    total = 0.0
    for slot in range(idx[idx[AT_STAY_PTR] + i], idx[idx[AT_STAY_PTR] + (i + 1)]):
        if num[idx[AT_STAY_TO] + slot] <= mem[pos[AT_TIME] + i]:
            continue
        place = idx[idx[AT_STAY_PLACE] + slot]
        for n in range(idx[idx[AT_NEAR_PTR] + place] - 1, idx[idx[AT_NEAR_PTR] + (place + 1)]):
            own = n < idx[idx[AT_NEAR_PTR] + place]
            other = pos[pos[AT_HEAD] + (place if own else idx[idx[AT_NEAR] + n])]
            while other >= 0:
                k = idx[idx[AT_STAY_OF] + other]
                low = max(num[idx[AT_STAY_FROM] + slot], max(num[idx[AT_STAY_FROM] + other], num[idx[AT_FIRST] + k]))
                high = min(num[idx[AT_STAY_TO] + slot], min(num[idx[AT_STAY_TO] + other], num[idx[AT_INFECTABLE] + k]))
                if k != i and pos[pos[AT_SOURCE] + k] == _PRESSURE and (low <= mem[pos[AT_TIME] + k] < high):
                    speed = theta[TOUCHING] if touch(num, idx, i, k) else theta[APIARY]
                    if not own:
                        speed = theta[ROBBING] * num[idx[AT_NEAR_FALL] + n]
                    worth = worth_at(
                        num, idx, theta, i, mem[pos[AT_TIME] + i], mem[pos[AT_ONSET] + i], mem[pos[AT_TIME] + k]
                    )
                    if speed * worth > 0.0:
                        total += np.log1p(speed * worth / mem[pos[AT_RATE] + k])
                other = pos[pos[AT_AFTER] + other]
    return total


@compiled
def log_observed(num: Floats, idx: Ints, mem: Floats, pos: Ints) -> float:
    """Log of the chance of everything observed."""
    total = 0.0
    for j in range(idx[COLONIES]):
        total += log_looks(num, idx, j, mem[pos[AT_ONSET] + j], mem[pos[AT_TURN] + j], mem[pos[AT_LENGTH] + j])
    for p in range(idx[POOLS]):
        total += log_pool(num, idx, mem, pos, p, -1, np.inf, np.inf)
    return total


@compiled
def free_date(num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, e: int, gen: np.random.Generator) -> None:
    """Draws anew the open date of an event that infected nobody: only what it might have done changes."""
    old_when, old_share, old_risk = (mem[pos[AT_WHEN] + e], mem[pos[AT_SHARE] + e], pos[pos[AT_RISK] + e])
    old = log_event(num, idx, mem, pos, theta, e, old_share)
    when = num[idx[AT_EVENT_FROM] + e] + gen.random() * (num[idx[AT_EVENT_TO] + e] - num[idx[AT_EVENT_FROM] + e])
    mem[pos[AT_WHEN] + e], share, risk = (when, num[idx[AT_EVENT_OUTSIDE] + e], 0)
    for g in range(idx[idx[AT_GIVE_PTR] + e], idx[idx[AT_GIVE_PTR] + (e + 1)]):
        i = idx[idx[AT_GIVE] + g]
        if pos[pos[AT_SOURCE] + i] != _NO:
            for k in range(idx[idx[AT_OUT_PTR] + i], idx[idx[AT_OUT_PTR] + (i + 1)]):
                if idx[idx[AT_OUT_EVENT] + k] == e:
                    time, onset = (mem[pos[AT_TIME] + i], mem[pos[AT_ONSET] + i])
                    share += given_share(num, idx, mem, pos, theta, k, i, time, onset)
    for k in range(idx[idx[AT_TAKE_PTR] + e], idx[idx[AT_TAKE_PTR] + (e + 1)]):
        j = idx[idx[AT_TAKE] + k]
        risk += came_before(mem, pos, e, pos[pos[AT_SOURCE] + j], mem[pos[AT_TIME] + j])
    pos[pos[AT_RISK] + e] = risk
    new = log_event(num, idx, mem, pos, theta, e, share)
    mem[pos[AT_SHARE] + e] = share
    if not np.log(gen.random()) < new - old:
        mem[pos[AT_WHEN] + e], mem[pos[AT_SHARE] + e], pos[pos[AT_RISK] + e] = (old_when, old_share, old_risk)


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
            kept[k, 2], more = _new_chance(num, idx, kept[k, 0], kept[k, 1], old_when, when)
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


@compiled
def sweep(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, theta: Floats, bounds: Floats, gen: np.random.Generator
) -> None:
    """One sweep after the plan of the state; the state must be rebuilt before the first.

    Moves that need a sum over all colonies come in every sweep of a small scene, and less often in a large one.
    """
    n, plan = (idx[COLONIES], pos[AT_PLAN])
    whole = pos[plan + TURN] % pos[plan + STRIDE] == 0
    pos[plan + TURN] += 1
    if whole:
        rebuild(num, idx, mem, pos, theta)
    visited = n if whole else pos[plan + OFTEN] + pos[plan + RARE]
    for k in range(visited):
        rare = not whole and k >= pos[plan + OFTEN]
        j = k if whole else (pos[pos[AT_ILL] + (k - pos[plan + OFTEN])] if rare else pos[pos[AT_OFTEN] + k])
        visit(num, idx, mem, pos, theta, j, not rare, True, 0.0, gen)
    if not whole:
        for _ in range(pos[plan + MOVES]):
            birth_or_death(num, idx, mem, pos, theta, gen)
    large = _SMALL / max(n, 1)
    for e in range(idx[EVENTS]):
        if num[idx[AT_EVENT_TO] + e] > num[idx[AT_EVENT_FROM] + e]:
            if pos[pos[AT_TAKEN] + e] == 0:
                free_date(num, idx, mem, pos, theta, e, gen)
            elif gen.random() < large:
                other_date(num, idx, mem, pos, theta, e, gen)
    for r in range(len(theta)):
        if bounds[r, 1] > bounds[r, 0] and gen.random() < large:
            other_rate(num, idx, mem, pos, theta, r, bounds[r, 0], bounds[r, 1], gen)
