"""Writes papers of a case, or blank ones, as PDF files."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from ashcomb.casework.case import Case
from ashcomb.casework.sheets.catalogue import make_sheet, paper_names, paper_titles
from ashcomb.casework.sheets.crewday import day_sheets
from ashcomb.casework.sheets.desk import Desk, SheetAsk
from ashcomb.papers.typst import set_paper
from ashcomb.plans.visits import VisitPlan

__all__ = ["paper_names", "paper_titles", "render_paper", "write_day_sheets", "write_papers"]
BLANK_MOMENT = 946_684_800  # 1 January 2000: a blank paper has no date of its own
ANY = SheetAsk()


def render_paper(case: Case | None, name: str, paper: str = "a4", blank: bool = False, ask: SheetAsk = ANY) -> bytes:
    """One paper as PDF bytes; without a case, or with blank, the blank form of it.

    name: one of `paper_names()`.  paper: 'a4' or 'us-letter'.  ask: which yard, night or keeper in particular.
    Raises UserError for an unknown name or format, FaultError if the paper cannot be set.
    """
    desk = Desk(None if blank else case, ask)
    seal = desk.case.store.head() if desk.case else None
    return set_paper(make_sheet(desk, name), paper, seal.at // 1000 if seal else BLANK_MOMENT)


def write_papers(
    case: Case | None,
    folder: Path,
    *,
    names: Sequence[str] = (),
    paper: str = "a4",
    blank: bool = False,
    ask: SheetAsk = ANY,
) -> list[Path]:
    """Writes these papers (all of them if none is named) into a folder and says which files.

    Raises UserError for an unknown name or format, or a folder that cannot be written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name in names or paper_names():
        stem = f"{name}-blank" if blank or case is None else "-".join(filter(None, [case.head.mark, name, ask.apiary]))
        target = folder / f"{_safe(stem)}-{paper}.pdf"
        target.write_bytes(render_paper(case, name, paper, blank, ask))
        written.append(target)
    return written


def write_day_sheets(case: Case, plan: VisitPlan, folder: Path, paper: str = "a4") -> Path:
    """Writes the day sheets of a plan of visits that is already worked out, and says which file."""
    folder.mkdir(parents=True, exist_ok=True)
    seal = case.store.head()
    made = set_paper(day_sheets(Desk(case), plan), paper, seal.at // 1000 if seal else BLANK_MOMENT)
    target = folder / f"{_safe(f'{case.head.mark}-crewday-{plan.first}')}-{paper}.pdf"
    target.write_bytes(made)
    return target


def _safe(stem: str) -> str:
    return "".join(c if c.isalnum() or c in "-_." else "_" for c in stem)
