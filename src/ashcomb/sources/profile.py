"""Code profiles: the rules of one place as data, each with citation, status and the day it was checked.

A profile is advice until an officer confirms it by name; the confirmation is a record of the case and names the
digest, so a profile that changes afterwards must be confirmed again.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from ashcomb.kernel.canonical import digest
from ashcomb.kernel.errors import UserError
from ashcomb.sources.fields import build
from ashcomb.sources.library import gap_fate, gap_values, uncited
from ashcomb.sources.model import Source, read_values
from ashcomb.sources.profile_check import Head, head_faults, key_faults, permission_faults
from ashcomb.sources.rules import CLOCK_EVENTS, CLOCK_UNITS, PERMISSIONS, ClockRule, CodeProfile, Rule

__all__ = [
    "CLOCK_EVENTS",
    "CLOCK_UNITS",
    "PERMISSIONS",
    "ClockRule",
    "CodeProfile",
    "Rule",
    "load_profile",
    "profile_ids",
    "read_profile",
]

SECTIONS = ("profile", "values", "clocks", "rules", "agents", "fate", "sources")


@cache
def profile_ids() -> tuple[str, ...]:
    """The profiles that come with the program."""
    folder = resources.files("ashcomb.sources") / "data" / "profiles"
    return tuple(sorted(f.name.removesuffix(".toml") for f in folder.iterdir() if f.name.endswith(".toml")))


def load_profile(name: str, folder: Path | None = None) -> CodeProfile:
    """The profile of that id: from the case folder's `profiles/` if it is there, else from the program.

    Raises UserError for an unknown id or a faulty file, naming what is wrong.
    """
    own = folder / "profiles" / f"{name}.toml" if folder else None
    if own and own.is_file():
        text = own.read_text("utf-8")
    elif name in profile_ids():
        text = (resources.files("ashcomb.sources") / "data" / "profiles" / f"{name}.toml").read_text("utf-8")
    else:
        raise UserError(
            f"There is no code profile “{name}”.",
            f"Choose one of {', '.join(profile_ids())}, or put your own file into the case folder under profiles/.",
        )
    return read_profile(text, name)


def read_profile(text: str, name: str) -> CodeProfile:
    """A profile from the text of its file; raises UserError listing every fault."""
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise UserError(f"Profile “{name}” cannot be read: {error}.", "Correct the file.") from None
    faults = [f"“{key}” is no section of a profile" for key in data if key not in SECTIONS]
    parts = {key: _table(data, key, faults) for key in SECTIONS}
    profile = _assemble(name, parts, faults)
    if faults or profile is None:
        raise UserError(
            f"Profile “{name}” has faults: {'; '.join(faults)}.", "Correct the file; the blank profile names every key."
        )
    return profile


def _assemble(name: str, parts: dict[str, dict[str, Any]], faults: list[str]) -> CodeProfile | None:
    head = build(Head, parts["profile"], faults, key="profile")
    sources = {key: source for key, e in parts["sources"].items() if (source := build(Source, e, faults, key=key))}
    values = {value.key: value for value in read_values(parts["values"], faults=faults)}
    blanks = {"source": "", "place": ""}
    rules = [r for key, e in parts["rules"].items() if (r := build(Rule, _with(blanks, e), faults, key=key))]
    clocks = [c for key, e in parts["clocks"].items() if (c := build(ClockRule, _with(blanks, e), faults, key=key))]
    faults += [fault for rule in rules for fault in rule.faults()]
    faults += [fault for clock in clocks for fault in clock.faults()]
    faults += uncited([*values.values(), *rules, *clocks], sources)
    faults += key_faults(values.values(), parts["clocks"], parts["rules"])
    faults += permission_faults(parts["agents"], parts["fate"])
    if head is None:
        return None
    faults += head_faults(head)
    if faults:
        return None
    fate = {f"{part}.{method}": leave for part, row in parts["fate"].items() for method, leave in row.items()}
    fate = gap_fate() | fate if head.fill_gaps else fate
    filled = {key: value for key, value in gap_values().items() if head.fill_gaps and key not in values}
    return CodeProfile(
        id=name,
        name=head.name,
        language=head.language,
        checked_on=head.checked_on,
        checked_by=head.checked_by,
        note=head.note,
        rest_days=tuple(head.rest_days),
        holiday_region=head.holiday_region,
        holidays=tuple(head.holidays),
        working_day_ends=head.working_day_ends,
        clocks=tuple(clocks),
        values=values | filled,
        rules={rule.key: rule for rule in rules},
        agents=dict(parts["agents"]),
        fate=fate,
        digest=digest(_decimals(parts | {"fate": fate, "filled": {k: v.words() for k, v in filled.items()}})),
        sources=sources,
        filled=frozenset(filled),
    )


def _table(data: dict[str, Any], key: str, faults: list[str]) -> dict[str, Any]:
    table = data.get(key, {})
    if isinstance(table, dict):
        return table
    faults.append(f"“{key}” is not a section")
    return {}


def _with(blanks: dict[str, Any], entry: Any) -> Any:
    return blanks | entry if isinstance(entry, dict) else entry


def _decimals(value: Any) -> Any:
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, dict):
        return {key: _decimals(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_decimals(item) for item in value]
    return value if isinstance(value, str | int | bool) else str(value)
