"""Follow-up rounds: on how many days, and on which, everybody looks again to reach the target at least cost.

The earliest dates of the place come first, and a round counts only while colonies have brood.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction
from itertools import combinations, pairwise

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import add_months, day_words
from ashcomb.plans.clocks import Clock, Clocks
from ashcomb.plans.evidence import findings
from ashcomb.plans.figures import Figures
from ashcomb.plans.followup_dates import LOOK_CLOCKS
from ashcomb.plans.hiding import introductions
from ashcomb.plans.proof import Group, ProofAsk
from ashcomb.plans.result import Plan
from ashcomb.plans.round_chances import Rounds
from ashcomb.plans.season import Season, season_of
from ashcomb.records.situation import Situation
from ashcomb.science.exact import percent
from ashcomb.sources.library import value
from ashcomb.sources.profile import CodeProfile

SPRING_DAYS = 31  # a look in spring comes a month after brood began


@dataclass(frozen=True, slots=True)
class Asked:
    """A round that the place asks for: one of its own between two days. last: None for no end."""

    name: str
    first: date
    last: date | None
    best: bool = False


@dataclass(frozen=True, slots=True)
class Round:
    """One round. free: probability of freedom after it if nothing is found.  why: what it is for."""

    day: date
    free: float
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundsPlan(Plan):
    """The rounds of one group. reached: the target is reached.  hours: of work for all rounds.  tried: choices of days.

    asked: what the place asks for.  fewer: the best that one round less would reach, None for none.
    """

    group: str
    hives: int
    target: Fraction
    rounds: tuple[Round, ...]
    asked: tuple[Asked, ...]
    reached: bool
    now: float
    fewer: float | None
    hours: float
    tried: int
    answer: tuple[str, ...]


def rounds(
    situation: Situation,
    profile: CodeProfile,
    group: Group,
    today: date,
    dates: Clocks,
    latitude: float | None = None,
    ask: ProofAsk | None = None,
) -> RoundsPlan:
    """The fewest rounds of full looks at every hive of a group that reach the target, done as early as can be.

    dates: the clocks of the profile.  Each look clock gets a round of its own, not before its date; where the profile
    asks for a look in spring, one falls into the next spring. Raises UserError for a group without hives.
    """
    if not group.since:
        raise UserError(f"No living hive is recorded at {group.name}.", "Add its hives, or name another.")
    figures, ask = Figures(profile), ask or ProofAsk()
    season = season_of(figures, latitude)
    asked = wanted(dates, season, bool(figures.rule("lift_needs_spring_check")))
    days = candidates(figures, season, asked, today)
    start = min(group.since.values())
    seen = findings(situation, figures, sorted(group.since), start, today, season)
    own = {h: tuple(e for e in seen.by_hive.get(h, ()) if e.day >= d) for h, d in group.since.items()}
    prior = ask.prior if ask.prior is not None else group.prior
    chances = Rounds(
        own, group.since, days, season.brood(start, max(days)),
        float(figures.ours("surveillance.prior_free")) if prior is None else prior,
        introductions(figures, ask.introduction, ask.standstill), float(figures.ours("surveillance.look_sensitivity")),
    )  # fmt: skip
    target = figures.theirs("freedom.target", "plans.freedom_target")
    most = int(figures.ours("visits.rounds_most"))
    gap = int(figures.ours("visits.round_gap"))
    chosen, tried, fewer = _fewest(chances, asked, float(target), most, gap)
    made = tuple(Round(days[k], chances.free(chosen[: n + 1]), _why(days[k], asked, season))
                 for n, k in enumerate(chosen))  # fmt: skip
    reached = bool(made) and made[-1].free >= float(target)
    minutes = len(group.since) * figures.ours("visits.hive_minutes") + figures.ours("visits.arrive_minutes")
    hours = float(len(made) * minutes) / 60
    now = chances.free(())
    return RoundsPlan(
        group=group.name, hives=len(group.since), target=target, rounds=made, asked=asked, reached=reached, now=now,
        fewer=fewer, hours=hours, tried=tried, answer=_answer(group, made, target, reached, fewer, hours, most),
        uses=figures.taken, rules=figures.rules, assumptions=_ASSUMED,
        cautions=("These dates say when looking helps most. They shorten no date of the law and clear no hive.",),
    )  # fmt: skip


_ASSUMED = (
    "Every living hive of the group is looked at in every round, every brood frame shaken, and shows no signs.",
    "One infected hive must not be missed. The looks at one hive share its onset of signs.",
    "All choices of the days tried are compared: fewest rounds, then the earliest end, then the soonest looks.",
    "Disease may come in anew in each month, less during the standstill.",
    "Signs that come and go are not counted: an additional look in late autumn and in spring guards against them.",
)


def wanted(dates: Clocks, season: Season, spring: bool) -> tuple[Asked, ...]:
    """The rounds that the place asks for; a clock that has not started counts from its best date, and says so."""
    found = [_asked(clock) for key in LOOK_CLOCKS if (clock := dates.of(key)) and (clock.at or clock.best)]
    if spring:
        buried = next((c.event.last for c in dates.clocks if c.rule.starts == "buried" and c.event), dates.now.date())
        first = season.spring(buried)
        last = add_months(first, int(value("plans.spring_months").value)) - timedelta(days=1)
        found.append(Asked("look in the next spring", first + timedelta(days=SPRING_DAYS), last))
    return tuple(found)


def _asked(clock: Clock) -> Asked:
    at = clock.at or clock.best
    assert at is not None
    return Asked(clock.rule.title, at.day, clock.until.day if clock.until else None, clock.at is None)


def candidates(figures: Figures, season: Season, asked: Sequence[Asked], today: date) -> tuple[date, ...]:
    """Days that are tried: the first of each round that is asked for, late autumn, spring, and every so many days
    between, all while colonies have brood."""
    step, months = int(figures.ours("visits.round_days")), int(figures.ours("visits.rounds_months"))
    begin = max(today, min((a.first for a in asked), default=today))
    end = add_months(today, months)
    last = max([end, *(a.first for a in asked)])
    days = {max(a.first, today) for a in asked if a.last is None or a.last >= today}
    days |= {season.autumn(today), season.spring(today) + timedelta(days=SPRING_DAYS)}
    days |= {begin + timedelta(days=n) for n in range(0, (end - begin).days, step)}
    found = sorted(day for day in days if season.has_brood(day) and today <= day <= last)
    return tuple(found) or (season.spring(today),)


def _fewest(
    chances: Rounds, asked: Sequence[Asked], target: float, most: int, gap: int
) -> tuple[tuple[int, ...], int, float | None]:
    """The fewest rounds that reach the target and give each asked one its own; how many choices were compared; and
    what one round less would have reached at best. Of equal numbers the one that ends first, then looks soonest."""
    best: tuple[float, tuple[int, ...]] = (0.0, ())
    fewer, tried = None, 0
    numbers = [day.toordinal() for day in chances.days]
    for number in range(len(asked) or 1, most + 1):
        good: tuple[tuple[int, int], tuple[int, ...]] | None = None
        top: tuple[float, tuple[int, ...]] = (0.0, ())
        for chosen in combinations(range(len(numbers)), number):
            soon = numbers[chosen[-1]], sum(numbers[k] for k in chosen)
            if any(numbers[b] - numbers[a] < gap for a, b in pairwise(chosen)) or (good and soon >= good[0]):
                continue
            if not fits([chances.days[k] for k in chosen], asked):
                continue
            tried += 1
            free = chances.free(chosen)
            top = max(top, (free, chosen))
            if free >= target:
                good = (soon, chosen)
        if good:
            return good[1], tried, fewer
        fewer = top[0] if top[1] else None
        best = max(best, top)
    return best[1], tried, fewer


def fits(days: Sequence[date], asked: Sequence[Asked]) -> bool:
    """Whether each round that is asked for can have a day of its own: the one that ends first is served first."""
    left = list(days)
    for one in sorted(asked, key=lambda a: (a.last or date.max, a.first)):
        own = next((day for day in left if day >= one.first and (one.last is None or day <= one.last)), None)
        if own is None:
            return False
        left.remove(own)
    return True


def _why(day: date, asked: Sequence[Asked], season: Season) -> str:
    named = [one.name for one in asked if one.first <= day and (one.last is None or day <= one.last)]
    months = (season.last, season.first, season.first % 12 + 1)
    extra = ["late autumn look"] if day.month == months[0] else ["spring look"] if day.month in months[1:] else []
    return "; ".join(["may count as: " + ", ".join(named)] * bool(named) + extra) or "raises the confidence"


def _answer(
    group: Group, made: Sequence[Round], target: Fraction, reached: bool, fewer: float | None, hours: float, most: int
) -> tuple[str, ...]:
    if not made:
        return (f"{group.name}: no day was found on which the rounds that are asked for could be done.",)
    when = ", ".join(day_words(each.day) for each in made)
    lines = [f"{group.name}: {len(made)} rounds, on {when}; {hours:.0f} h of work in all."]
    if reached:
        lines.append(f"If none finds signs, the probability of freedom is {percent(made[-1].free)} after the last; "
                     f"{percent(target, 0)} is asked for.")  # fmt: skip
        if fewer is not None:
            lines.append(f"One round fewer would reach {percent(fewer)} at best.")
    else:
        lines.append(f"That reaches {percent(made[-1].free)}, not the {percent(target, 0)} asked for, with {most} "
                     "rounds or fewer: look at smaller groups, add laboratory tests, keep the standstill.")  # fmt: skip
    return tuple(lines)


def moved_dates(before: Mapping[str, Clock], after: Mapping[str, Clock]) -> tuple[tuple[str, str, str], ...]:
    """What a new case does to every clock: title, before, after."""
    return tuple((clock.rule.title, _date(clock), _date(after[key]) if key in after else "none")
                 for key, clock in before.items())  # fmt: skip


def _date(clock: Clock) -> str:
    return clock.words.removeprefix(f"{clock.rule.title}: ").rstrip(".")
