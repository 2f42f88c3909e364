"""One record in its three forms: object, database row, and the canonical JSON that is sealed and handed over.

All three follow from the columns of its kind; nothing here knows any kind by name.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from ashcomb.kernel.canonical import digest
from ashcomb.kernel.errors import Problem, UserError
from ashcomb.kernel.time import Span, day_from_number, day_number
from ashcomb.records.columns import EVIDENCE, KINDS, Column, Kind, Record, Type, kind_of

ENVELOPE_SQL = (
    ("id", "TEXT"), ("day_first", "INTEGER"), ("day_last", "INTEGER"), ("minute", "INTEGER"), ("noted", "INTEGER"),
    ("received", "INTEGER"), ("by_whom", "TEXT"), ("device", "TEXT"), ("evidence", "TEXT"), ("corrects", "TEXT"),
    ("origin", "TEXT"),
)  # fmt: skip
_SQL = {Type.WHOLE: "INTEGER", Type.NUMBER: "REAL", Type.FLAG: "INTEGER"}
_CLOCK = re.compile(r"^([01]\d|2[0-3]):[0-5]\d$")


def sql_columns(kind: Kind) -> list[tuple[str, str]]:
    """Name and SQL type of every column of the kind's table, in order."""
    return [*ENVELOPE_SQL, *((name, _SQL.get(column.type, "TEXT")) for name, column in kind.columns.items())]


def to_row(record: Record) -> list[Any]:
    """The record as a database row, in the order of `sql_columns`."""
    kind = kind_of(record)
    head = [record.id, day_number(record.happened.first), day_number(record.happened.last), record.happened.minute,
            record.noted, record.received, record.by, record.device, record.evidence, record.corrects,
            record.origin]  # fmt: skip
    return head + [_plain(getattr(record, name), column) for name, column in kind.columns.items()]


def from_row(kind: Kind, row: Sequence[Any]) -> Record:
    """The record of a database row in the order of `sql_columns`."""
    (key, first, last, minute, noted, received, by, device, evidence, corrects, origin), values = row[:11], row[11:]
    fields = {name: _rich(value, column) for (name, column), value in zip(kind.columns.items(), values, strict=True)}
    happened = Span(day_from_number(first), day_from_number(last), minute)
    return kind.cls(id=key, happened=happened, noted=noted, received=received, by=by, device=device,
                    evidence=evidence, corrects=corrects, origin=origin, **fields)  # fmt: skip


def to_json(record: Record) -> dict[str, Any]:
    """The record as JSON without what only this store knows (`received`): the form that is handed over and compared.

    Numbers that are not whole are decimal strings, so that no rounding can differ.
    """
    kind = kind_of(record)
    body: dict[str, Any] = {"kind": kind.name, "id": record.id, "happened": str(record.happened), "noted": record.noted,
                            "by": record.by, "device": record.device, "evidence": record.evidence,
                            "corrects": record.corrects, "origin": record.origin}  # fmt: skip
    for name, column in kind.columns.items():
        value = getattr(record, name)
        if isinstance(value, float) or (column.type is Type.NUMBER and value is not None):
            value = repr(float(value))
        body[name] = list(value) if isinstance(value, tuple) else value
    return body


def from_json(body: Mapping[str, Any], received: int) -> Record:
    """The record of its JSON form; raises UserError naming every fault."""
    if not isinstance(body, Mapping):
        raise UserError("This is no record.", "A record is one JSON object.")
    kind = KINDS.get(str(body.get("kind", "")))
    if kind is None:
        raise UserError(f"There is no record kind “{body.get('kind')}”.", "It may come from a newer version: update.")
    fields: dict[str, Any] = {}
    for name, column in kind.columns.items():
        value = body.get(name)
        if column.type is Type.NUMBER and isinstance(value, str):
            value = float(value)
        if column.type is Type.MARKS:
            value = tuple(value or ())
        fields[name] = value if value is not None else _rich(None, column)
    envelope = {name: body.get(name, "") for name in ("id", "by", "device", "evidence", "corrects", "origin")}
    return build(kind, fields, happened=Span.parse(str(body.get("happened", ""))), noted=int(body.get("noted", 0)),
                 received=received, **envelope)  # fmt: skip


def build(kind: Kind, fields: Mapping[str, Any], **envelope: Any) -> Record:
    """A checked record; raises UserError listing every fault of its fields."""
    try:
        record = kind.cls(**envelope, **fields)
    except TypeError as error:
        raise UserError(
            f"A record of kind {kind.name} cannot be made: {error}.", "Give every required field."
        ) from None
    faults = check(record)
    if faults:
        text = " ".join(f"{fault.column}: {fault.what}" for fault in faults)
        raise UserError(f"This {kind.name} record cannot be kept. {text}", " ".join(fault.do for fault in faults))
    return record


def check(record: Record) -> list[Problem]:
    """Everything that is wrong within one record, column by column; columns are named by their titles."""
    kind = kind_of(record)
    found = [
        Problem(what, do, kind.sheet, column=column.title, value=_shown(getattr(record, name)))
        for name, column in kind.columns.items()
        for what, do in _column_faults(getattr(record, name), column)
    ]
    for name, what, do in record.faults():
        found.append(Problem(what, do, kind.sheet, None, kind.columns[name].title, _shown(getattr(record, name))))
    if record.evidence not in EVIDENCE:
        found.append(Problem(f"“{record.evidence}” is no grade of evidence.", "Use seen, document or memory.",
                             kind.sheet, column="Evidence", value=record.evidence))  # fmt: skip
    return found


def fingerprint(record: Record) -> str:
    """What the record says, apart from when, by whom and where it was noted: equal for the same row read twice."""
    body = to_json(record)
    for name in ("id", "noted", "by", "device", "origin"):
        del body[name]
    return digest(body)


def _column_faults(value: Any, column: Column) -> list[tuple[str, str]]:
    if value in ("", None, ()):
        return [("is missing.", f"Fill in: {column.meaning}.")] if column.required else []
    if column.type is Type.CHOICE and value not in column.options:
        return [(f"“{value}” is not one of the words for it.", f"Use one of: {', '.join(column.options)}.")]
    if column.type is Type.CLOCK and not _CLOCK.match(str(value)):
        return [(f"“{value}” is not a clock time.", "Write it like 22:30.")]
    if column.type in (Type.WHOLE, Type.NUMBER):
        return _number_faults(value, column)
    return []


def _number_faults(value: Any, column: Column) -> list[tuple[str, str]]:
    if isinstance(value, bool) or not isinstance(value, int if column.type is Type.WHOLE else int | float):
        return [(f"“{value}” is not a {column.type.value}.", "Write digits only.")]
    if column.low is not None and value < column.low:
        return [(f"{value:g} is below {column.low:g}.", "Check the number; a count is never negative.")]
    if column.high is not None and value > column.high:
        return [(f"{value:g} {column.unit} is above {column.high:g}.", "Check the number and its unit.")]
    return []


def _plain(value: Any, column: Column) -> Any:
    if column.type is Type.MARKS:
        return ";".join(value)
    return int(value) if isinstance(value, bool) else value


def _rich(value: Any, column: Column) -> Any:
    if column.type is Type.MARKS:
        return tuple(value.split(";")) if value else ()
    if column.type is Type.FLAG:
        return None if value is None else bool(value)
    if column.type in (Type.WHOLE, Type.NUMBER):
        return value
    return value if value is not None else (None if column.type is Type.CLOCK else "")


def _shown(value: Any) -> str:
    if isinstance(value, tuple):
        return " ".join(value)
    return "" if value is None else str(value)
