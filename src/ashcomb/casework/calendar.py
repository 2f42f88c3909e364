"""One calendar for all crews of a case, from orders, clocks, people and places; as a report and as a calendar file."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from ashcomb.casework.case import Case
from ashcomb.casework.crews import default_crews, roads_of, work_days
from ashcomb.casework.dates import due_dates
from ashcomb.casework.nights import filled, living, where_it_is
from ashcomb.casework.report import Report, Section, Table, report, table
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words, moment_words
from ashcomb.plans.figures import Figures
from ashcomb.plans.night import NightOrder, NightPlan, night_plan
from ashcomb.plans.roads import Roads
from ashcomb.plans.roster import Change, Entry, RosterPlan, as_it_stood, roster
from ashcomb.plans.roster_job import Person, Placed, RosterJob, Task
from ashcomb.plans.roster_tasks import (
    Hours,
    Kill,
    NightHours,
    Slot,
    from_midnight,
    kill_tasks,
    plant_task,
    store_tasks,
    visit_tasks,
)
from ashcomb.plans.visits import VisitPlan
from ashcomb.records.acts import CrewMember, Weather
from ashcomb.records.places import Premises
from ashcomb.records.state import condemned, hive_places

HOUR = 60
KILL_JOBS = ("prepare", "pit", "night", "fire", "cover", "clear")  # first words of their marks
EFFORT = 8.0  # deterministic seconds of the search


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarAsk:
    """What somebody asks for. nights: apiaries; empty for all with condemned hives that live.  burn: else the store.

    slots: (plant, moment).  off: (person, day).  no_fire: days.  split: (apiary, hives of each night), such as
    ("A07", (7, 7)).  visits: a plan whose crew-days enter.  before: an
    earlier calendar as `saved` wrote it.
    """

    first: date | None = None
    days: int = 7
    nights: tuple[str, ...] = ()
    burn: bool = True
    teams: int = 1
    store: str = ""
    slots: tuple[tuple[str, datetime], ...] = ()
    off: tuple[tuple[str, date], ...] = ()
    no_fire: tuple[date, ...] = ()
    split: tuple[tuple[str, tuple[int, ...]], ...] = ()
    every_day: bool = False
    visits: VisitPlan | None = None
    before: Path | None = None


def plan_calendar(
    case: Case,
    ask: CalendarAsk,
    tell: Callable[[int, int], None] = lambda weight, bound: None,
    stop: Callable[[], bool] = lambda: False,
) -> RosterPlan:
    """The calendar; raises UserError for unknown people or places, or when there is nothing to do.

    Without an earlier calendar to compare with, days off and days without fire are compared with the same without them.
    """
    job, tasks, people, changes = _question(case, ask)
    before = read_saved(ask.before, job) if ask.before else None
    if before is None and (ask.off or ask.no_fire):
        plain, others, everybody, _ = _question(case, replace(ask, off=(), no_fire=()))
        before = as_it_stood(others, everybody, plain, EFFORT, tell, stop)
    return roster(case.profile(), tasks, people, job, before, changes, EFFORT, tell, stop)


def _question(case: Case, ask: CalendarAsk) -> tuple[RosterJob, list[Task], list[Person], list[Change]]:
    """The jobs, the people, and the ways out that only the kills know of."""
    figures = Figures(case.profile())
    first = ask.first or case.now().date()
    job = RosterJob(first=first, days=ask.days, tasks=(), people=(), apart=(),
                    most=int(figures.ours("visits.day_most") * HOUR))  # fmt: skip
    hours = _hours(case, ask, job, figures)
    roads, base = _roads(case, ask, figures)
    kills, changes = [], []
    split, doomed = dict(ask.split), _doomed(case, ask)
    strangers = [apiary for apiary in split if apiary not in doomed]
    if strangers:
        raise UserError(f"No hive of {strangers[0]} is to be killed.", f"Choose from {', '.join(doomed) or 'none'}.")
    for apiary in doomed:
        kill, others = _kill(case, ask, job, apiary, _drive(roads, base, apiary))
        if apiary in split:
            kills += _in_nights(case, ask, job, kill, split[apiary])
            continue
        kills.append(kill)
        changes += [_instead(kill, parts, words, cost, hours, figures, ask.burn) for parts, words, cost in others]
    tasks = [task for kill in kills for task in kill_tasks(kill, hours, figures, ask.burn)]
    if kills and not ask.burn:
        store = _store(case, ask)
        tasks += store_tasks(store, _drive(roads, base, store), hours, 1, figures)
    for number, (plant, moment) in enumerate(ask.slots, 1):
        begins = from_midnight(moment, first)
        tasks.append(plant_task(Slot(place=plant, begins=begins, drive=_drive(roads, base, plant)), number, figures))
    if ask.visits:
        tasks += visit_tasks([day for day in ask.visits.days if 0 <= (day.day - first).days < ask.days], first)
    return job, tasks, _people(case, ask, job), changes


def _in_nights(case: Case, ask: CalendarAsk, job: RosterJob, kill: Kill, sizes: Sequence[int]) -> list[Kill]:
    """One kill as several nights with so many hives each; raises UserError where they are not all the hives."""
    if sum(sizes) != len(kill.hives) or min(sizes) < 1:
        raise UserError(f"{'+'.join(map(str, sizes))} are not the {len(kill.hives)} hives of {kill.apiary}.",
                        "Share them all out.")  # fmt: skip
    parts, done = [], 0
    for number, size in enumerate(sizes):
        hives = kill.hives[done : done + size]
        night = _night(case, kill.apiary, hives, job.first, ask.teams)
        part = f"{kill.apiary} {chr(ord('a') + number)}"
        parts.append(replace(kill, part=part, hives=hives, minutes=round(night.minutes + 0.499)))
        done += size
    return parts


def _hours(case: Case, ask: CalendarAsk, job: RosterJob, figures: Figures) -> Hours:
    """Working hours by day; no hours on rest days unless they are worked; no fire on days of a ban or where told."""
    begin = int(figures.ours("visits.day_begins") * HOUR)
    end = begin + int(figures.ours("visits.day_hours") * HOUR)
    days = [job.first + timedelta(days=n) for n in range(job.days)]
    worked = set(days) if ask.every_day else set(work_days(case, job.first, job.days, False))
    banned = {row.happened.first for row in case.situation().rows(Weather) if row.fire_ban} | set(ask.no_fire)
    now = case.now()
    opened = [(begin, end) if day in worked else (0, 0) for day in days]
    if days[0] == now.date() and opened[0][1]:
        opened[0] = (max(begin, now.hour * HOUR + now.minute), end)
    return Hours(
        usual=(begin, end), day=tuple(opened), fire=frozenset(n for n, day in enumerate(days) if day not in banned)
    )


def _roads(case: Case, ask: CalendarAsk, figures: Figures) -> tuple[Roads, str]:
    base = default_crews(case)[0].rsplit("@", 1)[1]
    places = [*_doomed(case, ask), *(plant for plant, _ in ask.slots), *([] if ask.burn else [_store(case, ask)])]
    return roads_of(case, sorted(set(places)), [base], figures, None), base


def _drive(roads: Roads, base: str, place: str) -> int:
    return int(roads.minutes[roads.row(base), roads.row(place)])


def _doomed(case: Case, ask: CalendarAsk) -> tuple[str, ...]:
    situation = case.situation()
    places = hive_places(situation, case.now().date())
    return ask.nights or tuple(sorted({places[h] for h in condemned(situation) if h in places and _alive(case, h)}))


def _alive(case: Case, hive: str) -> bool:
    places = hive_places(case.situation(), case.now().date())
    try:
        return hive in living(case.situation(), places[hive])
    except UserError:
        return False


def _store(case: Case, ask: CalendarAsk) -> str:
    stores = [place.mark for place in case.situation().rows(Premises) if place.type == "store"]
    held = [place.mark for place in case.situation().rows(Premises)
            if place.type == "store" and "hold" in place.name.casefold()]  # fmt: skip
    if ask.store or held or stores:
        return ask.store or [*held, *stores][0]
    raise UserError("No store is recorded for hives that do not burn.", "Add it to the sheet Premises.")


def _kill(
    case: Case, ask: CalendarAsk, job: RosterJob, apiary: str, drive: int
) -> tuple[Kill, list[tuple[list[Kill], str, float]]]:
    """The kill of one apiary, and other ways to do it with what each counts for."""
    hives = living(case.situation(), apiary)
    nights = [_night(case, apiary, hives, job.first + timedelta(days=n), ask.teams) for n in range(job.days)]
    due = due_dates(case).of("destroy")
    last = (due.at.day - job.first).days if due and due.at and due.state in ("running", "passed") else None
    usable = tuple(
        NightHours(n, from_midnight(p.window.begins, job.first + timedelta(days=n)),
                   from_midnight(p.limit, job.first + timedelta(days=n)))
        for n, p in enumerate(nights) if p.window.begins and p.limit
    )  # fmt: skip
    minutes = round(nights[0].minutes + 0.499)
    kill = Kill(apiary=apiary, part=apiary, hives=hives, minutes=minutes, drive=drive, nights=usable,
                due=last if last is None or last >= 0 else None, teams=ask.teams)  # fmt: skip
    others = []
    for other in nights[0].alternatives:
        people_hours = (2 * drive + other.minutes) / HOUR
        if other.hives == len(hives):
            parts = [replace(kill, minutes=round(other.minutes + 0.499), teams=other.teams)]
            others.append((parts, f"{apiary}: {other.words}", 3 * people_hours * (other.teams - ask.teams)))
        else:
            rest = hives[other.hives :]
            short = _night(case, apiary, rest, job.first, ask.teams)
            parts = [
                replace(kill, part=f"{apiary} a", hives=hives[: other.hives], minutes=round(other.minutes + 0.499)),
                replace(kill, part=f"{apiary} b", hives=rest, minutes=round(short.minutes + 0.499)),
            ]
            others.append((parts, f"{apiary}: two nights, {other.hives} and {len(rest)} hives. {other.warning}",
                           6 * (2 * drive + short.minutes) / HOUR))  # fmt: skip
    return kill, others


def _night(case: Case, apiary: str, hives: tuple[str, ...], day: date, teams: int) -> NightPlan:
    mark, lat, lon = where_it_is(case, apiary)
    order = NightOrder(apiary=mark, hives=hives, day=day, lat=lat, lon=lon, zone=case.head.timezone, teams=teams)
    return night_plan(case.situation(), case.profile(), order)


def _instead(
    kill: Kill, parts: Sequence[Kill], words: str, cost: float, hours: Hours, figures: Figures, burn: bool
) -> Change:
    """The change that puts other jobs in place of those of one kill."""
    own = {task.mark for task in kill_tasks(kill, hours, figures, burn)}
    made = [task for part in parts for task in kill_tasks(part, hours, figures, burn)]

    def apply(job: RosterJob) -> RosterJob:
        kept: list[Task] = [task for task in job.tasks if task.mark not in own]
        return replace(job, tasks=(*kept, *made))

    return Change(words=words, cost_h=round(cost, 1), apply=apply)


def _people(case: Case, ask: CalendarAsk, job: RosterJob) -> list[Person]:
    rows = case.situation().by_mark(CrewMember)
    strangers = [who for who, _ in ask.off if who not in rows]
    if strangers:
        raise UserError(f"“{strangers[0]}” is nobody on the list of the crew.", f"Choose from {', '.join(rows)}.")
    return [Person(mark=mark, roles=frozenset(row.roles),
                   off=frozenset((day - job.first).days for who, day in ask.off if who == mark))
            for mark, row in rows.items()]  # fmt: skip


def saved(plan: RosterPlan) -> str:
    """A calendar as JSON, to be compared with a later one."""
    times = {entry.mark: entry for entry in plan.entries}
    rows = [{"mark": p.mark, "begins": times[p.mark].begins.isoformat(), "ends": times[p.mark].ends.isoformat(),
             "people": list(p.people), "posts": [list(post) for post in p.posts]} for p in plan.placed]  # fmt: skip
    return json.dumps({"calendar": rows}, indent=1, ensure_ascii=False) + "\n"


def read_saved(file: Path, job: RosterJob) -> dict[str, Placed]:
    """A calendar that `saved` wrote; raises UserError for anything else."""
    try:
        rows = json.loads(file.read_text("utf-8"))["calendar"]
        found = [Placed(row["mark"], _minutes(row["begins"], job), _minutes(row["ends"], job), tuple(row["people"]),
                        tuple((role, who) for role, who in row["posts"])) for row in rows]  # fmt: skip
    except (OSError, ValueError, KeyError, TypeError):
        raise UserError("This is no saved calendar.", "Write one with --save.", str(file)) from None
    return {placed.mark: placed for placed in found if placed.begins >= 0}


def _minutes(text: str, job: RosterJob) -> int:
    return from_midnight(datetime.fromisoformat(text), job.first)


def calendar_file(case: Case, plan: RosterPlan, person: str = "") -> bytes:
    """The calendar, or one person's, as an iCalendar file with times in UTC."""
    from icalendar import Calendar, Event

    made = Calendar()
    made.add("prodid", "-//Ashcomb//crews//EN")
    made.add("version", "2.0")
    for entry in plan.entries:
        if person and person not in entry.people:
            continue
        event = Event()
        event.add("uid", f"{'-'.join(entry.mark.split())}@{case.head.mark}.ashcomb")
        event.add("dtstamp", case.now().astimezone(UTC))
        event.add("dtstart", entry.begins.replace(tzinfo=case.zone).astimezone(UTC))
        event.add("dtend", entry.ends.replace(tzinfo=case.zone).astimezone(UTC))
        event.add("summary", f"{entry.kind}, {entry.where}: {'+'.join(entry.people)}")
        event.add("location", entry.where)
        event.add("description", "\n".join(_details(entry, plan.cautions)))
        made.add_component(event)
    return bytes(made.to_ical())


