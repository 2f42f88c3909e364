"""How the pages answer: HTML from a template or JSON, and every error as words in the one shape of this program."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response

from ashcomb.casework.case import DEMO_CLOCK, Case
from ashcomb.casework.report import Report
from ashcomb.kernel.errors import AshcombError, FaultError
from ashcomb.kernel.time import moment_words
from ashcomb.web.contents import CONTENTS

HERE = Path(__file__).parent
STATIC = HERE / "static"
FOUNDATIONS = ("Taken for granted", "Rules", "Values and their sources")
LONG_CELL = 32  # characters: tables with longer cells fold on a narrow screen, others scroll


class NotFoundError(AshcombError):
    """There is no page, record or file of that name."""


@dataclass(frozen=True, slots=True)
class Head:
    """What stands at the head of every page of a case. demo: the case is invented and its clock stands."""

    mark: str
    title: str
    now: str
    profile: str
    confirmed: str
    earlier: str  # who confirmed it in another wording
    seal: str
    demo: bool


def head_of(case: Case) -> Head:
    """The head of the pages of a case, also where no profile was chosen yet."""
    seal = case.store.head()
    try:
        profile = case.profile()
        who = case.confirmed(profile)
        name, confirmed = profile.id, f"{who.officer}, {who.role}" if who else ""
        before = case.confirmed_before(profile)
        earlier = before.officer if before else ""
    except AshcombError as error:
        name, confirmed, earlier = error.what, "", ""
    demo = (case.folder / DEMO_CLOCK).is_file()
    return Head(mark=case.head.mark, title=case.head.title, now=moment_words(case.now()), profile=name,
                confirmed=confirmed, earlier=earlier, seal=seal.short if seal else "none", demo=demo)  # fmt: skip


def page(template: str, head: Head | None, status: int = 200, **values: Any) -> HTMLResponse:
    """One page; `head` is None where there is no case to speak of."""
    text = _environment().get_template(template).render(head=head, contents=CONTENTS, **values)
    return HTMLResponse(text, status)


def wants_json(request: Request) -> bool:
    """Whether the answer is to be JSON: by the suffix of the address or by the Accept header."""
    accept = request.headers.get("accept", "")
    return request.url.path.endswith(".json") or ("application/json" in accept and "text/html" not in accept)


def report_json(report: Report) -> JSONResponse:
    """A report as JSON, in the shape that the command line prints."""
    return JSONResponse({"title": report.title, "headline": report.headline, "facts": report.facts})


def status_of(error: AshcombError) -> int:
    """404 for what is not there, 422 for what can be put right by the one who asks, 500 for a fault of the machine."""
    if isinstance(error, NotFoundError):
        return 404
    return 500 if isinstance(error, FaultError) else 422


def error_answer(request: Request, error: AshcombError, head: Head | None, status: int = 0) -> Response:
    """An error as words in a page, or as JSON."""
    status = status or status_of(error)
    if wants_json(request):
        return JSONResponse({"error": error.as_dict()}, status)
    return page("error.html", head, status, error=error)


def refusal(request: Request, status: int, what: str, do: str) -> Response:
    """An answer that says nothing about the case."""
    return error_answer(request, AshcombError(what, do), None, status)


def attempt(answer: Any, *asked: Any) -> tuple[Any, AshcombError | None]:
    """What a use case says, or the error that stands in its way."""
    try:
        return answer(*asked), None
    except AshcombError as error:
        return None, error


def folds(table: Any) -> bool:
    """Whether the rows of a table stand better one under the other on a narrow screen."""
    return len(table.columns) > 2 and any(len(cell) > LONG_CELL for row in table.rows for cell in row)


_CACHE: dict[str, Environment] = {}


def _environment() -> Environment:
    if "pages" not in _CACHE:
        found = Environment(
            loader=FileSystemLoader(HERE / "templates"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
            lstrip_blocks=True,
        )  # fmt: skip
        found.globals.update(folds=folds, foundations=FOUNDATIONS, map_built=map_built)
        _CACHE["pages"] = found
    return _CACHE["pages"]


def map_built() -> bool:
    """Whether the browser module of the map is there; without it the drawn map stands in its place."""
    return (STATIC / "built" / "map.js").is_file()


def fields_of(form: Mapping[str, Any]) -> dict[str, str]:
    """The words of a form; files are left out."""
    return {key: value for key, value in form.items() if isinstance(value, str)}
