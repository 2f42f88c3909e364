"""Time limits and earliest dates: every clock of the profile, counted from its start event.

The day of the event is day 0. Working days end at the close of the n-th working day after it. Months clamp to the
month's end. A date on a rest day slides only where the profile says so. Minutes, hours, days and weeks from a known
hour keep the hour; months count whole days.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from ashcomb.kernel.time import Span, zone
from ashcomb.plans.counting import Counter, Moment
from ashcomb.plans.result import Plan
from ashcomb.plans.workdays import calendar_of
from ashcomb.sources.profile import ClockRule, CodeProfile, Rule

State = Literal["not started", "running", "passed", "waiting", "open", "closed", "done", "done late"]
DONE_BY = {"notify": "notified", "destroy": "burned"}  # the event that fulfils a time limit
AFTER_CASE = ("killed", "burned", "buried")  # each case needs these of its own


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """One clock of the profile. at: the limit or earliest date.  until: the end of a window.  why: how it was counted.

    best: where the newest case is not dealt with yet, the earliest that the date can become, if all were done that day.
    """

    rule: ClockRule
    state: State
    event: Span | None = None
    at: Moment | None = None
    until: Moment | None = None
    best: Moment | None = None
    words: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Clocks(Plan):
    """All clocks of a profile at one moment, in the order of the profile."""

    profile: str
    now: datetime
    clocks: tuple[Clock, ...]

    def of(self, key: str) -> Clock | None:
        """The clock of that key, or None where the profile has none."""
        return next((clock for clock in self.clocks if clock.rule.key == key), None)


def clocks(profile: CodeProfile, events: Mapping[str, Span], timezone: str, now: datetime) -> Clocks:
    """Every clock of the profile with its date, its start event and how it was counted.

    events: when each event happened, by its name; an event that has not happened is absent.  timezone: IANA name of
    the place.  now: aware moment.  Raises UserError for an unknown zone or holiday region, ValueError for a naive now.
    """
    if now.tzinfo is None:
        raise ValueError("now needs a time zone")
    counter = Counter(calendar_of(profile), zone(timezone), profile.working_day_ends)
    return Clocks(
        profile=profile.id,
        now=now,
        clocks=tuple(_clock(rule, events, counter, now) for rule in profile.clocks),
        rules=tuple(Rule(rule.key, rule.text, rule.source, rule.place, rule.status) for rule in profile.clocks),
        assumptions=_assumptions(profile, events),
    )


def _clock(rule: ClockRule, events: Mapping[str, Span], counter: Counter, now: datetime) -> Clock:
    event, case = events.get(rule.starts), events.get("last case")
    if case and rule.starts in AFTER_CASE and (event is None or case.first > event.last):
        return _waits_for_case(rule, case, counter)
    if event is None:
        why = f"Starts when this is recorded: {rule.starts}. {_length(rule)} {rule.text}"
        return Clock(rule=rule, state="not started", words=f"{rule.title}: not started ({rule.starts}).", why=why)
    at = counter.limit(rule, rule.amount, event) if rule.meaning == "due" else counter.start(rule, rule.amount, event)
    until = None if rule.until is None else counter.limit(rule, rule.until, event)
    state = _state(rule, at, until, events, now)
    words = f"{rule.title}: {_dates(rule, at, until)}."
    return Clock(rule=rule, state=state, event=event, at=at, until=until, words=words,
                 why=_why(rule, event, [at, until] if until else [at]))  # fmt: skip


def _waits_for_case(rule: ClockRule, case: Span, counter: Counter) -> Clock:
    """A clock whose start event is still to come for the newest case, whatever was done before it."""
    best = counter.start(rule, rule.amount, Span(case.first, case.last)) if rule.meaning == "earliest" else None
    hope = f"; at best from {best.start()}" if best else ""
    why = f"After the case of {case.words()} nothing is recorded as {rule.starts} yet. {_length(rule)} {rule.text}"
    return Clock(rule=rule, state="not started", best=best, why=why,
                 words=f"{rule.title}: not started ({rule.starts}){hope}.")  # fmt: skip


def _state(rule: ClockRule, at: Moment, until: Moment | None, events: Mapping[str, Span], now: datetime) -> State:
    done, start = events.get(DONE_BY.get(rule.key, "")), events[rule.starts]
    if rule.meaning == "due":
        if done and done.last >= start.first:
            return "done late" if _after(done, at) else "done"
        return "passed" if now > at.at else "running"
    if now < at.at:
        return "waiting"
    return "closed" if until and now > until.at else "open"


def _after(done: Span, limit: Moment) -> bool:
    """Whether something was done after a limit for certain: an unknown hour counts for the user, and is shown."""
    if done.first != limit.day or done.minute is None or limit.at.date() > limit.day:
        return done.first > limit.day
    return done.minute > limit.at.hour * 60 + limit.at.minute


def _dates(rule: ClockRule, at: Moment, until: Moment | None) -> str:
    if rule.meaning == "due":
        return f"at once, {at.start()}" if rule.amount == 0 and not until else f"due by {at.limit()}"
    return f"from {at.start()} to {until.limit()}" if until else f"not before {at.start()}"


def _length(rule: ClockRule) -> str:
    """'Rule: 2 to 9 months from killed.'"""
    if rule.amount == 0 and rule.until is None:
        return f"Rule: at once from {rule.starts}."
    amount = f"{rule.amount} to {rule.until}" if rule.until is not None else str(rule.amount)
    unit = rule.unit.removesuffix("s") if amount == "1" else rule.unit
    return f"Rule: {amount} {unit} from {rule.starts}."


def _why(rule: ClockRule, event: Span, moments: Iterable[Moment]) -> str:
    parts = [f"{_length(rule)} Start: {rule.starts}, {event.words()}."]
    if not event.certain:
        parts.append("The day is uncertain: limits count from its first day, earliest dates from its last.")
    if event.minute is None and rule.unit in ("hours", "minutes"):
        parts.append("The hour is not recorded, so the count takes the worse end of the day.")
    for moment in moments:
        parts += [f"Left out: {', '.join(moment.skipped)}."] if moment.skipped else []
        parts += ["Moved off a rest day, as the profile says."] if moment.slid else []
    return " ".join([*parts, rule.text])


def _assumptions(profile: CodeProfile, events: Mapping[str, Span]) -> tuple[str, ...]:
    found = ["The day of the event is day 0.", "Months end on the same day of the month, or on its last day."]
    if not profile.holiday_region and any(rule.unit == "working days" for rule in profile.clocks):
        found.append(f"Profile “{profile.id}” names no region of public holidays; only its own rest days are left out.")
    unsure = sorted(name for name, event in events.items() if not event.certain)
    if unsure:
        found.append(f"The day is uncertain of: {', '.join(unsure)}.")
    return tuple(found)
