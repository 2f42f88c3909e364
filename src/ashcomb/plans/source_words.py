"""Where an infection may have come from, in words and ranked, with “cannot tell” where the draws do not tell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words
from ashcomb.outbreak.posterior import Posterior
from ashcomb.outbreak.rates import Rates
from ashcomb.outbreak.scene import BEFORE
from ashcomb.outbreak.summaries import MOVED_IN, Source, first_rows, rows_of, sources_of, tells
from ashcomb.plans.result import Plan
from ashcomb.plans.scene import ASSUMPTIONS, Staged, day_of
from ashcomb.science.exact import exact, percent
from ashcomb.sources.library import value

NAMED = 3  # givers named with a source


@dataclass(frozen=True, slots=True, kw_only=True)
class RankedSource:
    """One possible source. share: of the draws in which there was an infection.  error: of drawing.  givers: hives that
    gave it most often, in words.
    """

    words: str
    share: float
    error: float
    givers: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sourcing:
    """One hive or apiary. infected: chance that it ever was.  told: whether a source may be named.  when: interval of
    the day it came (90 % of the draws).  verdict: one sentence.
    """

    mark: str
    infected: float
    told: bool
    when: str
    verdict: str
    sources: tuple[RankedSource, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourcesPlan(Plan):
    """Sources of some hives or apiaries, ranked."""

    found: tuple[Sourcing, ...]


def sources_plan(stage: Staged, posterior: Posterior, used: Rates, mark: str = "") -> SourcesPlan:
    """The ranked sources of a hive, of the first infection of an apiary, or of every known case and their apiaries.

    Raises UserError for a mark that is neither a hive nor an apiary of the records, or when there is no case.
    """
    hives, places = stage.ground.number, stage.ground.place
    if mark and mark not in hives and mark not in places:
        raise UserError(f"“{mark}” is neither a hive nor an apiary on record.", "Choose one that is on record.")
    if not mark and not len(stage.cases):
        raise UserError("No case is known.", "Name a hive or an apiary.")
    wanted = [mark] if mark else _cases_and_apiaries(stage)
    least = value("assess.cannot_tell_below")
    found = tuple(_sourcing(stage, posterior, each, least.value) for each in wanted)
    uses = (least, value("assess.link_shown_from"), *used.used, *stage.used)
    return SourcesPlan(found=found, cautions=("A source is a way of infection, never a verdict on a person.",),
                       assumptions=ASSUMPTIONS, uses=uses)  # fmt: skip


def source_words(stage: Staged, source: Source, home: str) -> str:
    """A source for people. home: the apiary of the hive."""
    if source.source == BEFORE:
        return f"infected before {day_words(stage.day0)}, where the history begins"
    if source.source == MOVED_IN:
        return "a hive that moved in infected"
    if source.source >= 0:
        return stage.events[source.source].words()
    if source.place < 0:
        return "background, which no record shows"
    place = stage.places[source.place]
    return f"bees of neighbours at {place}" if place == home else f"robbing or drift from {place}"


def _cases_and_apiaries(stage: Staged) -> list[str]:
    homes = {stage.ground.place_at(int(j), stage.scene.horizon - 0.5) for j in stage.cases}
    return [*sorted(homes - {""}), *(stage.hives[j] for j in stage.cases)]


def _sourcing(stage: Staged, posterior: Posterior, mark: str, least: float) -> Sourcing:
    scene, draws = stage.scene, posterior.draws
    if mark in stage.ground.number:
        rows, came = rows_of(draws, stage.ground.number[mark]), None
        home = stage.ground.place_at(stage.ground.number[mark], scene.horizon - 0.5)
    else:
        rows, came = first_rows(scene, draws, stage.ground.place[mark])
        home = mark
    listed = sources_of(scene, draws, rows, came)
    told = tells(listed, least)
    infected = len(rows) / draws.count
    shown = value("assess.link_shown_from").value
    ranked = [_ranked(stage, s, home) for s in listed if s.share >= shown]
    rest = sum(s.share for s in listed if s.share < shown)
    if rest > 0:
        ranked.append(RankedSource(words="others, each rarer", share=rest, error=0.0, givers=""))
    when = ""
    if len(rows):
        early, late = np.quantile(draws.time[rows], (0.05, 0.95))
        when = f"{day_words(day_of(stage, early))} to {day_words(day_of(stage, late))}"
    return Sourcing(mark=mark, infected=infected, told=told, when=when, sources=tuple(ranked),
                    verdict=_verdict(stage, mark, listed, told, infected, home))  # fmt: skip


def _verdict(stage: Staged, mark: str, listed: list[Source], told: bool, infected: float, home: str) -> str:
    what = "The first infection at" if mark in stage.ground.place else "The infection of"
    if not listed:
        return f"{what} {mark}: in no draw was there one."
    unsure = f" There was one in {_share(infected)} of the draws." if infected < 1 else ""
    best = f"{source_words(stage, listed[0], home)} ({_share(listed[0].share)})"
    if told:
        return f"{what} {mark}: most likely {best}.{unsure}"
    return f"{what} {mark}: cannot tell. The first of several is {best}.{unsure}"


def _ranked(stage: Staged, source: Source, home: str) -> RankedSource:
    givers = ", ".join(f"{stage.hives[j]} {_share(share)}" for j, share in source.by[:NAMED] if share >= 0.0005)
    return RankedSource(words=source_words(stage, source, home), share=source.share, error=source.error, givers=givers)


def _share(share: float) -> str:
    return percent(exact(round(share, 6)))
