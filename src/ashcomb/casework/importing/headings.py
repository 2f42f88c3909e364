"""Which row holds the headings, which kind a sheet is of, and which heading means which field."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cache

from ashcomb.casework.importing.mapping import SheetMapping
from ashcomb.casework.importing.names import ENVELOPE, WRONG, aliases, column_of, field_named, fields, kind_named, plain
from ashcomb.casework.importing.numbers import unit_in
from ashcomb.casework.importing.result import Cell, shown
from ashcomb.casework.importing.sheets import Sheet
from ashcomb.casework.importing.words import DASHES, choose
from ashcomb.records.all import KINDS, ORDER
from ashcomb.records.columns import EVIDENCE, Kind

_LOOK = 40  # rows in which the headings must stand
_ENOUGH = 3  # headings that must be known before a sheet is taken for a kind by its headings alone


@dataclass(frozen=True)
class Heading:
    """One heading that is read: where it stands, its words, its field, and the unit it names."""

    index: int
    words: str
    field: str
    unit: str = ""


@dataclass(frozen=True)
class Layout:
    """How a sheet is read. row: index of the row of headings.  words: every heading.  unread: those left out."""

    kind: Kind
    row: int
    headings: tuple[Heading, ...]
    words: tuple[str, ...]
    unread: dict[str, str] = field(default_factory=dict)
    inferred: bool = False

    def heading(self, field: str) -> str:
        """The heading of a field as it stands in the sheet, or ''."""
        return next((item.words for item in self.headings if item.field == field), "")


def lay_out(sheet: Sheet, mapping: SheetMapping | None) -> Layout | None:
    """The layout of a sheet by the user's mapping, by its name, or by its headings; None if nothing fits."""
    if mapping and mapping.kind:
        return _layout(sheet, KINDS[mapping.kind], mapping)
    named = kind_named(sheet.name)
    if named:
        return _layout(sheet, named, mapping)
    found = [layout for name in ORDER if (layout := _layout(sheet, KINDS[name], mapping, inferred=True)) is not None
             and len(layout.headings) >= _ENOUGH and not missing(layout, mapping)]  # fmt: skip
    most = max((len(layout.headings) for layout in found), default=0)
    best = [layout for layout in found if len(layout.headings) == most]
    return best[0] if len(best) == 1 else None


def missing(layout: Layout, mapping: SheetMapping | None) -> list[str]:
    """Fields that the kind requires and the sheet has no column for."""
    kind = layout.kind
    needed = (["happened"] if kind.happened_required else []) + [n for n, c in kind.columns.items() if c.required]
    always = {field_named(kind, name) for name in (mapping.always if mapping else ())}
    return [name for name in needed if not layout.heading(name) and name not in always]


def repeats(row: Sequence[Cell], layout: Layout) -> bool:
    """Whether a row only says the headings again."""
    said = [(index, plain(shown(cell))) for index, cell in enumerate(row) if shown(cell)]
    same = [index for index, text in said if index < len(layout.words) and text == plain(layout.words[index])]
    return len(said) > 1 and len(same) == len(said)


def _layout(sheet: Sheet, kind: Kind, mapping: SheetMapping | None, inferred: bool = False) -> Layout | None:
    """The layout with the row among the first that has most known headings; the first of equals."""
    best: Layout | None = None
    for index, row in enumerate(sheet.rows[:_LOOK]):
        words = tuple(shown(cell) for cell in row)
        headings, unread = _assign(words, kind, mapping)
        if headings and (best is None or len(headings) > len(best.headings)):
            best = Layout(kind, index, tuple(headings), words, unread, inferred)
    if best is None or (len(best.headings) < 2 and sum(map(bool, best.words)) > 1):
        return None
    return _without_other_sources(sheet, best)


