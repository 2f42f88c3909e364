"""Reads chosen columns of one kind as whole numbers: a national register as arrays, never as ten million objects.

SQLite joins the cells of a block of records into one text, which compiled code takes apart. Several threads read
blocks, because SQLite works without holding up Python.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

import apsw
import numpy as np
import numpy.typing as npt

from ashcomb.records.all import ORDER
from ashcomb.records.columns import Kind
from ashcomb.store import ddl

if TYPE_CHECKING:  # the compiler starts only where columns are read
    from ashcomb.store.word_table import Run

T = TypeVar("T")
Ints = npt.NDArray[np.int64]
Open = Callable[[], apsw.Connection]
MISSING = -1
_BLOCK = 20_000
_SEPARATOR = "\x1f"
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
    from ashcomb.store.word_table import WordTable, whole_numbers

    reader = _Reader(ddl.table_name(kind), numbers, words, as_of, connect, workers)
    marks = WordTable()
    takes = [*[whole_numbers] * len(numbers), *[marks.numbered] * len(words)]
    with ThreadPoolExecutor(workers) as pool:
        try:
            blocks, row = reader.blocks(), 0
            columns = [np.empty(reader.most(), dtype=np.int64) for _ in takes]  # not fewer, if others write meanwhile
            for run in pool.map(reader.read, blocks):
                end = row + len(run.end) // len(takes)
                for at, (column, taken) in enumerate(zip(columns, takes, strict=True)):
                    taken(run, at, len(takes), column[row:end])
                row = end
        finally:
            reader.close()
    found = dict(zip((*numbers, *words), (column[:row] for column in columns), strict=True))
    return MarkColumns(tuple(marks.words()), {n: found[n] for n in numbers}, {n: found[n] for n in words})


class _Reader:
    """Reads blocks in threads. Words are left as words: they are numbered in order, so that chance plays no part."""

    def __init__(
        self, table: str, numbers: Sequence[str], words: Sequence[str], as_of: int, connect: Open, workers: int
    ) -> None:
        self._table, self._as_of, self._gone = table, as_of, ""
        self._gone_at: list[tuple[int, int]] = []
        self._cells = [f'coalesce("{name}", {MISSING})' for name in numbers]
        self._cells += [f"""coalesce("{name}", '')""" for name in words]
        self._open = [connect() for _ in range(workers)]

    def blocks(self) -> list[_Block]:
        """The blocks to read."""
        self._gone = self._with_connection(lambda db: _superseded(db, self._as_of))
        where = f'SELECT chain_n, chain_pos FROM "{self._table}" WHERE id IN (SELECT value FROM json_each(?))'
        self._gone_at = sorted(self._rows(where, (self._gone,))) if self._gone else []
        return self._with_connection(lambda db: list(_blocks(db)))

    def most(self) -> int:
        """No fewer than there are records."""
        return int(self._rows("SELECT coalesce(sum(count), 0) FROM seal", ())[0][0])

    def close(self) -> None:
        """Closes the connections."""
        for connection in self._open:
            connection.close()

    def read(self, block: _Block) -> Run:
        """The cells of each record in turn."""
        from ashcomb.store.word_table import Run

        some = bisect_left(self._gone_at, block[:2]) < bisect_left(self._gone_at, block[2:])
        gone = "AND id NOT IN (SELECT value FROM json_each(?))" if some else ""
        which = f"""FROM "{self._table}" WHERE received <= ? AND (chain_n, chain_pos) >= (?, ?)
                    AND (chain_n, chain_pos) < (?, ?) {gone}"""
        given = (self._as_of, *block, *([self._gone] if gone else []))
        text = f"group_concat(concat_ws('{_SEPARATOR}', {', '.join(self._cells)}), '{_SEPARATOR}')"
        ((count, letters),) = self._rows(f"SELECT count(*), CAST({text} AS BLOB) {which}", given)
        if not count:
            return Run.of([])
        run = Run.parted(letters, _SEPARATOR)
        if len(run.end) != count * len(self._cells):  # a cell holds the separator itself
            rows = self._rows(f"SELECT {', '.join(self._cells)} {which}", given)
            return Run.of([str(cell) for row in rows for cell in row])
        return run

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
