"""Contact-chain sizes of all units at once: 1,024 starts share one pass, a bit for each.

Row v holds which of the starts have reached unit v. Counting the bits of a row gives how many reach v (ingoing),
counting those of a column how many its start reaches (outgoing), so one pass in the order of time gives both.
Starts that first give at about the same time share a pass. Soon most rows hold nothing or the same starts, the common
ones; a row that holds all of these gains nothing from one that holds only these, and such moves are passed by.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.chain_rows import ALL, EMPTY, GAINED, ONLY, WORDS, Bits, States, merged
from ashcomb.outbreak.compiled import compiled
from ashcomb.outbreak.day_order import Small, Ticks
from ashcomb.outbreak.fast_reach import Moves

_SAMPLE = 63  # rows looked at to learn which starts are common; any choice gives the same sizes


@compiled
def _given(source: Small, target: Small, low: int, high: int, rows: Bits, state: States,
           common: Bits) -> tuple[int, bool]:  # fmt: skip
    """Follows moves once; returns how many were not passed by, and whether any brought something new."""
    work, gained = 0, False
    for index in range(np.uint64(low), np.uint64(high)):
        giver, taker = source[index], target[index]
        if (state[giver] & EMPTY) | ((state[taker] & ALL) & ((state[giver] & ONLY) >> 1)):
            continue
        stands = merged(rows, giver, taker, common)
        state[taker] = stands & (ALL | ONLY)
        gained |= stands & GAINED > 0
        work += 1
    return work, gained


@compiled
def _settle(source: Small, target: Small, low: int, high: int, rows: Bits, state: States, common: Bits) -> int:
    """Repeats moves of one moment until nothing changes; returns how many were not passed by."""
    gained, work = low < high, 0
    while gained:
        more, gained = _given(source, target, low, high, rows, state, common)
        work += more
    return work


@compiled
def _look(rows: Bits, state: States, common: Bits) -> None:
    """Learns which starts most rows hold, and how each row stands to them."""
    step = len(rows) // _SAMPLE + 1
    for word in range(WORDS):
        common[word] = 0
        for bit in range(64):
            held = np.int64(0)
            for row in range(0, len(rows), step):
                held += np.int64((rows[row, word] >> np.uint64(bit)) & np.uint64(1))
            if 2 * held * step > len(rows):
                common[word] |= np.uint64(1) << np.uint64(bit)
    for row in range(len(rows)):
        some = np.uint64(0)
        for word in range(WORDS):
            some |= rows[row, word]
        state[row] = merged(rows, np.uint32(row), np.uint32(row), common) | (0 if some else EMPTY)


@compiled
def first_gives(moves: Moves, begin: int, end: int, units: int) -> Ticks:
    """Moment from `begin` to before `end` at which each unit first gives; one after `end` if it does not."""
    first = np.full(units, end + 1, dtype=np.int64)
    for moment in range(end - 1, begin - 1, -1):
        for index in range(moves.starts[moment], moves.starts[moment + 1]):
            first[moves.source[index]] = moment
    return first


@compiled
def spread(moves: Moves, opened: tuple[Small, Small], begin: int, end: int, rows: Bits) -> None:
    """Passes the window from moment `begin` to before `end` over the rows, in place.

    opened: givers and takers of moves that may have happened at the very start.
    """
    common, state = np.zeros(WORDS, dtype=np.uint64), np.zeros(len(rows), dtype=np.uint8)
    _look(rows, state, common)
    work = _settle(opened[0], opened[1], 0, len(opened[0]), rows, state, common)
    for moment in range(begin, end):
        if work > len(rows):  # what looking costs is then small beside what was done
            _look(rows, state, common)
            work = 0
        low, rest, high = moves.starts[moment], moves.repeat[moment], moves.starts[moment + 1]
        work += _given(moves.source, moves.target, low, rest, rows, state, common)[0]
        work += _settle(moves.source, moves.target, rest, high, rows, state, common)
