"""Reads chosen columns of one kind as whole numbers: a national register as arrays, never as ten million objects.

SQLite joins the cells of a block of records into one text for each column, which is taken apart here at once. Several
threads read blocks, because SQLite works without holding up Python.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import repeat

import apsw
import numpy as np
import numpy.typing as npt

from ashcomb.records.all import ORDER
from ashcomb.records.columns import Kind
from ashcomb.store import ddl

Ints = npt.NDArray[np.int64]
Open = Callable[[], apsw.Connection]
MISSING = -1
_BLOCK = 100_000
_SEPARATOR = "\x1f"
_Block = tuple[int, int, int, int]  # first and last seal, first and last position


@dataclass(frozen=True)
class MarkColumns:
    """The records of one kind that hold, in order of sealing. marks: every word that occurs, '' included.

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
    reader = _Reader(kind, tuple(numbers), tuple(words), as_of)
    with ThreadPoolExecutor(workers) as pool:
        connections = [connect() for _ in range(workers)]
        try:
            gone = _superseded(connections[0], as_of)
            blocks = list(_blocks(connections[0], as_of))
            parts = [blocks[turn::workers] for turn in range(workers)]
            read = [pool.submit(reader.read, *one) for one in zip(connections, parts, repeat(gone), strict=False)]
            found = [part.result() for part in read]
        finally:
            for connection in connections:
                connection.close()
    ordered = [found[index % workers][index // workers] for index in range(len(blocks))]
    return reader.together(ordered)


class _Reader:
    """Reads blocks and numbers the words as they come."""

    def __init__(self, kind: Kind, numbers: tuple[str, ...], words: tuple[str, ...], as_of: int) -> None:
        self._table, self._numbers, self._words, self._as_of = ddl.table_name(kind), numbers, words, as_of
        self._number: dict[str, int] = {"": 0}

    def read(self, connection: apsw.Connection, blocks: list[_Block], gone: str) -> list[list[Ints]]:
        """The columns of each block."""
        return [self._block(connection, block, gone) for block in blocks]

    def together(self, blocks: list[list[Ints]]) -> MarkColumns:
        """All blocks as one."""
        names = (*self._numbers, *self._words)
        empty = [np.zeros(0, dtype=np.int64)]
        columns = [np.concatenate([block[at] for block in blocks] or empty) for at in range(len(names))]
        named = dict(zip(names, columns, strict=True))
        numbers = {name: named[name] for name in self._numbers}
        return MarkColumns(tuple(self._number), numbers, {name: named[name] for name in self._words})

    def _block(self, connection: apsw.Connection, block: _Block, gone: str) -> list[Ints]:
        cells = [f'coalesce("{name}", {MISSING})' for name in self._numbers]
        cells += [f"""coalesce("{name}", '')""" for name in self._words]
        which = f"""FROM "{self._table}" WHERE received <= ? AND chain_n BETWEEN ? AND ? AND chain_pos BETWEEN ? AND ?
                    {"AND id NOT IN (SELECT value FROM json_each(?))" if gone else ""}"""
        given = (self._as_of, *block, *([gone] if gone else []))
        joined = ", ".join(f"group_concat({cell}, char(31))" for cell in cells)
        ((count, *texts),) = connection.execute(f"SELECT count(*), {joined} {which}", given).fetchall()
        if not count:
            return [np.zeros(0, dtype=np.int64) for _ in cells]
        kinds = len(self._numbers)
        listed = [text.split(_SEPARATOR) for text in texts[kinds:]]
        if any(len(one) != count for one in listed):  # a cell holds the separator itself
            rows = connection.execute(f"SELECT {', '.join(cells[kinds:])} {which}", given).fetchall()
            listed = [list(column) for column in zip(*rows, strict=True)]
        return [*(_whole(text, count) for text in texts[:kinds]), *(self._coded(one) for one in listed)]

    def _coded(self, words: list[str]) -> Ints:
        number = self._number
        found = np.fromiter(map(number.get, words, repeat(MISSING)), dtype=np.int64, count=len(words))
        for at in np.flatnonzero(found == MISSING).tolist():
            found[at] = number.setdefault(words[at], len(number))
        return found


def _whole(text: str, count: int) -> Ints:
    return np.fromstring(text, dtype=np.int64, count=count, sep=_SEPARATOR)


def _superseded(connection: apsw.Connection, as_of: int) -> str:
    """Ids of all records that hold no more, as a JSON list; '' if there are none."""
    until = "WHERE received <= ?1"
    parts = [f"""SELECT corrects FROM "{ddl.table_name(name)}" {until} AND corrects > ''""" for name in ORDER]
    parts.append(f'SELECT record FROM "r_withdrawal" {until}')
    parts.append(f"""SELECT value FROM "r_settlement", json_each('["' || replace(against, ';', '","') || '"]') {until}""")
    found = connection.execute(f"SELECT json_group_array(corrects) FROM ({' UNION '.join(parts)})", (as_of,)).fetchall()
    return "" if found[0][0] in ("[]", '[""]') else str(found[0][0])


def _blocks(connection: apsw.Connection, as_of: int) -> Iterator[_Block]:
    """Ranges of seals and positions with about equally many records, in order; a large seal is divided."""
    first, held = 0, 0
    for n, count in connection.execute("SELECT n, count FROM seal ORDER BY n").fetchall():
        if count > _BLOCK:
            if held:
                yield first, n - 1, 0, _BLOCK
            yield from ((n, n, low, low + _BLOCK - 1) for low in range(0, count, _BLOCK))
            held = 0
        elif held + count > _BLOCK:
            yield first, n - 1, 0, _BLOCK
            first, held = n, count
        else:
            first, held = (first if held else n), held + count
    if held:
        yield first, n, 0, _BLOCK
