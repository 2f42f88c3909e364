"""Seven faults planted in the demo sheets, each in a row of its own, so that no good row is touched."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from ashcomb.casework.demo.workbook import Row, Sheet


@dataclass(frozen=True, slots=True)
class Planted:
    """One planted fault: the sheet and the row number as a spreadsheet shows them, and what is wrong there."""

    sheet: str
    row: int
    what: str


_FAULTS: tuple[tuple[str, str, Row], ...] = (
    ("Hives", "hive number used twice",
     ("A07-12", "A03", "row 6, number 1 from the gate", "colony", "Langstroth 10 deep", 2, 8, "2 May 2028")),
    ("Hives", "hive number used twice",
     ("A11-05", "A11", "row 5, number 8 from the gate", "nucleus", "Langstroth 10 deep", 1, 4, "2028-05-14")),
    ("Moves", "move before the yard existed",
     ("f1", "20 April 2029", "A05", "A28", "nucleus", None, 2, 2, None, "document", None)),
    ("Moves", "unknown yard",
     ("f2", "2029-06-12", "A05", "A99", "dry supers", None, 10, 10, None, "document", None)),
    ("Moves", "negative count",
     ("f3", "2029-06-18", "S1", "A24", "dry supers", None, -6, None, None, "document", None)),
    ("Moves", "more arrived than left",
     ("f4", "2029-06-20", "A23", "A24", "nucleus", None, 3, 5, None, "document", None)),
    ("Inspections", "date that does not exist",
     ("A24-02", "31 June 2030", "none seen", 9, 9, 9, 0, "no", "daylight", "Jon Pell", None)),
)  # fmt: skip


def planted(sheets: Mapping[str, Sheet]) -> tuple[dict[str, Sheet], tuple[Planted, ...]]:
    """The sheets by title with the seven faulty rows added at their ends, and where each of them stands."""
    changed, found = dict(sheets), []
    for title, what, row in _FAULTS:
        changed[title] = changed[title].with_row(row)
        found.append(Planted(title, changed[title].number(len(changed[title].rows) - 1), what))
    return changed, tuple(found)
