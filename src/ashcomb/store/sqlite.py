"""The record store in one SQLite file: append, read, seal, back up. There is no path that updates or deletes."""

from __future__ import annotations

import os
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import apsw

from ashcomb.kernel.errors import FaultError, UserError
from ashcomb.records.all import KINDS, ORDER
from ashcomb.records.codec import sql_columns, to_json, to_row
from ashcomb.records.columns import Kind, Record, kind_of
from ashcomb.records.situation import Situation, Table
from ashcomb.store import ddl
from ashcomb.store.columns import MarkColumns, read_columns
from ashcomb.store.faults import readable
from ashcomb.store.seal import FIRST, Seal, leaf_hash, make_seal, personal_hash

SAFE_FROM = 3_051_003  # SQLite 3.7.0 to 3.51.2 can lose commits when two connections write in WAL mode
BUSY_MS = 10_000


def linked_sqlite() -> str:
    """Version of the SQLite that is really linked; raises FaultError for one with the WAL-reset defect."""
    if apsw.SQLITE_VERSION_NUMBER < SAFE_FROM:
        raise FaultError(f"The linked SQLite {apsw.sqlite_lib_version()} can lose commits in WAL mode.",
                         "Install apsw 3.51.3 or newer.")  # fmt: skip
    return apsw.sqlite_lib_version()