def _details(entry: Entry, cautions: Iterable[str]) -> Iterator[str]:
    yield entry.why
    if entry.posts:
        yield "; ".join(f"{role}: {person}" for role, person in entry.posts)
    yield f"Take: {', '.join(entry.kit)}."
    if entry.waits:
        yield f"Only after: {', '.join(entry.waits)}."
    if entry.kind in ("night", "burn"):
        yield from cautions


def calendar_report(plan: RosterPlan) -> Report:
    """The calendar in words: day by day, what does not fit with its way out, and what moved."""
    days: dict[date, list[Entry]] = {}
    for entry in plan.entries:
        days.setdefault(entry.begins.date(), []).append(entry)
    unfit = [(u.mark, u.why, u.way_out) for u in plan.unfit]
    sections = [
        Section("What it comes to", plan.answer),
        Section("No place for", (), table(("Job", "Why", "Cheapest way out"), unfit)),
        Section("What moved", plan.moved),
        Section("Who is where", (), _week(sorted(days), plan.entries)),
        *(Section(day_words(day), (), _day_table(entries)) for day, entries in sorted(days.items())),
        Section("Person by person", (), table(("Person", "Jobs", "Hours"), _by_person(plan.entries), right=(2,))),
    ]  # fmt: skip
    return report("Calendar of the crews", plan.answer[0], filled(sections), plan)


