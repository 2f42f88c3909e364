"""From the fields of a form to the use cases of the crews, the calendar, the rounds and the proof."""

from __future__ import annotations

import re
from datetime import date, datetime

from ashcomb.casework import calendar as calendars
from ashcomb.casework import crews, proving, surveying
from ashcomb.casework.case import Case
from ashcomb.casework.report import Report
from ashcomb.kernel.errors import UserError
from ashcomb.plans.proof import ProofAsk
from ashcomb.plans.survey import SurveyAsk
from ashcomb.web.asked import Asked


def methods(case: Case, asked: Asked) -> Report:
    """What each method finds."""
    visible = asked.given_number("visible")
    plan = proving.methods_for(case, asked.text("apiary"), asked.whole("infected") or 1, visible,
                               asked.whole("pool") or 1, asked.whole("hives"))  # fmt: skip
    return proving.methods_report(plan)


def survey(case: Case, asked: Asked) -> Report:
    """How large a survey must be."""
    ask = SurveyAsk(apiaries=asked.whole("infected") or 1, hives=asked.whole("hives") or 1,
                    method=asked.text("method"), visible=asked.given_number("visible"))  # fmt: skip
    return surveying.survey_report(surveying.plan_survey(case, ask, asked.several("apiaries")))


def visits(case: Case, asked: Asked) -> Report:
    """The order of visits."""
    ask = crews.VisitsAsk(first=asked.day("first"), days=asked.whole("days") or 5, apiaries=asked.several("apiaries"),
                          every_day=asked.flag("every_day"))  # fmt: skip
    return crews.visits_report(crews.plan_visits(case, ask, search=crews.QUICK))


def calendar(case: Case, asked: Asked) -> Report:
    """The calendar of nights, pits, fires, store and plant."""
    slots = tuple((asked.text("plant"), _moment(text)) for text in asked.several("slots") if asked.text("plant"))
    ask = calendars.CalendarAsk(
        first=asked.day("first"), days=asked.whole("days") or 7, teams=asked.whole("teams") or 1,
        burn=not asked.flag("store"), every_day=asked.flag("every_day"), slots=slots,
        off=tuple(map(_off, asked.several("off"))), no_fire=tuple(map(_day, asked.several("no_fire"))),
        split=tuple(map(_split, asked.several("split"))),
    )  # fmt: skip
    return calendars.calendar_report(calendars.plan_calendar(case, ask))


def rounds(case: Case, asked: Asked) -> Report:
    """The follow-up rounds."""
    ask = _proving(asked, day_field=True)
    plan = proving.rounds_at(case, ask)
    return proving.rounds_report(plan, proving.moved_by(case, ask, plan))


def proof(case: Case, asked: Asked) -> Report:
    """The proof of freedom."""
    return proving.proof_report(proving.proof_at(case, _proving(asked)))


def freedom_curve(case: Case, asked: Asked) -> str:
    """The freedom curve of the weakest group that the proof is asked for, with the planned rounds."""
    ask = _proving(asked)
    plan = proving.proof_at(case, ask)
    weakest = min(plan.groups, key=lambda group: group.free)
    planned = None if ask.level == "hive" or weakest.signs else proving.rounds_at(case, ask)
    return proving.curve_of(weakest, float(plan.target), planned)


def _proving(asked: Asked, day_field: bool = False) -> proving.ProvingAsk:
    coming = asked.number("introduction")
    if coming is not None and not 0 <= coming < 1:
        raise UserError(
            f"{coming:g} is no chance.", "Give a share from 0 up to, not including, 1.", "New introductions"
        )
    taken = ProofAsk(introduction=coming, standstill=not asked.flag("moving"))
    return proving.ProvingAsk(level=asked.text("level"), mark=asked.text("mark"), taken=taken,
                              new_case=asked.day("new_case") if day_field else None)  # fmt: skip


def _off(text: str) -> tuple[str, date]:
    person, _, day = text.partition("=")
    return person, _day(day, "Who is off")


def _day(text: str, label: str = "No fire on") -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UserError(f"“{text}” is not a day.", "Write it like 2031-05-16.", label) from None


def _split(text: str) -> tuple[str, tuple[int, ...]]:
    apiary, _, sizes = text.partition("=")
    if not re.fullmatch(r"\d{1,4}(\+\d{1,4})*", sizes):
        raise UserError(f"“{text}” cannot be read.", "Write apiary and hives of each night: A07=7+7.", "Nights")
    return apiary, tuple(int(each) for each in sizes.split("+"))


def _moment(text: str) -> datetime:
    try:
        return datetime.fromisoformat(text).replace(tzinfo=None)
    except ValueError:
        raise UserError(f"“{text}” is not a day and hour.", "Write it like 2031-05-20T10:00.", "Hours") from None
