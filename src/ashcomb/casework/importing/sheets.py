"""The cells of a file as they stand in it, before anybody asks what they mean."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from ashcomb.casework.importing.result import Cell, Note, Spoilt
from ashcomb.kernel.errors import UserError
from ashcomb.sources.library import value

EPOCH_1900 = date(1899, 12, 30)  # day 0 of the serial days of the 1900 date system, for every day after 29 Feb 1900
SAVE_AGAIN = "Open it in the spreadsheet program and save it again, or get the file anew."


@dataclass(frozen=True)
class Sheet:
    """One sheet: `rows[0]` is row 1 and an empty cell is ''. epoch: day 0 of days that are written as numbers."""

    file: str
    name: str
    rows: list[list[Cell]]
    notes: tuple[Note, ...] = ()
    epoch: date = EPOCH_1900
    label: str = ""


def limit(name: str) -> int:
    """A limit of size from the sourced values."""
    return int(value(f"importing.{name}").value)


def read_sheets(paths: Iterable[Path]) -> list[Sheet]:
    """All sheets of all files, in order; raises UserError for a file that cannot be read as a spreadsheet."""
    return [sheet for path in paths for sheet in read_file(Path(path))]


def read_file(path: Path) -> list[Sheet]:
    """The sheets of an XLSX or CSV file; a CSV file is one sheet named after the file."""
    from ashcomb.casework.importing.csvfile import read_csv
    from ashcomb.casework.importing.xlsx import read_xlsx

    if path.is_dir():
        raise UserError("is a folder, not a file.", "Name the spreadsheet inside it.", str(path))
    try:
        with path.open("rb") as file:
            head = file.read(8)
    except FileNotFoundError:
        raise UserError("There is no such file.", "Check the name and the folder.", str(path)) from None
    except OSError as error:
        raise UserError(f"The file cannot be opened: {error.strerror}.", "Check its permissions.", str(path)) from None
    ending = path.suffix.lower()
    if not head:
        raise UserError("The file is empty.", "Save the spreadsheet again; the copy may have broken off.", path.name)
    if ending not in (".xlsx", ".csv", ".tsv", ".txt"):
        raise UserError(f"Files ending in “{ending}” are not read.", "Save it as .xlsx or .csv.", path.name)
    if head.startswith(b"\xd0\xcf\x11\xe0"):
        raise UserError("The file has a password or is in the old .xls form.",
                        "Save it without a password as .xlsx.", path.name)  # fmt: skip
    if head.startswith(b"PK") and ending != ".xlsx":
        raise UserError(f"The file is a workbook although its name ends in {ending}.", "Name it .xlsx.", path.name)
    if ending == ".xlsx" and not head.startswith(b"PK"):
        raise UserError("The file is no workbook, or only a part of one.", SAVE_AGAIN, path.name)
    return read_xlsx(path) if ending == ".xlsx" else [read_csv(path)]


def too_long(text: str) -> Cell:
    """The text, or a spoilt cell if it is longer than a spreadsheet cell can be."""
    if len(text) <= limit_characters():
        return text
    return Spoilt(text[:200] + " …", f"has {len(text):,} characters; a cell holds {limit_characters():,}.",
                  "Shorten it; keep the long text in a document and name that.")  # fmt: skip


_CHARACTERS: list[int] = []


def limit_characters() -> int:
    """The most characters that a cell may hold."""
    if not _CHARACTERS:
        _CHARACTERS.append(limit("max_cell_characters"))
    return _CHARACTERS[0]
