"""From the rows of one sheet to drafts of records: every cell read, every fault of a cell noted under its heading."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, time
from typing import Any

from ashcomb.casework.importing.cells import Choice, Clock, Reader, Setting, Text
from ashcomb.casework.importing.days import Days
from ashcomb.casework.importing.headings import Heading, Layout, repeats
from ashcomb.casework.importing.mapping import SheetMapping
from ashcomb.casework.importing.measures import READERS, Degrees, Longitude, Position
from ashcomb.casework.importing.names import WRONG, field_named, plain, title
from ashcomb.casework.importing.result import Cell, Note, UnreadableError, shown
from ashcomb.casework.importing.sheets import Sheet
from ashcomb.casework.importing.words import TOTALS
from ashcomb.kernel.errors import Problem
from ashcomb.kernel.time import Span
from ashcomb.records.columns import EVIDENCE, Column, Kind, Type

# A day that nobody gave, for kinds that do not need one: an interval that says nothing, always the same.
NO_DAY = Span(date(1900, 1, 1), date(2199, 12, 31))
GRADE = "document"  # a row without grade of evidence: the spreadsheet is a document, nobody says that he saw it
_EVIDENCE = Column(Type.CHOICE, "Evidence", "How good the evidence is", options=EVIDENCE)


@dataclass
class Draft:
    """One row on its way to a record. row: as the spreadsheet shows it.  values: by field, what could be read."""

    page: Page
    row: int
    cells: list[Cell]
    values: dict[str, Any] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def problem(self, name: str, what: str, do: str, value: str = "") -> Problem:
        """A problem of this row in the column of that field."""
        return Problem(what, do, self.page.sheet.label, self.row, self.heading(name), value or self.shown(name))

    def heading(self, name: str) -> str:
        """The heading of a field as it stands in the sheet, or ours where the sheet has none."""
        return self.page.layout.heading(name) or (title(self.page.layout.kind, name) if name else "")

    def shown(self, name: str) -> str:
        """What the row holds under the heading of that field."""
        return next((shown(self.cell(item.index)) for item in self.page.layout.headings if item.field == name), "")

    def cell(self, index: int) -> Cell:
        """The cell in that column; '' beyond the end of the row."""
        return self.cells[index] if index < len(self.cells) else ""

    @property
    def happened(self) -> Span:
        """When it happened; the end of time where the day could not be read, so that no day is too early."""
        return self.values.get("happened") or (NO_DAY if self.page.dayless else Span(date.max, date.max))


@dataclass
class Page:
    """A sheet with its layout and a reader for each of its columns."""

    sheet: Sheet
    layout: Layout
    readers: list[tuple[Heading, Reader]]
    always: dict[str, Any]
    notes: list[Note]

    @property
    def dayless(self) -> bool:
        """Whether rows of this kind may come without a day."""
        return not self.layout.kind.happened_required

    def cleared(self, draft: Draft) -> tuple[Cell, ...]:
        """The cells of a row as they can stand alone, without the rest of their columns; as many as headings."""
        cells = [draft.cell(index) for index in range(len(self.layout.words))]
        for item, reader in self.readers:
            try:
                cells[item.index] = reader.clear(cells[item.index])
            except UnreadableError:
                continue
        return tuple(cells)

    def remarks(self) -> list[Note]:
        """What the readers inferred, column by column."""
        return [Note(f"{what}: {count} {'cell' if count == 1 else 'cells'}, for example “{example}”.",
                     self.sheet.label, None, item.words)
                for item, reader in self.readers for what, (count, example) in reader.remarks.items()]  # fmt: skip


def open_page(sheet: Sheet, layout: Layout, mapping: SheetMapping | None, southern: bool) -> Page:
    """The page of a sheet: makes the readers, which look at their whole columns, and reads what is always so."""
    mapping = mapping or SheetMapping(layout.kind.name)
    readers = []
    for item in layout.headings:
        setting = Setting(mapping.decimals, mapping.dates, item.unit, mapping.words, southern, sheet.epoch)
        cells = [row[item.index] for row in sheet.rows[layout.row + 1 :] if item.index < len(row)]
        readers.append((item, reader_for(layout.kind, item.field, setting, cells)))
    setting = Setting(mapping.decimals, mapping.dates, "", mapping.words, southern, sheet.epoch)
    fixed = {field_named(layout.kind, name): text for name, text in mapping.always.items()}
    always = {name: reader_for(layout.kind, name, setting, [text]).read(text) for name, text in fixed.items()}
    return Page(sheet, layout, readers, always, list(sheet.notes))


def reader_for(kind: Kind, name: str, setting: Setting, cells: list[Cell]) -> Reader:
    """The reader of a field."""
    if name == "happened":
        return Days(setting, cells)
    special: dict[str, Callable[..., Reader]] = {"clock": Clock, "position": Position, "lat": Degrees, "lon": Longitude}
    column = kind.columns.get(name) or (_EVIDENCE if name == "evidence" else None)
    if name in special:
        return special[name](column, setting, cells)
    if name == "evidence":
        return Choice(column, setting, cells)
    return READERS[column.type](column, setting, cells) if column else Text(None, setting, cells)


def read_drafts(page: Page) -> list[Draft]:
    """A draft of every row below the headings; blank rows and repeated headings are left out."""
    drafts, again = [], []
    own = {index for index, word in enumerate(page.layout.words) if plain(word) == plain(WRONG)}
    for index, row in enumerate(page.sheet.rows[page.layout.row + 1 :], page.layout.row + 1):
        if not any(shown(cell) for column, cell in enumerate(row) if column not in own):
            continue
        if repeats(row, page.layout):
            again.append(str(index + 1))
            continue
        draft = Draft(page, index + 1, row, dict(page.always))
        _read_row(draft)
        drafts.append(draft)
    if again:
        page.notes.append(Note(f"The headings stand again in row {', '.join(again)}: left out.", page.sheet.label))
    return drafts


def _read_row(draft: Draft) -> None:
    first = next(shown(cell) for cell in draft.cells if shown(cell))
    if plain(first) in TOTALS:
        name = next((item.field for item in draft.page.layout.headings if draft.shown(item.field) == first), "")
        draft.problems.append(
            draft.problem(name, "is a total, not a record.", "Delete the row; totals are counted anew.", first)
        )
        return
    errors = []  # of positions, in metres: what is stated, and what the last digits leave open
    for item, reader in draft.page.readers:
        try:
            value = reader.read(draft.cell(item.index))
        except UnreadableError as fault:
            draft.problems.append(draft.problem(item.field, fault.what, fault.do))
            continue
        if item.field == "position":
            draft.values |= value or {}
        elif value != reader.empty:
            draft.values[item.field] = value
        errors += [draft.values.pop("error_m", None), reader.error_m if isinstance(reader, Degrees) else None]
    if any(errors):
        draft.values["error_m"] = max(error for error in errors if error is not None)
    _finish(draft)


def _finish(draft: Draft) -> None:
    """The hour from a column of its own joins the day; the default grade of evidence fills its gap."""
    clock, when = draft.values.pop("clock", None), draft.values.get("happened")
    if clock and when is not None:
        if not when.certain or when.minute is not None:
            draft.problems.append(draft.problem("clock", "gives an hour, but the day is no one day without an hour.",
                                                "Leave out one of the two."))  # fmt: skip
        else:
            draft.values["happened"] = Span.day(when.first, time.fromisoformat(clock))
    draft.values["evidence"] = draft.values.get("evidence") or GRADE
