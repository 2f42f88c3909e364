"""Papers as PDF, set when they are asked for, filled or blank."""

from __future__ import annotations

import re
from datetime import date
from typing import Annotated, Literal
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Depends, Query, Request
from starlette.responses import RedirectResponse, Response

from ashcomb.casework.sheets.catalogue import paper_titles
from ashcomb.casework.sheets.desk import SheetAsk
from ashcomb.kernel.errors import UserError
from ashcomb.papers.write import render_paper
from ashcomb.web.answers import NotFoundError
from ashcomb.web.asked import known_marks
from ashcomb.web.office import Office, office_of

router = APIRouter()
Desk = Annotated[Office, Depends(office_of)]
Word = Annotated[str, Query(max_length=60)]


@router.get("/papers")
def papers_page(office: Desk) -> Response:
    """Every paper, filled and blank, in both sizes."""
    with office.reading() as case:
        return office.page("papers.html", case, papers=paper_titles(), marks=known_marks(case, {"apiary", "keeper"}))


@router.get("/paper")
def paper_in_particular(request: Request) -> Response:
    """From the form of the page of papers to the paper itself."""
    given = {key: value for key, value in request.query_params.items() if value}
    return RedirectResponse(f"/papers/{quote(given.pop('name', ''), safe='')}.pdf?{urlencode(given)}", 303)


@router.get("/papers/{name}.pdf")
def paper(
    office: Desk, name: str, paper: Literal["a4", "us-letter"] = "a4", blank: Literal["", "1"] = "", apiary: Word = "",
    keeper: Word = "", day: Word = "", teams: Annotated[str, Query(max_length=3)] = "", agent: Word = "",
) -> Response:  # fmt: skip
    """One paper as PDF."""
    if name not in paper_titles():
        raise NotFoundError(f"There is no paper “{name[:60]}”.", "Choose one from the list of papers.")
    ask = SheetAsk(apiary=apiary, keeper=keeper, day=_day(day), teams=_teams(teams), agent=agent)
    with office.reading() as case:
        content = render_paper(case, name, paper, bool(blank), ask)
        stem = f"{name}-blank" if blank else re.sub(r"[^\w-]", "_", f"{case.head.mark}-{name}-{apiary}".strip("-"))
    plain = stem.encode("ascii", "replace").decode().replace("?", "_")
    return Response(content, media_type="application/pdf",
                    headers={"Content-Disposition": f'inline; filename="{plain}-{paper}.pdf"'})  # fmt: skip


def _day(words: str) -> date | None:
    try:
        return date.fromisoformat(words) if words else None
    except ValueError:
        raise UserError(f"“{words}” is not a day.", "Write it like 2031-05-14.", "Day") from None


def _teams(words: str) -> int:
    if words and not re.fullmatch(r"[0-9]{1,2}", words):
        raise UserError(f"“{words}” is not a number of teams.", "Write digits only, or leave it empty.", "Teams")
    return int(words or 0)
