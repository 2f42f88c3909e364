"""Sheets as people keep them: cells, mixed ways of writing a day, a hidden empty row, and the files they go into."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from pathlib import Path
from random import Random

from openpyxl import Workbook
from openpyxl.styles import Font

Cell = str | int | float | bool | date | datetime | None
Row = tuple[Cell, ...]
_STAMP = datetime(2031, 5, 13, 20, 0)


@dataclass(frozen=True)
class Sheet:
    """One sheet: its name, its headings, and its rows in order.

    blank: an empty, hidden row stands before this row of `rows` (counted from 0); None for no such row.
    """

    title: str
    headings: tuple[str, ...]
    rows: tuple[Row, ...]
    blank: int | None = None

    def number(self, index: int) -> int:
        """The row number that a spreadsheet shows for `rows[index]`."""
        return index + 2 + (self.blank is not None and index >= self.blank)

    def with_row(self, row: Row) -> Sheet:
        """The same sheet with one more row at its end."""
        return replace(self, rows=(*self.rows, row))


def written_day(rng: Random, day: date) -> Cell:
    """The day as one of several people would write it, never in a way that could be read as another day."""
    ways: list[Cell] = [day, day, day.isoformat(), f"{day.day} {day:%b %Y}", f"{day.day} {day:%B %Y}"]
    if day.day > 12:
        ways.append(f"{day:%d.%m.%Y}")
    return rng.choice(ways)


def as_text(rng: Random, number: int, share: float = 0.1) -> Cell:
    """The number, now and then stored as text, as happens when cells are pasted."""
    return str(number) if rng.random() < share else number


def decimal_comma(number: float, places: int = 1) -> str:
    """The number as text with a decimal comma."""
    return f"{number:.{places}f}".replace(".", ",")


def write_workbook(path: Path, sheets: Sequence[Sheet]) -> Path:
    """Writes the sheets into one .xlsx file and gives its path back."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for sheet in sheets:
        page = book.create_sheet(sheet.title)
        page.append(sheet.headings)
        for cell in page[1]:
            cell.font = Font(bold=True)
        page.freeze_panes = "A2"
        for index, row in enumerate(sheet.rows):
            if index == sheet.blank:
                page.row_dimensions[index + 2].hidden = True
            for column, value in enumerate(row, start=1):
                if value is not None:
                    page.cell(sheet.number(index), column, value)
    book.properties.created = book.properties.modified = _STAMP
    book.save(path)
    return path


def write_csv(path: Path, sheet: Sheet) -> Path:
    """Writes one sheet as comma-separated text (UTF-8, RFC 4180) and gives its path back."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(sheet.headings)
        writer.writerows(["" if value is None else value for value in row] for row in sheet.rows)
    return path
