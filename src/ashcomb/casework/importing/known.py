"""What is known while rows are fitted: spellings of marks, and the records that a correction may name."""

from __future__ import annotations

from collections import Counter

from ashcomb.casework.importing.rows import Draft
from ashcomb.kernel.errors import Problem
from ashcomb.records.columns import Kind, Record, kind_of
from ashcomb.records.registry import UNKNOWN
from ashcomb.records.situation import Situation


class Known:
    """Spellings of known marks, and ids by what people may write for them."""

    def __init__(self, situation: Situation) -> None:
        self._spelt: dict[tuple[str, str], str] = {}
        self._marks: set[tuple[str, str]] = set()
        self._ids: dict[str, dict[str, str]] = {}
        for record in situation.everything():
            self.add(record, kind_of(record))
        for name, table in situation.tables.items():
            columns = table.columns
            origins = Counter(columns["origin"])
            self._ids[name] = dict(zip(columns["id"], columns["id"], strict=True)) | {
                origin: key
                for origin, key in zip(columns["origin"], columns["id"], strict=True)
                if origins[origin] == 1
            }

    def add(self, record: Record, kind: Kind) -> None:
        """Takes a record into account."""
        mark = getattr(record, kind.key) if kind.key else ""
        if mark:
            self._marks.add((kind.name, mark))
            self._spelt.setdefault((kind.name, _fold(mark)), mark)

    def spelling(self, mark: str, kinds: tuple[str, ...]) -> str:
        """The mark as it is known, if it is known to one of the kinds in just one other spelling."""
        if mark == UNKNOWN or any((kind, mark) in self._marks for kind in kinds):
            return mark
        found = {self._spelt[kind, _fold(mark)] for kind in kinds if (kind, _fold(mark)) in self._spelt}
        return found.pop() if len(found) == 1 else mark

    def id_of(self, text: str, kind: Kind) -> str:
        """The id of the record that a row corrects, by its id or its origin (file/sheet/row)."""
        return self._ids.get(kind.name, {}).get(text, text)

    def faults(self, draft: Draft, record: Record, kind: Kind) -> list[Problem]:
        """A correction of nothing, and a new mark that differs from a known one in capitals or spaces only."""
        found = []
        if record.corrects and record.corrects not in self._ids.get(kind.name, {}).values():
            found.append(
                Problem(
                    f"“{record.corrects}” names no {kind.name} record here.",
                    "Give its id, or file/sheet/row from which it came.",
                    column="Corrects",
                    value=record.corrects,
                )
            )
        mark = getattr(record, kind.key) if kind.key else ""
        other = self._spelt.get((kind.name, _fold(mark)), mark)
        if mark and other != mark and (kind.name, mark) not in self._marks and not record.corrects:
            found.append(
                Problem(
                    f"differs from {other} in capitals or spaces only.",
                    "Use one spelling, or another mark.",
                    column=kind.columns[kind.key].title,
                    value=mark,
                )
            )
        return found


def _fold(mark: str) -> str:
    return "".join(mark.casefold().split())
