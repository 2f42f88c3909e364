"""The best next questions of a case: which unknown, once known, would change most in what is done."""

from __future__ import annotations

from dataclasses import replace

from ashcomb.casework.assess_reports import basis, options
from ashcomb.casework.assessing import Tell, assessment
from ashcomb.casework.case import Case
from ashcomb.casework.nights import filled
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.kernel.errors import UserError
from ashcomb.plans.asking import AskPlan, Question, ask_plan

TOP = 10
_KINDS = {"date": "open date", "lot": "unrecorded lot", "hive": "hive not opened", "sample": "sample not taken"}


def ask_report(case: Case, tell: Tell | None = None, top: int = TOP) -> Report:
    """The best questions from the stored assessment, or from a new one. Raises UserError for a top below 1."""
    if top < 1:
        raise UserError(f"{top} questions are none.", "Ask for 1 or more.")
    made = assessment(case, tell)
    plan = ask_plan(made.stage, made.posterior, made.rates, top)
    plan = replace(plan, assumptions=(basis(made), *options(made.ask), *plan.assumptions))
    return report("Best next questions", _headline(plan), filled(_sections(plan)), plan)


def _sections(plan: AskPlan) -> list[Section]:
    if not plan.questions:
        return []
    stand = (f"As things stand, the next {plan.next} hives are expected to hold {plan.base:.2f} hidden cases. "
             f"{plan.weighed} questions were weighed.")  # fmt: skip
    columns = ("No.", "Question", "Kind", "Cases more", "Error", "Hives changed")
    rows = [(str(n), q.words, _KINDS[q.kind], f"{q.gain:.3f}", f"{q.error:.3f}", f"{q.changed:.1f}")
            for n, q in enumerate(plan.questions, 1)]  # fmt: skip
    return [
        Section("What an answer would change", (stand,), table(columns, rows, right=(0, 3, 4, 5))),
        Section("Answers to expect", tuple(f"{n}. {_answers(q)}" for n, q in enumerate(plan.questions, 1))),
    ]


def _answers(question: Question) -> str:
    thin = f" Answers of {100 * question.unsure:.0f} % together are told by too few draws." if question.unsure else ""
    return f"{question.told}.{thin}"


def _headline(plan: AskPlan) -> str:
    if not plan.questions:
        return "There is nothing to ask: every hive is a known case or gone, and every date is known."
    best = plan.questions[0]
    if best.gain <= 2 * best.error:
        return f"No answer is sure to change which {plan.next} hives come next; nearest to it: {best.words}"
    return f"{best.words} The answer is expected to bring {best.gain:.2f} more hidden cases to light."
