"""What the looks were worth, what suspicion is left, and how sure “no case here” is."""

from __future__ import annotations

from datetime import date

from ashcomb.casework.case import Case
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words
from ashcomb.plans.freedom import FreedomPlan, freedom_of
from ashcomb.plans.inspection import InspectionPlan, inspection
from ashcomb.science.exact import percent


def looks_worth(case: Case, apiary: str, first: date, last: date) -> InspectionPlan:
    """The worth of the looks at an apiary in a round; an empty mark is the index apiary.

    Raises UserError for an unknown apiary or a round that ends before it starts.
    """
    _round(first, last)
    return inspection(case.situation(), case.profile(), apiary or case.head.index, first, last,
                      latitude=case.head.grid_lat)  # fmt: skip


def freedom_at(case: Case, apiary: str, first: date, last: date, design: int | None = None) -> FreedomPlan:
    """How sure a round makes it that an apiary holds no more than `design` - 1 infected hives."""
    _round(first, last)
    return freedom_of(case.situation(), case.profile(), apiary or case.head.index, first, last, design)


def _round(first: date, last: date) -> None:
    if last < first:
        what = f"The round ends ({day_words(last)}) before it starts ({day_words(first)})."
        raise UserError(what, "Exchange the two days, or correct one.")


def worth_report(plan: InspectionPlan) -> Report:
    """The worth of a round in words; never a verdict on the apiary."""
    rows = [(look.hive, str(look.day), look.signs, look.brood_frames, look.shaken, look.unshaken,
             *(percent(chance) for chance in look.chances[:2])) for look in plan.looks]  # fmt: skip
    rows = [row + ("unknown",) * (8 - len(row)) for row in rows]
    rows = [(*row, look.note) for row, look in zip(rows, plan.looks, strict=True)]
    columns = ("Hive", "Looked at", "Signs", "Brood frames", "Shaken", "Not shaken", "1 frame ill", "2 frames ill",
               "Because")  # fmt: skip
    sections = [
        Section("What it says", plan.reasons),
        Section("Chance that the look would have noticed", (), table(columns, rows, right=(3, 4, 5, 6, 7))),
    ]
    title = f"Worth of the looks at {plan.apiary}, {plan.first} to {plan.last}"
    return report(title, plan.reasons[0], sections, plan)


def freedom_report(plan: FreedomPlan, apiary: str) -> Report:
    """The confidence in words, with what would raise it."""
    sections = [Section("Answer", plan.answer), Section("What would raise it", plan.raise_it)]
    return report(f"Freedom of {apiary}", plan.answer[0], sections, plan)
