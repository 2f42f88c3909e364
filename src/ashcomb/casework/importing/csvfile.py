"""CSV files: which encoding and which separator, both found out and both reported."""

from __future__ import annotations

import codecs
import csv
import io
from pathlib import Path

from ashcomb.casework.importing.result import Cell, Note, Spoilt
from ashcomb.casework.importing.sheets import Sheet, limit, too_long
from ashcomb.kernel.errors import UserError

_SEPARATORS = {";": "semicolons", ",": "commas", "\t": "tabs"}
_LOOK = 50  # lines that are looked at to find the separator


def read_csv(path: Path) -> Sheet:
    """The one sheet of a CSV file; raises UserError for bytes that are no text and for quotation marks left open."""
    if path.stat().st_size > limit("max_unpacked_mib") * 2**20:
        raise UserError(f"The file is larger than {limit('max_unpacked_mib')} MiB.", "Split it.", path.name)
    text, encoding = _decode(path.read_bytes(), path.name)
    text, separator = _separator(text)
    rows: list[list[Cell]] = []
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True):
            rows.append([_cell(cell) for cell in row])
            if len(rows) > limit("max_rows"):
                raise UserError(f"The file has more than {limit('max_rows'):,} rows.", "Split it.", path.name)
    except csv.Error as error:
        raise UserError(
            f"Row {len(rows) + 1} cannot be read ({error}).",
            "A quotation mark may be left open, or a cell may be far too long.",
            path.name,
        ) from None
    note = f"Read as {encoding} text with {_SEPARATORS[separator]} between the cells."
    return Sheet(path.name, path.stem, rows, (Note(note, path.stem),))


def _decode(data: bytes, name: str) -> tuple[str, str]:
    if data.startswith(codecs.BOM_UTF8):
        order = ["utf-8-sig"]
    elif data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        order = ["utf-16"]
    else:
        order = ["utf-8", "cp1252"]
    for encoding in order:
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text, encoding
    raise UserError("The file is no text.", "Save it as CSV, encoding UTF-8.", name)


def _separator(text: str) -> tuple[str, str]:
    """The text without a first line like 'sep=;', and the separator that makes most cells in most lines."""
    head, _, rest = text.partition("\n")
    if head.strip().lower().startswith("sep=") and head.strip()[4:] in _SEPARATORS:
        return rest, head.strip()[4:]
    return text, max(_SEPARATORS, key=lambda mark: _cells(text, mark))


def _cells(text: str, separator: str) -> tuple[int, int]:
    """(lines that have as many cells as most, cells in each), (0, 0) if the lines are not split at all."""
    widths = []
    try:
        for row in csv.reader(io.StringIO(text[: _LOOK * 2000], newline=""), delimiter=separator):
            widths.append(len(row))
            if len(widths) == _LOOK:
                break
    except csv.Error:
        return (0, 0)
    split = [width for width in widths if width > 1]
    if not split:
        return (0, 0)
    common = max(set(split), key=split.count)
    return (split.count(common), common)


def _cell(text: str) -> Cell:
    if text.startswith("="):
        return Spoilt(text, "is a formula, not a value.", "Write what it comes to.")
    return too_long(text)
