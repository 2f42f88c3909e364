"""One reader for each column of a sheet: it looks at the whole column once, then reads cell by cell."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any, ClassVar

from ashcomb.casework.importing.result import Cell, Spoilt, UnreadableError, shown
from ashcomb.casework.importing.words import DASHES, NO, YES, choose
from ashcomb.records.columns import Column

_MARK_DECIMALS = re.compile(r"^\d+\.0$")
_CLOCK = re.compile(r"^(\d{1,2})(?:[:.h](\d{2})(?::\d{2})?)?\s*(am|pm|uhr|h)?$", re.IGNORECASE)


@dataclass
class Setting:
    """What a reader is told about its column: the user's settings and the unit in the heading."""

    decimals: str = ""
    dates: str = ""
    unit: str = ""
    words: dict[str, str] = field(default_factory=dict)
    southern: bool = False
    epoch: date = date(1899, 12, 30)


class Reader:
    """Reads the cells of one column; `remarks` counts what was inferred: text -> (how often, first example)."""

    empty: Any = ""
    dashes: ClassVar[bool] = True

    def __init__(self, column: Column | None, setting: Setting, cells: Iterable[Cell] = ()) -> None:
        self.column, self.setting = column, setting
        self.remarks: dict[str, tuple[int, str]] = {}
        self.look([cell for cell in cells if isinstance(cell, str) and cell])

    def look(self, texts: list[str]) -> None:
        """Looks at all texts of the column, to settle what one cell leaves open."""

    def remark(self, what: str, example: str) -> None:
        """Counts something that was inferred."""
        count, first = self.remarks.get(what, (0, example))
        self.remarks[what] = (count + 1, first)

    def read(self, cell: Cell) -> Any:
        """The value of a cell, `empty` for an empty one; raises UnreadableError."""
        if isinstance(cell, str):
            cell = unicodedata.normalize("NFC", cell).strip()
            if not cell:
                return self.empty
            if self.dashes and cell.casefold() in DASHES:
                self.remark("taken as empty", cell)
                return self.empty
            return self.text(cell)
        if isinstance(cell, Spoilt):
            raise UnreadableError(cell.what, cell.do)
        return self.other(cell)

    def text(self, text: str) -> Any:
        """The value of a text that is not empty."""
        return text

    def other(self, cell: Cell) -> Any:
        """The value of a cell that holds a number, day, hour or yes/no."""
        return self.text(shown(cell))

    def clear(self, cell: Cell) -> Cell:
        """The cell as it can stand alone in a list of refused rows, without the rest of its column."""
        return cell


class Text(Reader):
    """Words as they stand."""

    dashes = False


class Mark(Reader):
    """One mark; 12.0 becomes 12, and a mark that a spreadsheet turned into a day is refused."""

    def text(self, text: str) -> Any:
        if _MARK_DECIMALS.match(text):
            self.remark("numbers ending in .0 are read as whole marks", text)
            return text[:-2]
        return re.sub(r"\s+", " ", text)

    def other(self, cell: Cell) -> Any:
        if isinstance(cell, date | time | timedelta):
            raise UnreadableError(f"“{shown(cell)}” is a day or an hour: the spreadsheet has changed the mark.",
                             "Set the cell to text and type the mark again.")  # fmt: skip
        return shown(cell)


class Marks(Mark):
    """Several marks, parted by semicolons, commas or line breaks, or else by spaces."""

    empty: Any = ()

    def text(self, text: str) -> Any:
        apart = r"[;,\n]|\s+(?:and|und)\s+|\s*&\s*" if re.search(r"[;,\n&]|\s(?:and|und)\s", text) else r"\s+"
        parts = [part.strip() for part in re.split(apart, text)]
        return tuple(super(Marks, self).text(part) for part in parts if part)

    def other(self, cell: Cell) -> Any:
        return (super().other(cell),)


class Choice(Reader):
    """One word of a list."""

    def text(self, text: str) -> Any:
        assert self.column is not None
        found = choose(text, self.column.options, self.setting.words)
        if found is None:
            raise UnreadableError(
                f"“{text}” is not one of the words for it.", f"Use one of: {', '.join(self.column.options)}."
            )
        if found.casefold() != text.casefold():
            self.remark(f"“{text}” is read as “{found}”", text)
        return found


class Flag(Reader):
    """Yes or no."""

    empty: Any = None

    def text(self, text: str) -> Any:
        if text.casefold() in YES | NO:
            return text.casefold() in YES
        raise UnreadableError(f"“{text}” is neither yes nor no.", "Write yes or no.")


class Clock(Reader):
    """An hour of the day as HH:MM."""

    empty: Any = None

    def text(self, text: str) -> Any:
        found = _CLOCK.match(text)
        if not found or not (found[2] or found[3]):
            raise UnreadableError(f"“{text}” is not a clock time.", "Write it like 22:30.")
        hour, minute, half = int(found[1]), int(found[2] or 0), (found[3] or "").lower()
        if half in ("am", "pm"):
            hour = hour % 12 + (12 if half == "pm" else 0) if 1 <= hour <= 12 else 99
        if hour > 23 or minute > 59:
            raise UnreadableError(f"“{text}” is not a clock time.", "Hours run from 00:00 to 23:59.")
        return f"{hour:02d}:{minute:02d}"

    def other(self, cell: Cell) -> Any:
        if isinstance(cell, float) and 0 <= cell < 1:
            self.remark("fractions of a day are read as hours", str(cell))
            cell = (datetime.min + timedelta(days=cell, seconds=0.5)).time()
        if isinstance(cell, timedelta) and timedelta(0) <= cell < timedelta(days=1):
            cell = (datetime.min + cell).time()
        if isinstance(cell, time):
            return f"{cell:%H:%M}"
        raise UnreadableError(f"“{shown(cell)}” is not a clock time.", "Write it like 22:30.")
