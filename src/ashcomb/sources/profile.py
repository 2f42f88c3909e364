"""Code profiles: the rules of one place as data, each with citation, status and the day it was checked.

A profile is advice until an officer confirms it by name; the confirmation is a record of the case and names the
digest, so a profile that changes afterwards must be confirmed again.
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from ashcomb.kernel.canonical import digest
from ashcomb.kernel.errors import UserError
from ashcomb.sources.model import Sourced, Status, read_values

CLOCK_UNITS = ("minutes", "hours", "days", "working days", "weeks", "months")
CLOCK_EVENTS = (
    "suspected",
    "confirmed",
    "notified",
    "order served",
    "last case",
    "killed",
    "burned",
    "buried",
    "inspector's visit",
    "zone set",
    "sample taken",
    "release",
)


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule in words: what is asked, with its citation. text is what a paper prints."""

    key: str
    text: str
    source: str
    place: str
    status: Status


@dataclass(frozen=True, slots=True)
class ClockRule:
    """A time limit or earliest time: `amount` `unit` from `starts`.

    meaning: 'due' (must be done by then) or 'earliest' (may not be done before).  slides: whether a date that falls
    on a rest day moves to the next working day.  until: for windows, the end counted like amount; else None.
    """

    key: str
    title: str
    starts: str
    amount: int
    unit: str
    meaning: str
    text: str
    source: str
    place: str
    status: Status
    slides: bool = False
    until: int | None = None


@dataclass(frozen=True, slots=True)
class CodeProfile:
    """The rules of one place.

    values: numbers by key (for example pit.cover_m), as `Sourced`.  rules: rules in words by key.
    clocks: time limits.  agents: agents that may be offered, by name of the permission ('allowed', 'forbidden',
    'needs leave').  fate: (component, method) -> permission.  rest_days: weekdays, Monday is 0.
    holiday_region: ISO codes for the holiday library ('NZ', 'US-CA'), or ''.  holidays: extra rest days as ISO dates.
    """

    id: str
    name: str
    language: str
    checked_on: str
    checked_by: str
    note: str
    rest_days: tuple[int, ...]
    holiday_region: str
    holidays: tuple[str, ...]
    working_day_ends: str
    clocks: tuple[ClockRule, ...]
    values: dict[str, Sourced] = field(hash=False)
    rules: dict[str, Rule] = field(hash=False)
    agents: dict[str, str] = field(hash=False)
    fate: dict[str, str] = field(hash=False)
    digest: str = ""

    def value(self, key: str) -> Sourced:
        """The number of that key; raises UserError naming the profile when the place has not set it."""
        if key not in self.values:
            raise UserError(
                f"Profile “{self.id}” sets no value for {key}.",
                "Add it to the profile with unit, source, place and status, or choose another profile.",
            )
        return self.values[key]

    def optional(self, key: str) -> Sourced | None:
        """The number of that key, or None."""
        return self.values.get(key)

    def clock(self, key: str) -> ClockRule | None:
        """The time limit of that key, or None where the place sets none."""
        return next((clock for clock in self.clocks if clock.key == key), None)

    def permission(self, component: str, method: str) -> str:
        """'allowed', 'forbidden' or 'needs leave' for treating a component by a method; unstated is 'needs leave'."""
        return self.fate.get(f"{component}.{method}", "needs leave")


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
    faults: list[str] = []
    values = {value.key: value for value in read_values(data.get("values", {}))}
    for value in values.values():
        faults += value.faults()
    try:
        clocks = tuple(ClockRule(key=key, **entry) for key, entry in data.get("clocks", {}).items())
        rules = {key: Rule(key=key, **entry) for key, entry in data.get("rules", {}).items()}
        head: dict[str, Any] = data["profile"]
        profile = CodeProfile(
            id=name,
            name=head["name"],
            language=head.get("language", "en"),
            checked_on=head.get("checked_on", ""),
            checked_by=head.get("checked_by", ""),
            note=head.get("note", ""),
            rest_days=tuple(head.get("rest_days", (5, 6))),
            holiday_region=head.get("holiday_region", ""),
            holidays=tuple(head.get("holidays", ())),
            working_day_ends=head.get("working_day_ends", "24:00"),
            clocks=clocks,
            values=values,
            rules=rules,
            agents=dict(data.get("agents", {})),
            fate={
                f"{component}.{method}": permission
                for component, row in data.get("fate", {}).items()
                for method, permission in row.items()
            },
            digest=digest(_decimals(data)),
        )
    except (KeyError, TypeError) as error:
        raise UserError(f"Profile “{name}” is incomplete: {error}.", "Compare it with the blank profile.") from None
    for clock in clocks:
        known = clock.unit in CLOCK_UNITS and clock.starts in CLOCK_EVENTS and clock.meaning in ("due", "earliest")
        if not known:
            faults.append(f"clock {clock.key} has an unknown unit, start event or meaning")
    if faults:
        raise UserError(f"Profile “{name}” has faults: {'; '.join(faults)}.", "Correct the file.")
    return profile


def _decimals(value: Any) -> Any:
    if isinstance(value, float):
        return repr(value)
    if isinstance(value, dict):
        return {key: _decimals(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_decimals(item) for item in value]
    return value if isinstance(value, str | int | bool) else str(value)
