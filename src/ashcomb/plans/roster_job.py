"""What the calendar of all crews is made from: jobs with their hours, roles and order, and the people."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

DAY = 24 * 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One job. All times are minutes from the midnight that begins the first day.

    kind: what is done.  where: mark of the place.  minutes: at work and on the way.  windows: in one of which all of it
    must lie.  people: how many at least.  roles: (role, how many) that must be filled, one person may fill several.
    named: people who must be there, if any.  after: (mark, minutes) of jobs that must have ended so long before.
    rest: minutes of rest that follow for all who were there.  shares: things of which there is only one.  weight: how
    much it matters.  kit: what is taken along.  why: what stands behind it, for people.
    """

    mark: str
    kind: str
    where: str
    minutes: int
    windows: tuple[tuple[int, int], ...]
    people: int = 1
    roles: tuple[tuple[str, int], ...] = ()
    named: tuple[str, ...] = ()
    after: tuple[tuple[str, int], ...] = ()
    rest: int = 0
    shares: tuple[str, ...] = ()
    weight: int = 1
    kit: tuple[str, ...] = ()
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who works. off: days of the calendar, from 0, on which not."""

    mark: str
    roles: frozenset[str]
    off: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class RosterJob:
    """The whole question. most: minutes that one person works in one day, a night counting for the day it begins.

    apart: pairs of roles that nobody may hold at one job.
    """

    first: date
    days: int
    tasks: tuple[Task, ...]
    people: tuple[Person, ...]
    most: int
    apart: tuple[tuple[str, str], ...]

    @property
    def end(self) -> int:
        """The last minute: noon after the last day, so that its night can end."""
        return self.days * DAY + DAY // 2

    def moment(self, minutes: int) -> datetime:
        """Local time without zone."""
        return datetime.combine(self.first, time()) + timedelta(minutes=minutes)

    def minutes(self, day: date, clock: int) -> int:
        """Minutes from the beginning, for minutes after midnight of a day."""
        return (day - self.first).days * DAY + clock


@dataclass(frozen=True, slots=True)
class Placed:
    """A job with its time and people. begins, ends: minutes from the beginning.  posts: (role, person)."""

    mark: str
    begins: int
    ends: int
    people: tuple[str, ...]
    posts: tuple[tuple[str, str], ...]