class Store:
    """An open store. Use `create` or `open`; close it, or use it as a context manager."""

    def __init__(self, path: Path, connection: apsw.Connection) -> None:
        self.path = path
        self._db = connection

    @classmethod
    def create(cls, path: Path) -> Store:
        """A new, empty store; raises UserError if the file exists or the folder cannot be written."""
        linked_sqlite()
        if path.exists():
            raise UserError("There is a case in this folder already.", "Choose another folder.", str(path))
        with readable(path):
            path.parent.mkdir(parents=True, exist_ok=True)
            db = _connect(path, apsw.SQLITE_OPEN_READWRITE | apsw.SQLITE_OPEN_CREATE)
            with db:
                db.pragma("application_id", ddl.APPLICATION_ID)
                db.pragma("user_version", ddl.STORE_VERSION)
                for statement in ddl.create_statements():
                    db.execute(statement)
        return cls(path, db)

    @classmethod
    def open(cls, path: Path, *, write: bool = False) -> Store:
        """The store in that file; raises UserError if it is missing, foreign, or made by a newer version."""
        linked_sqlite()
        if not path.is_file():
            raise UserError(
                "There is no case here.", "Make one with `ashcomb new`, or name the case folder.", str(path)
            )
        with readable(path):
            if write and not _writable(path):
                raise apsw.ReadOnlyError("no right to write")
            db = _connect(path, apsw.SQLITE_OPEN_READWRITE if _writable(path) else apsw.SQLITE_OPEN_READONLY)
            if db.pragma("application_id") != ddl.APPLICATION_ID:
                raise apsw.NotADBError("another application's file")
            version = int(db.pragma("user_version"))
        if version > ddl.STORE_VERSION:
            what = (
                f"This case was written by a newer version (store {version}; this program knows {ddl.STORE_VERSION})."
            )
            raise UserError(what, "Install the newer version; nothing was changed.", str(path))
        if version < ddl.OLDEST_VERSION:
            what = f"This case was written by a trial version (store {version}) that this program no longer reads."
            raise UserError(what, "Import its spreadsheets into a new case; nothing was changed.", str(path))
        store = cls(path, db)
        store._grow()
        return store

    def __enter__(self) -> Store:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """Closes the file."""
        self._db.close()

    def append(self, records: Sequence[Record], *, at: int, by: str, what: str, salt: Callable[[], str]) -> Seal:
        """Writes the records in one transaction and seals them; returns the seal once the disk has them.

        at: UTC milliseconds.  salt: gives a fresh random hexadecimal string for each personal value.
        Raises FaultError, with nothing written, if an id is there already or the disk cannot take it.
        """
        with readable(self.path), self._writing():
            head = self.head()
            n, previous = (head.n + 1, head.seal) if head else (1, FIRST)
            hidden = [self._hide(record, salt) for record in records]
            leaves = [leaf_hash(to_json(record), record.received) for record, _ in hidden]
            seal = make_seal(n, previous, leaves, at, by, what)
            row = (n, previous, seal.content, seal.count, at, by, what, seal.seal)
            self._db.execute("INSERT INTO seal VALUES (?,?,?,?,?,?,?,?)", row)
            for pos, ((record, personal), leaf) in enumerate(zip(hidden, leaves, strict=True)):
                self._db.execute(ddl.insert_statement(kind_of(record)), (n, pos, leaf, *to_row(record)))
                self._db.executemany("INSERT INTO personal VALUES (?,?,?,?)", personal)
        return seal

    def head(self) -> Seal | None:
        """The newest seal, or None in an empty store."""
        row = self._db.execute("SELECT * FROM seal ORDER BY n DESC LIMIT 1").fetchone()
        return Seal(*row) if row else None

    def latest(self) -> int:
        """The latest time of any seal, in UTC milliseconds; 0 in an empty store."""
        return max((at for (at,) in self._db.execute("SELECT at FROM seal ORDER BY at DESC LIMIT 1")), default=0)

    def seals(self) -> list[Seal]:
        """Every seal, oldest first."""
        with readable(self.path):
            return [Seal(*row) for row in self._db.execute("SELECT * FROM seal ORDER BY n")]

    def size(self) -> int:
        """How many records it holds."""
        with readable(self.path):
            return sum(int(str(count)) for (count,) in self._db.execute("SELECT count FROM seal"))

    def ids(self) -> set[str]:
        """The ids of all records."""
        with readable(self.path):
            return {key for name in ORDER for (key,) in self._db.execute(f'SELECT id FROM "{ddl.table_name(name)}"')}

    def situation(self, as_of: int, kinds: Collection[str] = ORDER) -> Situation:
        """What was received until `as_of` (UTC milliseconds), with personal values where they are still kept.

        kinds: only these, with what withdraws or settles; large registers read their moves with `columns`.
        """
        wanted = {*kinds, "withdrawal", "settlement"}
        with readable(self.path), self._db:
            head = self._db.execute("SELECT seal FROM seal WHERE at <= ? ORDER BY n DESC LIMIT 1", (as_of,)).fetchone()
            tables = {name: self._table(KINDS[name], as_of) for name in ORDER if name in wanted}
        return Situation(as_of, head[0] if head else FIRST, {k: t for k, t in tables.items() if len(t)})

    def columns(self, cls: type[Record], numbers: Sequence[str], words: Sequence[str], as_of: int) -> MarkColumns:
        """Chosen columns of the records of a kind that hold, as whole numbers; see `columns.read_columns`."""
        with readable(self.path):
            flags = apsw.SQLITE_OPEN_READWRITE if _writable(self.path) else apsw.SQLITE_OPEN_READONLY
            return read_columns(lambda: _connect(self.path, flags), kind_of(cls), numbers, words, as_of)

    def sealed_rows(self) -> Iterator[tuple[int, int, str, Kind, list[Any]]]:
        """Every row as it was sealed, personal values hidden: seal number, position, its hash, kind, cells."""
        for name in ORDER:
            kind = KINDS[name]
            names = ", ".join(f'"{column}"' for column, _ in sql_columns(kind))
            for n, pos, leaf, *row in self._db.execute(
                f'SELECT chain_n, chain_pos, chain_leaf, {names} FROM "{ddl.table_name(kind)}"'
            ):
                yield n, pos, leaf, kind, row

    def personal_faults(self) -> list[str]:
        """Records whose kept personal value no longer fits the hash that was sealed."""
        sealed = {row[0]: dict(zip((c for c, _ in sql_columns(kind)), row, strict=True))
                  for _, _, _, kind, row in self.sealed_rows()}  # fmt: skip
        found = []
        for key, field, salt, value in self._db.execute("SELECT * FROM personal"):
            if sealed.get(key, {}).get(field) != personal_hash(salt, value):
                found.append(f"the personal value {field} of record {key} was altered")
        return found

    def backup(self, target: Path) -> None:
        """A complete copy through the database's own interface, while others may go on writing."""
        with readable(target):
            target.parent.mkdir(parents=True, exist_ok=True)
            if target.exists():
                raise UserError("The backup file exists already.", "Choose another name.", str(target))
            self._db.execute("VACUUM INTO ?", (str(target),))

    def integrity(self) -> list[str]:
        """What SQLite itself finds wrong with the file; empty when it is sound."""
        with readable(self.path):
            rows = [row[0] for row in self._db.execute("PRAGMA integrity_check")]
            rows += [
                f"row of {row[0]} points to a missing {row[2]}" for row in self._db.execute("PRAGMA foreign_key_check")
            ]
        return [row for row in rows if row != "ok"]

    def _grow(self) -> None:
        """Adds the tables and columns that record kinds gained since this store was made; takes nothing away."""
        with readable(self.path):
            tables = [row[0] for row in self._db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
            present = {
                name: {row[0] for row in self._db.execute("SELECT name FROM pragma_table_info(?)", (name,))}
                for name in tables
            }
            lacking = list(ddl.growth_statements(present))
            if lacking:
                with self._writing():
                    for statement in lacking:
                        self._db.execute(statement)

    def _table(self, kind: Kind, as_of: int) -> Table:
        names = [name for name, _ in sql_columns(kind)]
        quoted = ", ".join(f'"{name}"' for name in names)
        table = ddl.table_name(kind)
        order = "ORDER BY chain_n, chain_pos"
        rows = self._db.execute(f'SELECT {quoted} FROM "{table}" WHERE received <= ? {order}', (as_of,)).fetchall()
        columns = dict(zip(names, map(list, zip(*rows, strict=True)), strict=True)) if rows else {n: [] for n in names}
        self._reveal(kind, columns)
        return Table(kind, columns)

    @contextmanager
    def _writing(self) -> Iterator[None]:
        """One write transaction that holds the lock from its first read: two writers never build on one head."""
        self._db.execute("BEGIN IMMEDIATE")
        try:
            yield
            self._db.execute("COMMIT")
        except BaseException:
            if self._db.in_transaction:
                self._db.execute("ROLLBACK")
            raise

    def _hide(self, record: Record, salt: Callable[[], str]) -> tuple[Record, list[tuple[str, str, str, str]]]:
        hidden: dict[str, Any] = {}
        personal = []
        for name, column in kind_of(record).columns.items():
            value = getattr(record, name)
            if column.personal and value:
                grain = salt()
                hidden[name] = personal_hash(grain, value)
                personal.append((record.id, name, grain, value))
        return (replace(record, **hidden) if hidden else record), personal

    def _reveal(self, kind: Kind, columns: Mapping[str, list[Any]]) -> None:
        fields = [name for name, column in kind.columns.items() if column.personal]
        if not fields or not columns["id"]:
            return
        kept = {
            (key, field): value for key, field, value in self._db.execute("SELECT record, field, value FROM personal")
        }
        for field in fields:
            columns[field][:] = [
                kept.get((key, field), "(redacted)") if value else value
                for key, value in zip(columns["id"], columns[field], strict=True)
            ]


def _writable(path: Path) -> bool:
    return os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)


def _connect(path: Path, flags: int) -> apsw.Connection:
    name = str(path)
    if flags & apsw.SQLITE_OPEN_READONLY:  # nobody can write there, so the file is read as it lies
        name, flags = f"{path.absolute().as_uri()}?immutable=1", flags | apsw.SQLITE_OPEN_URI
    db = apsw.Connection(name, flags=flags)
    db.set_busy_timeout(BUSY_MS)
    db.pragma("foreign_keys", True)
    db.pragma("recursive_triggers", True)
    if flags & apsw.SQLITE_OPEN_READWRITE:
        db.pragma("journal_mode", "wal")
        db.pragma("synchronous", 2)  # FULL: an answer is given only when the disk has the record
    return db
