"""What is wrong with the file of a code profile, beyond its single entries."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from difflib import get_close_matches
from typing import Any

from ashcomb.sources.library import profile_keys
from ashcomb.sources.model import Sourced
from ashcomb.sources.rules import PERMISSIONS


@dataclass(frozen=True, slots=True)
class Head:
    """The section [profile] of the file. fill_gaps: whether cautious stand-ins fill what the place does not set."""

    key: str
    name: str
    fill_gaps: bool = False
    language: str = "en"
    checked_on: str = ""
    checked_by: str = ""
    note: str = ""
    rest_days: list[Any] = field(default_factory=lambda: [5, 6])
    holiday_region: str = ""
    holidays: list[Any] = field(default_factory=list)
    working_day_ends: str = "24:00"


def head_faults(head: Head) -> list[str]:
    """What is wrong with days and hours of the head."""
    found = [] if head.name else ["profile has no name"]
    if not all(type(day) is int and 0 <= day <= 6 for day in head.rest_days) or len(set(head.rest_days)) > 6:
        found.append("rest_days must be weekdays from 0 (Monday) to 6, and leave one day to work")
    found += [f"“{day}” is not a date like 2031-05-06" for day in (head.checked_on, *head.holidays) if not _dated(day)]
    if not re.fullmatch(r"([01]\d|2[0-3]):[0-5]\d|24:00", head.working_day_ends):
        found.append(f"working_day_ends “{head.working_day_ends}” is not an hour like 17:00")
    return found


def key_faults(values: Iterable[Sourced], clocks: Iterable[str], rules: Iterable[str]) -> list[str]:
    """Numbers that nothing reads, units that their reader does not expect, and misspelt clocks and rules.

    A clock or rule of another name is free: it runs and is printed, but no plan waits for it.
    """
    known = profile_keys()
    found = []
    for value in values:
        unit = known["values"].get(value.key, {}).get("unit")
        if unit is None:
            found.append(f"nothing reads a value {value.key}")
        elif value.unit != unit:
            found.append(f"{value.key} must be given in {unit}, not {value.unit}")
    found += [fault for key in clocks if (fault := _misspelt("clock", key, known["clocks"]))]
    found += [fault for key in rules if (fault := _misspelt("rule", key, known["rules"]))]
    return found


def _misspelt(kind: str, key: str, known: Iterable[str]) -> str:
    near = get_close_matches(key, known, n=1, cutoff=0.85)
    return f"{kind} {key} is not known; write {near[0]} or choose a name less like it" if near and near != [key] else ""


def permission_faults(agents: Mapping[str, Any], fate: Mapping[str, Any]) -> list[str]:
    """Unknown agents, components, methods and permissions."""
    known = profile_keys()
    found = [f"agents: “{agent}” is not an agent that is offered" for agent in agents if agent not in known["agents"]]
    rows = {"agents": agents}
    for part, row in fate.items():
        if part not in known["components"] or not isinstance(row, dict):
            found.append(f"fate: “{part}” is no component with a row of methods")
        else:
            found += [f"fate: {part}: “{method}” is no method" for method in row if method not in known["methods"]]
            rows[f"fate: {part}"] = row
    return found + [
        f"{name}: {key} is “{leave}”, which is none of {', '.join(PERMISSIONS)}"
        for name, row in rows.items()
        for key, leave in row.items()
        if leave not in PERMISSIONS
    ]


def _dated(day: Any) -> bool:
    try:
        return day == "" or bool(date.fromisoformat(day))
    except (TypeError, ValueError):
        return False