def _day_table(entries: Sequence[Entry]) -> Table:
    rows = [(f"{e.begins:%H:%M}", _until(e), e.kind, _place(e), _who(e), ", ".join(e.kit), e.why) for e in entries]
    return table(("From", "To", "What", "Where", "Who", "With", "Why"), rows)


def _week(days: Sequence[date], entries: Sequence[Entry]) -> Table:
    """Days down, people across, so that a free hand is seen at a glance."""
    people = sorted({person for entry in entries for person in entry.people})
    rows = [[day_words(day)[:-5], *("; ".join(f"{e.begins:%H:%M} {e.kind} {_place(e)}" for e in entries
                                              if person in e.people and e.begins.date() == day) or "–"
                                    for person in people)] for day in days]  # fmt: skip
    return table(("Day", *people), rows)


def _place(entry: Entry) -> str:
    """The place, with the part of its hives where one apiary takes several nights: A07 a."""
    job, _, part = entry.mark.partition(" ")
    return part if job in KILL_JOBS else entry.where


def _until(entry: Entry) -> str:
    later = "" if entry.ends.date() == entry.begins.date() else f" {entry.ends:%a}"
    return f"{entry.ends:%H:%M}{later}"


def _who(entry: Entry) -> str:
    roles: dict[str, list[str]] = {}
    for role, person in entry.posts:
        roles.setdefault(person, []).append(role)
    return ", ".join(f"{person} ({', '.join(roles[person])})" if person in roles else person for person in entry.people)


def _by_person(entries: Sequence[Entry]) -> list[tuple[str, str, str]]:
    jobs: dict[str, list[Entry]] = {}
    for entry in entries:
        for person in entry.people:
            jobs.setdefault(person, []).append(entry)
    return [(person, "; ".join(f"{e.kind} {_place(e)}, {moment_words(e.begins)}" for e in own),
             f"{sum((e.ends - e.begins).total_seconds() for e in own) / 3600:.1f}")
            for person, own in sorted(jobs.items())]  # fmt: skip


def placed_by_mark(plan: RosterPlan) -> Mapping[str, Placed]:
    """The calendar by job, to plan the next one from."""
    return {placed.mark: placed for placed in plan.placed}
