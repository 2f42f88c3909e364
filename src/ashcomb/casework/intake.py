"""Takes spreadsheets into a case: good rows are written and sealed, refused rows come back with what would fix them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from ashcomb.casework.case import Case
from ashcomb.casework.importing.mapping import read_mapping, write_mapping
from ashcomb.casework.importing.reader import read_files
from ashcomb.casework.importing.refusals import write_refusals
from ashcomb.casework.importing.result import ImportResult
from ashcomb.casework.importing.template import write_template
from ashcomb.casework.report import Report, Section, Table, table
from ashcomb.kernel.errors import Problem
from ashcomb.kernel.words import several

MAPPING = "mapping.toml"
REFUSED = "refused"


@dataclass(frozen=True, slots=True)
class Intake:
    """What an import did. refused: rows that were not kept.  file: the spreadsheet of refused rows, or None."""

    report: Report
    result: ImportResult
    refused: int
    file: Path | None

    @property
    def whole(self) -> bool:
        """Whether every row was kept and no whole sheet was left out."""
        sheets = [sheet for sheet, heading in self.result.mapping.unread if not heading]
        return not self.refused and not sheets and not self.result.problems


def take_in(case: Case, files: Sequence[Path]) -> Intake:
    """Imports spreadsheets; reading the same file twice changes nothing.

    The mapping of headings that was used is kept in the case folder as `mapping.toml`, where it can be changed.
    Raises UserError for a file that cannot be read at all; then nothing of any file is taken.
    """
    noted, zero = case.hand.now_ms(), case.head.grid_lat
    result = read_files(files, case.situation(), read_mapping(case.folder / MAPPING), noted=noted, received=noted,
                        by=case.hand.by, new_id=case.hand.new_id, southern=zero is not None and zero < 0)  # fmt: skip
    if result.records:
        case.write(result.records, f"import of {', '.join(file.name for file in files)}")
    write_mapping(result.mapping, case.folder / MAPPING)
    file = _refusal_file(case, result)
    return Intake(_report(result, file, case.folder / MAPPING), result, result.refused_rows, file)


def blank_workbook(file: Path) -> None:
    """Writes the blank spreadsheet with every sheet and heading."""
    write_template(file)


def _refusal_file(case: Case, result: ImportResult) -> Path | None:
    if not result.refused:
        return None
    folder = case.folder / REFUSED
    folder.mkdir(exist_ok=True)
    file = folder / f"refused-{case.now():%Y%m%d-%H%M%S}.xlsx"
    write_refusals(result, file)
    return file


def _report(result: ImportResult, file: Path | None, mapping: Path) -> Report:
    rows = [(name, c.read, c.kept, c.already, c.refused, c.waiting) for name, c in result.counts.items()]
    columns = ("Kind", "Rows read", "Kept", "Already there", "Refused", "Waiting")
    unread = [f"{sheet}: {heading or 'whole sheet'} is not read" for sheet, heading in result.mapping.unread]
    sections = [
        Section("Rows", (), table(columns, rows, right=(1, 2, 3, 4, 5))),
        Section("Refused, with what would fix it", (), _problem_table(result.problems)),
        Section("Waiting for a refused row", (), _problem_table(result.waiting)),
        Section("Inferred or left out", tuple(str(note) for note in result.notes)),
        Section("Not read", tuple(unread)),
    ]
    kept = sum(count.kept for count in result.counts.values())
    headline = f"{several(kept, 'row')} kept, {result.refused_rows} refused."
    if file:
        headline += f" The refused rows stand in {file} with the bad cells marked: correct them and import that file."
        if any(problem.unknown[0] for problem in result.problems):
            headline += " It also has a sheet to fill in for what rows name and nobody entered."
    headline += f" How sheets and headings were read stands in {mapping}, where it can be changed."
    facts = {"kept": kept, "refused": result.refused_rows, "file": str(file) if file else None,
             "counts": {row[0]: dict(zip(("read", "kept", "already", "refused", "waiting"), row[1:], strict=True))
                        for row in rows},
             "problems": [_fact(problem) for problem in result.problems],
             "waiting": [_fact(problem) for problem in result.waiting],
             "notes": [str(note) for note in result.notes]}  # fmt: skip
    filled = [section for section in sections if section.lines or (section.table and section.table.rows)]
    return Report("Import", headline, tuple(filled), facts)


def _problem_table(problems: Iterable[Problem]) -> Table:
    rows = [(p.sheet, p.row, p.column, p.value[:40], p.what, p.do) for p in problems]
    return table(("Sheet", "Row", "Column", "Value", "What was wrong", "What would fix it"), rows, right=(1,))


def _fact(problem: Problem) -> dict[str, object]:
    return {"sheet": problem.sheet, "row": problem.row, "column": problem.column, "value": problem.value,
            "what": problem.what, "do": problem.do}  # fmt: skip
