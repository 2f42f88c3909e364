"""The pages of questions: GET forms of plain HTML with the report under them, or the report as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from markupsafe import Markup
from starlette.responses import Response

from ashcomb.casework.case import Case
from ashcomb.casework.report import Report
from ashcomb.kernel.errors import AshcombError
from ashcomb.web.answers import error_answer, report_json, status_of, wants_json
from ashcomb.web.asked import Asked, check_names, known_marks
from ashcomb.web.office import Office, office_of
from ashcomb.web.question import Question
from ashcomb.web.questions import QUESTIONS

router = APIRouter()


def _register(question: Question) -> None:
    def show(request: Request, office: Annotated[Office, Depends(office_of)]) -> Response:
        with office.reading() as case:
            return _answer(question, request, office, case)

    for path in (f"/{question.name}", f"/{question.name}.json"):
        router.add_api_route(path, show, methods=["GET"], name=question.name)


def _answer(question: Question, request: Request, office: Office, case: Case) -> Response:
    given = dict(request.query_params)
    report, error, drawing = None, None, None
    if given or not question.waits or wants_json(request):
        try:
            report = _report(question, case, given)
            drawing = _drawing(question, case, given) if not wants_json(request) else None
        except AshcombError as fault:
            error = fault
    if wants_json(request):
        return (
            error_answer(request, error, None)
            if error
            else report_json(report)
            if report
            else Response(status_code=204)
        )
    marks = known_marks(case, {field.marks for field in question.fields if field.marks})
    return office.page("ask.html", case, status_of(error) if error else 200, question=question, given=given,
                       report=report, error=error, marks=marks, drawing=drawing)  # fmt: skip


def _report(question: Question, case: Case, given: Mapping[str, str]) -> Report:
    check_names(question.by_name, given)
    report = question.answer(case, Asked(question.by_name, given))
    return replace(report, sections=tuple(s for s in report.sections if s.lines or (s.table and s.table.rows)))


def _drawing(question: Question, case: Case, given: Mapping[str, str]) -> Markup | None:
    """The drawing of a page; its words are escaped where it is made."""
    return Markup(question.draws(case, Asked(question.by_name, given))) if question.draws else None


for _question in QUESTIONS.values():
    _register(_question)
