"""JSON schema and the page of record kinds, both derived from the one definition."""

from __future__ import annotations

from typing import Any

from ashcomb.records.all import KINDS, ORDER
from ashcomb.records.columns import EVIDENCE, Column, Kind, Type

_JSON_TYPE: dict[Type, Any] = {
    Type.WHOLE: {"type": ["integer", "null"]},
    Type.NUMBER: {"type": ["string", "null"], "pattern": r"^-?\d+(\.\d+)?([eE][-+]?\d+)?$"},
    Type.FLAG: {"type": ["boolean", "null"]},
    Type.MARKS: {"type": "array", "items": {"type": "string"}},
    Type.CLOCK: {"type": ["string", "null"], "pattern": r"^([01]\d|2[0-3]):[0-5]\d$"},
}
_SPAN = r"^\d{4}-\d{2}-\d{2}(T\d{2}:\d{2}|/\d{4}-\d{2}-\d{2})?$"


def json_schema(kind: Kind) -> dict[str, Any]:
    """The JSON schema (draft 2020-12) of one record kind in its handed-over form."""
    properties: dict[str, Any] = {
        "kind": {"const": kind.name},
        "id": {"type": "string", "format": "uuid"},
        "happened": {"type": "string", "pattern": _SPAN, "description": kind.happened},
        "noted": {"type": "integer", "description": "UTC milliseconds"},
        "by": {"type": "string"},
        "device": {"type": "string"},
        "evidence": {"enum": list(EVIDENCE)},
        "corrects": {"type": "string"},
        "origin": {"type": "string"},
    }
    properties |= {name: _property(column) for name, column in kind.columns.items()}
    required = ["kind", "id", "happened", "noted", "by", "evidence"]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": kind.name,
        "description": kind.meaning,
        "type": "object",
        "properties": properties,
        "required": required + [name for name, column in kind.columns.items() if column.required],
        "additionalProperties": False,
    }


def kinds_page() -> str:
    """The page `docs/records.md`: every kind with its sheet and columns."""
    lines = [
        "# Record kinds",
        "",
        "Made from the definitions in `src/ashcomb/records/` by `make docs`; do not edit.",
        "",
    ]
    for name in ORDER:
        lines += _kind_section(KINDS[name])
    return "\n".join(lines) + "\n"


def _property(column: Column) -> dict[str, Any]:
    base: dict[str, Any] = dict(_JSON_TYPE.get(column.type, {"type": "string"}))
    if column.type is Type.CHOICE:
        base = {"enum": [*column.options] if column.required else [*column.options, ""]}
    if column.type is Type.WHOLE and column.low is not None:
        base["minimum"] = column.low
    return base | {"title": column.title, "description": column.meaning}


def _kind_section(kind: Kind) -> list[str]:
    rows = [f"| {kind.happened} | day or interval | {'yes' if kind.happened_required else ''} | When it happened | "
            f"{', '.join(kind.happened_also)} |"]  # fmt: skip
    for column in kind.columns.values():
        what = column.type.value + (f" [{column.unit}]" if column.unit else "")
        choice = f" ({', '.join(column.options)})" if column.options else ""
        personal = " Personal." if column.personal else ""
        required = "yes" if column.required else ""
        also = ", ".join(column.also)
        rows.append(f"| {column.title} | {what} | {required} | {column.meaning}{choice}.{personal} | {also} |")
    head = [f"## {kind.name}: sheet “{kind.sheet}”", "", kind.meaning, "",
            "| Heading | Holds | Required | Meaning | Also read as |", "|---|---|---|---|---|"]  # fmt: skip
    return [*head, *rows, ""]
