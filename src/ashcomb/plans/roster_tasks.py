"""The jobs of a destruction and what goes with it: prepare, dig, the night, fire, cover, store, plant, visits."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from ashcomb.plans.figures import Figures
from ashcomb.plans.night_roles import FOR_EACH_TEAM, FOR_THE_NIGHT
from ashcomb.plans.roster_job import DAY, Task
from ashcomb.plans.visits import CrewDay

HOUR = 60
NIGHT_KIT = ("agent as ordered", "foam and tape", "red lamps", "smoker kept apart from the fuel", "one-night sheet")
FIRE_KIT = ("water and extinguishers", "rakes and shovels", "fire permit", "meter", "destruction record")
DIG_KIT = ("digger or spades", "pit plan", "line search for buried services")
LOOK_KIT = ("inspection papers", "sample tubes and seals", "clean tools and suits, and a spare set")


@dataclass(frozen=True, slots=True)
class NightHours:
    """One night that could be used. begins: earliest sealing.  ends: latest, minutes after midnight of that day."""

    day: int
    begins: int
    ends: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Kill:
    """Hives of one apiary that die in one night. minutes: of the work.  drive: one way.  part: name of the part.

    nights: that could be used.  due: last day, from 0, on which the law allows it, or None.  dig: minutes, 0 for none.
    """

    apiary: str
    part: str
    hives: tuple[str, ...]
    minutes: int
    drive: int
    nights: tuple[NightHours, ...]
    due: int | None
    teams: int = 1
    dig: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A time at the irradiation plant. begins: minutes from the beginning.  drive: one way."""

    place: str
    begins: int
    drive: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """Working hours of each day of the calendar, and the days on which a fire may burn. All from 0, minutes after
    midnight. usual: hours of any day, for what is looked after on rest days too."""

    usual: tuple[int, int]
    day: tuple[tuple[int, int], ...]
    fire: frozenset[int]


def kill_tasks(kill: Kill, hours: Hours, figures: Figures, burn: bool) -> Iterator[Task]:
    """Everything that goes with one kill, in its order. burn: the dead hives burn in a pit, else they are stored."""
    per_hive, dig, load = (int(figures.ours(f"visits.{n}_minutes")) for n in ("prepare", "dig", "load"))
    two, watch = int(figures.ours("visits.day_people")), int(figures.ours("visits.burn_people"))
    recheck = int(figures.theirs("kill.recheck_h", "night.recheck_hours") * HOUR)
    rest, crew = int(figures.ours("visits.rest_hours") * HOUR), int(figures.ours("visits.night_people"))
    name, count, way = kill.part, len(kill.hives), 2 * kill.drive
    days = [d for d in range(len(hours.day)) if kill.due is None or d <= kill.due]
    last = [day for day in days if hours.day[day][0] < hours.day[day][1]]
    prepare, night, pit, away = f"prepare {name}", f"night {name}", f"pit {name}", f"clear {name}"
    yield Task(mark=prepare, kind="prepare by day", where=kill.apiary, minutes=way + per_hive * count, people=two,
               windows=_open(hours, last), weight=5, kit=("straps", "foam and tape", "hive list"),
               why=f"{count} hives: close gaps, strap lids, check numbers")  # fmt: skip
    if burn:
        yield Task(mark=pit, kind="dig the pit", where=kill.apiary, minutes=way + (kill.dig or dig), people=two,
                   windows=_open(hours, last), weight=5, kit=DIG_KIT, shares=("digger",),
                   why="nobody climbs into a pit deeper than its plan allows")  # fmt: skip
    roles = [(role, 1) for role in FOR_THE_NIGHT] + [(role, kill.teams) for role in FOR_EACH_TEAM]
    spans = [(n.day * DAY + n.begins - kill.drive, n.day * DAY + n.ends + kill.drive) for n in kill.nights
             if kill.due is None or n.day <= kill.due]  # fmt: skip
    yield Task(mark=night, kind="night", where=kill.apiary, minutes=way + kill.minutes, people=crew, rest=rest,
               roles=tuple(roles), windows=tuple(spans), weight=20, kit=NIGHT_KIT,
               after=((prepare, 0), *(((pit, 0),) if burn else ())),
               why=f"{count} hives, {kill.teams} team(s)")  # fmt: skip
    if burn:
        fire, cover = int(figures.ours("visits.burn_minutes")), int(figures.ours("visits.cover_minutes"))
        fires = [day for day in range(len(hours.day)) if day in hours.fire]
        yield Task(mark=f"fire {name}", kind="burn", where=kill.apiary, minutes=way + load * count + fire, people=watch,
                   windows=_open(hours, fires), after=((night, recheck - kill.drive),), weight=10, kit=FIRE_KIT,
                   why="first look that every hive is dead; watched until it is ash")  # fmt: skip
        yield Task(
            mark=f"cover {name}",
            kind="cover the ash",
            where=kill.apiary,
            minutes=way + cover,
            people=two,
            windows=_open(hours, range(len(hours.day))),
            after=((f"fire {name}", 0),),
            weight=5,
            shares=("digger",),
            kit=("digger or spades", "camera"),
            why="settled soil as deep as the place asks",
        )
    else:
        yield Task(mark=away, kind="into the hold store", where=kill.apiary, minutes=way + load * count, people=two,
                   windows=_open(hours, range(len(hours.day))), after=((night, recheck - kill.drive),), weight=10,
                   shares=("truck",), kit=("truck", "wrap and straps", "hold register"),
                   why="first look that every hive is dead; bee-proof on the road")  # fmt: skip


