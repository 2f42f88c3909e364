"""Readers of columns that measure: numbers with units, counts, latitudes and longitudes, whole positions."""

from __future__ import annotations

import re
from typing import Any

from ashcomb.casework.importing.cells import Choice, Clock, Flag, Mark, Marks, Reader, Text
from ashcomb.casework.importing.numbers import convert, decimals_shown, settle_decimals, split_number
from ashcomb.casework.importing.positions import read_angle, read_position
from ashcomb.casework.importing.result import Cell, UnreadableError, shown
from ashcomb.casework.importing.words import counted
from ashcomb.records.columns import Type

_BARE = ("", "1", "deg", "percent")  # units that nobody writes
_LAST_DIGIT = "the last digit written counts as the error of the position"


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
