"""Rows of bits for chain sizes: which of 1,024 starts have reached a unit."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

import numpy as np
import numpy.typing as npt
from llvmlite import ir
from numba import types
from numba.extending import intrinsic

from ashcomb.outbreak.compiled import compiled, inlined
from ashcomb.outbreak.day_order import Ticks

Bits = npt.NDArray[np.uint64]
States = npt.NDArray[np.uint8]
WORDS = 16
COLUMNS = 64 * WORDS
EMPTY, ALL, ONLY = 1, 2, 4  # of a row: holds nothing, all common starts, only common starts
GAINED = 8  # of a row that was given to: it holds more than before
_LINE = 64  # bytes that a processor's cache takes at once


def empty_rows(units: int) -> Bits:
    """A row for each unit. None begins within a line of the cache, so that few lines are touched."""
    room = np.zeros((units + 1) * WORDS, dtype=np.uint64)
    skipped = -room.ctypes.data % _LINE // 8
    return room[skipped : skipped + units * WORDS].reshape(units, WORDS)


def _merged(_: Any, rows: Any, giver: Any, taker: Any, common: Any) -> Any:
    """Spells the merging of two rows out for the compiler, as a few operations on whole rows."""
    byte, word, row = ir.IntType(8), ir.IntType(64), ir.VectorType(ir.IntType(64), WORDS)
    name = f"llvm.vector.reduce.or.v{WORDS}i64"

    def build(context: Any, builder: Any, signature: Any, given: Any) -> Any:
        def data(which: int) -> Any:
            return context.make_array(signature.args[which])(context, builder, given[which]).data

        def place(unit: Any) -> Any:
            first = builder.mul(builder.zext(unit, word), word(WORDS))
            return builder.bitcast(builder.gep(data(0), [first]), row.as_pointer())

        def told(bits: Any, some: int, none: int) -> Any:
            joined = builder.module.globals.get(name) or ir.Function(builder.module, ir.FunctionType(word, [row]), name)
            found = builder.icmp_unsigned("!=", builder.call(joined, [bits]), word(0))
            return builder.select(found, byte(some), byte(none))

        before, gift = builder.load(place(given[2]), align=8), builder.load(place(given[1]), align=8)
        wanted, after = builder.load(builder.bitcast(data(3), row.as_pointer()), align=8), builder.or_(before, gift)
        builder.store(after, place(given[2]), align=8)
        lacking, more = builder.and_(wanted, builder.not_(after)), builder.and_(after, builder.not_(wanted))
        stands = builder.or_(told(lacking, 0, ALL), told(more, 0, ONLY))
        return builder.or_(stands, told(builder.xor(after, before), GAINED, 0))

    return types.uint8(rows, giver, taker, common), build


# Gives what row `giver` holds to row `taker` and says how that stands then: GAINED, ALL, ONLY. Numbers of rows have no
# sign. Compiled code only. Left to itself the compiler goes word by word, which takes twice as long.
merged = cast("Callable[[Bits, Any, Any, Bits], int]", intrinsic(_merged))


@inlined
def _ones(word: np.uint64) -> np.uint64:
    word = word - ((word >> np.uint64(1)) & np.uint64(0x5555555555555555))
    word = (word & np.uint64(0x3333333333333333)) + ((word >> np.uint64(2)) & np.uint64(0x3333333333333333))
    word = (word + (word >> np.uint64(4))) & np.uint64(0x0F0F0F0F0F0F0F0F)
    return (word * np.uint64(0x0101010101010101)) >> np.uint64(56)


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
