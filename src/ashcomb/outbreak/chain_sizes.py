"""Contact-chain sizes of all units at once: 512 starts share one pass, a bit for each.

Row v holds which of the starts have reached unit v. Counting the bits of a row gives how many reach v (ingoing),
counting those of a column how many its start reaches (outgoing), so one pass in the order of time gives both.
Starts that first give at about the same time share a pass. Soon most rows hold nothing or the same starts, the common
ones; a row that holds all of these gains nothing from one that holds only these, and such moves are passed by.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from ashcomb.outbreak.compiled import compiled, inlined
from ashcomb.outbreak.day_order import Small, Ticks
from ashcomb.outbreak.fast_reach import Moves

Bits = npt.NDArray[np.uint64]
States = npt.NDArray[np.uint8]
WORDS = 8
COLUMNS = 64 * WORDS
_EMPTY, _ALL, _ONLY = 1, 2, 4  # of a row: holds nothing, all common starts, only common starts
_SAMPLE = 63  # rows looked at to learn which starts are common; any choice gives the same sizes


@inlined
def _ones(word: np.uint64) -> np.uint64:
    word = word - ((word >> np.uint64(1)) & np.uint64(0x5555555555555555))
    word = (word & np.uint64(0x3333333333333333)) + ((word >> np.uint64(2)) & np.uint64(0x3333333333333333))
    word = (word + (word >> np.uint64(4))) & np.uint64(0x0F0F0F0F0F0F0F0F)
    return (word * np.uint64(0x0101010101010101)) >> np.uint64(56)


@inlined
def _give(rows: Bits, giver: Any, taker: Any, state: States, common: Bits) -> int:
    """Gives what one row holds to another: 0 if passed by, 1 if nothing is gained, 2 if something is."""
    if (state[giver] & _EMPTY) | ((state[taker] & _ALL) & ((state[giver] & _ONLY) >> 1)):
        return 0
    r, g, c = rows[taker], rows[giver], common  # all is read before anything is written, so that words go together
    b0, b1, b2, b3, b4, b5, b6, b7 = r[0], r[1], r[2], r[3], r[4], r[5], r[6], r[7]
    a0, a1, a2, a3 = b0 | g[0], b1 | g[1], b2 | g[2], b3 | g[3]
    a4, a5, a6, a7 = b4 | g[4], b5 | g[5], b6 | g[6], b7 | g[7]
    c0, c1, c2, c3, c4, c5, c6, c7 = c[0], c[1], c[2], c[3], c[4], c[5], c[6], c[7]
    r[0], r[1], r[2], r[3], r[4], r[5], r[6], r[7] = a0, a1, a2, a3, a4, a5, a6, a7
    gained = (a0 ^ b0) | (a1 ^ b1) | (a2 ^ b2) | (a3 ^ b3) | (a4 ^ b4) | (a5 ^ b5) | (a6 ^ b6) | (a7 ^ b7)
    lacking = (c0 & ~a0) | (c1 & ~a1) | (c2 & ~a2) | (c3 & ~a3) | (c4 & ~a4) | (c5 & ~a5) | (c6 & ~a6) | (c7 & ~a7)
    more = (a0 & ~c0) | (a1 & ~c1) | (a2 & ~c2) | (a3 & ~c3) | (a4 & ~c4) | (a5 & ~c5) | (a6 & ~c6) | (a7 & ~c7)
    state[taker] = (0 if lacking else _ALL) | (0 if more else _ONLY)
    return 2 if gained else 1


@compiled
def _settle(source: Small, target: Small, low: int, high: int, rows: Bits, state: States, common: Bits) -> int:
    """Repeats moves of one moment until nothing changes; returns how many were not passed by."""
    changed, work = low < high, 0
    while changed:
        changed = False
        for index in range(low, high):
            given = _give(rows, source[index], target[index], state, common)
            changed |= given == 2
            work += given > 0
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
        some, lacking, more = np.uint64(0), np.uint64(0), np.uint64(0)
        for word in range(WORDS):
            some |= rows[row, word]
            lacking |= common[word] & ~rows[row, word]
            more |= rows[row, word] & ~common[word]
        state[row] = (0 if some else _EMPTY) | (0 if lacking else _ALL) | (0 if more else _ONLY)


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
        for index in range(moves.starts[moment], moves.repeat[moment]):
            if _give(rows, moves.source[index], moves.target[index], state, common):
                work += 1
        cyclic = moves.repeat[moment], moves.starts[moment + 1]
        work += _settle(moves.source, moves.target, cyclic[0], cyclic[1], rows, state, common)


@compiled
def count(rows: Bits, places: int, ingoing: Ticks, outgoing: Ticks) -> None:
    """Adds the bits of each of the first `places` rows to ingoing, and those of each column to outgoing.

    Columns are summed by carrying: 255 rows fill eight binary digits that stand beside each other.
    """
    digits = np.zeros((8, WORDS), dtype=np.uint64)
    one = np.uint64(1)
    for begin in range(0, places, 255):
        digits[:] = 0
        for row in range(begin, min(places, begin + 255)):
            total = np.uint64(0)
            for word in range(WORDS):
                carry = rows[row, word]
                total += _ones(carry)
                digit = 0
                while carry:
                    digits[digit, word], carry = digits[digit, word] ^ carry, digits[digit, word] & carry
                    digit += 1
            ingoing[row] += np.int64(total)
        for digit in range(8):
            for word in range(WORDS):
                for bit in range(64):
                    outgoing[word * 64 + bit] += np.int64((digits[digit, word] >> np.uint64(bit)) & one) << digit
