"""Transfers as columns: who gave what to whom, when, and how well that is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from ashcomb.kernel.errors import UserError

Ints = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

EVIDENCE = ("seen", "document", "memory")
UNKNOWN = -1
_MINUTES = 1440


@dataclass(frozen=True)
class Ragged:
    """Several numbers for each transfer: those of transfer i are ids[offsets[i]:offsets[i + 1]]."""

    offsets: Ints
    ids: Ints

    @classmethod
    def of(cls, rows: Sequence[Sequence[int]]) -> Ragged:
        """From one list per transfer."""
        offsets = np.cumsum([0, *(len(row) for row in rows)])
        return cls(offsets.astype(np.int64), np.array([n for row in rows for n in row], dtype=np.int64))

    def row(self, index: int) -> list[int]:
        """The numbers of one transfer."""
        return [int(n) for n in self.ids[self.offsets[index] : self.offsets[index + 1]]]


@dataclass(frozen=True)
class Cleanings:
    """Recorded cleanings of sheds: place, and the days between which each was done, both included."""

    place: Ints
    first: Ints
    last: Ints


def _none() -> Ints:
    return np.zeros(0, dtype=np.int64)


@dataclass(frozen=True)
class Transfers:
    """All transfers, one element each; days count from 1 January 1970.

    marks: name of each place.  shed: whether the place handles extraction lots.
    source, target: place numbers.  first, last: the day lies between them, both included.  minute: after midnight, -1
    unknown; counts only where the day is known.  evidence: 0 seen, 1 document, 2 memory.  what: number of the object
    kind in `kinds`.  record: the caller's own number.  lot: extraction lot, -1 none.
    hives_from, hives_to: hives that were left and that received, where known; a hive in both was itself moved.
    Raises UserError for columns of unequal length or a day that ends before it begins.
    """

    marks: tuple[str, ...]
    shed: Flags
    source: Ints
    target: Ints
    first: Ints
    last: Ints
    minute: Ints
    evidence: Ints
    what: Ints
    record: Ints
    lot: Ints
    hives_from: Ragged | None = None
    hives_to: Ragged | None = None
    kinds: tuple[str, ...] = ()
    cleanings: Cleanings = field(default_factory=lambda: Cleanings(_none(), _none(), _none()))

    def __post_init__(self) -> None:
        columns = (self.target, self.first, self.last, self.minute, self.evidence, self.what, self.record, self.lot)
        if any(len(column) != len(self.source) for column in columns) or len(self.shed) != len(self.marks):
            raise UserError("The columns of the transfers differ in length.", "Give one element for each transfer.")
        if bool(np.any(self.last < self.first)):
            raise UserError("A transfer ends before it begins.", "Correct its days.")

    def __len__(self) -> int:
        return len(self.source)

    @property
    def names_hives(self) -> bool:
        """Whether any transfer names hives."""
        return any(part is not None and len(part.ids) > 0 for part in (self.hives_from, self.hives_to))

    def backwards(self) -> Transfers:
        """The same transfers with time and direction reversed: tracing forward through them is tracing back."""
        hour_known = (self.minute != UNKNOWN) & (self.first == self.last)
        return replace(
            self,
            source=self.target,
            target=self.source,
            first=-self.last,
            last=-self.first,
            minute=np.where(hour_known, _MINUTES - 1 - self.minute, UNKNOWN),
            hives_from=self.hives_to,
            hives_to=self.hives_from,
            cleanings=Cleanings(self.cleanings.place, -self.cleanings.last, -self.cleanings.first),
        )
