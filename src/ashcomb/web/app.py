"""Puts the pages together: routes, one mapping from errors to answers, and the guard around all of it."""

from __future__ import annotations

import logging
from collections.abc import Iterable
from pathlib import Path

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp

from ashcomb.kernel.errors import AshcombError, FaultError, UserError
from ashcomb.web import ask_pages, case_page, intake_pages, paper_pages, record_pages
from ashcomb.web.answers import STATIC, error_answer
from ashcomb.web.guard import Guard
from ashcomb.web.office import Office

_WORDS = {
    404: ("There is no such page.", "Choose one from the contents."),
    405: ("This page cannot be asked in that way.", "Use its form."),
}
_LOG = logging.getLogger("ashcomb.web")


def make_app(folder: Path, by: str, hosts: Iterable[str]) -> ASGIApp:
    """The application for one case folder. hosts: the values of the Host header that are answered."""
    app = FastAPI(title="Ashcomb", docs_url=None, redoc_url=None, openapi_url=None)
    app.state.office = Office(folder, by)
    for pages in (case_page, ask_pages, record_pages, intake_pages, paper_pages):
        app.include_router(pages.router)
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    app.add_exception_handler(AshcombError, _told)
    app.add_exception_handler(RequestValidationError, _unread)
    app.add_exception_handler(HTTPException, _refused)
    app.add_exception_handler(Exception, _failed)
    return Guard(app, hosts)


def _told(request: Request, error: Exception) -> Response:
    assert isinstance(error, AshcombError)
    return error_answer(request, error, request.app.state.office.head())


def _unread(request: Request, error: Exception) -> Response:
    """A part of an address that is no number, too long or not one of the words for it."""
    assert isinstance(error, RequestValidationError)
    first = error.errors()[0]
    fault = UserError(
        f"It cannot be read: {first['msg']}.", "Correct the address, or use the form.", str(first["loc"][-1])
    )
    return error_answer(request, fault, request.app.state.office.head())


def _refused(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    what, do = _WORDS.get(error.status_code, (str(error.detail), "Go back and check what was sent."))
    return error_answer(request, AshcombError(what, do), request.app.state.office.head(), error.status_code)


def _failed(request: Request, error: Exception) -> Response:
    """Says in words that something failed; what failed goes to the log of the server, never to the page."""
    if isinstance(error, OSError):
        fault = FaultError(
            f"The system reports: {error.strerror}.", "Check the disk and the rights of the case folder."
        )
    else:
        fault = FaultError(
            "The program failed; what was recorded before is not lost.", "Report it with the server's log."
        )
    _LOG.error("%s %s failed", request.method, request.url.path, exc_info=error)
    return error_answer(request, fault, request.app.state.office.head())
