"""Builds one entry of a data file and names everything that is wrong with it, not only the first fault."""

from __future__ import annotations

from dataclasses import MISSING, fields
from types import NoneType, UnionType
from typing import Any, Literal, TypeVar, get_args, get_origin, get_type_hints

T = TypeVar("T")

_WORDS: dict[Any, str] = {str: "text", float: "a number", int: "a whole number", bool: "true or false", list: "a list"}


def build(kind: type[T], table: Any, faults: list[str], **given: Any) -> T | None:
    """The dataclass `kind` from a table of the file; None, with the faults added, when the table does not fit.

    given: fields that do not come from the table; the first of them names the entry in the faults.
    A field without default must be there, an unknown name is a fault, and every entry must have the field's type.
    """
    label = str(next(iter(given.values()), kind.__name__))
    if not isinstance(table, dict):
        faults.append(f"{label} is not a table")
        return None
    hints = get_type_hints(kind)
    wanted = {field.name: field for field in fields(kind) if field.name not in given}  # type: ignore[arg-type]
    found = [f"{label} has an unknown entry “{name}”" for name in table if name not in wanted]
    found += [f"{label} has no {name}" for name, field in wanted.items() if name not in table and _required(field)]
    entries = {name: table[name] for name in wanted if name in table}
    found += [
        f"{label}: {name} must be {_words(hints[name])}" for name, e in entries.items() if not _fits(e, hints[name])
    ]
    faults += found
    if found:
        return None
    return kind(**given, **{name: float(e) if hints[name] is float else e for name, e in entries.items()})


def _required(field: Any) -> bool:
    return field.default is MISSING and field.default_factory is MISSING


def _kinds(hint: Any) -> tuple[Any, ...]:
    if get_origin(hint) is Literal:
        return (str,)
    if get_origin(hint) is list:
        return (list,)
    return tuple(k for k in get_args(hint) if k is not NoneType) if isinstance(hint, UnionType) else (hint,)


def _fits(entry: Any, hint: Any) -> bool:
    return any(
        isinstance(entry, (int, float) if kind is float else kind) and (kind is bool or not isinstance(entry, bool))
        for kind in _kinds(hint)
    )


def _words(hint: Any) -> str:
    return _WORDS[_kinds(hint)[0]]
