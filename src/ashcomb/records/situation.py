"""The frozen picture that all reasoning takes: what the records say as of a moment.

Columns by kind are kept as they came from the store; row objects are made when somebody asks for them. Records that
were corrected, withdrawn or settled against are left out of `rows` and named in `superseded`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property
from typing import Any, TypeVar, cast

import numpy as np
import numpy.typing as npt

from ashcomb.kernel.time import from_utc_ms
from ashcomb.records.all import KINDS
from ashcomb.records.case import CaseHead, Settlement, Withdrawal
from ashcomb.records.codec import from_row, sql_columns, to_row
from ashcomb.records.columns import Kind, Record, kind_of

R = TypeVar("R", bound=Record)


@dataclass(frozen=True)
class Table:
    """The records of one kind as columns: `columns[name]` is one list, all of equal length, in order of sealing."""

    kind: Kind
    columns: Mapping[str, list[Any]] = field(repr=False)

    def __len__(self) -> int:
        return len(self.columns["id"])

    def whole(self, name: str, missing: int = -1) -> npt.NDArray[np.int64]:
        """A whole-number column as int64; empty cells become `missing`."""
        return np.array([missing if v is None else v for v in self.columns[name]], dtype=np.int64)

    def number(self, name: str) -> npt.NDArray[np.float64]:
        """A number column as float64; empty cells become NaN."""
        return np.array([np.nan if v is None else v for v in self.columns[name]], dtype=np.float64)

    @cached_property
    def records(self) -> tuple[Record, ...]:
        """Row views of all records, in order of sealing."""
        names = [name for name, _ in sql_columns(self.kind)]
        return tuple(from_row(self.kind, row) for row in zip(*(self.columns[name] for name in names), strict=True))


@dataclass(frozen=True)
class Situation:
    """What the records say as of a moment.

    as_of: UTC milliseconds; only records received until then are in it, and 0 means no moment.  seal: head of the chain
    that it was read from.  tables: one `Table` per kind that has records.
    """

    as_of: int
    seal: str
    tables: Mapping[str, Table] = field(repr=False)

    def table(self, cls: type[Record]) -> Table:
        """The columns of one kind, superseded records included; an empty table if there are none."""
        kind = kind_of(cls)
        return self.tables.get(kind.name) or Table(kind, {name: [] for name, _ in sql_columns(kind)})

    def rows(self, cls: type[R]) -> tuple[R, ...]:
        """The records of one kind that hold, in order of (happened, noted, id)."""
        name = kind_of(cls).name
        if name not in self._rows:
            holding = [r for r in self.table(cls).records if r.id not in self.superseded and self._has_happened(r)]
            self._rows[name] = tuple(sorted(holding, key=sort_key))
        return cast("tuple[R, ...]", self._rows[name])

    def _has_happened(self, record: Record) -> bool:
        """What is dated after the moment (with a day for the zones) does not count yet, unless its kind looks ahead."""
        return self.last_day is None or kind_of(record).ahead or record.happened.first <= self.last_day

    @cached_property
    def last_day(self) -> date | None:
        """Last day on which what is recorded may have happened anywhere on earth; None where there is no moment."""
        return from_utc_ms(self.as_of).date() + timedelta(days=1) if self.as_of else None

    def by_mark(self, cls: type[R]) -> dict[str, R]:
        """The holding records of one kind by their own mark; a later correction replaces the earlier record."""
        key = kind_of(cls).key
        return {getattr(record, key): record for record in self.rows(cls)}

    @cached_property
    def _rows(self) -> dict[str, tuple[Record, ...]]:
        return {}

    @cached_property
    def superseded(self) -> frozenset[str]:
        """Ids of the records that hold no more: corrected, withdrawn, or settled against."""
        gone = {key for table in self.tables.values() for key in table.columns["corrects"] if key}
        gone |= {cast("Withdrawal", record).record for record in self.table(Withdrawal).records}
        for record in self.table(Settlement).records:
            gone |= set(cast("Settlement", record).against)
        return frozenset(gone)

    @cached_property
    def case(self) -> CaseHead | None:
        """The head of the case, or None in an empty store."""
        heads = self.rows(CaseHead)
        return heads[-1] if heads else None

    def everything(self) -> Iterable[Record]:
        """Every record that holds, kind by kind."""
        for name in self.tables:
            yield from self.rows(KINDS[name].cls)


def sort_key(record: Record) -> tuple[Any, ...]:
    """Order of records by what they say, never by how they arrived: so the order of merging changes nothing."""
    return (*record.happened.key, record.noted, record.id)


def situation_of(records: Iterable[Record], as_of: int = 0, seal: str = "") -> Situation:
    """A situation straight from record objects: for tests and for what has not been stored yet."""
    grouped: dict[str, list[list[Any]]] = {}
    for record in records:
        grouped.setdefault(kind_of(record).name, []).append(to_row(record))
    tables = {}
    for name, rows in grouped.items():
        names = [column for column, _ in sql_columns(KINDS[name])]
        tables[name] = Table(KINDS[name], {column: list(cells) for column, cells in zip(names, zip(*rows, strict=True),
                                                                                        strict=True)})  # fmt: skip
    return Situation(as_of, seal, tables)
