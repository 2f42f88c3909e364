"""One reader for each column of a sheet: it looks at the whole column once, then reads cell by cell."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any, ClassVar

from ashcomb.casework.importing.numbers import convert, decimals_shown, settle_decimals, split_number
from ashcomb.casework.importing.positions import read_angle, read_position
from ashcomb.casework.importing.result import Cell, Spoilt, UnreadableError, shown
from ashcomb.casework.importing.words import DASHES, NO, YES, choose, counted
from ashcomb.records.columns import Column, Type

_MARK_DECIMALS = re.compile(r"^\d+\.0$")
_BARE = ("", "1", "deg", "percent")  # units that nobody writes
_LAST_DIGIT = "the last digit written counts as the error of the position"
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


class Number(Reader):
    """A number, with its unit if it has one; decimals are settled by the column where one number leaves them open."""

    empty: Any = None

    def look(self, texts: list[str]) -> None:
        self.decimals = self.setting.decimals
        if not self.decimals:
            self.decimals, self.example = settle_decimals(texts)

    def text(self, text: str) -> Any:
        number, word = split_number(text, self.decimals)
        if self._leans(text):
            self.remark(f"separators are read with a decimal {self.decimals}, as in “{self.example}”", text)
        return self.finish(number, word, text)

    def other(self, cell: Cell) -> Any:
        if isinstance(cell, bool) or not isinstance(cell, int | float):
            raise UnreadableError(f"“{shown(cell)}” is not a number.", "Write one number in digits.")
        return self.finish(float(cell), "", shown(cell))

    def finish(self, number: float, word: str, text: str) -> Any:
        """The number in the unit of the column."""
        assert self.column is not None
        unit = self.column.unit
        result = convert(number, word, unit, self.setting.unit)
        if not word and not self.setting.unit and unit not in _BARE:
            self.remark(f"numbers without a unit are taken as {unit}", text)
        if result != number:
            self.remark(f"converted from {word or self.setting.unit} to {unit}", f"{text} = {result:g} {unit}")
        return result

    def clear(self, cell: Cell) -> Cell:
        return split_number(cell, self.decimals)[0] if isinstance(cell, str) and self._leans(cell) else cell

    def _leans(self, text: str) -> bool:
        return bool(self.decimals and not self.setting.decimals and re.search(r"\d[.,]\d{3}\b", text)
                    and not decimals_shown(text))  # fmt: skip


class Whole(Number):
    """A count; '40 hives' is 40."""

    def finish(self, number: float, word: str, text: str) -> Any:
        if word and not counted(word):
            raise UnreadableError(f"“{text}” is not a whole number.", "Write the count alone and the rest into a note.")
        if not number.is_integer():
            raise UnreadableError(f"“{text}” is not a whole number.", "Write whole pieces.")
        if word:
            self.remark("words behind a count are left out", text)
        return int(number)


class Degrees(Number):
    """A latitude or longitude; `error_m` holds what the last digit of the cell just read leaves open, or None."""

    axis = "lat"
    error_m: float | None = None

    def read(self, cell: Cell) -> Any:
        self.error_m = None
        return super().read(cell)

    def text(self, text: str) -> Any:
        angle = read_angle(text, self.axis)
        self.error_m = angle.error_m
        if self.error_m is not None:
            self.remark(_LAST_DIGIT, text)
        return angle.degrees


class Longitude(Degrees):
    """A longitude."""

    axis = "lon"


class Position(Reader):
    """A whole position in one cell, as a dict of fields."""

    empty: Any = None

    def text(self, text: str) -> Any:
        found = read_position(text, "grid" in self.setting.unit)
        if not re.search(r"[NSEWnsew]", text) and "lat" in found:
            self.remark("pairs without letters are read as latitude, then longitude", text)
        if "error_m" in found:
            self.remark(_LAST_DIGIT, text)
        return found


READERS: dict[Type, type[Reader]] = {
    Type.TEXT: Text, Type.MARK: Mark, Type.MARKS: Marks, Type.WHOLE: Whole, Type.NUMBER: Number, Type.CHOICE: Choice,
    Type.FLAG: Flag, Type.CLOCK: Clock,
}  # fmt: skip
