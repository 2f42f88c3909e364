"""The order of visits: who looks at which hives on which day, what that is expected to find, and what it would settle.

Clean before dirty is a hard rule: before a less dirty apiary stands a disinfection stop with fresh tools and suits, or
the crew does not go there that day.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words
from ashcomb.plans.assessed import Assessment, any_infected
from ashcomb.plans.figures import Figures
from ashcomb.plans.result import Plan
from ashcomb.plans.roads import Roads
from ashcomb.plans.visit_baselines import greedy, nearest_first, worst_first
from ashcomb.plans.visit_job import MINUTES, Crew, Job, Route, Stop
from ashcomb.plans.visit_solve import Progress, Search, solve
from ashcomb.plans.visit_stops import CLASSES, Pace, Yard, pace_of, stops_of
from ashcomb.plans.visit_windows import clock
from ashcomb.science.exact import percent
from ashcomb.sources.profile import CodeProfile


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """One visit. begins, ends: minutes after midnight.  finds: infected hives to expect, an hour of work and way: rate.

    cleaned: the disinfection stop comes before it.  settles: in words, what it would settle.
    """

    apiary: str
    part: str
    hives: tuple[str, ...]
    begins: int
    ends: int
    drive_min: int
    cleaned: bool
    risk: str
    finds: float
    rate: float
    settles: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewDay:
    """One crew on one day. leaves, home: minutes after midnight.  driven_km: along the roads."""

    crew: str
    people: tuple[str, ...]
    day: date
    leaves: int
    home: int
    driven_min: int
    worked_min: int
    driven_km: float
    visits: tuple[Visit, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """What an order comes to. finds: infected hives to expect; soon: of these on the first day.  hours: away from the
    base.  driven: of these at the wheel.
    """

    order: str
    finds: float
    soon: float
    hours: float
    driven: float
    hives: int


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitPlan(Plan):
    """Who goes where. score, bound: of the plan and of the best there can be.  gap: share of the bound between them.

    left_out: parts that no crew-day holds, with the reason.  compared: this plan beside the orders people use.
    """

    first: date
    days: tuple[CrewDay, ...]
    left_out: tuple[tuple[str, str], ...]
    score: float
    bound: float
    gap: float
    stopped: bool
    compared: tuple[Compared, ...]
    answer: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitAsk:
    """What is to be planned. days: working days, in order.  yards: the apiaries, windows for each of the days."""

    days: tuple[date, ...]
    yards: tuple[Yard, ...]
    crews: tuple[Crew, ...]
    roads: Roads


def visits(
    profile: CodeProfile,
    ask: VisitAsk,
    assessment: Assessment,
    basis: Sequence[str] = (),
    search: Search | None = None,
    tell: Callable[[Progress], None] = lambda progress: None,
    stop: Callable[[], bool] = lambda: False,
) -> VisitPlan:
    """The plan of visits with the most infected hives to be expected, soonest, for the least driving.

    assessment: a chance for every hive of the yards.  basis: what these chances rest on, for people.
    Raises UserError when nobody could go anywhere.
    """
    figures = Figures(profile)
    figures.rule("between_apiaries")
    if not ask.crews or not ask.yards or not ask.days:
        raise UserError("There is no crew, no apiary or no day to plan.", "Name at least one of each.")
    pace = pace_of(figures)
    longest = max(max(b - a for a, b in zip(c.leaves, c.home, strict=True)) for c in ask.crews)
    job = Job(
        stops=tuple(stops_of(ask.yards, assessment, pace, longest)), crews=ask.crews, days=len(ask.days),
        roads=ask.roads.minutes, disinfect=int(figures.theirs("visits.disinfect_min", "visits.disinfect_minutes")),
        loss=float(figures.ours("visits.loss_a_day")), hour_cost=float(figures.ours("visits.hour_worth")),
    )  # fmt: skip
    found = solve(job, search, tell, stop)
    days = tuple(_crew_day(job, route, ask, assessment, pace) for route in found.routes)
    compared = (_compared("this plan", job, found.routes), *(_compared(name, job, greedy(job, choice))
                for name, choice in (("nearest first", nearest_first), ("worst first", worst_first))))  # fmt: skip
    left = _left_out(job, found.routes)
    return VisitPlan(
        first=ask.days[0], days=days, left_out=left, score=found.score, bound=found.bound, gap=found.gap,
        stopped=found.stopped, compared=compared,
        answer=_answer(compared[0], days, left, found.gap, found.stopped), uses=figures.taken, rules=figures.rules,
        assumptions=(*basis, *_assumptions(job, ask, pace)),
        cautions=("A look that finds nothing clears no hive. Suspects are left closed and reported at once.",),
    )  # fmt: skip


def _crew_day(job: Job, route: Route, ask: VisitAsk, assessment: Assessment, pace: Pace) -> CrewDay:
    crew = job.crews[route.crew]
    at, before, km, made = crew.base, crew.leaves[route.day], 0.0, []
    for index, begins, cleaned in zip(route.stops, route.begins, route.cleaned, strict=True):
        stop = job.stops[index]
        km += float(ask.roads.km[at, stop.place])
        ends = begins + stop.minutes
        made.append(Visit(
            apiary=stop.apiary, part=stop.mark, hives=stop.hives, begins=begins, ends=ends, cleaned=cleaned,
            drive_min=int(job.shortest[at, stop.place]), risk=CLASSES[stop.risk], finds=stop.value,
            rate=stop.value / max((ends - before) / MINUTES, 1e-9), settles=settles(stop, assessment, pace.look),
        ))  # fmt: skip
        at, before = stop.place, ends
    return CrewDay(
        crew=crew.mark, people=crew.people, day=ask.days[route.day], leaves=crew.leaves[route.day],
        home=route.home, driven_min=route.driven, worked_min=route.worked,
        driven_km=km + float(ask.roads.km[at, crew.base]), visits=tuple(made),
    )  # fmt: skip


def settles(stop: Stop, assessment: Assessment, look: float) -> str:
    """What a visit would settle: the chance that it finds something, and what finding nothing would leave."""
    before, after = any_infected(assessment, stop.hives), any_infected(assessment, stop.hives, look)
    found = 1.0
    for hive in stop.hives:
        found *= 1.0 - assessment[hive].visible * look
    return (
        f"finds something with {percent(1.0 - found)}; nothing found: the chance that any of these {len(stop.hives)} "
        f"is infected falls from {percent(before)} to {percent(after)}"
    )


def _left_out(job: Job, routes: Sequence[Route]) -> tuple[tuple[str, str], ...]:
    done = {index for route in routes for index in route.stops}
    return tuple((stop.mark, _why_not(job, stop)) for k, stop in enumerate(job.stops) if k not in done)


def _why_not(job: Job, stop: Stop) -> str:
    if not any(stop.windows):
        return "no day on which it can be looked at"
    able = [crew for crew in job.crews if stop.needs <= crew.skills]
    if not able:
        return f"nobody in a crew can: {', '.join(sorted(stop.needs))}"
    lone = [c for c in able for d in range(job.days) for first, last in stop.windows[d]
            if max(first, c.leaves[d] + int(job.shortest[c.base, stop.place])) + stop.minutes
            <= min(last, c.home[d] - int(job.shortest[stop.place, c.base]))]  # fmt: skip
    if not lone:
        return "too far or too long for the hours that are open"
    trip = int(job.shortest[able[0].base, stop.place]) + int(job.shortest[stop.place, able[0].base])
    if stop.value < job.hour_cost * trip / MINUTES:
        return "less to expect there than the drive is worth"
    return f"no room in these days; {stop.value:.3f} infected hives to expect there"


def _compared(name: str, job: Job, routes: Sequence[Route]) -> Compared:
    away = sum(route.home - job.crews[route.crew].leaves[route.day] for route in routes)
    values = [(route.day, job.stops[k].value) for route in routes for k in route.stops]
    return Compared(order=name, finds=sum(value for _, value in values), soon=sum(v for day, v in values if not day),
                    hours=away / MINUTES, driven=sum(route.driven for route in routes) / MINUTES,
                    hives=sum(len(job.stops[k].hives) for r in routes for k in r.stops))  # fmt: skip


def _answer(
    own: Compared, days: Sequence[CrewDay], left: Sequence[tuple[str, str]], gap: float, stopped: bool
) -> tuple[str, ...]:
    total = sum(v.finds for day in days for v in day.visits)
    lines = [
        f"{len(days)} crew-days, {own.hives} hives, {own.hours:.1f} h away of which {own.driven:.1f} h at the wheel; "
        f"{total:.2f} infected hives to be expected, {total / own.hours if own.hours else 0:.2f} an hour.",
        f"No plan can be better than this one by more than {percent(gap)} of the best.",
    ]
    if stopped:
        lines.append("The search was stopped; this is the best plan until then.")
    if left:
        lines.append(f"{len(left)} parts have no room: see below.")
    if days:
        lines.append(f"First to go: {days[0].visits[0].part} on {day_words(days[0].day)}, {days[0].crew}, "
                     f"{clock(days[0].visits[0].begins)}.")  # fmt: skip
    return tuple(lines)


def _assumptions(job: Job, ask: VisitAsk, pace: Pace) -> tuple[str, ...]:
    found = [
        f"A hive takes {pace.hive} min, every brood frame shaken; each arrival {pace.arrive} min more.",
        f"A look at a hive that shows signs finds them with {percent(pace.look)}; no look finds one that shows none.",
        f"A visit loses {percent(job.loss)} of its worth with each day it is put off.",
        f"From a dirtier to a less dirty apiary only after a disinfection stop of {job.disinfect} min and with a spare "
        f"set of tools and suits. From the least: {'; '.join(CLASSES)}.",
        "What is found on the way is not in this plan: after a find, plan anew.",
    ]
    if ask.roads.guessed:
        found.append(f"{ask.roads.guessed} driving times are guessed from straight lines; hills and rivers are not.")
    return tuple(found)
