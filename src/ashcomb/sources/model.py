"""What a sourced number is: value, unit, range, source with place, status and the reason for it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal, get_args

Status = Literal["published", "derived", "common practice", "project choice", "from memory"]
STATUSES: tuple[str, ...] = get_args(Status)


@dataclass(frozen=True, slots=True)
class Source:
    """One entry of the bibliography. seen: what of it was read (whole, abstract, excerpt, quoted, not read)."""

    key: str
    title: str
    authors: str
    year: str
    locator: str
    seen: str

    def cite(self) -> str:
        """One line for papers: authors, year, title, where to find it."""
        return ", ".join(part for part in (self.authors, self.year, self.title, self.locator) if part) + "."


@dataclass(frozen=True, slots=True)
class Sourced:
    """A number that shows where it comes from.

    key: dotted name.  value in unit, believed to lie from low to high.  source: bibliography key or '' when there is
    none, which only the statuses common practice, project choice and from memory allow.  place: page, table or section.
    reason: what the number is for and why this one was taken.
    """

    key: str
    value: float
    unit: str
    low: float
    high: float
    source: str
    place: str
    status: Status
    reason: str

    def faults(self) -> list[str]:
        """What keeps this value from being accepted; empty when it is complete."""
        found = []
        if not self.unit:
            found.append("has no unit (write 1 for a pure number)")
        if not self.low <= self.value <= self.high:
            found.append(f"its value {self.value} lies outside its own range {self.low} to {self.high}")
        if self.status not in STATUSES:
            found.append(f"its status “{self.status}” is none of {', '.join(STATUSES)}")
        if self.status in ("published", "derived") and not (self.source and self.place):
            found.append("is published or derived but names no source with place")
        if not self.reason:
            found.append("has no reason")
        return [f"{self.key} {fault}" for fault in found]

    def words(self) -> str:
        """For the list of sources under a result."""
        origin = f"{self.source}, {self.place}" if self.source else "no source"
        return f"{self.key} = {self.value:g} {self.unit} ({self.status}; {origin})"


def merge(*lists: Iterable[Sourced]) -> tuple[Sourced, ...]:
    """The values of several lists, each once, in order of first use."""
    seen: dict[str, Sourced] = {}
    for values in lists:
        for value in values:
            seen.setdefault(value.key, value)
    return tuple(seen.values())


def read_values(table: dict[str, Any], prefix: str = "") -> list[Sourced]:
    """The sourced values of a nested table, keyed by dotted names; a table that holds `value` is one of them.

    A missing range is the value itself. Whether the values are complete is for `Sourced.faults` to say.
    """
    if "value" in table:
        number = float(table["value"])
        entry: dict[str, Any] = {"low": number, "high": number, "source": "", "place": "", "reason": ""} | table
        entry |= {name: float(entry[name]) for name in ("value", "low", "high")}
        return [Sourced(key=prefix, **entry)]
    return [value for name, item in table.items() for value in read_values(item, f"{prefix}.{name}".lstrip("."))]
