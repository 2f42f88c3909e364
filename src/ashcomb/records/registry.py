"""Which marks are known since when, and what a new record may not contradict.

A `Registry` is filled from the records that hold and then grows with each record that is accepted, so that one file
and one typed record are checked by the same rules.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from ashcomb.kernel.errors import Problem
from ashcomb.kernel.time import day_words
from ashcomb.records.acts import Kill
from ashcomb.records.columns import KINDS, Kind, Record, Type, kind_of

UNKNOWN = "unknown"  # a counterparty that nobody can name is recorded as this word


class Registry:
    """Known marks by kind, with the first day on which each is known to exist.

    today: day after which nothing can have happened yet, or None where nobody knows the day.
    """

    def __init__(self, records: Iterable[Record] = (), today: date | None = None) -> None:
        self._today = today
        self._since: dict[str, dict[str, date]] = {name: {} for name in KINDS}
        self._dead: dict[str, Kill] = {}
        self._first_at: dict[tuple[str, str], str] = {}
        for record in records:
            self.add(record)

    def add(self, record: Record) -> None:
        """Takes a record into account."""
        kind = kind_of(record)
        mark = getattr(record, kind.key) if kind.key else ""
        if mark:
            self._since[kind.name].setdefault(mark, record.happened.first)
            self._first_at.setdefault((kind.name, mark), record.origin or record.id)
        if isinstance(record, Kill) and record.step == "dead confirmed":
            self._dead.setdefault(record.hive, record)
        elif isinstance(record, Kill):
            self._dead.pop(record.hive, None)  # heard or dosed again: a second check of death is then right

    def knows(self, kind: str, mark: str) -> bool:
        """Whether that mark of that kind is known."""
        return mark in self._since[kind]

    def faults(self, record: Record) -> list[Problem]:
        """What the record contradicts: a mark used twice or unknown, a day to come, a day before the thing existed."""
        kind = kind_of(record)
        return [
            *self._to_come(record, kind),
            *self._duplicate(record, kind),
            *self._references(record, kind),
            *self._killed_twice(record),
        ]

    def _to_come(self, record: Record, kind: Kind) -> Iterator[Problem]:
        unread = record.happened.first == date.max  # stands for a day that could not be read, which is said elsewhere
        if self._today and not kind.ahead and not unread and record.happened.first > self._today:
            yield Problem(
                f"is dated {record.happened.words()}, which is still to come (today is {day_words(self._today)}).",
                "Check the year, the month and the order of day and month.",
                kind.sheet, column=kind.happened, value=str(record.happened),
            )  # fmt: skip

    def _duplicate(self, record: Record, kind: Kind) -> Iterator[Problem]:
        mark = getattr(record, kind.key) if kind.key else ""
        if mark and kind.unique and not record.corrects and self.knows(kind.name, mark):
            column = kind.columns[kind.key]
            yield Problem(
                f"{column.title} {mark} is already used ({self._first_at[kind.name, mark]}).",
                "Give it its own number; if this row corrects the other, record it as a correction.",
                kind.sheet, column=column.title, value=mark,
            )  # fmt: skip

    def _references(self, record: Record, kind: Kind) -> Iterator[Problem]:
        for name, column in kind.columns.items():
            if not column.refers:
                continue
            given = getattr(record, name)
            for mark in given if column.type is Type.MARKS else (given,):
                if mark and mark != UNKNOWN:
                    yield from self._reference(record, kind, name, mark)

    def _reference(self, record: Record, kind: Kind, name: str, mark: str) -> Iterator[Problem]:
        column = kind.columns[name]
        since = [self._since[other][mark] for other in column.refers if mark in self._since[other]]
        if not since:
            words = " or ".join(column.refers)
            yield Problem(
                f"{mark} is not a known {words}.",
                f"Correct the mark, or add it to the sheet {' or '.join(KINDS[o].sheet for o in column.refers)} first.",
                kind.sheet, column=column.title, value=mark,
                unknown=(column.refers[0], mark) if len(column.refers) == 1 else ("", ""),
            )  # fmt: skip
        elif record.happened.last < min(since):
            yield Problem(
                f"is dated {record.happened.words()}, before {mark} existed (since {day_words(min(since))}).",
                f"Correct the date, or the day since when {mark} is in use.",
                kind.sheet, column=kind.happened, value=str(record.happened),
            )  # fmt: skip

    def _killed_twice(self, record: Record) -> Iterator[Problem]:
        if not isinstance(record, Kill) or record.step != "dead confirmed" or record.corrects:
            return
        earlier = self._dead.get(record.hive)
        if earlier is not None and earlier.id != record.id:
            yield Problem(
                f"{record.hive} is already recorded dead on {earlier.happened.words()} by {earlier.by}.",
                "Leave it, or record a correction that names the earlier record.",
                "Kills", column="Hive", value=record.hive,
            )  # fmt: skip
