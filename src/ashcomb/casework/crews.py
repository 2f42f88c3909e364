"""Plans the visits of the crews from the records of a case."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta
from pathlib import Path

from ashcomb.casework.case import Case
from ashcomb.casework.chances import Which, chances_now
from ashcomb.casework.nights import filled
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words
from ashcomb.plans.figures import Figures
from ashcomb.plans.positions import Position, anchor_of, geographic, position_of
from ashcomb.plans.roads import Roads, read_table, roads_between
from ashcomb.plans.season import season_of
from ashcomb.plans.visit_job import Crew
from ashcomb.plans.visit_solve import Progress, Search
from ashcomb.plans.visit_stops import Yard
from ashcomb.plans.visit_windows import Allowed, Openings, clock
from ashcomb.plans.visits import VisitAsk, VisitPlan, visits
from ashcomb.plans.workdays import calendar_of
from ashcomb.records.acts import CrewMember
from ashcomb.records.places import Apiary, Premises
from ashcomb.science.exact import percent

MOST_DAYS = 60
QUICK = Search(rounds=20, labels=600, most=3_000, steps=100, effort=4.0)  # for papers and pages: somebody waits
_ORDERS = ("Order", "Infected hives to expect", "On the first day", "Hours away", "Hours driven", "Found an hour",
           "Hives")  # fmt: skip
_CREW = re.compile(r"^(?P<people>[^@]+)@(?P<base>[^@\s]+)(?:\s+(?P<from>\d{1,2}:\d{2})-(?P<to>\d{1,2}:\d{2}))?"
                   r"(?:\s+sets=(?P<sets>\d))?$")  # fmt: skip


@dataclass(frozen=True, slots=True)
class VisitsAsk:
    """What somebody asks for. apiaries: empty for all.  roads: file with driving minutes.  hours: file with landowners'
    hours.  every_day: rest days are worked too.  needs: apiary to what somebody must know.
    chances: of a fresh assessment, or by the closed form.

    crews: 'RF+OD@HH 08:00-17:00 sets=2' with the spare sets of tools and suits; empty pairs all people.
    """

    first: date | None = None
    days: int = 5
    apiaries: tuple[str, ...] = ()
    crews: tuple[str, ...] = ()
    roads: Path | None = None
    hours: Path | None = None
    every_day: bool = False
    needs: tuple[tuple[str, str], ...] = ()
    chances: Which = "best"


def plan_visits(
    case: Case,
    ask: VisitsAsk,
    tell: Callable[[Progress], None] = lambda progress: None,
    stop: Callable[[], bool] = lambda: False,
    search: Search | None = None,
) -> VisitPlan:
    """The plan of visits; raises UserError for unknown people or places, or files that cannot be read."""
    figures, situation = Figures(case.profile()), case.situation()
    now, basis = chances_now(case, ask.apiaries, ask.chances)
    days = work_days(case, ask.first or case.now().date() + timedelta(days=1), ask.days, ask.every_day)
    texts = ask.crews or default_crews(case)
    bases = {_parts(text).base for text in texts}
    roads = roads_of(case, sorted(now.hives), sorted(bases), figures, ask.roads)
    openings = Openings(situation, figures, season_of(figures, case.head.grid_lat), case.head.timezone,
                        read_hours(ask.hours) if ask.hours else ())  # fmt: skip
    needs = _needs(ask, now.hives)
    yards = []
    for mark in now.hives:
        lat, lon = _where(case, mark)
        windows = tuple(openings.of(mark, day, lat, lon).windows for day in days)
        yards.append(Yard(mark=mark, hives=now.hives[mark], place=roads.row(mark), risk=now.risk[mark],
                          windows=windows, needs=needs[mark]))  # fmt: skip
    crews = tuple(crew_of(case, text, n, roads, len(days), figures) for n, text in enumerate(texts, 1))
    asked = VisitAsk(days=days, yards=tuple(yards), crews=crews, roads=roads)
    return visits(case.profile(), asked, now.chances, basis, search, tell, stop)


def work_days(case: Case, first: date, number: int, every_day: bool) -> tuple[date, ...]:
    """So many days from the first on; rest days and public holidays of the profile are left out unless asked for."""
    if not 0 < number <= MOST_DAYS:
        raise UserError(f"{number} days cannot be planned.", f"Plan from 1 to {MOST_DAYS} days.")
    calendar, day = calendar_of(case.profile()), first
    found: list[date] = []
    while len(found) < number:
        if every_day or not calendar.rest(day):
            found.append(day)
        day += timedelta(days=1)
    return tuple(found)


def default_crews(case: Case) -> tuple[str, ...]:
    """Everybody on the list, two by two, from the honey house, or from the index apiary where none has a place."""
    people = [person.mark for person in case.situation().rows(CrewMember)]
    if not people:
        raise UserError("Nobody is on the list of the crew.", "Add people to the sheet Crew, or name crews.")
    houses = [place.mark for place in case.situation().rows(Premises)
              if place.type == "honey house" and position_of(place)]  # fmt: skip
    base = houses[0] if houses else case.head.index
    pairs = [people[k : k + 2] for k in range(0, len(people), 2)]
    return tuple(f"{'+'.join(pair)}@{base}" for pair in pairs)


def crew_of(case: Case, text: str, number: int, roads: Roads, days: int, figures: Figures) -> Crew:
    """A crew from 'RF+OD@HH 08:00-17:00 sets=2'; hours and spare sets that are not given are the program's."""
    said = _parts(text)
    people, begin, end = said.people, said.begins, said.ends
    known = {person.mark: person for person in case.situation().rows(CrewMember)}
    strangers = [mark for mark in people if mark not in known]
    if strangers:
        raise UserError(f"“{strangers[0]}” is nobody on the list of the crew.", f"Choose from {', '.join(known)}.")
    leaves = begin if begin is not None else int(figures.ours("visits.day_begins") * 60)
    home = end if end is not None else leaves + int(figures.ours("visits.day_hours") * 60)
    if home <= leaves:
        raise UserError(f"The crew “{text}” is back before it leaves.", "Write it like RF+OD@HH 08:00-17:00.")
    skills = frozenset(role for mark in people for role in known[mark].roles)
    return Crew(mark=f"Crew {number}", people=people, skills=skills, base=roads.row(said.base), leaves=(leaves,) * days,
                home=(home,) * days,
                cleanings=int(figures.ours("visits.spare_sets")) if said.sets is None else said.sets)  # fmt: skip


