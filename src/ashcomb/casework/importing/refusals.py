"""The refused rows as a spreadsheet to be corrected and read again: each bad cell filled, commented and explained."""

from __future__ import annotations

import re
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from openpyxl import Workbook
from openpyxl.comments import Comment
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from ashcomb.casework.importing.names import WRONG, kind_named
from ashcomb.casework.importing.result import ImportResult, RefusedRow, Spoilt
from ashcomb.casework.importing.style import BAD_FILL, WIDTH, WRAP, head, put
from ashcomb.kernel.errors import UserError
from ashcomb.records.all import KINDS
from ashcomb.records.columns import Kind

_BAD_NAME = re.compile(r"[\[\]:*?/\\\x00-\x1f]")
_LONGEST_NAME = 31
_WRONG_WIDTH = 70


def write_refusals(result: ImportResult, path: Path) -> None:
    """Writes the refused and the waiting rows of an import, sheet by sheet, under the headings they came with.

    Text stands as text whatever it begins with. Correct the marked cells, save, and read that file: the column
    “What is wrong” is passed over. A cell whose reading leaned on the rest of its column stands as it was read.
    Things that rows name and nobody entered get a sheet of their own, ready to be filled in: one row for each.
    Raises UserError if nothing was refused.
    """
    if not result.refused:
        raise UserError("No row was refused, so there is no list of refused rows.", "Nothing is to be done.")
    book = Workbook()
    book.remove(book.worksheets[0])
    groups: dict[tuple[str, str, tuple[str, ...]], list[RefusedRow]] = {}
    for row in result.refused:
        groups.setdefault((row.file, row.sheet, row.headings), []).append(row)
    for rows in groups.values():
        _write(book.create_sheet(_name(rows[0], book.sheetnames)), rows)
    for name, marks in _unknown(result).items():
        _write_unknown(book.create_sheet(_free(KINDS[name].sheet, book.sheetnames)), KINDS[name], marks)
    book.save(path)


def _unknown(result: ImportResult) -> dict[str, list[str]]:
    """What rows name and nobody entered, by kind, each once and in order of the rows."""
    found: dict[str, dict[str, None]] = {}
    for problem in (problem for row in result.refused for problem in row.problems):
        name, mark = problem.unknown
        if name:
            found.setdefault(name, {})[mark] = None
    return {name: list(marks) for name, marks in found.items()}


def _write_unknown(sheet: Worksheet, kind: Kind, marks: list[str]) -> None:
    needed = [column.title for name, column in kind.columns.items() if column.required and name != kind.key]
    headings = [kind.columns[kind.key].title, kind.happened, *needed, WRONG]
    for column, text in enumerate(headings, 1):
        head(sheet.cell(1, column), text)
        sheet.column_dimensions[get_column_letter(column)].width = WIDTH
    for row, mark in enumerate(marks, 2):
        put(sheet.cell(row, 1), mark)
        put(sheet.cell(row, len(headings)), "Not known: fill in, or correct the mark where it is named.")


def _write(sheet: Worksheet, rows: list[RefusedRow]) -> None:
    headings = [word for word in rows[0].headings if word != WRONG]
    last = len(rows[0].headings) + 1
    for column, text in enumerate(rows[0].headings, 1):
        head(sheet.cell(1, column), text if text in headings else "")
        sheet.column_dimensions[get_column_letter(column)].width = WIDTH
    head(sheet.cell(1, last), WRONG)
    sheet.column_dimensions[get_column_letter(last)].width = _WRONG_WIDTH
    sheet.freeze_panes = "A2"
    for number, row in enumerate(rows, 2):
        for column, (value, text) in enumerate(zip(row.cells, row.headings, strict=True), 1):
            put(sheet.cell(number, column), _writable(value) if text in headings else "")
        _mark(sheet, number, row)
        explained = sheet.cell(number, last)
        put(explained, f"{row.file}, row {row.row}: " + " ".join(_sentence(row)))
        explained.alignment = WRAP


def _mark(sheet: Worksheet, number: int, row: RefusedRow) -> None:
    """Fills and comments each bad cell that stands in the row."""
    words: dict[int, list[str]] = {}
    for problem in row.problems:
        if problem.column in row.headings:
            words.setdefault(row.headings.index(problem.column) + 1, []).append(f"{problem.what} {problem.do}")
    for column, texts in words.items():
        cell = sheet.cell(number, column)
        cell.fill = BAD_FILL
        cell.comment = Comment(_plain(" ".join(texts)), "Ashcomb", height=120, width=320)


def _sentence(row: RefusedRow) -> Iterable[str]:
    for problem in row.problems:
        yield _plain(f"{problem.column}: {problem.what} {problem.do}".strip(": "))


def _plain(text: str) -> str:
    return "".join(character if character.isprintable() else " " for character in text)[:2000]


def _writable(value: Any) -> Any:
    if isinstance(value, Spoilt):
        return value.shown
    return None if value == "" else value


def _name(row: RefusedRow, taken: list[str]) -> str:
    """The sheet's own name if a workbook can have it, else that of its kind; numbered if it is taken."""
    name = row.sheet if not _BAD_NAME.search(row.sheet) and len(row.sheet) <= _LONGEST_NAME else KINDS[row.kind].sheet
    free = _free(name, taken)
    named = kind_named(free)
    return free if named is None or named.name == row.kind or free == name else _free(KINDS[row.kind].sheet, taken)


def _free(name: str, taken: list[str]) -> str:
    """The name, numbered if it is taken."""
    number, free = 1, name
    while free.casefold() in (other.casefold() for other in taken):
        number += 1
        free = f"{name[: _LONGEST_NAME - 5]} ({number})"
    return free
