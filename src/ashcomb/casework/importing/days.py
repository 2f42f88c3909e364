"""The reader of the column that says when: days of spreadsheets, serial numbers, and words."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, datetime, time, timedelta
from typing import Any

from ashcomb.casework.importing.cells import Reader, Setting
from ashcomb.casework.importing.dates import SLASHES, read_days
from ashcomb.casework.importing.periods import FIRST_YEAR, LAST_YEAR
from ashcomb.casework.importing.result import Cell, UnreadableError, shown
from ashcomb.kernel.time import Span

_SERIALS = range(20_000, 100_000)  # 1954 to 2173 in the 1900 date system; no year lies in it


class Days(Reader):
    """When it happened, as a Span; None for an empty cell. The order of day and month is settled by the column."""

    empty: Any = None

    def __init__(self, setting: Setting, cells: Iterable[Cell]) -> None:
        cells = list(cells)
        super().__init__(None, setting, cells)
        real = [cell for cell in cells if isinstance(cell, date)]
        if self.order == "day first" and not setting.dates and real and all(day.day <= 12 for day in real):
            example = shown(real[0])
            for _ in real:
                self.remark("stored as a real date, all with days up to 12, beside texts with days above 12: the "
                            "spreadsheet program may have exchanged day and month; compare them with the paper",
                            example)  # fmt: skip

    def look(self, texts: list[str]) -> None:
        self.order = self.setting.dates
        if self.order:
            return
        told: dict[str, str] = {}
        for text in texts:
            for one, _, two, _ in SLASHES.findall(text):
                if (int(one) > 12) != (int(two) > 12):
                    told.setdefault("day first" if int(one) > 12 else "month first", text)
        self.order, self.example = next(iter(told.items())) if len(told) == 1 else ("", "")

    def text(self, text: str) -> Any:
        if re.fullmatch(r"\d{5}(\.\d+)?", text):
            return self._number(float(text))
        span = read_days(text, self.order, self.setting.southern)
        if self._leans(text):
            self.remark(f"read {self.order}, as in “{self.example}”", text)
        elif not span.certain:
            self.remark(f"“{text}” is read as {span.words()}", text)
        return span

    def other(self, cell: Cell) -> Any:
        if isinstance(cell, datetime):
            day = cell + timedelta(milliseconds=500)  # serial numbers carry a rounding error far below a second
            self._year(day.date(), cell)
            return Span.day(day.date(), day.time() if (day.hour, day.minute) != (0, 0) else None)
        if isinstance(cell, date):
            self._year(cell, cell)
            return Span.day(cell)
        if isinstance(cell, int | float) and not isinstance(cell, bool):
            return self._number(float(cell))
        if isinstance(cell, time | timedelta):
            raise UnreadableError(
                f"“{shown(cell)}” is an hour without a day.", "Write the day too, like 2031-05-14 22:07."
            )
        raise UnreadableError(f"“{shown(cell)}” is not a date.", "Write it like 2030-08-20.")

    def clear(self, cell: Cell) -> Cell:
        return (
            str(read_days(cell, self.order, self.setting.southern))
            if isinstance(cell, str) and self._leans(cell)
            else cell
        )

    def _number(self, number: float) -> Any:
        if number.is_integer() and FIRST_YEAR <= number <= LAST_YEAR:
            return self.text(str(int(number)))
        if int(number) not in _SERIALS:
            raise UnreadableError(f"“{number:g}” is not a date.", "Write it like 2030-08-20.")
        self.remark("numbers are read as serial days of the spreadsheet", f"{number:g}")
        midnight = datetime.combine(self.setting.epoch, time())
        return self.other(midnight + timedelta(days=number))

    def _leans(self, text: str) -> bool:
        pairs = [(int(one), int(two)) for one, _, two, _ in SLASHES.findall(text)]
        return bool(self.order and not self.setting.dates and any(a <= 12 and b <= 12 and a != b for a, b in pairs))

    @staticmethod
    def _year(day: date, cell: Cell) -> None:
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            raise UnreadableError(f"“{shown(cell)}” lies in the year {day.year}.", "Check the year.")
