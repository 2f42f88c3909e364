"""Reads chosen columns of one kind as whole numbers: a national register as arrays, never as ten million objects.

SQLite joins the cells of a block of records into one text for each column, which is taken apart here at once. Several
threads read blocks, because SQLite works without holding up Python.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import repeat
from typing import Any, TypeVar

import apsw
import numpy as np
import numpy.typing as npt

from ashcomb.records.all import ORDER
from ashcomb.records.columns import Kind
from ashcomb.store import ddl

T = TypeVar("T")
Ints = npt.NDArray[np.int64]
Open = Callable[[], apsw.Connection]
MISSING = -1
_BLOCK = 100_000
_SEPARATOR, _JOINT = "\x1f", "\x1e"
_Block = tuple[int, int, int, int]  # seal and position of the first record, and of the first after the last


@dataclass(frozen=True)
class MarkColumns:
    """The records of one kind that hold, in order of sealing. marks: every word that occurs.

    numbers: whole-number columns, -1 where a cell is empty.  words: text columns, as numbers of marks.
    """

    marks: tuple[str, ...]
    numbers: Mapping[str, Ints]
    words: Mapping[str, Ints]


def read_columns(
    connect: Open, kind: Kind, numbers: Sequence[str], words: Sequence[str], as_of: int, workers: int = 2
) -> MarkColumns:
    """Columns of the records of a kind received until `as_of` that nothing corrects, withdraws or settles against.

    numbers: columns of whole numbers.  words: columns of text; a list of marks is read as the one text it is kept as.
    connect: opens a connection for one thread.
    """
    alone = tuple(name for name in words if name in kind.columns and kind.columns[name].refers)
    joined = tuple(name for name in words if name not in alone)
    cells = [f'coalesce("{name}", {MISSING})' for name in numbers]
    cells += [f"""coalesce("{name}", '')""" for name in alone]
    cells += [f" || '{_JOINT}' || ".join(f"""coalesce("{name}", '')""" for name in joined)] if joined else []
    reader = _Reader(ddl.table_name(kind), cells, len(numbers), as_of, connect, workers)
    tables = [_Marks() for _ in cells[len(numbers) :]]
    columns: list[list[Ints]] = [[] for _ in cells]
    with ThreadPoolExecutor(workers) as pool:
        try:
            for whole, texts in pool.map(reader.read, reader.blocks()):
                coded = [table.numbered(text) for table, text in zip(tables, texts, strict=True)]
                for column, block in zip(columns, (*whole, *coded), strict=True):
                    column.append(block)
        finally:
            reader.close()
    read = [np.concatenate(column) for column in columns]
    marks = _Marks()
    shared = [marks.numbered(list(table.number)) for table in tables[: len(alone)]]
    found = {name: shared[at][read[len(numbers) + at]] for at, name in enumerate(alone)}
    if joined:
        parts = [text.split(_JOINT, len(joined) - 1) for text in tables[-1].number]
        for name, told in zip(joined, zip(*parts, strict=True) if parts else [()] * len(joined), strict=True):
            found[name] = marks.numbered(list(told))[read[-1]]
    return MarkColumns(tuple(marks.number), dict(zip(numbers, read, strict=False)), {n: found[n] for n in words})


class _Marks:
    """Words and their numbers, in the order in which they first come; '' has none of its own."""

    def __init__(self) -> None:
        self.number: dict[str, int] = {}

    def numbered(self, words: list[str]) -> Ints:
        """The numbers of words, new ones given where needed."""
        found = np.fromiter(map(self.number.get, words, repeat(MISSING)), dtype=np.int64, count=len(words))
        for at in np.flatnonzero(found == MISSING).tolist():
            found[at] = self.number.setdefault(words[at], len(self.number))
        return found


class _Reader:
    """Reads blocks in threads. Words are left as words: they are numbered in order, so that chance plays no part."""

    def __init__(self, table: str, cells: list[str], whole: int, as_of: int, connect: Open, workers: int) -> None:
        self._table, self._cells, self._whole, self._as_of, self._gone = table, cells, whole, as_of, ""
        self._open = [connect() for _ in range(workers)]

    def blocks(self) -> list[_Block]:
        """The blocks to read."""
        self._gone = self._with_connection(lambda db: _superseded(db, self._as_of))
        return self._with_connection(lambda db: list(_blocks(db)))

    def close(self) -> None:
        """Closes the connections."""
        for connection in self._open:
            connection.close()

    def read(self, block: _Block) -> tuple[list[Ints], list[list[str]]]:
        """The columns of one block."""
        gone = "AND id NOT IN (SELECT value FROM json_each(?))" if self._gone else ""
        which = f"""FROM "{self._table}" WHERE received <= ? AND (chain_n, chain_pos) >= (?, ?)
                    AND (chain_n, chain_pos) < (?, ?) {gone}"""
        given = (self._as_of, *block, *([self._gone] if gone else []))
        together = ", ".join(f"group_concat({cell}, char(31))" for cell in self._cells)
        ((count, *texts),) = self._rows(f"SELECT count(*), {together} {which}", given)
        if not count:
            return [np.zeros(0, dtype=np.int64)] * self._whole, [[] for _ in self._cells[self._whole :]]
        listed = [text.split(_SEPARATOR) for text in texts[self._whole :]]
        if any(len(one) != count for one in listed):  # a cell holds the separator itself
            rows = self._rows(f"SELECT {', '.join(self._cells[self._whole :])} {which}", given)
            listed = [list(column) for column in zip(*rows, strict=True)]
        return [_whole(text, count) for text in texts[: self._whole]], listed

    def _rows(self, select: str, given: tuple[Any, ...]) -> list[tuple[Any, ...]]:
        return self._with_connection(lambda db: _rows(db, select, given))

    def _with_connection(self, work: Callable[[apsw.Connection], T]) -> T:
        connection = self._open.pop()  # no other thread uses it meanwhile
        try:
            return work(connection)
        finally:
            self._open.append(connection)


def _rows(connection: apsw.Connection, select: str, given: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    return connection.execute(select, given).fetchall()


def _whole(text: str, count: int) -> Ints:
    return np.fromstring(text, dtype=np.int64, count=count, sep=_SEPARATOR)


def _superseded(connection: apsw.Connection, as_of: int) -> str:
    """Ids of all records that hold no more, as a JSON list; '' if there are none."""
    until = "WHERE received <= ?1"
    parts = [f"""SELECT corrects FROM "{ddl.table_name(name)}" {until} AND corrects > ''""" for name in ORDER]
    parts.append(f'SELECT record FROM "r_withdrawal" {until}')
    against = """json_each('["' || replace(against, ';', '","') || '"]')"""
    parts.append(f'SELECT value FROM "r_settlement", {against} {until}')
    found = _rows(connection, f"SELECT json_group_array(corrects) FROM ({' UNION '.join(parts)})", (as_of,))
    return "" if found[0][0] in ("[]", '[""]') else str(found[0][0])


def _blocks(connection: apsw.Connection) -> Iterator[_Block]:
    """Ranges of seals and positions with about equally many records, in order; a large seal is divided."""
    begin, held, n = (0, 0), 0, 0
    for n, count in _rows(connection, "SELECT n, count FROM seal ORDER BY n"):
        if held + count > _BLOCK:
            for end in [(n, low) for low in range(0, count, _BLOCK)]:
                yield (*begin, *end)
                begin = end
            held = 0
        else:
            held += count
    yield (*begin, n + 1, 0)
