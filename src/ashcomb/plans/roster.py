"""One calendar for all crews: who, where, when, with what; what moves when something changes; what does not fit."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.night_roles import APART
from ashcomb.plans.result import Plan
from ashcomb.plans.roster_job import DAY, Person, Placed, RosterJob, Task
from ashcomb.plans.roster_solve import Found, place
from ashcomb.science.cautions import FUEL, NIGHT
from ashcomb.sources.profile import CodeProfile

HOUR = 60
NO_WAY = "none of the ways tried makes room; leave it out, or change what it needs"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One job in the calendar. posts: (role, person).  waits: jobs that must end before it."""

    mark: str
    kind: str
    where: str
    begins: datetime
    ends: datetime
    people: tuple[str, ...]
    posts: tuple[tuple[str, str], ...]
    kit: tuple[str, ...]
    waits: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfit:
    """A job without a place. why: in words.  way_out: the cheapest of those tried that makes room, or why none does."""

    mark: str
    why: str
    way_out: str
    cost_h: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RosterPlan(Plan):
    """The calendar. proved: no calendar holds more.  weight, bound: of what fits, and the most that could.

    moved: what differs from the calendar before, in words.
    """

    entries: tuple[Entry, ...]
    unfit: tuple[Unfit, ...]
    weight: int
    bound: int
    proved: bool
    stopped: bool
    moved: tuple[str, ...]
    answer: tuple[str, ...]
    placed: tuple[Placed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One way to make room. cost_h: hours that it counts for.  apply: makes the other question."""

    words: str
    cost_h: float
    apply: Callable[[RosterJob], RosterJob]


def roster(
    profile: CodeProfile,
    tasks: Sequence[Task],
    people: Sequence[Person],
    job: RosterJob,
    before: Mapping[str, Placed] | None = None,
    more_ways: Sequence[Change] = (),
    effort: float = 8.0,
    tell: Callable[[int, int], None] = lambda weight, bound: None,
    stop: Callable[[], bool] = lambda: False,
) -> RosterPlan:
    """Places all jobs and people; names what does not fit with the cheapest way out.

    before: an earlier calendar by mark; jobs stay where they were unless something is gained.  more_ways: ways out that
    only the caller knows of.  Raises UserError without people or jobs.
    """
    if not people or not tasks:
        raise UserError("There is nobody, or nothing to do.", "Add people to the sheet Crew, or hives to an order.")
    figures = Figures(profile)
    move_cost = round(float(figures.ours("visits.move_cost")) * HOUR)
    job = replace(job, tasks=tuple(tasks), people=tuple(people), apart=tuple((a, b) for a, b, _ in APART))
    found = place(job, before, move_cost, effort, tell, stop)
    there = {placed.mark for placed in found.placed}
    missing = [task for task in job.tasks if task.mark not in there]
    ways = [*more_ways, *_ways(job, figures)]
    unfit = tuple(_ways_out(job, missing, ways, effort, stop))
    return RosterPlan(
        entries=tuple(_entry(job, placed) for placed in found.placed), unfit=unfit, weight=found.weight,
        bound=found.bound, proved=found.proved, stopped=found.stopped, moved=tuple(moved(job, before or {}, found)),
        answer=_answer(job, found, unfit), placed=found.placed, uses=figures.taken, assumptions=_ASSUMED,
        cautions=(NIGHT, FUEL),
    )  # fmt: skip


def as_it_stood(
    tasks: Sequence[Task],
    people: Sequence[Person],
    job: RosterJob,
    effort: float = 8.0,
    tell: Callable[[int, int], None] = lambda weight, bound: None,
    stop: Callable[[], bool] = lambda: False,
) -> dict[str, Placed]:
    """The calendar by job before a change, to show what the change moves. Arguments as for `roster`."""
    asked = replace(job, tasks=tuple(tasks), people=tuple(people), apart=tuple((a, b) for a, b, _ in APART))
    return {placed.mark: placed for placed in place(asked, None, 0, effort, tell, stop).placed}


_ASSUMED = (
    "Each job counts with its way from the base and back; two jobs at one place in a row would save one drive.",
    "Who held a role at night rests before the next job. One person may hold several roles, but the smoker keeper and "
    "the scribe never pour.",
    "A job that has to follow another waits for all of it. Hours are local.",
    "At one apiary no fire is lit before its last night is over: fuel and embers never meet.",
    "A fire or a night in the calendar is a plan: weather, ban, meter and the people there decide on the day.",
)


def moved(job: RosterJob, before: Mapping[str, Placed], found: Found) -> Iterator[str]:
    """What differs from an earlier calendar: new and lost jobs, other hours, other people."""
    now = {placed.mark: placed for placed in found.placed}
    for mark, old in sorted(before.items()):
        new = now.get(mark)
        if new is None:
            yield f"{mark}: has no place any more (was {_when(job, old)})."
        elif new.begins != old.begins:
            yield f"{mark}: from {_when(job, old)} to {_when(job, new)}."
        elif new.people != old.people:
            yield f"{mark}: {'+'.join(old.people)} becomes {'+'.join(new.people)}."
    for mark in sorted(set(now) - set(before)) if before else ():
        yield f"{mark}: new, {_when(job, now[mark])}."


def _when(job: RosterJob, placed: Placed) -> str:
    return f"{job.moment(placed.begins):%a %d %b %H:%M}"


def _entry(job: RosterJob, placed: Placed) -> Entry:
    task = next(task for task in job.tasks if task.mark == placed.mark)
    return Entry(mark=task.mark, kind=task.kind, where=task.where, begins=job.moment(placed.begins),
                 ends=job.moment(placed.ends), people=placed.people, posts=placed.posts, kit=task.kit,
                 waits=tuple(mark for mark, _ in task.after), why=task.why)  # fmt: skip


def _ways(job: RosterJob, figures: Figures) -> list[Change]:
    """What anybody could do: overtime, one more day, rest days worked, more people."""
    factor, day_cost = float(figures.ours("visits.overtime_factor")), float(figures.ours("visits.extra_day_cost"))
    roles = sorted({role for task in job.tasks for role, _ in task.roles})
    found = [Change(words=f"{hours} h longer days", cost_h=factor * hours * job.days, apply=_longer(hours * HOUR))
             for hours in (1, 2)]  # fmt: skip
    found.append(Change(words="one more day at the end", cost_h=day_cost * 2, apply=_one_more_day))
    found.append(Change(words="nobody off on a day", cost_h=day_cost * 2, apply=_nobody_off))
    found += [Change(words=f"one more person who may be {role}", cost_h=day_cost, apply=_one_more(role))
              for role in roles]  # fmt: skip
    found.append(Change(words="two more people who may do everything", cost_h=2 * day_cost * 1.5,
                        apply=_one_more(*roles, number=2)))  # fmt: skip
    return sorted(found, key=lambda change: (change.cost_h, change.words))


def _ways_out(
    job: RosterJob, missing: Sequence[Task], ways: Sequence[Change], effort: float, stop: Callable[[], bool]
) -> Iterator[Unfit]:
    """The cheapest change for each job that does not fit; a change is tried once for all of them."""
    left = {task.mark for task in missing}
    out: dict[str, Change] = {}
    for change in sorted(ways, key=lambda change: (change.cost_h, change.words)):
        open_ = left - set(out)
        if not open_ or stop():
            break
        out |= dict.fromkeys(open_ & _solved(job, left, change, effort), change)
    for task in missing:
        way = out.get(task.mark)
        words = f"{way.words} (counts as {way.cost_h:g} h)" if way else NO_WAY
        with_it = [mark for mark, _ in task.after if mark in left and out.get(mark) == way]
        words = f"the same as for {with_it[0]}" if way and with_it else words
        yield Unfit(mark=task.mark, why=_why_not(job, task, left), way_out=words,
                    cost_h=way.cost_h if way else None)  # fmt: skip


def _solved(job: RosterJob, left: set[str], change: Change, effort: float) -> set[str]:
    """Which of the jobs left find a place by a change; none if another job loses its own by it."""
    other = change.apply(job)
    old, new = {task.mark for task in job.tasks}, {task.mark for task in other.tasks}
    fits = {placed.mark for placed in place(other, effort=effort / 2).placed}
    if (old & new) - left - fits:
        return set()
    replaced = left - new if new - old <= fits else set()
    return (left & fits) | replaced


def _why_not(job: RosterJob, task: Task, missing: set[str]) -> str:
    lacking = [role for role, count in task.roles if sum(role in p.roles for p in job.people) < count]
    if not task.windows:
        return "there is no day or night on which it may be done"
    longest = max(last - first for first, last in task.windows)
    if longest < task.minutes:
        return f"it takes {task.minutes} min and the longest time open for it is {longest} min"
    if lacking:
        return f"too few people may be {', '.join(lacking)}"
    waits = [mark for mark, _ in task.after if mark in missing]
    if waits:
        return f"it waits for {', '.join(waits)}, which has no place"
    return "people, hours and order leave no room for it"


def _longer(minutes: int) -> Callable[[RosterJob], RosterJob]:
    def apply(job: RosterJob) -> RosterJob:
        tasks = tuple(t if t.kind == "night" or t.named else replace(t, windows=tuple(
            (first, min(last + minutes, job.end)) for first, last in t.windows)) for t in job.tasks)  # fmt: skip
        return replace(job, tasks=tasks, most=job.most + minutes)

    return apply


def _one_more_day(job: RosterJob) -> RosterJob:
    tasks = tuple(t if not t.windows or t.named else replace(t, windows=(*t.windows, *(
        (first + DAY, last + DAY) for first, last in t.windows[-1:]))) for t in job.tasks)  # fmt: skip
    return replace(job, tasks=tasks, days=job.days + 1)


def _nobody_off(job: RosterJob) -> RosterJob:
    return replace(job, people=tuple(replace(p, off=frozenset()) for p in job.people))


def _one_more(*roles: str, number: int = 1) -> Callable[[RosterJob], RosterJob]:
    extra = tuple(Person(mark=f"helper {n + 1}", roles=frozenset(roles)) for n in range(number))
    return lambda job: replace(job, people=(*job.people, *extra))


def _answer(job: RosterJob, found: Found, unfit: Sequence[Unfit]) -> tuple[str, ...]:
    whole = len(job.tasks)
    lines = [f"{len(found.placed)} of {whole} jobs have their place, {len(job.people)} people, {job.days} days."]
    if unfit:
        lines.append(f"No place for: {', '.join(u.mark for u in unfit)}.")
    if found.proved:
        lines.append("No calendar can hold more of what matters, nor have it sooner.")
    elif found.bound > found.weight:
        gap = (found.bound - found.weight) / found.bound
        lines.append(f"A better calendar is not ruled out: at most {gap:.1%} of the weight is missing.")
    else:
        lines.append("No calendar can hold more; an earlier one is not ruled out.")
    if found.placed:
        last = max(placed.ends for placed in found.placed)
        lines.append(f"All that has a place is done by {job.moment(last) + timedelta():%a %d %b %Y %H:%M}.")
    return tuple(lines)