def roads_of(case: Case, yards: Sequence[str], bases: Sequence[str], figures: Figures, file: Path | None) -> Roads:
    """Driving times between these places. Raises UserError for a place without position that no table reaches."""
    situation = case.situation()
    known: dict[str, Apiary | Premises] = {**situation.by_mark(Premises), **situation.by_mark(Apiary)}
    places: dict[str, Position] = {}
    for mark in dict.fromkeys([*bases, *yards]):
        found = position_of(known[mark]) if mark in known else None
        if mark not in known:
            raise UserError(f"“{mark}” is no place in the records.", "Name an apiary or a premises.")
        if found is None and file is None:
            raise UserError(f"{mark} has no usable position.", "Add it, leave it out, or give a table of roads.")
        places[mark] = found or Position(None, None)
    given = read_table(_cells(file), file.name) if file else None
    return roads_between(places, anchor_of(case.head), figures, given)


def read_hours(file: Path) -> tuple[Allowed, ...]:
    """Landowners' hours from a file with the columns apiary, from, to and, if wanted, day."""
    rows = [row for row in _cells(file) if any(cell.strip() for cell in row)]
    head = [cell.strip().casefold() for cell in rows[0]] if rows else []
    if not {"apiary", "from", "to"} <= set(head):
        raise UserError("The file of hours needs the columns apiary, from, to.", "Add them.", file.name)
    found = []
    for number, row in enumerate(rows[1:], 2):
        cells = dict(zip(head, (cell.strip() for cell in row), strict=False))
        try:
            first, last = (time.fromisoformat(cells[name]) for name in ("from", "to"))
            day = date.fromisoformat(cells["day"]) if cells.get("day") else None
        except (ValueError, KeyError):
            raise UserError("A line of hours cannot be read.", "Write A07, 08:00, 12:00 and a day like 2031-05-15.",
                            f"{file.name}, row {number}") from None  # fmt: skip
        found.append(Allowed(cells["apiary"], day, first.hour * 60 + first.minute, last.hour * 60 + last.minute))
    return tuple(found)


