"""May the restriction be lifted? Every gate by name, and for each that is not met, who can meet it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words, moment_words
from ashcomb.plans.clocks import Clock, Clocks
from ashcomb.plans.figures import Figures
from ashcomb.plans.result import Gate, Plan
from ashcomb.sources.profile import CodeProfile

SPRING = "spring check"
WHO: dict[str, str] = {
    "date": "time alone, or the competent authority in writing where the law lets it",
    "rounds": "the inspector, by looking at every hive again",
    SPRING: "the inspector, by a look in the next spring",
    "laboratory": "the laboratory, or the officer who asks it",
    "mass balance": "the leader of the night and the keeper of the hold store, by finding and burning what is missing",
    "certificates": "the irradiation plant and the officer who accepts its certificates",
    "profile confirmed": "an officer, by reading the profile against the law and answering for it by name",
    "disputes settled": "the named people behind the records that contradict each other",
    "papers": "the leader of the case, by getting the papers that are missing",
}
"""The gates in the order in which they are printed, and who can meet each."""

EARLIEST = ("release_earliest", "reinspect")  # clocks before which nothing is released


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleasePlan(Plan):
    """The answer to a request for release. gates: all of them.  unmet: those not met.  ready: whether none is left.

    earliest: first day that the clocks allow, None while a clock has not started.  answer: sentences for people.
    """

    subject: str
    asked: datetime
    gates: tuple[Gate, ...]
    unmet: tuple[Gate, ...]
    ready: bool
    earliest: date | None
    answer: tuple[str, ...]


def release(profile: CodeProfile, subject: str, dates: Clocks, given: Mapping[str, Gate]) -> ReleasePlan:
    """Whether `subject` (an apiary, a zone, a keeper) may be released at the moment of `dates`, gate by gate.

    dates: the clocks of the same profile.  given: the other gates by name; one that is not given is not met, because
    nothing shows it. The gate `date` comes from the clocks; where the profile sets none it must be given. The spring
    check is asked only where the profile asks it. Raises UserError for a gate of another name or another profile.
    """
    unknown = sorted(set(given) - set(WHO))
    if unknown:
        raise UserError(f"“{unknown[0]}” is no gate of a release.", f"Use one of: {', '.join(WHO)}.")
    if dates.profile != profile.id:
        raise UserError(f"The dates are of profile “{dates.profile}”, not “{profile.id}”.", "Count them anew.")
    figures = Figures(profile)
    figures.rule("lift_needs_written_leave")
    names = [name for name in WHO if name != SPRING or figures.rule("lift_needs_spring_check")]
    clocks = [clock for key in EARLIEST if (clock := dates.of(key)) and clock.rule.meaning == "earliest"]
    gates = tuple(_date(clocks, dates.now) if name == "date" and clocks else _gate(name, given) for name in names)
    unmet = tuple(gate for gate in gates if not gate.met)
    return ReleasePlan(
        subject=subject,
        asked=dates.now,
        gates=gates,
        unmet=unmet,
        ready=not unmet,
        earliest=_earliest(clocks),
        answer=_answer(subject, dates.now, unmet),
        rules=(*figures.rules, *(rule for rule in dates.rules if rule.key in EARLIEST)),
        assumptions=dates.assumptions,
        cautions=("This page releases nothing. A release is the signed paper of the competent authority.",),
    )


def _gate(name: str, given: Mapping[str, Gate]) -> Gate:
    gate = given.get(name)
    if gate is None:
        why = "The profile sets no earliest date and none is given." if name == "date" else "Nothing recorded shows it."
        return Gate(name, False, why, WHO[name])
    return replace(gate, name=name, who=gate.who or ("" if gate.met else WHO[name]))


def _date(clocks: list[Clock], now: datetime) -> Gate:
    """The gate of the dates: met when every clock before which nothing is released has been reached."""
    waiting = [clock for clock in clocks if clock.state in ("not started", "waiting")]
    if not waiting:
        return Gate("date", True, " ".join(clock.words for clock in clocks))
    left = [(clock.at.day - now.astimezone(clock.at.at.tzinfo).date()).days for clock in waiting if clock.at]
    rest = f" Days to go: {max(left)}." if left and len(left) == len(waiting) else ""
    return Gate("date", False, " ".join(f"{clock.words} {clock.why}" for clock in waiting) + rest, WHO["date"])


def _earliest(clocks: list[Clock]) -> date | None:
    days = [clock.at.day for clock in clocks if clock.at]
    return max(days) if days and len(days) == len(clocks) else None


def _answer(subject: str, now: datetime, unmet: tuple[Gate, ...]) -> tuple[str, ...]:
    if not unmet:
        return (f"{subject}: every gate is met on {moment_words(now)}; the release still needs its signed paper.",)
    gates = "1 gate is" if len(unmet) == 1 else f"{len(unmet)} gates are"
    head = f"{subject}: release on {day_words(now.date())} is refused; {gates} not met: "
    return (head + f"{', '.join(gate.name for gate in unmet)}.", *(f"{g.name}: {g.why} Who: {g.who}." for g in unmet))