def store_tasks(store: str, drive: int, hours: Hours, first: int, figures: Figures) -> Iterator[Task]:
    """A look round the hold store on each day from `first` on."""
    minutes = 2 * drive + int(figures.ours("visits.store_minutes"))
    for day in range(first, len(hours.day)):
        yield Task(mark=f"store {store} day {day + 1}", kind="look round the store", where=store, minutes=minutes,
                   windows=((day * DAY + hours.usual[0], day * DAY + hours.usual[1]),), weight=1,
                   kit=("hold register",), why="gaps, robber bees, count")  # fmt: skip


def plant_task(slot: Slot, number: int, figures: Figures) -> Task:
    """The delivery to the plant at its hour; the crew drives off early enough."""
    load = int(figures.ours("visits.deliver_minutes"))
    begin = slot.begins - slot.drive - load // 2
    minutes = 2 * slot.drive + load
    return Task(mark=f"plant {slot.place} {number}", kind="deliver to the plant", where=slot.place, minutes=minutes,
                windows=((begin, begin + minutes),), roles=(("driver", 1),), people=2, weight=8, shares=("truck",),
                kit=("pack list", "truck", "unit labels"), why="the plant holds this hour")  # fmt: skip


def visit_tasks(days: Sequence[CrewDay], first: date) -> Iterator[Task]:
    """The crew-days of a plan of visits, with their people and hours as they stand."""
    for day in days:
        start = (day.day - first).days * DAY
        where = ", ".join(dict.fromkeys(visit.apiary for visit in day.visits))
        finds = sum(visit.finds for visit in day.visits)
        yield Task(mark=f"visits {day.crew} {day.day.isoformat()}", kind="visits", where=where, weight=4,
                   minutes=day.home - day.leaves, named=day.people, windows=((start + day.leaves, start + day.home),),
                   kit=LOOK_KIT, why=f"{finds:.2f} infected hives to expect")  # fmt: skip


def from_midnight(moment: datetime, day: date) -> int:
    """Minutes of a local moment from the midnight that begins a day."""
    return (moment.date() - day).days * DAY + moment.hour * HOUR + moment.minute


def _open(hours: Hours, days: Sequence[int] | range) -> tuple[tuple[int, int], ...]:
    return tuple((day * DAY + hours.day[day][0], day * DAY + hours.day[day][1]) for day in days
                 if hours.day[day][0] < hours.day[day][1])  # fmt: skip
