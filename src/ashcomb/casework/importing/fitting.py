"""Fits drafts to what is known: already there, good, refused, or waiting for a row that was refused."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from typing import Any

from ashcomb.casework.importing.known import Known
from ashcomb.casework.importing.names import field_named
from ashcomb.casework.importing.result import Counts, Note, RefusedRow
from ashcomb.casework.importing.rows import Draft
from ashcomb.kernel.errors import Problem
from ashcomb.kernel.time import from_utc_ms
from ashcomb.records.codec import check, fingerprint
from ashcomb.records.columns import Column, Kind, Record, Type
from ashcomb.records.registry import Registry
from ashcomb.records.situation import Situation

_EMPTY: dict[Type, Any] = {Type.TEXT: "", Type.MARK: "", Type.CHOICE: "", Type.MARKS: ()}


class Fitter:
    """Takes drafts in an order in which each finds what it names; gathers records, problems and refused rows."""

    def __init__(self, situation: Situation, *, noted: int, received: int, by: str, new_id: Callable[[], str]) -> None:
        self._situation, self._new_id = situation, new_id
        self._noted, self._received, self._by = noted, received, by
        today = from_utc_ms(max(noted, situation.as_of)).date() + timedelta(days=1)  # a day for the zones
        self._registry = Registry(situation.everything(), today)
        self._known = Known(situation)
        self._there: dict[str, Counter[str]] = {}
        self._lost: dict[tuple[str, str], str] = {}  # marks that stand in refused rows: (kind, mark) -> where
        self._tally: Counter[tuple[str, str]] = Counter()
        self._alike: dict[tuple[str, str], tuple[int, str]] = {}
        self.records: list[Record] = []
        self.problems: list[Problem] = []
        self.waiting: list[Problem] = []
        self.refused: list[RefusedRow] = []

    def fit(self, draft: Draft) -> None:
        """Keeps the draft as a record, or says why not."""
        kind = draft.page.layout.kind
        self._tally[kind.name, "read"] += 1
        spelt = {} if draft.problems else self._respell(draft, kind)
        record = self._record(draft, kind)
        if not draft.problems and self._already(record, kind):
            self._tally[kind.name, "already"] += 1
            return
        faults, waits = self._faults(draft, record, kind)
        if faults or waits:
            self._refuse(draft, record, kind, faults, waits)
            return
        for key, text in spelt.items():
            count, example = self._alike.get(key, (0, text))
            self._alike[key] = (count + 1, example)
        self._tally[kind.name, "kept"] += 1
        self._registry.add(record)
        self._known.add(record, kind)
        self.records.append(record)

    def counts(self) -> dict[str, Counts]:
        """Rows by kind and fate."""
        kinds = dict.fromkeys(name for name, _ in self._tally)
        fates = ("read", "kept", "refused", "waiting", "already")
        return {name: Counts(*(self._tally[name, fate] for fate in fates)) for name in kinds}

    def notes(self) -> list[Note]:
        """Marks that were read in the spelling in which they are known."""
        return [Note(f"{text}: {count} {'row' if count == 1 else 'rows'}.", label)
                for (label, _), (count, text) in self._alike.items()]  # fmt: skip

    def _respell(self, draft: Draft, kind: Kind) -> dict[tuple[str, str], str]:
        """References that differ from a known mark only in capitals or spaces take its spelling."""
        found = {}
        for name, column in kind.columns.items():
            value = draft.values.get(name)
            if column.refers and value:
                marks = value if isinstance(value, tuple) else (value,)
                spelt = tuple(self._known.spelling(mark, column.refers) for mark in marks)
                draft.values[name] = spelt if isinstance(value, tuple) else spelt[0]
                for mark, better in zip(marks, spelt, strict=True):
                    if mark != better:
                        found[draft.page.sheet.label, mark] = f"“{mark}” is read as {better}"
        return found

    def _record(self, draft: Draft, kind: Kind) -> Record:
        values = draft.values
        fields: dict[str, Any] = {
            name: values.get(name, _EMPTY.get(column.type)) for name, column in kind.columns.items()
        }
        sheet = draft.page.sheet
        return kind.cls(
            id=self._new_id(),
            happened=draft.happened,
            noted=self._noted,
            received=self._received,
            by=values.get("by") or self._by,
            evidence=values.get("evidence", ""),
            corrects=self._known.id_of(values.get("corrects", ""), kind),
            origin=f"{sheet.file}/{sheet.name}/{draft.row}",
            **fields,
        )

    def _already(self, record: Record, kind: Kind) -> bool:
        """Whether the same was recorded before; each earlier record answers for one row."""
        table = self._situation.tables.get(kind.name)
        if table is None:
            return False
        if kind.name not in self._there:
            self._there[kind.name] = Counter(fingerprint(earlier) for earlier in table.records)
        left, print_ = self._there[kind.name], fingerprint(record)
        left[print_] -= 1
        return left[print_] >= 0

    def _faults(self, draft: Draft, record: Record, kind: Kind) -> tuple[list[Problem], list[Problem]]:
        """Faults of the row, each column once, and what it waits for. Cells that could not be read speak first."""
        faults = list(draft.problems)
        if any(problem.what.startswith("is a total") for problem in faults):
            return faults, []
        told = {problem.column for problem in faults}
        if "happened" not in draft.values and not draft.page.dayless and draft.heading("happened") not in told:
            faults.append(draft.problem("happened", "is missing.", "Fill in the day, or an interval like “June 2030”."))
        waits = []
        for problem in [*check(record), *self._registry.faults(record), *self._known.faults(draft, record, kind)]:
            name = field_named(kind, problem.column)
            here = draft.problem(name, problem.what, problem.do, "" if draft.shown(name) else problem.value)
            if here.column in told:
                continue
            where = self._lost_at(kind.columns.get(name), problem.value)
            if where:
                waits.append(replace(here, what=f"waits for {problem.value}, which stands in a refused row ({where}).",
                                     do="Correct that row; then this one can be read."))  # fmt: skip
            else:
                faults.append(replace(here, unknown=problem.unknown))
        return faults, waits

    def _lost_at(self, column: Column | None, mark: str) -> str:
        refers = column.refers if column else ()
        if any(self._registry.knows(kind, mark) for kind in refers):
            return ""
        return next((self._lost[kind, mark] for kind in refers if (kind, mark) in self._lost), "")

    def _refuse(self, draft: Draft, record: Record, kind: Kind, faults: list[Problem], waits: list[Problem]) -> None:
        self._tally[kind.name, "refused" if faults else "waiting"] += 1
        self.problems += faults
        self.waiting += [] if faults else waits
        mark = getattr(record, kind.key) if kind.key else ""
        if mark:
            self._lost.setdefault((kind.name, mark), f"{draft.page.sheet.label}, row {draft.row}")
        sheet, layout = draft.page.sheet, draft.page.layout
        self.refused.append(RefusedRow(sheet.file, sheet.name, kind.name, draft.row, layout.words,
                                       draft.page.cleared(draft), tuple(faults + waits), not faults))  # fmt: skip