def _assign(words: Sequence[str], kind: Kind, mapping: SheetMapping | None) -> tuple[list[Heading], dict[str, str]]:
    """Gives each field its best heading: the user's own, then our title, then synonyms in their order."""
    own = (
        {plain(heading): field_named(kind, name) if name else "" for heading, name in mapping.columns.items()}
        if mapping
        else {}
    )
    offers: list[tuple[float, int, str, str]] = []
    for index, heading in enumerate(words):
        if plain(heading) in own:
            if own[plain(heading)]:
                offers.append((-1.0, index, own[plain(heading)], _unit(heading, own[plain(heading)], kind)))
        elif heading and plain(heading) != plain(WRONG):
            offers += [(rank, index, name, unit) for rank, name, unit in _offers(heading, kind)]
    dated = {index for _, index, name, _ in offers if name == "happened"}
    hours = {index for index in dated if plain(words[index]) in ENVELOPE["clock"]}
    if dated - hours:  # with a day beside it, a column “Time” holds the hour
        offers = [offer for offer in offers if not (offer[2] == "happened" and offer[1] in hours)]
    taken: dict[int, Heading] = {}
    for _, index, name, unit in sorted(offers):
        if index not in taken and all(item.field != name for item in taken.values()):
            taken[index] = Heading(index, words[index], name, unit)
    unread = {}
    for index, heading in enumerate(words):
        if heading and index not in taken and plain(heading) != plain(WRONG):
            rivals = [item.words for item in taken.values() for offer in offers
                      if offer[1] == index and offer[2] == item.field]  # fmt: skip
            unread[heading] = f"“{rivals[0]}” already holds it" if rivals else ""
    return [taken[index] for index in sorted(taken)], unread


def _offers(heading: str, kind: Kind) -> list[tuple[float, str, str]]:
    """(rank, field, unit) of each field that a heading may mean; a unit at its end is taken off if need be."""
    exact, bases = _known(kind.name)
    text, stem = plain(heading), plain(heading.rpartition(" ")[0] or heading.rpartition("(")[0])
    found = [(rank, name, _unit(heading, name, kind)) for rank, name in exact.get(text, ())]
    named = {name for _, name, _ in found}
    for name in (*bases.get(text, ()), *(name for _, name in exact.get(stem, ())), *bases.get(stem, ())):
        unit = _unit(heading, name, kind)
        if name not in named and name in kind.columns and (unit or name in bases.get(text, ())):
            named.add(name)
            found.append((50.0, name, unit))
    return found


@cache
def _known(kind_name: str) -> tuple[dict[str, list[tuple[float, str]]], dict[str, list[str]]]:
    """Fields with their rank by comparable heading, and fields by heading without the unit at its end."""
    kind = KINDS[kind_name]
    exact: dict[str, list[tuple[float, str]]] = {}
    bases: dict[str, list[str]] = {}
    for name in fields(kind):
        late = 100.0 if name in ENVELOPE or name == "position" else 0.0
        column = column_of(kind, name)
        for rank, alias in enumerate(aliases(kind, name)):
            exact.setdefault(plain(alias), []).append((late + rank, name))
            base, unit = unit_in(alias, column.unit if column else "")
            if unit:
                bases.setdefault(plain(base), []).append(name)
    return exact, bases


def _unit(heading: str, name: str, kind: Kind) -> str:
    """The unit in a heading; for a whole position, 'grid' if the heading speaks of the grid."""
    if name == "position":
        return "grid" if "grid" in plain(heading) else ""
    column = column_of(kind, name)
    return unit_in(heading, column.unit)[1] if column else ""


def _without_other_sources(sheet: Sheet, layout: Layout) -> Layout:
    """A column “Source” or “Grade” is the grade of evidence only if every cell of it is one; else it is not read."""
    item = next((item for item in layout.headings if item.field == "evidence"), None)
    if item is None or "evidence" in plain(item.words):
        return layout
    cells = [shown(row[item.index]) for row in sheet.rows[layout.row + 1 :] if len(row) > item.index]
    if all(not cell or cell in DASHES or choose(cell, EVIDENCE, {}) for cell in cells):
        return layout
    kept = tuple(other for other in layout.headings if other is not item)
    return Layout(layout.kind, layout.row, kept, layout.words,
                  layout.unread | {item.words: "its cells are no grades of evidence"}, layout.inferred)  # fmt: skip
