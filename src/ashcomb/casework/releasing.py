"""Asks whether an apiary may be released, and prints the short case of a keeper with few hives."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta

from ashcomb.casework.case import Case
from ashcomb.casework.pieces import certificates, loose_balance, mass_balance
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.casework.tracing import suspicion_left
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import add_months
from ashcomb.kernel.words import several
from ashcomb.plans.clocks import Clocks, clocks
from ashcomb.plans.hobby import HobbyPlan, hobby
from ashcomb.plans.notices import valid_notices
from ashcomb.plans.release import ReleasePlan, release
from ashcomb.plans.release_gates import disputes_gate, laboratory_gate, profile_gate, rounds_gate, spring_gate
from ashcomb.plans.result import Gate
from ashcomb.records.acts import Consignment
from ashcomb.records.places import Apiary
from ashcomb.records.state import events
from ashcomb.sources.library import value


def release_of(case: Case, apiary: str = "", day: date | None = None) -> ReleasePlan:
    """The gates of a release asked for on a day (today if none), for an apiary (the index apiary if none)."""
    situation, profile = case.situation(), case.profile()
    mark = apiary or case.head.index
    if mark not in situation.by_mark(Apiary):
        raise UserError(f"“{mark}” is not a known apiary.", "Choose one that is in the records.")
    asked = datetime.combine(day, time(12), case.zone) if day else case.now()
    facts = events(situation)
    dates = clocks(profile, facts, case.head.timezone, asked)
    buried = facts["buried"].last if "buried" in facts else None
    today = asked.date()
    given = {gate.name: gate for gate in (
        laboratory_gate(situation), profile_gate(situation, profile), disputes_gate(situation), _balance_gate(case),
        _certificate_gate(case), _papers_gate(case, mark, today),
    )}  # fmt: skip
    if buried:
        given["rounds"] = rounds_gate(situation, [mark], dates, buried, today)
        given["spring check"] = spring_gate(situation, [mark], spring_after(buried, case.head.grid_lat), today)
    return release(profile, mark, dates, given)


def spring_after(day: date, latitude: float | None) -> tuple[date, date]:
    """First and last day of the first spring that begins after a day; south of the equator six months off."""
    month = int(value("plans.spring_first_month").value)
    month = (month + 5) % 12 + 1 if latitude is not None and latitude < 0 else month
    year = day.year if date(day.year, month, 1) > day else day.year + 1
    first = date(year, month, 1)
    return first, add_months(first, int(value("plans.spring_months").value)) - timedelta(days=1)


def hobby_of(case: Case, keeper: str = "", apiary: str = "") -> HobbyPlan:
    """The short case of one apiary, or of the only apiary of a keeper."""
    situation = case.situation()
    theirs = [mark for mark, place in situation.by_mark(Apiary).items() if keeper and place.keeper == keeper]
    if not apiary and len(theirs) != 1:
        what = (
            f"{keeper} keeps {several(len(theirs), 'apiary')} in the records."
            if keeper
            else "No keeper and no apiary is named."
        )
        raise UserError(what, "Name the apiary.")
    mark = apiary or theirs[0]
    follow = suspicion_left(case, mark)
    return hobby(situation, case.profile(), mark, case.now().date(), _dates(case), follow)


def release_report(plan: ReleasePlan) -> Report:
    """The gates in words, the unmet ones first."""
    rows = [(gate.name, "met" if gate.met else "NOT MET", gate.why, gate.who)
            for gate in sorted(plan.gates, key=lambda gate: gate.met)]  # fmt: skip
    section = Section("Gates", (), table(("Gate", "", "Why", "Who can meet it"), rows))
    return report(f"Release of {plan.subject}", plan.answer[0], (section,), plan)


def hobby_report(plan: HobbyPlan) -> Report:
    """The short case in words."""
    parts: Sequence[tuple[str, tuple[str, ...]]] = (
        ("Today", plan.today), ("The other hive", plan.other_hive), ("Dates", plan.dates), ("Later looks", plan.follow),
    )  # fmt: skip
    sections = [Section(heading, lines) for heading, lines in parts if lines]
    sick = ", ".join(plan.sick) or "none"
    return report(f"The hives at {plan.apiary}", f"Sick or suspect: {sick}. Other: {', '.join(plan.other) or 'none'}.",
                  sections, plan)  # fmt: skip


def _dates(case: Case) -> Clocks:
    return clocks(case.profile(), events(case.situation()), case.head.timezone, case.now())


def _balance_gate(case: Case) -> Gate:
    plan, loose = mass_balance(case), loose_balance(case)
    if loose is None:
        return Gate("mass balance", plan.closes, plan.verdict)
    return Gate("mass balance", plan.closes and loose.closes, f"{plan.verdict} Loose pieces: {loose.verdict}")


def _certificate_gate(case: Case) -> Gate:
    if not case.situation().rows(Consignment):
        return Gate("certificates", True, "Nothing was sent to a plant.")
    plan = certificates(case)
    held = [lot.lot for lot in plan.lots if not lot.certified]
    return Gate("certificates", not held and not plan.strays, plan.verdict)


def _papers_gate(case: Case, apiary: str, day: date) -> Gate:
    """A release asks for the order that it ends, so that the paper can name it."""
    orders = valid_notices(case.situation(), "standstill", apiary, day)
    if orders:
        return Gate("papers", True, f"The release ends notice {', '.join(notice.mark for notice in orders)}.")
    return Gate("papers", False, "No standstill notice is recorded that a release could end.")
