"""The tables of the store, made from the record kinds; the database itself refuses update, delete and replace."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from ashcomb.records.all import KINDS, ORDER
from ashcomb.records.codec import sql_columns
from ashcomb.records.columns import Kind

APPLICATION_ID = 0x41534842  # "ASHB": tells our files from other SQLite files
STORE_VERSION = 2  # 1 was written only before the first release
OLDEST_VERSION = 2

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
    """The table of one kind: its place in the chain (seal number, position), its hash, then its columns."""
    columns = ", ".join(f'"{name}" {sql}' for name, sql in sql_columns(kind))
    columns = columns.replace('"id" TEXT', '"id" TEXT NOT NULL UNIQUE', 1)
    table = table_name(kind)
    chain = "chain_n INTEGER NOT NULL REFERENCES seal(n), chain_pos INTEGER NOT NULL, chain_leaf TEXT NOT NULL"
    yield f'CREATE TABLE "{table}" ({chain}, {columns}, PRIMARY KEY (chain_n, chain_pos)) STRICT, WITHOUT ROWID'
    yield from _append_only(table, "id")


def growth_statements(present: Mapping[str, Collection[str]]) -> Iterator[str]:
    """What an older store lacks: tables of kinds and columns that came later.

    present: the columns of each table that is there.
    """
    for name in ORDER:
        table = table_name(name)
        if table not in present:
            yield from kind_statements(KINDS[name])
            continue
        for column, sql in sql_columns(KINDS[name]):
            if column not in present[table]:
                yield f'ALTER TABLE "{table}" ADD COLUMN "{column}" {sql}'


def insert_statement(kind: Kind) -> str:
    """Inserts one record: seal number, position, hash, then the columns of the kind."""
    names = ["chain_n", "chain_pos", "chain_leaf", *(name for name, _ in sql_columns(kind))]
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
