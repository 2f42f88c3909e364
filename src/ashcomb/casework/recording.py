"""Records one thing from typed words: each is read by the type of its column, checked against all that is known."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

from ashcomb.casework.case import Case
from ashcomb.casework.importing.cells import Setting
from ashcomb.casework.importing.days import Days
from ashcomb.casework.importing.measures import READERS
from ashcomb.casework.importing.result import UnreadableError
from ashcomb.casework.report import Report, Section, table
from ashcomb.kernel.errors import Problem, UserError
from ashcomb.kernel.time import Span
from ashcomb.records.all import KINDS
from ashcomb.records.codec import check, to_json
from ashcomb.records.columns import Column, Kind, Record
from ashcomb.records.registry import Registry

_UUID = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")
OWN_DOOR = ("profile", "confirmation")  # written by choosing a profile and by confirming it


class RecordingError(UserError):
    """A record cannot be kept. problems: every fault with the title of its column."""

    def __init__(self, kind: Kind, problems: Sequence[Problem]) -> None:
        told = " ".join(f"{problem.column}: {problem.what}" for problem in problems)
        super().__init__(told, " ".join(dict.fromkeys(problem.do for problem in problems)), kind.sheet)
        self.problems = tuple(problems)


def record_text(
    case: Case,
    kind: str,
    fields: Sequence[str],
    *,
    happened: str = "",
    evidence: str = "seen",
    corrects: str = "",
    record_id: str = "",
) -> dict[str, Any]:
    """Writes one record from words and returns it as JSON.

    fields: 'name=value', by the name or the title of the column.  happened: a day, a day and hour or an interval in
    words or ISO 8601; empty is now.  corrects: id of the record that this one replaces.  record_id: id made by the form
    (UUID); a record of that id that is there already is returned as it is, so that sending a form twice writes once.
    Raises UserError for an unknown kind, RecordingError naming every fault; then nothing is written.
    """
    form = kind_of_form(kind)
    if kind == "case" and not corrects:
        raise UserError(
            "The case is open already.", "Correct its record instead: name the id of that record.", form.sheet
        )
    twin = _already(case, form, record_id)
    if twin is not None:
        return to_json(twin)
    problems: list[Problem] = []
    values = _values(form, fields, problems)
    when = _when(case, form, happened, problems)
    if corrects and corrects not in case.store.ids():
        what = f"no record has the id “{corrects}”."
        problems.append(Problem(what, "Copy the id from the list of records.", form.sheet, column="Corrects"))
    if problems or when is None:
        raise RecordingError(form, problems)
    record = _made(
        case, form, values, happened=when, evidence=evidence, corrects=corrects, id=record_id or case.hand.new_id()
    )
    case.write([record], f"{form.name} corrected" if corrects else f"{form.name} recorded")
    return to_json(record)


def kind_of_form(name: str) -> Kind:
    """The record kind of that name; raises UserError for one that is unknown or has a door of its own."""
    if name not in KINDS or name in OWN_DOOR:
        words = ", ".join(key for key in KINDS if key not in OWN_DOOR)
        raise UserError(f"Nothing is recorded as “{name}”.", f"Use one of: {words}.")
    return KINDS[name]


def fields_report(name: str) -> Report:
    """What can be recorded of a kind: each field, what it means, whether it must be there, and the words it allows."""
    kind = kind_of_form(name)
    rows = [(name, column.required, column.meaning, _allowed(column))
            for name, column in kind.columns.items()]  # fmt: skip
    fields = Section(
        "Fields",
        (),
        table(
            ("Field", "Needed", "Meaning", "Allowed"),
            [(name, "yes" if must else "", *rest) for name, must, *rest in rows],
        ),
    )
    example = " ".join(f"{name}=…" for name, column in kind.columns.items() if column.required)
    words = f"{kind.meaning} Write: ashcomb record CASE {kind.name} {example}".rstrip()
    facts = [dict(zip(("field", "required", "meaning", "allowed"), row, strict=True)) for row in rows]
    return Report(kind.sheet, words, (fields,), facts)


def _allowed(column: Column) -> str:
    if column.options:
        return ", ".join(column.options)
    if column.refers:
        return f"{column.type} of: {', '.join(column.refers)}"
    if column.low is None and column.high is None:
        return f"{column.type}{f', {column.unit}' if column.unit else ''}"
    low, high = (None if end is None else f"{end:g} {column.unit}".rstrip() for end in (column.low, column.high))
    if low is None or high is None:
        return f"{column.type}, {f'{low} or more' if low else f'at most {high}'}"
    return f"{column.type}, {column.low:g} to {high}"


def _values(kind: Kind, fields: Iterable[str], problems: list[Problem]) -> dict[str, Any]:
    names = {column.title.casefold(): name for name, column in kind.columns.items()}
    values: dict[str, Any] = {}
    for text in fields:
        given, sign, value = text.partition("=")
        name = given.strip().replace("-", "_")
        name = name if name in kind.columns else names.get(given.strip().casefold(), "")
        if not sign or not name:
            raise UserError(f"“{text}” is no field of {kind.name}.",
                            f"Write name=value with one of: {', '.join(kind.columns)}.")  # fmt: skip
        if name in values:
            raise UserError(f"“{name}” is given twice.", "Give it once.", kind.sheet)
        try:
            values[name] = _read(kind.columns[name], value)
        except UnreadableError as fault:
            values[name] = None
            problems.append(Problem(fault.what, fault.do, kind.sheet, None, kind.columns[name].title, value))
    for name, column in kind.columns.items():
        values.setdefault(name, READERS[column.type].empty)
    return values


def _read(column: Column, text: str) -> Any:
    return READERS[column.type](column, Setting(), [text]).read(text)


def _when(case: Case, kind: Kind, text: str, problems: list[Problem]) -> Span | None:
    if not text.strip():
        now = case.now()
        return Span.day(now.date(), now.time())
    southern = (case.head.grid_lat or 0.0) < 0
    try:
        span: Span | None = Days(Setting(southern=southern), [text]).read(text)
    except UnreadableError as fault:
        problems.append(Problem(fault.what, fault.do, kind.sheet, None, kind.happened, text))
        return None
    if span is None:
        problems.append(Problem("is missing.", "Say when it happened.", kind.sheet, None, kind.happened, text))
    return span


def _already(case: Case, kind: Kind, record_id: str) -> Record | None:
    if record_id and not _UUID.fullmatch(record_id):
        raise UserError("The form carries no usable id.", "Open the form again.", kind.sheet)
    return next((record for record in case.situation().table(kind.cls).records if record.id == record_id), None)


def _made(case: Case, kind: Kind, values: dict[str, Any], **envelope: Any) -> Record:
    now = case.hand.now_ms()
    record = kind.cls(noted=now, received=now, by=case.hand.by, device=case.hand.device, **envelope, **values)
    faults = check(record)
    if not faults:
        faults = Registry(case.situation().everything(), case.today()).faults(record)
    if faults:
        raise RecordingError(kind, faults)
    return record
