"""How the workbooks that we write look, and how any text can stand in them unchanged."""

from __future__ import annotations

import re
from typing import Any

from openpyxl.cell.cell import Cell, MergedCell
from openpyxl.styles import Alignment, Font, PatternFill

SheetCell = Cell | MergedCell
HEAD_FONT = Font(bold=True)
HEAD_FILL = PatternFill("solid", fgColor="E7E3D8")
BAD_FILL = PatternFill("solid", fgColor="F4C7A1")
WRAP = Alignment(wrap_text=True, vertical="top")
WIDTH = 18
_TEXT_FORMAT = "@"  # what is typed into such a cell stays text
# Characters that XML cannot hold or would change, and text that reads like an escape of one.
_ESCAPED = re.compile(r"[\x00-\x08\x0b-\x1f\ufffe\uffff\ud800-\udfff]|_(?=x[0-9A-Fa-f]{4}_)")

_ANY = re.compile(r".", re.DOTALL)


def put(cell: SheetCell, value: Any) -> None:
    """Writes a value; text always as text, so that no program takes '=1+1', '+49', '-3' or '@x' for a formula."""
    if not isinstance(value, str):
        cell.value = value
        return
    cell.number_format = _TEXT_FORMAT
    escaped = _ESCAPED if value.strip() else _ANY  # a text of blanks only would be read as none
    cell.value = escaped.sub(lambda found: f"_x{ord(found[0]):04X}_", value)
    cell.data_type = "s"
    if value[:1] in "=+-@\t\r":
        cell.quotePrefix = True


def head(cell: SheetCell, text: str) -> None:
    """Writes a heading."""
    put(cell, text)
    cell.font, cell.fill, cell.alignment = HEAD_FONT, HEAD_FILL, WRAP
