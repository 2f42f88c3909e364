"""What a use case says, in words and tables: one form that the command line, the pages and the papers render."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from ashcomb.plans.result import Plan, as_json
from ashcomb.sources.library import bibliography
from ashcomb.sources.model import Sourced
from ashcomb.sources.profile import Rule


@dataclass(frozen=True, slots=True)
class Table:
    """A ruled table. right: columns that hold numbers and are aligned right."""

    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with sentences and at most one table."""

    heading: str
    lines: tuple[str, ...] = ()
    table: Table | None = None


@dataclass(frozen=True, slots=True)
class Report:
    """A titled answer. headline: the one sentence to read first.  facts: the plan as JSON values."""

    title: str
    headline: str
    sections: tuple[Section, ...]
    facts: Any = None

    def with_sections(self, *more: Section) -> Report:
        """The same report with more sections at its end."""
        return Report(self.title, self.headline, (*self.sections, *more), self.facts)


def table(columns: Sequence[str], rows: Iterable[Sequence[Any]], right: Sequence[int] = ()) -> Table:
    """A table of anything that has words; None becomes empty, numbers keep the words they were given."""
    cells = tuple(tuple("" if cell is None else str(cell) for cell in row) for row in rows)
    return Table(tuple(columns), cells, tuple(right))


def report(title: str, headline: str, sections: Iterable[Section], plan: Plan | None = None) -> Report:
    """A report with the cautions of the plan first and its assumptions, rules and sources last."""
    if plan is None:
        return Report(title, headline, tuple(sections))
    caution = [Section("Caution", plan.cautions)] if plan.cautions else []
    return Report(title, headline, (*caution, *sections, *foundations(plan)), as_json(plan))


def foundations(plan: Plan) -> list[Section]:
    """What a plan rests on: assumptions, rules of the place, values with their sources."""
    found = []
    if plan.assumptions:
        found.append(Section("Taken for granted", plan.assumptions))
    if plan.rules:
        found.append(Section("Rules", tuple(rule_words(rule) for rule in plan.rules)))
    if plan.uses:
        found.append(Section("Values and their sources", (), sources_table(plan.uses)))
    return found


def sources_table(uses: Iterable[Sourced]) -> Table:
    """Each value with unit, range, status and source."""
    rows = [(u.key, f"{u.value:g} {'' if u.unit == '1' else u.unit}".rstrip(), f"{u.low:g} to {u.high:g}", u.status,
             source_words(u.source, u.place)) for u in uses]  # fmt: skip
    return table(("Value", "Used", "Range", "Status", "Source"), rows)


def source_words(key: str, place: str) -> str:
    """A source with its place in words for people."""
    if not key:
        return "no source"
    entry = bibliography().get(key)
    name = f"{entry.authors or entry.title} {entry.year}".strip() if entry else key
    return f"{name}, {place}" if place else name


def rule_words(rule: Rule) -> str:
    """A rule with its citation and status."""
    return f"{rule.text} ({rule.status}; {source_words(rule.source, rule.place)})"
