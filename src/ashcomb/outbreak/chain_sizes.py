"""Contact-chain sizes of all units at once: 512 starts share one pass, a bit for each.

Row v holds which of the starts have reached unit v. Counting the bits of a row gives how many reach v (ingoing),
counting those of a column how many its start reaches (outgoing), so one pass in the order of time gives both.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from ashcomb.outbreak.compiled import compiled, inlined
from ashcomb.outbreak.day_order import Small, Ticks
from ashcomb.outbreak.fast_reach import Moves

Bits = npt.NDArray[np.uint64]
WORDS = 8
COLUMNS = 64 * WORDS


@inlined
def _ones(word: np.uint64) -> np.uint64:
    word = word - ((word >> np.uint64(1)) & np.uint64(0x5555555555555555))
    word = (word & np.uint64(0x3333333333333333)) + ((word >> np.uint64(2)) & np.uint64(0x3333333333333333))
    word = (word + (word >> np.uint64(4))) & np.uint64(0x0F0F0F0F0F0F0F0F)
    return (word * np.uint64(0x0101010101010101)) >> np.uint64(56)


@inlined
def _give(rows: Bits, giver: int, taker: int) -> None:
    a0, a1, a2, a3 = rows[giver, 0], rows[giver, 1], rows[giver, 2], rows[giver, 3]
    a4, a5, a6, a7 = rows[giver, 4], rows[giver, 5], rows[giver, 6], rows[giver, 7]
    b0, b1, b2, b3 = rows[taker, 0], rows[taker, 1], rows[taker, 2], rows[taker, 3]
    b4, b5, b6, b7 = rows[taker, 4], rows[taker, 5], rows[taker, 6], rows[taker, 7]
    rows[taker, 0], rows[taker, 1], rows[taker, 2], rows[taker, 3] = a0 | b0, a1 | b1, a2 | b2, a3 | b3
    rows[taker, 4], rows[taker, 5], rows[taker, 6], rows[taker, 7] = a4 | b4, a5 | b5, a6 | b6, a7 | b7


@compiled
def _settle(source: Small, target: Small, low: int, high: int, rows: Bits) -> None:
    """Repeats moves of one moment until nothing changes."""
    changed = low < high
    while changed:
        changed = False
        for index in range(low, high):
            giver, taker = source[index], target[index]
            for word in range(WORDS):
                more = rows[giver, word] & ~rows[taker, word]
                if more:
                    rows[taker, word] |= more
                    changed = True


@compiled
def spread(moves: Moves, opened: tuple[Small, Small], begin: int, end: int, rows: Bits) -> None:
    """Passes the window from moment `begin` to before `end` over the rows, in place.

    opened: givers and takers of moves that may have happened at the very start.
    """
    _settle(opened[0], opened[1], 0, len(opened[0]), rows)
    for moment in range(begin, end):
        for index in range(moves.starts[moment], moves.repeat[moment]):
            _give(rows, moves.source[index], moves.target[index])
        _settle(moves.source, moves.target, moves.repeat[moment], moves.starts[moment + 1], rows)


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
