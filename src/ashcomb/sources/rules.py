"""What a code profile holds: rules in words, time limits, numbers, permissions."""

from __future__ import annotations

from dataclasses import dataclass, field

from ashcomb.kernel.errors import UserError
from ashcomb.sources.model import Source, Sourced, Status, citation_faults

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
PERMISSIONS = ("allowed", "forbidden", "needs leave")


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule in words: what is asked, with its citation. text is what a paper prints."""

    key: str
    text: str
    source: str
    place: str
    status: Status

    def faults(self) -> list[str]:
        """What keeps this rule from being accepted; empty when it is complete."""
        found = [] if self.text else ["has no text"]
        return [f"rule {self.key} {fault}" for fault in found + citation_faults(self.status, self.source, self.place)]


@dataclass(frozen=True, slots=True)
class ClockRule:
    """A time limit or earliest time: `amount` `unit` from `starts`.

    amount: 0 means at once.  meaning: 'due' (must be done by then) or 'earliest' (may not be done before).
    slides: whether a date that falls on a rest day moves to the next working day.  until: for windows, the end
    counted like amount; else None.
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

    def faults(self) -> list[str]:
        """What keeps this clock from being accepted; empty when it is complete."""
        found = [] if self.title and self.text else ["has no title or no text"]
        if self.unit not in CLOCK_UNITS:
            found.append(f"counts in “{self.unit}”, which is none of {', '.join(CLOCK_UNITS)}")
        if self.starts not in CLOCK_EVENTS:
            found.append(f"starts at “{self.starts}”, which is none of {', '.join(CLOCK_EVENTS)}")
        if self.meaning not in ("due", "earliest"):
            found.append(f"means “{self.meaning}”, which is neither due nor earliest")
        if self.amount < 0 or (self.until is not None and self.until <= self.amount):
            found.append("counts backwards")
        return [f"clock {self.key} {fault}" for fault in found + citation_faults(self.status, self.source, self.place)]


@dataclass(frozen=True, slots=True)
class CodeProfile:
    """The rules of one place.

    values: numbers by key (for example pit.cover_m), as `Sourced`.  filled: keys of those numbers that the place does
    not set and that a cautious stand-in fills.  rules: rules in words by key.  clocks: time limits.
    agents: agents that may be offered, by name of the permission ('allowed', 'forbidden', 'needs leave').
    fate: (component, method) -> permission.  sources: bibliography entries that the file itself brings.
    rest_days: weekdays, Monday is 0.  holiday_region: ISO codes for the holiday library ('NZ', 'US-CA'), or ''.
    holidays: extra rest days as ISO dates.  digest: changes with any number, rule or filled gap.
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
    sources: dict[str, Source] = field(default_factory=dict, hash=False)
    filled: frozenset[str] = frozenset()

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


@dataclass(frozen=True, slots=True)
class Scheme:
    """An insurance or compensation scheme, as far as it was read.

    prices: group of sourced values that is its tariff, or '' where the recorded price list counts.  cuts: keys of the
    share that is cut, by years in a row before this one with a claim, '' for none.  asks: what a claim must hold.
    """

    key: str
    title: str
    currency: str
    status: Status
    source: str
    place: str
    covers: str
    deadline: str
    asks: list[str]
    prices: str = ""
    cuts: list[str] = field(default_factory=list)

    def faults(self) -> list[str]:
        """What keeps this scheme from being accepted; empty when it is complete."""
        return [f"scheme {self.key} {fault}" for fault in citation_faults(self.status, self.source, self.place)]
