"""The blank spreadsheet: a sheet for each record kind, with every heading and what it means."""

from __future__ import annotations

from pathlib import Path

from openpyxl import Workbook
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet

from ashcomb.casework.importing.names import title
from ashcomb.casework.importing.style import HEAD_FONT, WIDTH, WRAP, head, put
from ashcomb.records.all import KINDS, ORDER
from ashcomb.records.columns import EVIDENCE, Column, Kind, Type

_ROWS = 2000  # rows that get lists of words
_LIST = 255  # longest list of words that a cell can offer


def write_template(path: Path) -> None:
    """Writes a workbook with all sheets: what each is for, what each column means, and the headings (row 3)."""
    book = Workbook()
    book.remove(book.worksheets[0])
    for name in ORDER:
        _write(book.create_sheet(KINDS[name].sheet), KINDS[name])
    book.save(path)


def _write(sheet: Worksheet, kind: Kind) -> None:
    put(sheet.cell(1, 1), kind.meaning)
    sheet.cell(1, 1).font = HEAD_FONT
    day = "Day, or an interval such as “June or July 2030”" + ("; required" if kind.happened_required else "")
    columns: list[tuple[str, str, Column | None]] = [(kind.happened, day, None)]
    columns += [(column.title, _meaning(column), column) for column in _ordered(kind)]
    evidence = Column(Type.CHOICE, "", "", options=EVIDENCE)
    columns.append((title(kind, "evidence"), f"How good the evidence is: {', '.join(EVIDENCE)}", evidence))
    columns.append((title(kind, "by"), "Who wrote it down", None))
    for number, (heading, meaning, column) in enumerate(columns, 1):
        put(sheet.cell(2, number), meaning)
        sheet.cell(2, number).alignment = WRAP
        head(sheet.cell(3, number), heading)
        _prepare(sheet, get_column_letter(number), column)
    sheet.row_dimensions[2].height = 60
    sheet.freeze_panes = "A4"


def _ordered(kind: Kind) -> list[Column]:
    """The columns with the kind's own mark first, then the others that are required, then the rest."""
    named = sorted(kind.columns.items(), key=lambda item: (item[0] != kind.key, not item[1].required))
    return [column for _, column in named]


def _meaning(column: Column) -> str:
    parts = [column.meaning]
    if column.options:
        parts.append(f"one of: {', '.join(column.options)}")
    if column.type is Type.MARKS:
        parts.append("several, parted by ;")
    return "; ".join(parts + ["required"] * column.required)


def _prepare(sheet: Worksheet, letter: str, column: Column | None) -> None:
    """Text format for marks and days, so that 007 and 3-4 stay as typed; a list of words where there is one."""
    sheet.column_dimensions[letter].width = WIDTH
    if column is None or column.type in (Type.MARK, Type.MARKS, Type.TEXT, Type.CLOCK):
        sheet.column_dimensions[letter].number_format = "@"
    options = column.options if column else ()
    words = ",".join(options)
    if words and len(words) <= _LIST and not any("," in option for option in options):
        choices = DataValidation("list", formula1=f'"{words}"', allow_blank=True)
        choices.add(f"{letter}4:{letter}{_ROWS}")
        sheet.add_data_validation(choices)
