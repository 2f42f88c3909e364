"""How a record kind states its columns: one statement drives table, validation, spreadsheet, JSON schema and docs."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from ashcomb.kernel.time import Span


class Type(StrEnum):
    """What a column holds."""

    TEXT = "text"
    MARK = "mark"  # the mark of one thing: A07, A07-12
    MARKS = "marks"  # several marks
    WHOLE = "whole number"
    NUMBER = "number"
    CHOICE = "choice"
    FLAG = "yes or no"
    CLOCK = "clock time"  # local HH:MM


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a record kind.

    title: heading in our own spreadsheets.  also: other everyday headings, lower case.  refers: kinds whose marks it
    may name.  unit: unit of a number as stored.  low, high: bounds, both included.  personal: sealed as a salted hash.
    """

    type: Type
    title: str
    meaning: str
    also: tuple[str, ...] = ()
    required: bool = False
    options: tuple[str, ...] = ()
    refers: tuple[str, ...] = ()
    unit: str = ""
    low: float | None = None
    high: float | None = None
    personal: bool = False


_EMPTY: dict[Type, Any] = {Type.TEXT: "", Type.MARK: "", Type.CHOICE: "", Type.MARKS: ()}


def col(kind: Type, title: str, meaning: str, **statement: Any) -> Any:
    """A dataclass field for a column; one that is not required is empty ('' for words, () for marks, else None)."""
    column = Column(kind, title, meaning, **statement)
    if column.required:
        return field(metadata={"column": column})
    return field(default=_EMPTY.get(kind), metadata={"column": column})


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """What somebody saw or did, written once.

    id: UUID version 7 made where the record was made.  happened: local civil day or interval, with the hour if known.
    noted, received: UTC milliseconds when it was written down and when this store got it.  by, device: who, on what.
    evidence: 'seen', 'document' or 'memory'.  corrects: id of the record that this one replaces, or ''.
    origin: where an imported row stood (file, sheet, row), or ''.
    """

    id: str
    happened: Span
    noted: int
    received: int
    by: str
    device: str = ""
    evidence: str = "seen"
    corrects: str = ""
    origin: str = ""

    def faults(self) -> list[tuple[str, str, str]]:
        """What is wrong within this one record, as (column, what, what to do)."""
        return []


EVIDENCE = ("seen", "document", "memory")
ENVELOPE = tuple(item.name for item in dataclasses.fields(Record))


@dataclass(frozen=True, slots=True)
class Kind:
    """A record kind: its class and its statement.

    sheet: sheet name in our spreadsheets.  also: other sheet names.  happened: heading of the day.  key: column that
    holds the kind's own mark, or ''.  unique: whether two records may not share that mark.  ahead: whether it may
    speak of days to come, as a forecast does; all others tell what happened.
    """

    name: str
    cls: type[Record]
    sheet: str
    also: tuple[str, ...]
    happened: str
    happened_also: tuple[str, ...]
    happened_required: bool
    key: str
    columns: dict[str, Column]
    meaning: str
    unique: bool = True
    ahead: bool = False


KINDS: dict[str, Kind] = {}


def kind(
    name: str,
    sheet: str,
    *,
    also: Iterable[str] = (),
    happened: str = "Date",
    happened_also: Iterable[str] = (),
    happened_required: bool = True,
    key: str = "",
    unique: bool = True,
    ahead: bool = False,
) -> Any:
    """Class decorator that registers a record kind under `name`."""

    def register(cls: type[Record]) -> type[Record]:
        columns = {item.name: item.metadata["column"] for item in dataclasses.fields(cls) if "column" in item.metadata}
        meaning = re.sub(r"\s+", " ", (cls.__doc__ or "").strip())
        KINDS[name] = Kind(
            name,
            cls,
            sheet,
            tuple(also),
            happened,
            tuple(happened_also),
            happened_required,
            key,
            columns,
            meaning,
            unique,
            ahead,
        )
        return cls

    return register


def kind_of(record: Record | type[Record]) -> Kind:
    """The kind of a record or record class; raises KeyError for a class that is not registered."""
    cls = record if isinstance(record, type) else type(record)
    return next(item for item in KINDS.values() if item.cls is cls)
