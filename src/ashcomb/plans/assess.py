"""Where to look first: what the draws of the outbreak engine say of hives, apiaries and firms, with reasons.

Advice only: no number here clears a hive or shortens what the law asks.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ashcomb.outbreak.posterior import Posterior
from ashcomb.outbreak.rates import Rates
from ashcomb.outbreak.scene import Ints
from ashcomb.outbreak.summaries import Chances, colony_chances, hidden_cases, last_place, rows_of, sources_of
from ashcomb.plans.assess_records import Moved, moved_most
from ashcomb.plans.assessed import Chance
from ashcomb.plans.result import Plan
from ashcomb.plans.scene import ASSUMPTIONS, Staged, history_words
from ashcomb.plans.source_words import source_words
from ashcomb.science.exact import exact, percent
from ashcomb.sources.library import value

CAUTION = "Advice where to look first. It clears no hive, shortens nothing that the law asks, and judges nobody."
ESS, RHAT = 1000.0, 1.01  # as outbreak.posterior.Effort stops by default


@dataclass(frozen=True, slots=True, kw_only=True)
class HiveChance:
    """One hive. infected: now; low, high: what drawing leaves open (95 %); error: its standard error.  signs: infected
    and showing signs now.  link: chance that it ever stood between two cases.  why: its likeliest sources.  moved: the
    records that moved it most, only for the first hives of the list.
    """

    hive: str
    apiary: str
    infected: float
    low: float
    high: float
    error: float
    signs: float
    link: float
    why: str = ""
    moved: tuple[Moved, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupChance:
    """Hidden cases at an apiary or of a keeper. expected, low, high: number (95 % of the draws).  none: of none."""

    mark: str
    hives: int
    expected: float
    low: float
    high: float
    none: float
    error: float


@dataclass(frozen=True, slots=True, kw_only=True)
class AssessPlan(Plan):
    """Where to look first. first: the hives to open first, with reasons.  hives: all that are no known case, by the
    chance of signs.  cases: marks of the known ones.  links: hives that may have stood between two cases.
    """

    day: str
    held: str
    cases: tuple[str, ...]
    first: tuple[HiveChance, ...]
    hives: tuple[HiveChance, ...]
    links: tuple[HiveChance, ...]
    apiaries: tuple[GroupChance, ...]
    firms: tuple[GroupChance, ...]
    left_out: tuple[str, ...]
    guessed: tuple[str, ...]
    drawn: str
    enough: bool


def assess_plan(stage: Staged, posterior: Posterior, used: Rates, top: int = 10) -> AssessPlan:
    """Everything that is printed of an assessment. top: hives with reasons and records, 0 or more."""
    chances = colony_chances(stage.scene, posterior, stage.cases)
    place = last_place(stage.scene)
    known = set(stage.cases.tolist())
    living = np.flatnonzero((stage.scene.end > stage.scene.horizon) & (place >= 0))
    order = [int(j) for j in living[np.lexsort((-chances.infected[living], -chances.signs[living]))]]
    hives = [_hive(stage, chances, place, j) for j in order if j not in known]
    first = [_with_reasons(stage, posterior, each) for each in hives[:top]]
    shown = value("assess.link_shown_from")
    linked = [_hive(stage, chances, place, int(j)) for j in np.argsort(-chances.link, kind="stable")
              if chances.link[j] >= shown.value]  # fmt: skip
    keepers = sorted({stage.keeper.get(mark, "") for mark in stage.places} - {""})
    firm = np.array([keepers.index(k) if (k := stage.keeper.get(mark, "")) else -1 for mark in stage.places] or [-1])
    return AssessPlan(
        day=stage.day.isoformat(), held=history_words(stage), cases=tuple(stage.hives[j] for j in stage.cases),
        first=tuple(first), hives=tuple(hives), links=tuple(linked),
        apiaries=_groups(stage, posterior, place, stage.places), left_out=stage.left_out, guessed=stage.guessed,
        firms=_groups(stage, posterior, np.where(place >= 0, firm[place], -1), keepers), drawn=drawn_words(posterior),
        enough=posterior.stopped == "enough", cautions=(CAUTION,), assumptions=ASSUMPTIONS,
        uses=(*used.used, *stage.used, shown, value("assess.reweigh_least")),
    )  # fmt: skip


def chances_by_hive(stage: Staged, posterior: Posterior) -> dict[str, Chance]:
    """The chance of each hive that still stands, for plans that order looks."""
    found = colony_chances(stage.scene, posterior, stage.cases)
    there = np.flatnonzero(stage.scene.end > stage.scene.horizon)
    return {stage.hives[j]: Chance(float(found.infected[j]), float(min(found.signs[j], found.infected[j])))
            for j in there}  # fmt: skip


def drawn_words(posterior: Posterior) -> str:
    """How good the draws are, in a sentence."""
    q = posterior.quality
    held = (
        f"{posterior.draws.count:,} draws, seed {posterior.seed}; least effective size {q.ess:,.0f}, R-hat {q.rhat:.3f}"
    )
    if posterior.stopped == "enough":
        return f"{held}: enough."
    return f"{held} ({q.weakest}): NOT enough ({ESS:,.0f} and {RHAT:g} are wanted); take the figures as rough."


def _hive(stage: Staged, chances: Chances, place: Ints, j: int) -> HiveChance:
    figures = (chances.infected, chances.low, chances.high, chances.error, chances.signs, chances.link)
    infected, low, high, error, signs, link = (float(each[j]) for each in figures)
    return HiveChance(hive=stage.hives[j], apiary=stage.places[place[j]] if place[j] >= 0 else "", infected=infected,
                      low=low, high=high, error=error, signs=signs, link=link)  # fmt: skip


def _with_reasons(stage: Staged, posterior: Posterior, hive: HiveChance) -> HiveChance:
    j, draws = stage.ground.number[hive.hive], posterior.draws
    found = sources_of(stage.scene, draws, rows_of(draws, j))
    why = "; ".join(f"{source_words(stage, s, hive.apiary)} {percent(exact(round(s.share, 6)))}" for s in found[:2])
    return HiveChance(hive=hive.hive, apiary=hive.apiary, infected=hive.infected, low=hive.low, high=hive.high,
                      error=hive.error, signs=hive.signs, link=hive.link, why=f"if infected: {why}" if why else "",
                      moved=moved_most(stage, draws, j, hive.infected))  # fmt: skip


def _groups(stage: Staged, posterior: Posterior, group: Ints, marks: Sequence[str]) -> tuple[GroupChance, ...]:
    there = stage.scene.end > stage.scene.horizon
    hidden = hidden_cases(stage.scene, posterior.draws, stage.cases, group, len(marks))
    known = np.isin(np.arange(len(group)), stage.cases)
    number = np.bincount(group[there & ~known & (group >= 0)], minlength=len(marks))
    found = [
        GroupChance(mark=mark, hives=int(number[g]), expected=float(hidden.mean[g]), low=float(hidden.low[g]),
                    high=float(hidden.high[g]), none=float(hidden.none[g]), error=float(hidden.error[g]))
        for g, mark in enumerate(marks) if number[g]
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda each: (-each.expected, each.mark)))
