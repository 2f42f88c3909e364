"""Commands for the people on the road and the way to the all-clear: methods, visits, crews, calendar, rounds, proof."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from ashcomb.cli.options import Folder, Json, a_day, guarded, marks, opened
from ashcomb.cli.render import console, show
from ashcomb.cli.stopping import stoppable
from ashcomb.kernel.errors import UserError

if TYPE_CHECKING:
    from ashcomb.casework.case import Case
    from ashcomb.casework.proving import ProvingAsk
    from ashcomb.plans.visits import VisitPlan

Apiary = Annotated[str, typer.Option("--apiary", help="Apiary; default the index apiary.")]
Apiaries = Annotated[str, typer.Option("--apiaries", help="Marks, comma between; default all.")]
Days = Annotated[int, typer.Option("--days", help="Working days.")]
Crews = Annotated[list[str] | None, typer.Option("--crew", help="RF+OD@HH 08:00-17:00 sets=2. May be repeated.")]
RoadFile = Annotated[Path | None, typer.Option("--roads", help="CSV of driving minutes: from, to, minutes.")]
HourFile = Annotated[Path | None, typer.Option("--hours", help="CSV of landowners' hours: apiary, from, to, day.")]
Needs = Annotated[list[str] | None, typer.Option("--needs", help="What somebody must know: A07=inspector.")]
EveryDay = Annotated[bool, typer.Option("--every-day", help="Rest days are worked too.")]
Chances = Annotated[
    Literal["best", "engine", "closed form"],
    typer.Option("--chances", help="Of a fresh assessment, or by the closed form; best takes the first that is there."),
]
Level = Annotated[Literal["hive", "apiary", "firm", "zone"], typer.Option("--level", help="What is to be proved free.")]
Mark = Annotated[str, typer.Option("--mark", help="Apiary or keeper; default the index apiary or its keeper.")]
Coming = Annotated[float | None, typer.Option("--introduction", help="Chance a year that one hive catches it anew.")]
Moving = Annotated[bool, typer.Option("--moving", help="Things move in and out again.")]


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command("methods", help="What each method finds, and how many hives it needs.")(methods)
    app.command("survey", help="How large a survey must be: at random, two stages, by risk.")(survey)
    app.command("visits", help="In which order to look, and what it would settle.")(visits)
    app.command("crews", help="Day sheets of the crews as PDF.")(crews)
    app.command("calendar", help="One calendar: nights, pits, fires, store, plant.")(calendar)
    app.command("rounds", help="When to look again, and how often.")(rounds)
    app.command("proof", help="How sure all findings make us; what would raise it.")(proof)


@guarded
def methods(
    folder: Folder,
    apiary: Apiary = "",
    hives: Annotated[int | None, typer.Option(help="Hives; default those of the apiary.")] = None,
    infected: Annotated[int, typer.Option(help="Infected hives that must not be missed.")] = 1,
    visible: Annotated[float, typer.Option(help="Share of infected hives that show signs, 0 to 1.")] = 1.0,
    pool: Annotated[int, typer.Option(help="Hives tested together.")] = 1,
    target: Annotated[float | None, typer.Option(help="Confidence wanted; default the profile's.")] = None,
    as_json: Json = False,
) -> None:
    """Shows the methods."""
    from ashcomb.casework.proving import methods_for, methods_report

    with opened(folder) as case:
        show(methods_report(methods_for(case, apiary, infected, visible, pool, hives, target)), as_json)


@guarded
def survey(
    folder: Folder,
    apiaries: Apiaries = "",
    infected: Annotated[int, typer.Option(help="Infected apiaries that must not be missed.")] = 1,
    hives: Annotated[int, typer.Option(help="Infected hives in each of them.")] = 1,
    method: Annotated[str, typer.Option(help="Method, as in the command methods: look, culture, pcr …")] = "look",
    visible: Annotated[float, typer.Option(help="Share of infected hives that show signs, 0 to 1.")] = 1.0,
    target: Annotated[float | None, typer.Option(help="Confidence wanted; default the profile's.")] = None,
    risks: Annotated[str, typer.Option(help="Risks of nothing, zone, exposed, signs: 1,3,10,30.")] = "",
    as_json: Json = False,
) -> None:
    """Shows the sizes."""
    from ashcomb.casework.surveying import plan_survey, survey_report
    from ashcomb.plans.survey import SurveyAsk

    with opened(folder) as case:
        ask = SurveyAsk(apiaries=infected, hives=hives, method=method, visible=visible, target=target,
                        risks=_numbers(risks) if risks else None)  # fmt: skip
        show(survey_report(plan_survey(case, ask, marks(apiaries))), as_json)


@guarded
def visits(
    folder: Folder,
    first: Annotated[str, typer.Option("--from", help="First day; default tomorrow.")] = "",
    days: Days = 5,
    apiaries: Apiaries = "",
    crew: Crews = None,
    roads: RoadFile = None,
    hours: HourFile = None,
    needs: Needs = None,
    every_day: EveryDay = False,
    chances: Chances = "best",
    as_json: Json = False,
) -> None:
    """Plans visits; Ctrl-C stops the search and shows the best so far."""
    from ashcomb.casework.crews import visits_report

    with opened(folder) as case:
        plan = _visits(case, first, days, apiaries, crew, roads, hours, every_day, needs, chances)
        show(visits_report(plan), as_json)


@guarded
def crews(
    folder: Folder,
    first: Annotated[str, typer.Option("--from", help="First day; default tomorrow.")] = "",
    days: Days = 5,
    apiaries: Apiaries = "",
    crew: Crews = None,
    roads: RoadFile = None,
    hours: HourFile = None,
    needs: Needs = None,
    every_day: EveryDay = False,
    chances: Chances = "best",
    out: Annotated[Path | None, typer.Option(help="Folder to write to; default CASE/papers.")] = None,
    paper: Annotated[Literal["a4", "us-letter"], typer.Option(help="Size.")] = "a4",
) -> None:
    """Writes the day sheets."""
    from ashcomb.papers.write import write_day_sheets

    with opened(folder) as case:
        plan = _visits(case, first, days, apiaries, crew, roads, hours, every_day, needs, chances)
        console().print(str(write_day_sheets(case, plan, out or folder / "papers", paper)))


@guarded
def calendar(
    folder: Folder,
    first: Annotated[str, typer.Option("--from", help="First day; default today.")] = "",
    days: Annotated[int, typer.Option("--days", help="Days, rest days counted.")] = 7,
    nights: Annotated[str, typer.Option(help="Apiaries with hives to be killed; default all.")] = "",
    teams: Annotated[int, typer.Option(help="Teams at a night's work.")] = 1,
    store: Annotated[
        bool, typer.Option("--store", help="The dead hives go to the hold store, not into a fire.")
    ] = False,
    slot: Annotated[list[str] | None, typer.Option(help="Hour at the plant: IP=2031-05-20T10:00.")] = None,
    off: Annotated[list[str] | None, typer.Option(help="Who is off: JP=2031-05-16. May be repeated.")] = None,
    split: Annotated[list[str] | None, typer.Option(help="Nights of one apiary: A07=7+7. May be repeated.")] = None,
    no_fire: Annotated[list[str] | None, typer.Option("--no-fire", help="Day without fire. May be repeated.")] = None,
    with_visits: Annotated[bool, typer.Option("--visits", help="The visits of the crews enter too.")] = False,
    every_day: EveryDay = False,
    ics: Annotated[Path | None, typer.Option(help="Write an iCalendar file.")] = None,
    person: Annotated[str, typer.Option(help="Only this person in the iCalendar file.")] = "",
    save: Annotated[Path | None, typer.Option(help="Write the calendar, to compare a later one with.")] = None,
    before: Annotated[Path | None, typer.Option(help="Show what moved against this saved calendar.")] = None,
    as_json: Json = False,
) -> None:
    """Plans the calendar; Ctrl-C stops the search; exit status 2 when a job has no place.

    With --off or --no-fire it shows what moves against the same calendar without them, or against --before.
    """
    from ashcomb.casework.calendar import CalendarAsk, calendar_file, calendar_report, plan_calendar, saved

    with opened(folder) as case:
        begin = a_day(first, case)
        ask = CalendarAsk(
            first=begin, days=days, nights=marks(nights), burn=not store, teams=teams, every_day=every_day,
            slots=tuple((name, _moment(text)) for name, text in map(_pair, slot or ())),
            off=tuple((name, _plain_day(text)) for name, text in map(_pair, off or ())),
            no_fire=tuple(_plain_day(text) for text in no_fire or ()), before=before,
            split=tuple((name, _nights(text)) for name, text in map(_pair, split or ())),
            visits=_visits(case, first, days, "", None, None, None, every_day) if with_visits else None,
        )  # fmt: skip
        with stoppable() as stop, console(stderr=True).status("") as status:
            plan = plan_calendar(case, ask, lambda weight, bound: status.update(f"placed {weight} of {bound}"), stop)
        if ics:
            ics.write_bytes(calendar_file(case, plan, person))
        if save:
            save.write_text(saved(plan), "utf-8")
        show(calendar_report(plan), as_json)
    if plan.unfit:
        raise typer.Exit(2)


@guarded
def rounds(
    folder: Folder,
    level: Level = "apiary",
    mark: Mark = "",
    new_case: Annotated[str, typer.Option("--new-case", help="Imagine a new case on this day.")] = "",
    introduction: Coming = None,
    moving: Moving = False,
    as_json: Json = False,
) -> None:
    """Plans the rounds."""
    from ashcomb.casework.proving import moved_by, rounds_at, rounds_report

    with opened(folder) as case:
        day = a_day(new_case, case) if new_case else None
        ask = _asked(level, mark, introduction, moving, None, None, day)
        plan = rounds_at(case, ask)
        show(rounds_report(plan, moved_by(case, ask, plan)), as_json)


@guarded
def proof(
    folder: Folder,
    level: Level = "apiary",
    mark: Mark = "",
    introduction: Coming = None,
    moving: Moving = False,
    prior: Annotated[float | None, typer.Option(help="Probability of freedom at the start.")] = None,
    infected: Annotated[int | None, typer.Option(help="Infected hives that must not be missed; default 1.")] = None,
    svg: Annotated[Path | None, typer.Option(help="Draw the freedom curve, with the planned rounds.")] = None,
    as_json: Json = False,
) -> None:
    """Shows the proof."""
    from ashcomb.casework.proving import curve_of, proof_at, proof_report, rounds_at

    with opened(folder) as case:
        ask = _asked(level, mark, introduction, moving, prior, infected, None)
        plan = proof_at(case, ask)
        if svg:
            weakest = min(plan.groups, key=lambda group: group.free)
            planned = None if level == "hive" or weakest.signs else rounds_at(case, ask)
            svg.write_text(curve_of(weakest, float(plan.target), planned), "utf-8")
        show(proof_report(plan), as_json)


def _asked(
    level: str, mark: str, coming: float | None, moving: bool, prior: float | None, infected: int | None,
    new_case: date | None,
) -> ProvingAsk:  # fmt: skip
    from ashcomb.casework.proving import ProvingAsk
    from ashcomb.plans.proof import ProofAsk

    for name, share in (("introduction", coming), ("prior", prior)):
        if share is not None and not 0 <= share < 1:
            raise UserError(f"--{name} {share:g} is no chance.", "Give a share from 0 up to, not including, 1.")
    taken = ProofAsk(design=infected, introduction=coming, standstill=not moving, prior=prior)
    return ProvingAsk(level=level, mark=mark, taken=taken, new_case=new_case)


def _visits(
    case: Case, first: str, days: int, apiaries: str, crew: list[str] | None, roads: Path | None, hours: Path | None,
    every_day: bool, needs: list[str] | None = None, chances: Literal["best", "engine", "closed form"] = "best",
) -> VisitPlan:  # fmt: skip
    from ashcomb.casework.crews import VisitsAsk, gap_words, plan_visits

    ask = VisitsAsk(first=a_day(first, case) if first else None, days=days, apiaries=marks(apiaries),
                    crews=tuple(crew or ()), roads=roads, hours=hours, every_day=every_day,
                    needs=tuple(map(_pair, needs or ())), chances=chances)  # fmt: skip
    quiet = console(stderr=True)
    with stoppable() as stop, quiet.status("") as status:
        return plan_visits(case, ask, lambda progress: status.update(gap_words(progress)), stop)


def _nights(text: str) -> tuple[int, ...]:
    try:
        return tuple(int(each) for each in text.split("+"))
    except ValueError:
        raise UserError(f"“{text}” are no numbers of hives.", "Write the hives of each night: A07=7+7.") from None


def _numbers(text: str) -> tuple[float, ...]:
    try:
        return tuple(float(each) for each in text.split(","))
    except ValueError:
        raise UserError(f"“{text}” are no numbers.", "Write them with commas between: 1,3,10,30.") from None


def _pair(text: str) -> tuple[str, str]:
    name, sign, rest = text.partition("=")
    if not sign or not name.strip():
        raise UserError(f"“{text}” cannot be read.", "Write a mark, an equals sign and a time: IP=2031-05-20T10:00.")
    return name.strip(), rest.strip()


def _plain_day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UserError(f"“{text}” is not a day.", "Write it like 2031-05-14.") from None


def _moment(text: str) -> datetime:
    try:
        return datetime.fromisoformat(text).replace(tzinfo=None)
    except ValueError:
        raise UserError(f"“{text}” is not a day and hour.", "Write it like 2031-05-20T10:00.") from None