def visits_report(plan: VisitPlan) -> Report:
    """The plan of visits in words: what it comes to, each crew's day, what has no room, and other orders beside it."""
    other = [(c.order, f"{c.finds:.2f}", f"{c.soon:.2f}", f"{c.hours:.1f}", f"{c.driven:.1f}",
              f"{c.finds / c.hours:.3f}" if c.hours else "", c.hives) for c in plan.compared]  # fmt: skip
    sections = [
        Section("What it comes to", plan.answer),
        *(_day_section(plan, k) for k in range(len(plan.days))),
        Section("No room for", (), table(("Part", "Why"), plan.left_out)),
        Section("Beside the orders people use", (), table(_ORDERS, other, right=(1, 2, 3, 4, 5, 6))),
    ]  # fmt: skip
    return report(f"Visits from {day_words(plan.first)}", plan.answer[0], filled(sections), plan)


def _day_section(plan: VisitPlan, k: int) -> Section:
    day = plan.days[k]
    rows = [(clock(v.begins), clock(v.ends), v.part, len(v.hives), "disinfect first" if v.cleaned else "", v.risk,
             f"{v.finds:.2f}", f"{v.rate:.2f}", v.settles) for v in day.visits]  # fmt: skip
    words = (f"{'+'.join(day.people)}: leaves {clock(day.leaves)}, back {clock(day.home)}; {day.driven_min} min and "
             f"{day.driven_km:.0f} km at the wheel.")  # fmt: skip
    columns = ("From", "To", "Where", "Hives", "Before", "Apiary", "Expect", "An hour", "What it would settle")
    return Section(f"{day_words(day.day)}, {day.crew}", (words,), table(columns, rows, right=(3, 6, 7)))


def gap_words(progress: Progress) -> str:
    """How far a search is, for a line that is written over."""
    return f"{progress.step}: best {progress.best:.3f}, at most {progress.bound:.3f}, gap {percent(progress.gap)}"


@dataclass(frozen=True, slots=True)
class _Said:
    people: tuple[str, ...]
    base: str
    begins: int | None
    ends: int | None
    sets: int | None


def _parts(text: str) -> _Said:
    found = _CREW.match(text.strip())
    if not found:
        raise UserError(f"“{text}” is no crew.", "Write people, base, hours and spare sets of tools and suits like "
                        "RF+OD@HH 08:00-17:00 sets=2.")  # fmt: skip
    people = tuple(mark.strip() for mark in found["people"].split("+") if mark.strip())
    return _Said(people, found["base"], _minute(found["from"], text), _minute(found["to"], text),
                 int(found["sets"]) if found["sets"] else None)  # fmt: skip


def _needs(ask: VisitsAsk, hives: Mapping[str, object]) -> dict[str, frozenset[str]]:
    strangers = [mark for mark, _ in ask.needs if mark not in hives]
    if strangers:
        raise UserError(f"“{strangers[0]}” is no apiary that is to be visited.", f"Choose from {', '.join(hives)}.")
    return {mark: frozenset(role for own, role in ask.needs if own == mark) for mark in hives}


def _minute(words: str | None, text: str) -> int | None:
    if words is None:
        return None
    try:
        at = time.fromisoformat(words.zfill(5))
    except ValueError:
        raise UserError(f"“{words}” in “{text}” is not an hour.", "Write it like 08:00.") from None
    return at.hour * 60 + at.minute


def _where(case: Case, mark: str) -> tuple[float | None, float | None]:
    position = position_of(case.situation().by_mark(Apiary)[mark])
    found = geographic(position, anchor_of(case.head)) if position else None
    return found or (None, None)


def _cells(file: Path) -> list[list[str]]:
    try:
        text = file.read_text("utf-8-sig")
    except (OSError, UnicodeDecodeError):
        raise UserError("The file cannot be read as text.", "Save it as UTF-8 CSV.", str(file)) from None
    dialect = ";" if text.count(";") > text.count(",") else ","
    return [list(row) for row in csv.reader(text.splitlines(), delimiter=dialect)]
