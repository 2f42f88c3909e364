"""What an order of visits is made from: stops, crews, days, roads; and what one day's route of one crew comes to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt

MINUTES = 60
Minutes = npt.NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A visit to some hives of one apiary, done in one go.

    place: row of the roads.  minutes: work there.  value: infected hives that it is expected to find.  risk: class of
    the apiary, higher is dirtier.  part: order of the parts of one apiary, from 0.  needs: what somebody must be able
    to do.  windows: for each day, the times (minutes after midnight) between which the whole work must lie.
    """

    mark: str
    apiary: str
    hives: tuple[str, ...]
    place: int
    minutes: int
    value: float
    risk: int
    part: int
    windows: tuple[tuple[tuple[int, int], ...], ...]
    needs: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class Crew:
    """People who go together. base: row of the roads.  leaves, home: minutes after midnight, for each day.

    cleanings: how often a day they can go from a dirtier to a less dirty apiary, with the disinfection stop: one for
    each spare set of tools and suits.
    """

    mark: str
    people: tuple[str, ...]
    skills: frozenset[str]
    base: int
    leaves: tuple[int, ...]
    home: tuple[int, ...]
    cleanings: int


@dataclass(frozen=True, kw_only=True)
class Job:
    """The whole question. days: number of days.  disinfect: minutes of a disinfection stop.

    loss: share of its worth that a visit loses with each day it is put off.  hour_cost: infected hives that an hour of
    driving must be worth.
    """

    stops: tuple[Stop, ...]
    crews: tuple[Crew, ...]
    days: int
    roads: Minutes
    disinfect: int
    loss: float
    hour_cost: float
    _known: dict[tuple[int, int], int] = field(default_factory=dict, repr=False)

    @cached_property
    def travel(self) -> Minutes:
        """Driving minutes from stop to stop, never longer than by way of a third place."""
        places = [stop.place for stop in self.stops]
        return self.shortest[np.ix_(places, places)]

    @cached_property
    def shortest(self) -> Minutes:
        """Driving minutes between places, with every detour that is shorter taken."""
        found = self.roads.astype(np.int64).copy()
        for via in range(len(found)):
            np.minimum(found, found[:, via : via + 1] + found[via : via + 1, :], out=found)
        return found

    def worth(self, stop: int, day: int) -> float:
        """Infected hives that a stop is expected to find, less the loss of the days before it."""
        return self.stops[stop].value * (1.0 - self.loss) ** day


@dataclass(frozen=True, slots=True)
class Route:
    """One crew's day. stops: in order.  begins: of the work at each.  cleaned: disinfection stop before it.

    driven, worked, waited: minutes.  home: back at the base.  worth: of its stops that day.  score: worth less driving.
    """

    crew: int
    day: int
    stops: tuple[int, ...]
    begins: tuple[int, ...]
    cleaned: tuple[bool, ...]
    driven: int
    worked: int
    waited: int
    home: int
    worth: float
    score: float


def route_of(job: Job, crew: int, day: int, stops: Sequence[int]) -> Route | None:
    """The route through these stops in this order, or None where it cannot be done that day."""
    who = job.crews[crew]
    clock, at, risk, cleanings = who.leaves[day], who.base, -1, 0
    driven = worked = waited = 0
    begins, cleaned = [], []
    for index in stops:
        stop = job.stops[index]
        dirty = stop.risk < risk
        cleanings += dirty
        drive = int(job.shortest[at, stop.place])
        arrives = clock + drive + (job.disinfect if dirty else 0)
        start = earliest(stop.windows[day], arrives, stop.minutes)
        if start is None or cleanings > who.cleanings or not stop.needs <= who.skills:
            return None
        driven, waited = driven + drive, waited + start - arrives
        worked += stop.minutes + (job.disinfect if dirty else 0)
        clock, at, risk = start + stop.minutes, stop.place, stop.risk
        begins.append(start)
        cleaned.append(dirty)
    back = int(job.shortest[at, who.base]) if stops else 0
    if clock + back > who.home[day]:
        return None
    worth = sum(job.worth(index, day) for index in stops)
    driven += back
    return Route(crew, day, tuple(stops), tuple(begins), tuple(cleaned), driven, worked, waited, clock + back, worth,
                 worth - job.hour_cost * driven / MINUTES)  # fmt: skip


def earliest(windows: Sequence[tuple[int, int]], arrives: int, minutes: int) -> int | None:
    """When work of that length can begin at the earliest, or None."""
    starts = [max(arrives, first) for first, last in windows if max(arrives, first) + minutes <= last]
    return min(starts, default=None)
