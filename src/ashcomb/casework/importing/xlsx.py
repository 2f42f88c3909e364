"""Workbooks: checked for size before they are unpacked, then their cells with formulas and error values marked."""

from __future__ import annotations

import html
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from xml.etree import ElementTree

from python_calamine import CalamineError, CalamineWorkbook, SheetTypeEnum, SheetVisibleEnum

from ashcomb.casework.importing.result import Cell, Note, Spoilt
from ashcomb.casework.importing.sheets import EPOCH_1900, SAVE_AGAIN, Sheet, limit, too_long
from ashcomb.kernel.errors import UserError

EPOCH_1904 = date(1904, 1, 1)
_MEMBERS = 10_000
_REL = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_TOKEN = re.compile(
    rb"<(?:\w+:)?(row|c)\b([^>]*?)(/?)>(?:\s*<(?:\w+:)?f\b[^>]*?(?:/>|>([^<]*)<))?"  # a formula follows its cell's tag
)
_REF = re.compile(rb"\br\s*=\s*[\"']([A-Z]*)(\d+)")
_ERROR = re.compile(rb"\bt\s*=\s*[\"']e[\"']")
_HIDDEN = re.compile(rb"\bhidden\s*=\s*[\"'](?:1|true)")
_BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError, ValueError, KeyError,
           ElementTree.ParseError, CalamineError)  # fmt: skip


def read_xlsx(path: Path) -> list[Sheet]:
    """All worksheets; raises UserError for a broken or hostile file, in words that say which."""
    try:
        with zipfile.ZipFile(path) as archive:
            _refuse_bomb(archive, path.name)
            members, epoch = _worksheets(archive)
            surveys = {name: _survey(archive.read(member), f"{path.name}/{name}") for name, member in members.items()}
        with CalamineWorkbook.from_path(path) as book:
            shown = [meta for meta in book.sheets_metadata if meta.typ == SheetTypeEnum.WorkSheet]
            return [_sheet(path.name, book, meta.name, meta.visible == SheetVisibleEnum.Visible,
                           surveys[meta.name], epoch) for meta in shown]  # fmt: skip
    except _BROKEN:
        raise UserError("The workbook is damaged or only half written.", SAVE_AGAIN, path.name) from None


def _refuse_bomb(archive: zipfile.ZipFile, name: str) -> None:
    """Refuses by declared sizes first; then `testzip` finds every member that unpacks to other than it declared."""
    cap = limit("max_unpacked_mib")
    members = archive.infolist()
    if len(members) > _MEMBERS or sum(member.file_size for member in members) > cap * 2**20:
        raise UserError(f"The workbook would unpack to more than {cap} MiB.",
                        "Delete pictures and empty rows, or save the sheets as CSV.", name)  # fmt: skip
    if archive.testzip():
        raise zipfile.BadZipFile


def _worksheets(archive: zipfile.ZipFile) -> tuple[dict[str, str], date]:
    """Member by sheet name, and day 0 of the workbook's date system."""
    book = _tree(archive, "xl/workbook.xml")
    targets = {rel.get("Id"): rel.get("Target", "") for rel in _tree(archive, "xl/_rels/workbook.xml.rels")}
    members = {}
    epoch = EPOCH_1900
    for element in book.iter():
        tag = element.tag.rpartition("}")[2]
        if tag == "workbookPr" and element.get("date1904") in ("1", "true"):
            epoch = EPOCH_1904
        target = targets.get(element.get(_REL)) if tag == "sheet" else None
        if target and "worksheets/" in target:
            members[element.get("name", "")] = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
    return members, epoch


def _tree(archive: zipfile.ZipFile, member: str) -> ElementTree.Element:
    data = archive.read(member)
    if b"<!DOCTYPE" in data or b"<!ENTITY" in data:
        raise zipfile.BadZipFile  # no spreadsheet program writes one
    return ElementTree.fromstring(data)


@dataclass
class _Survey:
    formulas: dict[tuple[int, int], str] = field(default_factory=dict)
    errors: list[tuple[int, int]] = field(default_factory=list)
    hidden: list[int] = field(default_factory=list)


def _survey(data: bytes, where: str) -> _Survey:
    """What the cell reader does not tell: formulas, error values, hidden rows; refuses a sheet that is too large."""
    if b"\0" in data[:64] or b"<!DOCTYPE" in data[:4096]:
        raise zipfile.BadZipFile
    found = _Survey()
    last_row = last_column = 0
    for row, column, attributes, full, formula in _cells(data, found):
        last_row, last_column = (max(last_row, row), max(last_column, column)) if full else (last_row, last_column)
        if formula is not None:
            found.formulas[row, column] = "=" + html.unescape(formula.decode("utf-8", "replace"))
        elif _ERROR.search(attributes):
            found.errors.append((row, column))
    if last_row > limit("max_rows") or last_row * last_column > limit("max_cells"):
        raise UserError(
            f"The sheet reaches to row {last_row:,}, column {last_column:,}: too large.",
            f"Delete stray cells far from the table; a sheet may have {limit('max_rows'):,} rows.",
            where,
        )
    return found


def _cells(data: bytes, found: _Survey) -> Iterator[tuple[int, int, bytes, bool, bytes | None]]:
    row = column = 0
    for token in _TOKEN.finditer(data):
        what, attributes, closed, formula = token.groups()
        ref = _REF.search(attributes)
        if what == b"row":
            row, column = int(ref[2]) if ref else row + 1, 0
            if _HIDDEN.search(attributes):
                found.hidden.append(row)
            continue
        column += 1
        if ref:
            row, column = int(ref[2]), _number(ref[1])
        has_formula = token.end() > token.end(3) + 1
        yield row, column, attributes, not closed, (formula or b"") if has_formula else None


def _number(letters: bytes) -> int:
    """Column number of its letters: A is 1, AA is 27."""
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number


def _sheet(file: str, book: CalamineWorkbook, name: str, visible: bool, survey: _Survey, epoch: date) -> Sheet:
    sheet = book.get_sheet_by_name(name)
    raw = sheet.to_python(skip_empty_area=False) if sheet.start is not None else []
    rows: list[list[Cell]] = [[too_long(cell) if isinstance(cell, str) else cell for cell in row] for row in raw]
    for (row, column), text in survey.formulas.items():
        _spoil(rows, row, column, Spoilt(text, "is a formula, not a value.", "Paste it as a value."))
    for row, column in survey.errors:
        _spoil(rows, row, column, Spoilt("#error", "is an error value.", "Write what belongs there."))
    notes = [] if visible else [Note("The sheet is hidden in the workbook; it was read.", name)]
    filled = [str(row) for row in survey.hidden if row <= len(rows) and any(cell != "" for cell in rows[row - 1])]
    if filled:
        notes.append(Note(f"Hidden in the workbook, but read: row {', '.join(filled)}.", name))
    return Sheet(file, name, rows, tuple(notes), epoch)


def _spoil(rows: list[list[Cell]], row: int, column: int, cell: Spoilt) -> None:
    while len(rows) < row:
        rows.append([])
    rows[row - 1] += [""] * (column - len(rows[row - 1]))
    rows[row - 1][column - 1] = cell
