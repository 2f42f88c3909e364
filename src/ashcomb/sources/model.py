"""What a sourced number is: value, unit, range, source with place, status and the reason for it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, Literal, get_args

from ashcomb.sources.fields import build

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
        found: list[str] = []
        if not self.unit:
            found.append("has no unit (write 1 for a pure number)")
        if not self.low <= self.value <= self.high:
            found.append(f"its value {self.value} lies outside its own range {self.low} to {self.high}")
        found += citation_faults(self.status, self.source, self.place)
        if not self.reason:
            found.append("has no reason")
        return [f"{self.key} {fault}" for fault in found]

    def words(self) -> str:
        """For the list of sources under a result."""
        origin = f"{self.source}, {self.place}" if self.source else "no source"
        return f"{self.key} = {self.value:g} {self.unit} ({self.status}; {origin})"


def citation_faults(status: str, source: str, place: str) -> list[str]:
    """What is wrong with the origin of a number or rule: an unknown status, or a published one without place."""
    if status not in STATUSES:
        return [f"has the status “{status}”, which is none of {', '.join(STATUSES)}"]
    if status in ("published", "derived") and not (source and place):
        return ["is published or derived but names no source with place"]
    return []


def merge(*lists: Iterable[Sourced]) -> tuple[Sourced, ...]:
    """The values of several lists, each once, in order of first use."""
    seen: dict[str, Sourced] = {}
    for values in lists:
        for value in values:
            seen.setdefault(value.key, value)
    return tuple(seen.values())


def read_values(table: dict[str, Any], prefix: str = "", faults: list[str] | None = None) -> list[Sourced]:
    """The sourced values of a nested table, keyed by dotted names; a table that holds `value` is one of them.

    faults: receives everything that keeps a value from being accepted; a value whose entries do not fit is left out.
    source and place may be missing here; `Sourced.faults` says for which status they may. Without a list of faults
    the first one raises ValueError.
    """
    found: list[str] = []
    read = list(_walk(table, prefix, found))
    found += [fault for value in read for fault in value.faults()]
    if faults is None and found:
        raise ValueError("; ".join(found))
    if faults is not None:
        faults += found
    return read


def _walk(table: dict[str, Any], prefix: str, faults: list[str]) -> Iterable[Sourced]:
    if "value" in table and not isinstance(table["value"], dict):
        value = build(Sourced, {"source": "", "place": ""} | table, faults, key=prefix)
        if value:
            yield value
        return
    for name, item in table.items():
        key = f"{prefix}.{name}".lstrip(".")
        if isinstance(item, dict):
            yield from _walk(item, key, faults)
        else:
            faults.append(f"{key} stands outside a table that holds a value")
