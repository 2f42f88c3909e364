"""Proof of freedom for a hive, an apiary, a firm or a zone: how sure all findings make us, and what would raise it.

One infected hive is enough to start again, so one is what must not be missed. The law's dates stand beside this.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from fractions import Fraction

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words
from ashcomb.plans.evidence import Evidence, Findings, findings
from ashcomb.plans.figures import Figures
from ashcomb.plans.hiding import Hiding, Introductions, introductions
from ashcomb.plans.methods import method
from ashcomb.plans.result import Plan
from ashcomb.plans.season import Season, season_of
from ashcomb.records.situation import Situation
from ashcomb.science.exact import percent
from ashcomb.sources.profile import CodeProfile

MOST_POINTS = 24  # days of looks on one curve


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """What is to be proved free. level: hive, apiary, firm or zone.  since: hive to the day it was exposed at first.

    prior: probability of freedom at the start, None takes the program's.
    """

    name: str
    level: str
    since: Mapping[str, date]
    prior: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupProof:
    """How sure everything so far makes us of one group.

    looked: hives with any look or test that counts.  sensitivity: chance that all of it would have found one infected
    hive exposed at the start.  components: the same by method alone.  free: probability of freedom now.  curve: (day,
    probability of freedom); with signs, free is 0 and the curve empty.  reached: free at or above target.
    raise_it: what would raise it.
    """

    name: str
    level: str
    hives: int
    looked: int
    sensitivity: float
    components: tuple[tuple[str, float], ...]
    free: float
    curve: tuple[tuple[date, float], ...]
    reached: bool
    signs: tuple[str, ...]
    answer: str
    raise_it: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofPlan(Plan):
    """Proofs of several groups at one day. target: probability of freedom that is asked for."""

    today: date
    target: Fraction
    groups: tuple[GroupProof, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofAsk:
    """What is taken. design: infected hives that must not be missed.  introduction: chance for one hive in a year to
    catch it from outside, None takes the program's.  standstill: whether nothing moves in or out.
    """

    design: int | None = None
    introduction: float | None = None
    standstill: bool = True
    prior: float | None = None


def proof(
    situation: Situation,
    profile: CodeProfile,
    groups: Sequence[Group],
    today: date,
    latitude: float | None = None,
    ask: ProofAsk | None = None,
) -> ProofPlan:
    """How sure the looks and tests until today make us that each group is free.

    latitude: degrees, for the months with brood.  Raises UserError for a group without hives.
    """
    empty = [group.name for group in groups if not group.since]
    if empty or not groups:
        raise UserError(f"No living hive is recorded at {', '.join(empty) or 'the place asked for'}.", "Name another.")
    figures, ask = Figures(profile), ask or ProofAsk()
    season = season_of(figures, latitude)
    start = min(min(group.since.values()) for group in groups)
    hives = sorted({hive for group in groups for hive in group.since})
    seen = findings(situation, figures, hives, start, today, season)
    target = figures.theirs("freedom.target", "plans.freedom_target")
    prior = float(figures.ours("surveillance.prior_free")) if ask.prior is None else ask.prior
    hiding = Hiding(season.brood(start, today + timedelta(days=366)), _design(figures, ask))
    coming = introductions(figures, ask.introduction, ask.standstill)
    made = tuple(_one(group, seen, today, hiding, coming, _Wanted(prior, target, figures, season)) for group in groups)
    return ProofPlan(today=today, target=target, groups=made, notes=seen.notes, uses=figures.taken,
                     assumptions=_assumptions(hiding.design, season, ask.standstill))  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Wanted:
    prior: float
    target: Fraction
    figures: Figures
    season: Season


def _design(figures: Figures, ask: ProofAsk) -> int:
    return int(figures.ours("surveillance.design_infected_hives")) if ask.design is None else ask.design


def _one(
    group: Group, seen: Findings, today: date, hiding: Hiding, coming: Introductions, wanted: _Wanted
) -> GroupProof:
    own = {hive: tuple(e for e in seen.by_hive.get(hive, ()) if e.day >= day) for hive, day in group.since.items()}
    prior = wanted.prior if group.prior is None else group.prior
    signs = tuple(hive for hive in seen.signs if hive in group.since)
    first = min(group.since.values())
    days = [] if signs else sorted(_months(first, today) | _look_days(own))
    curve = tuple((day, hiding.free(own, group.since, day, prior, coming)) for day in days)
    free = curve[-1][1] if curve else 0.0
    methods = sorted({each.method for tests in own.values() for each in tests})
    parts = tuple((key, hiding.found({hive: tuple(e for e in tests if e.method == key) for hive, tests in own.items()},
                                     group.since, today)) for key in methods)  # fmt: skip
    looked, sure = sum(bool(tests) for tests in own.values()), hiding.found(own, group.since, today)
    reached = free >= float(wanted.target)
    more = not reached and not signs
    return GroupProof(
        name=group.name, level=group.level, hives=len(own), looked=looked, sensitivity=sure, components=parts,
        free=free, curve=curve, reached=reached, signs=signs,
        answer=_answer(group, looked, sure, free, wanted.target, signs),
        raise_it=_raise(group, own, today, hiding, coming, wanted, prior) if more else (),
    )  # fmt: skip


def _look_days(own: Mapping[str, tuple[Evidence, ...]]) -> set[date]:
    """The days of looks and tests as points of the curve; of very many, none: the months show enough."""
    days = {each.day for tests in own.values() for each in tests}
    return days if len(days) <= MOST_POINTS else set()


def _answer(group: Group, looked: int, sure: float, free: float, target: Fraction, signs: tuple[str, ...]) -> str:
    if signs:
        return f"{group.name}: no. Signs or a positive test in living hives: {', '.join(signs)}."
    short = "reaches" if free >= float(target) else "falls short of"
    found = f"{looked} of {len(group.since)} hives were looked at or tested so that it counts; this would have found"
    if not looked:
        found = "No hive was looked at or tested so that it counts; that finds"
    return (
        f"{group.name}: nobody can say yes. {found} one infected hive with {percent(sure)}. Probability of freedom "
        f"{percent(free)}, which {short} the {percent(target, 0)} that is asked for."
    )


def _raise(
    group: Group, own: Mapping[str, tuple[Evidence, ...]], today: date, hiding: Hiding, coming: Introductions,
    wanted: _Wanted, prior: float,
) -> tuple[str, ...]:  # fmt: skip
    """What one further step would make of it, each worked out, the strongest first."""
    found = []
    later = _with_brood(wanted.season, today + timedelta(days=int(wanted.figures.ours("plans.second_round_days"))))
    now = _with_brood(wanted.season, today)
    steps = [
        ("look", now, "Every hive looked at in full"),
        ("look", later, "Every hive looked at in full some weeks later"),
        ("culture", today, "Bees of every hive to the laboratory, culture"),
    ]
    for key, day, words in steps:
        one = method(key, wanted.figures)
        more = Evidence(day, key, float(one.signs), float(one.before))
        better = hiding.free({h: (*tests, more) for h, tests in own.items()}, group.since, day, prior, coming)
        found.append((better, f"{words}, on {day_words(day)}, nothing found: {percent(better)}."))
    best = max(found)[0]
    found.sort(reverse=True)
    lines = [words for _, words in found]
    if best < wanted.target:
        level = hiding.plateau(group.since, coming, wanted.figures)
        if level < wanted.target:
            lines.append(f"With so many new introductions a look every six weeks levels off near {percent(level)}: "
                         "keep the standstill, or prove smaller groups.")  # fmt: skip
        else:
            lines.append("No single step is enough; see the follow-up rounds.")
    return tuple(lines)


def _with_brood(season: Season, day: date) -> date:
    return day if season.has_brood(day) else season.spring(day)


def _months(first: date, last: date) -> set[date]:
    found, day = {first, last}, first.replace(day=1)
    while (day := (day + timedelta(days=32)).replace(day=1)) < last:
        found.add(day)
    return found


def _assumptions(design: int, season: Season, standstill: bool) -> tuple[str, ...]:
    return (
        f"{design} infected hive{'s' if design > 1 else ''} must not be missed, standing anywhere in the group.",
        "Looks at one hive share its one onset of signs, whatever their number; different hives are independent.",
        f"Signs show and looks count only in months with brood, {season.first} to {season.last} of the year.",
        "Disease may come in anew during each month and counts from the end of that month"
        + (", less during the standstill." if standstill else "."),
        "A look is worth what it was worth if the signs lay on one brood frame; a hive nobody looked at hides all.",
        "Signs that come and go are not counted, so the true confidence is lower than printed.",
        "This shortens no date of the law and clears no hive.",
    )  # fmt: skip
