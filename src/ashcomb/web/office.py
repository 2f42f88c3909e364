"""The office: opens the case for each request, and says who writes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fastapi import Request
from starlette.datastructures import FormData, UploadFile
from starlette.responses import HTMLResponse

from ashcomb.casework.case import Case, open_case
from ashcomb.casework.hand import this_hand
from ashcomb.kernel.errors import AshcombError, UserError
from ashcomb.web.answers import Head, head_of, page


@dataclass(frozen=True, slots=True)
class Office:
    """Where the case lies and who writes when a form names nobody."""

    folder: Path
    by: str

    @contextmanager
    def reading(self) -> Iterator[Case]:
        """The case as it stands now."""
        with open_case(self.folder, this_hand("reader")) as case:
            yield case

    @contextmanager
    def writing(self, form: Mapping[str, Any]) -> Iterator[Case]:
        """The case for writing by whom the form names; raises UserError if it names nobody."""
        by = str(form.get("by", "")).strip()
        if not by:
            raise UserError("Nobody is named as the one who writes.", "Fill in who writes.", "Written by")
        with open_case(self.folder, this_hand(by), write=True) as case:
            yield case

    def head(self) -> Head | None:
        """The head of the pages, or None if the case cannot be read."""
        try:
            with self.reading() as case:
                return head_of(case)
        except AshcombError:
            return None

    def page(self, template: str, case: Case, status: int = 200, **values: Any) -> HTMLResponse:
        """A page of the case."""
        return page(template, head_of(case), status, by=self.by, **values)


def office_of(request: Request) -> Office:
    """The office of the application."""
    office: Office = request.app.state.office
    return office


async def form_of(request: Request) -> FormData:
    """The form of a request: at most 20 files and 200 fields."""
    return await request.form(max_files=20, max_fields=200)


def files_of(form: FormData, name: str) -> list[UploadFile]:
    """The files that were really chosen."""
    return [item for item in form.getlist(name) if isinstance(item, UploadFile) and item.filename]
