"""Words that lie in one long run of letters, as numbers: tens of millions of them without a text object for each.

Importing this module starts the compiler. Nothing of another module is compiled into it, so the compiler's own look at
this one file tells it when its machine code is out of date.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple, TypeVar, cast

import numba
import numpy as np
import numpy.typing as npt

F = TypeVar("F", bound=Callable[..., object])
Ints = npt.NDArray[np.int64]
Letters = npt.NDArray[np.uint8]


class Run(NamedTuple):
    """Words in a run of letters (UTF-8). end: of each word.  gap: letters between one word and the next."""

    letters: Letters
    end: Ints
    gap: int

    @classmethod
    def of(cls, words: Sequence[str]) -> Run:
        """From words."""
        coded = [word.encode() for word in words]
        end = np.cumsum([len(word) for word in coded], dtype=np.int64)
        return cls(np.frombuffer(b"".join(coded), dtype=np.uint8), end, 0)

    @classmethod
    def parted(cls, letters: bytes, separator: str) -> Run:
        """From letters in which a separator of one byte stands between words; there is at least one word."""
        run = np.frombuffer(letters, dtype=np.uint8)
        return cls(run, np.append(np.flatnonzero(run == ord(separator)), len(run)), 1)


class WordTable:
    """Words and their numbers, in the order in which they first come."""

    def __init__(self) -> None:
        self._count = 0
        self._slots = np.full(1 << 10, -1, dtype=np.int32)  # number of the word, found by its hash
        self._hashes = np.empty(1 << 9, dtype=np.uint64)
        self._ends = np.zeros((1 << 9) + 1, dtype=np.int64)  # within the letters; the first is 0
        self._letters = np.empty(1 << 13, dtype=np.uint8)

    def numbered(self, run: Run, at: int, width: int, found: Ints) -> None:
        """Writes the numbers of words, as `whole_numbers` does; new words get new ones."""
        done = 0
        while done < len(found):
            done, self._count = _look_up(run, at, width, found, done, self._slots, self._hashes, self._ends,
                                         self._letters, self._count)  # fmt: skip
            if done < len(found):
                self._grow()

    def words(self) -> list[str]:
        """Every word, by number."""
        ends = self._ends[: self._count + 1].tolist()
        letters = self._letters[: ends[-1]].tobytes()
        return [letters[low:high].decode() for low, high in pairwise(ends)]

    def _grow(self) -> None:
        self._slots = np.full(2 * len(self._slots), -1, dtype=np.int32)
        self._hashes = np.concatenate([self._hashes, np.empty_like(self._hashes)])
        self._ends = np.concatenate([self._ends, np.empty(len(self._ends) - 1, dtype=np.int64)])
        self._letters = np.concatenate([self._letters, np.empty_like(self._letters)])
        _place_again(self._hashes[: self._count], self._slots)


def _compiled(function: F) -> F:
    return cast("F", numba.njit(cache=True, nogil=True)(function))


@_compiled
def whole_numbers(run: Run, at: int, width: int, found: Ints) -> None:
    """Writes the numbers that words spell: digits, with or without a minus before them.

    at, width: rows have `width` words; of each the one at this place.  found: one for each row.
    """
    text, end, gap = run.letters, run.end, run.gap
    for row in range(len(found)):
        place = row * width + at
        low, high, number = np.uint64(end[place - 1] + gap if place else 0), np.uint64(end[place]), np.int64(0)
        minus = text[low] == ord("-")
        for letter in range(low + np.uint64(minus), high):
            number = 10 * number + np.int64(text[letter]) - ord("0")
        found[row] = -number if minus else number


@_compiled
def _look_up(run: Run, at: int, width: int, found: Ints, done: int, slots: npt.NDArray[np.int32],
             hashes: npt.NDArray[np.uint64], ends: Ints, letters: Letters, count: int) -> tuple[int, int]:  # fmt: skip
    """Numbers words until all are done or there is no more room; returns how many are, and the number of words."""
    text, end, gap, mask = run.letters, run.end, run.gap, np.uint64(len(slots) - 1)
    for row in range(done, len(found)):
        place = row * width + at
        low, high = np.uint64(end[place - 1] + gap if place else 0), np.uint64(end[place])
        size = np.int64(high - low)
        mixed = np.uint64(14695981039346656037)  # Fowler, Noll and Vo, 64 bits; any good mixing gives the same answer
        for letter in range(low, high):
            mixed = (mixed ^ np.uint64(text[letter])) * np.uint64(1099511628211)
        mixed ^= mixed >> np.uint64(32)
        slot = mixed & mask
        number = np.int64(slots[slot])
        while number >= 0:
            if hashes[number] == mixed and ends[number + 1] - ends[number] == size:
                here, same = np.uint64(ends[number]), True
                for letter in range(np.uint64(size)):
                    same &= letters[here + letter] == text[low + letter]
                if same:
                    break
            slot = (slot + np.uint64(1)) & mask
            number = np.int64(slots[slot])
        if number < 0:
            begin = ends[count]
            if count == len(hashes) or begin + size > len(letters):
                return row, count
            number, count = np.int64(count), count + 1
            slots[slot], hashes[number], ends[count] = number, mixed, begin + size
            letters[begin : begin + size] = text[np.int64(low) : np.int64(high)]
        found[row] = number
    return len(found), count


@_compiled
def _place_again(hashes: npt.NDArray[np.uint64], slots: npt.NDArray[np.int32]) -> None:
    mask = np.uint64(len(slots) - 1)
    for number in range(len(hashes)):
        slot = hashes[number] & mask
        while slots[slot] >= 0:
            slot = (slot + np.uint64(1)) & mask
        slots[slot] = number
