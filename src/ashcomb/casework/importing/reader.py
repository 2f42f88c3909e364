"""Reads spreadsheets into records: files to sheets, sheets to rows, rows to records that fit what is already known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from ashcomb.casework.importing.fitting import Fitter
from ashcomb.casework.importing.headings import Layout, lay_out, missing
from ashcomb.casework.importing.mapping import Mapping, SheetMapping
from ashcomb.casework.importing.names import title
from ashcomb.casework.importing.result import ImportResult, Note, UnreadableError
from ashcomb.casework.importing.rows import Draft, Page, open_page, read_drafts
from ashcomb.casework.importing.sheets import Sheet, read_sheets
from ashcomb.kernel.errors import Problem, UserError
from ashcomb.records.all import ORDER
from ashcomb.records.situation import Situation


def read_files(
    paths: Sequence[Path],
    situation: Situation,
    mapping: Mapping | None,
    *,
    noted: int,
    received: int,
    by: str,
    new_id: Callable[[], str],
    southern: bool = False,
) -> ImportResult:
    """Reads spreadsheets and says what of them is new and good, what was refused and why, and what was inferred.

    paths: XLSX or CSV files, sheets in any order.  mapping: what the user says about sheets and headings, or None.
    noted, received: UTC milliseconds.  by: who answers for rows that name nobody.  new_id: makes record ids.
    southern: whether seasons are those of the southern hemisphere.  Nothing is written.  Raises UserError for a file
    that cannot be read at all; every other fault is a `Problem` of the result, and good rows are kept.
    """
    sheets = _labelled(read_sheets(paths))
    job = _Job(mapping or Mapping(), southern)
    for sheet in sheets:
        job.take(sheet)
    fitter = Fitter(situation, noted=noted, received=received, by=by, new_id=new_id)
    for name in ORDER:
        for draft in job.drafts.get(name, ()):
            fitter.fit(draft)
    notes = job.notes + [note for page in job.pages for note in [*page.notes, *page.remarks()]] + fitter.notes()
    return ImportResult(
        tuple(fitter.records),
        tuple(job.problems + fitter.problems),
        tuple(fitter.waiting),
        tuple(notes),
        Mapping(job.used),
        fitter.counts(),
        tuple(fitter.refused),
    )


_NO_KIND = "The sheet is not read: neither its name nor its headings say what it holds. Name its kind in the mapping."


class _Job:
    """What is known of the sheets once all are opened."""

    def __init__(self, mapping: Mapping, southern: bool) -> None:
        self.mapping, self.southern = mapping, southern
        self.drafts: dict[str, list[Draft]] = {}
        self.pages: list[Page] = []
        self.notes: list[Note] = []
        self.problems: list[Problem] = []
        self.used: dict[str, SheetMapping] = dict(mapping.sheets)

    def take(self, sheet: Sheet) -> None:
        """Lays out a sheet and reads its rows, or says why it is not read."""
        own = self.mapping.of(sheet.name)
        if not any(cell != "" for row in sheet.rows for cell in row):
            return self._leave(sheet, own, "The sheet is empty.")
        if own and not own.kind:
            return self._leave(sheet, own, "The mapping says that this sheet is not read.")
        layout = lay_out(sheet, own)
        if layout is None:
            return self._leave(sheet, own, _NO_KIND)
        self._use(sheet, layout, own)
        lacking = [title(layout.kind, name) for name in missing(layout, own)]
        if lacking:
            for name in lacking:
                self.problems.append(Problem("there is no such column, so the sheet was not read.",
                                             "Add the column, or say in the mapping which heading means it.",
                                             sheet.label, None, name))  # fmt: skip
            return None
        try:
            page = open_page(sheet, layout, own, self.southern)
        except UnreadableError as fault:
            raise UserError(fault.what, fault.do, f"mapping, sheet {sheet.name}, always") from None
        self.pages.append(page)
        self.drafts.setdefault(layout.kind.name, []).extend(read_drafts(page))
        return None

    def _use(self, sheet: Sheet, layout: Layout, own: SheetMapping | None) -> None:
        """Writes down what the sheet and its headings were taken for."""
        columns = {item.words: item.field for item in layout.headings} | dict.fromkeys(layout.unread, "")
        before = self.used.get(sheet.name) or own or SheetMapping(layout.kind.name)
        kept = {name: entry for name, entry in self.used.items() if entry is not own}
        self.used = kept | {sheet.name: replace(before, kind=layout.kind.name, columns=before.columns | columns)}
        if layout.inferred:
            self.notes.append(Note(f"The sheet is read as {layout.kind.sheet}, by its headings.", sheet.label))
        if layout.row:
            self.notes.append(Note("The headings are taken from this row.", sheet.label, layout.row + 1))
        self.notes += [
            Note(f"The column is not read{f': {why}' if why else ''}.", sheet.label, None, heading)
            for heading, why in layout.unread.items()
            if not own or own.columns.get(heading) != ""
        ]
        bare = [i for i in _used_columns(sheet, layout) if i >= len(layout.words) or not layout.words[i]]
        self.notes += [Note(f"Column {i + 1} has cells but no heading; it is not read.", sheet.label) for i in bare]
        if not layout.heading("evidence") and not (own and "evidence" in own.always):
            self.notes.append(Note("No row gives a grade of evidence: read as “document”.", sheet.label))

    def _leave(self, sheet: Sheet, own: SheetMapping | None, why: str) -> None:
        self.notes.append(Note(why, sheet.label))
        self.used.setdefault(sheet.name, own or SheetMapping(""))


def _used_columns(sheet: Sheet, layout: Layout) -> list[int]:
    return sorted({index for row in sheet.rows[layout.row + 1 :] for index, cell in enumerate(row) if cell != ""})


def _labelled(sheets: Iterable[Sheet]) -> list[Sheet]:
    """Sheets with a label for messages: the sheet's name, with the file before it where names repeat."""
    sheets = list(sheets)
    times = Counter(sheet.name for sheet in sheets)
    labelled = []
    for sheet in sheets:
        label = sheet.name if times[sheet.name] == 1 else f"{sheet.file}/{sheet.name}"
        labelled.append(replace(sheet, label=label, notes=tuple(replace(note, sheet=label) for note in sheet.notes)))
    return labelled
