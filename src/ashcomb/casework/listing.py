"""Lists the records of one kind, newest first, with what holds and what does not."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.casework.case import Case
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import from_utc_ms, moment_words
from ashcomb.records.all import KINDS, ORDER
from ashcomb.records.columns import Kind, Record, Type, kind_of
from ashcomb.records.situation import Situation

PAGE = 50  # rows of one page


@dataclass(frozen=True, slots=True)
class Row:
    """One record in words. holds: False once it was corrected, withdrawn or settled against."""

    id: str
    happened: str
    cells: tuple[str, ...]
    noted: str
    by: str
    evidence: str
    origin: str
    corrects: str
    holds: bool


@dataclass(frozen=True, slots=True)
class Listing:
    """One page of records. page counts from 1; `pages` is at least 1.  right: columns of numbers."""

    kind: Kind
    columns: tuple[str, ...]
    right: tuple[int, ...]
    rows: tuple[Row, ...]
    page: int
    pages: int
    total: int


def list_records(case: Case, kind: str, page: int = 1, words: str = "") -> Listing:
    """The records of a kind that contain `words`, newest first; raises UserError for an unknown kind or page."""
    if kind not in KINDS:
        raise UserError(f"There is no record kind “{kind}”.", f"Use one of: {', '.join(ORDER)}.")
    definition, situation = KINDS[kind], case.situation()
    table = situation.table(definition.cls)
    rows = [_row(case, situation, definition, record) for record in reversed(table.records)]
    if words.strip():
        rows = [row for row in rows if _contains(row, words.strip().casefold())]
    pages = max(1, -(-len(rows) // PAGE))
    if not 1 <= page <= pages:
        raise UserError(f"There is no page {page}.", f"The list has {pages}.")
    columns = definition.columns.values()
    right = tuple(i for i, column in enumerate(columns) if column.type in (Type.WHOLE, Type.NUMBER))
    titles = tuple(column.title for column in columns)
    return Listing(definition, titles, right, tuple(rows[(page - 1) * PAGE : page * PAGE]), page, pages, len(rows))


def counts(case: Case) -> dict[str, int]:
    """How many records there are of each kind, in the order of the work; kinds without records included."""
    tables = case.situation().tables
    return {name: len(tables[name]) if name in tables else 0 for name in ORDER}


def marks_of(case: Case, kind: Kind) -> dict[str, list[str]]:
    """The known marks that each column of a kind may name; columns that name nothing are left out."""
    situation = case.situation()
    return {
        name: sorted(mark for other in column.refers for mark in situation.by_mark(KINDS[other].cls))
        for name, column in kind.columns.items()
        if column.refers
    }


def record_fields(case: Case, kind: str, record_id: str) -> dict[str, str]:
    """The fields of one record as words, with `happened` and `evidence`; raises UserError if it is not there."""
    for record in case.situation().table(KINDS[kind].cls).records if kind in KINDS else ():
        if record.id == record_id:
            fields = {name: cell_words(getattr(record, name)) for name in KINDS[kind].columns}
            return fields | {"happened": str(record.happened), "evidence": record.evidence}
    raise UserError(f"No {kind} record has the id “{record_id}”.", "Copy the id from the list of records.")


def record_words(record: Record) -> str:
    """What a record says, in one line: its kind and every field that is filled."""
    kind = kind_of(record)
    told = [(column.title, cell_words(getattr(record, name))) for name, column in kind.columns.items()]
    return f"{kind.name}: " + ", ".join(f"{title} {words}" for title, words in told if words)


def cell_words(value: object) -> str:
    """A field in words: yes and no, marks parted by semicolons, numbers without needless zeros."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return "; ".join(map(str, value))
    return f"{value:.15g}" if isinstance(value, float) else str(value)


def _row(case: Case, situation: Situation, kind: Kind, record: Record) -> Row:
    cells = tuple(cell_words(getattr(record, name)) for name in kind.columns)
    noted = moment_words(from_utc_ms(record.noted).astimezone(case.zone))
    return Row(record.id, record.happened.words(), cells, noted, record.by, record.evidence, record.origin,
               record.corrects, record.id not in situation.superseded)  # fmt: skip


def _contains(row: Row, words: str) -> bool:
    return any(words in cell.casefold() for cell in (*row.cells, row.happened, row.by, row.id, row.origin))
