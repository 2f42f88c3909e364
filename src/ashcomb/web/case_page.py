"""The page of the case: what is due, what is in conflict, counts, tonight, the map, papers, the newest seals."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from markupsafe import Markup
from starlette.responses import JSONResponse, Response

from ashcomb.casework.assess_reports import first_hives
from ashcomb.casework.case import Case
from ashcomb.casework.nights import NightAsk, tonight
from ashcomb.casework.profiles import show_profile
from ashcomb.casework.sheets.catalogue import paper_titles
from ashcomb.casework.siting import map_of
from ashcomb.casework.status import latest_records, status
from ashcomb.drawings.map import Picture, draw_map
from ashcomb.plans.clocks import Clock
from ashcomb.web.answers import attempt, report_json, wants_json
from ashcomb.web.office import Office, office_of

router = APIRouter()
URGENT = ("passed", "running", "open", "waiting")  # states of a clock that has a date to heed


@router.get("/")
def case_page(office: Annotated[Office, Depends(office_of)]) -> Response:
    """The case at a glance."""
    with office.reading() as case:
        now, error = attempt(status, case)
        night, night_error = attempt(tonight, case, NightAsk())
        picture = map_of(case)
        return office.page(
            "case.html", case, now=now, error=error, pressing=_pressing(now.dates.clocks, True) if now else (),
            other=_pressing(now.dates.clocks, False) if now else (), night=night,
            night_error=night_error, picture=picture, drawn=_drawn(picture, case), latest=latest_records(case),
            papers=paper_titles(), first=first_hives(case),
        )  # fmt: skip


@router.get("/map.json")
def map_json(office: Annotated[Office, Depends(office_of)]) -> JSONResponse:
    """The places of the case for the map."""
    with office.reading() as case:
        return JSONResponse(map_of(case).as_json())


def _pressing(clocks: tuple[Clock, ...], pressing: bool) -> list[Clock]:
    """The clocks that have a date to heed, the most urgent first; or the others."""
    chosen = [clock for clock in clocks if (clock.state in URGENT) == pressing]
    return sorted(chosen, key=lambda clock: URGENT.index(clock.state)) if pressing else chosen


def _drawn(picture: Picture, case: Case) -> list[Markup]:
    """The drawn maps: all places, then what lies inside the widest ring. Their text is escaped where they are made."""
    maps = [(picture, f"Map of the places of case {case.head.mark}")]
    if picture.close_up:
        maps.append((picture.close_up, "The places inside the widest ring, larger"))
    return [Markup(draw_map(part, title)) for part, title in maps]


@router.get("/profile")
@router.get("/profile.json")
def profile_page(request: Request, office: Annotated[Office, Depends(office_of)]) -> Response:
    """The code profile in force, and the doors to choose and to confirm it."""
    from ashcomb.sources.profile import profile_ids

    with office.reading() as case:
        report = show_profile(case)
        if wants_json(request):
            return report_json(report)
        return office.page("profile.html", case, report=report, profiles=profile_ids(), profile=case.profile())
