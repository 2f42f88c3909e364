"""Workbooks and CSV files for these tests, and one short way to read them."""

from __future__ import annotations

import csv
import itertools
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from openpyxl import Workbook

from ashcomb.casework.importing.mapping import Mapping
from ashcomb.casework.importing.reader import read_files
from ashcomb.casework.importing.result import ImportResult
from ashcomb.kernel.ids import uuid7
from ashcomb.records.columns import Record
from ashcomb.records.situation import situation_of

_COUNT = itertools.count(1)
Rows = Sequence[Sequence[Any]]
YARDS: Rows = [["Yard", "In use since"], ["A07", "2020-01-01"], ["A03", "2020-01-01"]]
HIVES: Rows = [["Hive", "Yard", "In use since"], ["1", "A07", "2029-04-01"], ["2", "A07", "2029-04-01"]]


def xlsx(path: Path, sheets: dict[str, Rows]) -> Path:
    """Writes a workbook of these sheets; text that begins with '=' becomes a formula, as in a spreadsheet program."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(list(row))
    book.save(path)
    return path


def csv_file(path: Path, rows: Rows, separator: str = ",", encoding: str = "utf-8") -> Path:
    """Writes a CSV file."""
    with path.open("w", encoding=encoding, newline="") as file:
        csv.writer(file, delimiter=separator).writerows(rows)
    return path


def read(
    paths: Path | Iterable[Path], known: Iterable[Record] = (), mapping: Mapping | None = None, southern: bool = False
) -> ImportResult:
    """Reads files against a situation made of these records."""
    paths = [paths] if isinstance(paths, Path) else list(paths)
    return read_files(paths, situation_of(known), mapping, noted=2_000_000_000_000, received=2_000_000_000_001,
                      by="Ada Crome", new_id=lambda: uuid7(next(_COUNT), b"ashcomb-10"), southern=southern)  # fmt: skip


def whats(result: ImportResult) -> list[tuple[str, int | None, str, str]]:
    """Problems as (sheet, row, column, what)."""
    return [(p.sheet, p.row, p.column, p.what) for p in result.problems]


def noted(result: ImportResult, words: str) -> bool:
    """Whether a note says so."""
    return any(words in str(note) for note in result.notes)
