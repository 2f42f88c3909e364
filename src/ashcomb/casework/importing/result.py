"""What an import brings back: the records that are good, and everything that was refused, left out or inferred."""

from __future__ import annotations

from collections.abc import Mapping as Lookup
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

from ashcomb.casework.importing.mapping import Mapping
from ashcomb.kernel.errors import Problem
from ashcomb.records.columns import Record


class UnreadableError(Exception):
    """A cell cannot be read. what: what was wrong with it.  do: what would fix it."""

    def __init__(self, what: str, do: str) -> None:
        super().__init__(what)
        self.what = what
        self.do = do


@dataclass(frozen=True, slots=True)
class Spoilt:
    """A cell that holds no value that could be read, whatever its column: a formula, an error, an endless text."""

    shown: str
    what: str
    do: str


Cell = str | int | float | bool | datetime | date | time | timedelta | Spoilt


def shown(value: Cell) -> str:
    """The cell as a person sees it; whole numbers without decimals, days in ISO 8601."""
    if isinstance(value, Spoilt):
        return value.shown
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    if isinstance(value, datetime):
        return value.isoformat(" ", "minutes")
    return value.strip() if isinstance(value, str) else str(value)


@dataclass(frozen=True, slots=True)
class Note:
    """Something that was inferred, settled or left out while reading; nothing of that kind goes unsaid."""

    what: str
    sheet: str = ""
    row: int | None = None
    column: str = ""

    def __str__(self) -> str:
        place = ", ".join(p for p in (self.sheet, f"row {self.row}" if self.row else "", self.column) if p)
        return f"{place}: {self.what}".strip(": ")


@dataclass(frozen=True, slots=True)
class Counts:
    """Rows of one kind: read = kept + refused + waiting + already there."""

    read: int = 0
    kept: int = 0
    refused: int = 0
    waiting: int = 0
    already: int = 0


@dataclass(frozen=True, slots=True)
class RefusedRow:
    """A row that was not kept, as it stood under its headings.

    cells: as many as headings; a cell whose reading leaned on the rest of its column stands as it was read.
    waits: the row itself is good, but names something that stands in a refused row.
    """

    file: str
    sheet: str
    kind: str
    row: int
    headings: tuple[str, ...]
    cells: tuple[Cell, ...]
    problems: tuple[Problem, ...]
    waits: bool


@dataclass(frozen=True)
class ImportResult:
    """What was read.

    records: new and good, in an order in which each finds what it names.  problems: faults of refused rows and of whole
    sheets (these have no row).  waiting: rows that name something in a refused row; they are not counted as refused.
    mapping: what each sheet and heading was taken for, to be shown and kept.  counts: by kind.
    """

    records: tuple[Record, ...]
    problems: tuple[Problem, ...]
    waiting: tuple[Problem, ...]
    notes: tuple[Note, ...]
    mapping: Mapping
    counts: Lookup[str, Counts]
    refused: tuple[RefusedRow, ...] = field(default=(), repr=False)

    @property
    def refused_rows(self) -> int:
        """How many rows were refused, however many faults each has; rows that wait are not among them."""
        return sum(not row.waits for row in self.refused)
