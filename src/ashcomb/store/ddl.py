"""The tables of the store, made from the record kinds; the database itself refuses update, delete and replace."""

from __future__ import annotations

from collections.abc import Iterator

from ashcomb.records.all import KINDS, ORDER
from ashcomb.records.codec import sql_columns
from ashcomb.records.columns import Kind

APPLICATION_ID = 0x41534842  # "ASHB": tells our files from other SQLite files
STORE_VERSION = 1

SEAL_TABLE = """CREATE TABLE seal (
  n INTEGER PRIMARY KEY, previous TEXT NOT NULL, content TEXT NOT NULL, count INTEGER NOT NULL,
  at INTEGER NOT NULL, by_whom TEXT NOT NULL, what TEXT NOT NULL, seal TEXT NOT NULL) STRICT"""

# Personal values stand here, beside the chain: the record holds only the salted hash, so that a redaction can take
# the value away and the chain still verifies.
PERSONAL_TABLE = """CREATE TABLE personal (
  record TEXT NOT NULL, field TEXT NOT NULL, salt TEXT NOT NULL, value TEXT NOT NULL,
  PRIMARY KEY (record, field)) STRICT, WITHOUT ROWID"""


def table_name(kind: Kind | str) -> str:
    """The table of a kind."""
    return f"r_{kind if isinstance(kind, str) else kind.name}"


def create_statements() -> Iterator[str]:
    """Everything that makes an empty store, in order."""
    yield SEAL_TABLE
    yield from _append_only("seal", "n")
    yield PERSONAL_TABLE
    for name in ORDER:
        yield from kind_statements(KINDS[name])


def kind_statements(kind: Kind) -> Iterator[str]:
    """The table of one kind: its place in the chain (seal, pos), its hash, then its columns."""
    columns = ", ".join(f'"{name}" {sql}' for name, sql in sql_columns(kind))
    columns = columns.replace('"id" TEXT', '"id" TEXT NOT NULL UNIQUE', 1)
    table = table_name(kind)
    chain = "seal INTEGER NOT NULL REFERENCES seal(n), pos INTEGER NOT NULL, leaf TEXT NOT NULL"
    yield f'CREATE TABLE "{table}" ({chain}, {columns}, PRIMARY KEY (seal, pos)) STRICT, WITHOUT ROWID'
    yield from _append_only(table, "id")


def insert_statement(kind: Kind) -> str:
    """Inserts one record: seal, pos, hash, then the columns of the kind."""
    names = ["seal", "pos", "leaf", *(name for name, _ in sql_columns(kind))]
    quoted = ", ".join(f'"{name}"' for name in names)
    return f'INSERT INTO "{table_name(kind)}" ({quoted}) VALUES ({", ".join("?" * len(names))})'


def _append_only(table: str, key: str) -> Iterator[str]:
    """Triggers that refuse update, delete and (through a third one) REPLACE, which fires neither of the two."""
    for verb in ("UPDATE", "DELETE"):
        yield (
            f'CREATE TRIGGER "{table}_no_{verb.lower()}" BEFORE {verb} ON "{table}" '
            "BEGIN SELECT RAISE(ABORT, 'append-only'); END"
        )
    yield (
        f'CREATE TRIGGER "{table}_no_replace" BEFORE INSERT ON "{table}" '
        f'WHEN EXISTS (SELECT 1 FROM "{table}" WHERE "{key}" = NEW."{key}") '
        "BEGIN SELECT RAISE(ABORT, 'append-only: this id is there already'); END"
    )
