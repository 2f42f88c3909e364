"""The best next questions: what each unknown, once known, would change in what is done, in words.

Unknowns: an open date, a lot whose origin is not on record, a hive not opened, a sample not taken. Advice only.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from ashcomb.outbreak import questions
from ashcomb.outbreak.posterior import Posterior
from ashcomb.outbreak.rates import Rates
from ashcomb.outbreak.scene import Floats
from ashcomb.outbreak.summaries import last_place
from ashcomb.plans.result import Plan
from ashcomb.plans.scene import ASSUMPTIONS, Staged, day_of
from ashcomb.science.exact import exact, percent
from ashcomb.sources.library import value

CAUTION = "Advice what to ask next. No answer clears a hive, and none shortens what the law asks."
_KEYS = ("ask.next_hives", "ask.date_parts", "ask.least_draws", "ask.sample_hives", "surveillance.look_sensitivity",
         "outbreak.case_false", "outbreak.test_sensitivity", "outbreak.test_sensitivity_latent")  # fmt: skip
_LOOKS = 40  # hives weighed as looks: those with the highest chance


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question. kind: date, lot, hive or sample.  gain: hidden cases more among the next hives, expected; error:
    of drawing.  changed: hives among the next ones that would be others, expected.  answers: each with its chance.
    unsure: chance of the answers that too few draws tell of; these count as changing nothing.
    """

    kind: str
    words: str
    gain: float
    error: float
    changed: float
    answers: tuple[tuple[str, float], ...]
    unsure: float

    @property
    def told(self) -> str:
        """The answers with their chances, in words."""
        return "; ".join(f"{words} {percent(exact(round(chance, 4)))}" for words, chance in self.answers)


@dataclass(frozen=True, slots=True, kw_only=True)
class AskPlan(Plan):
    """The best questions, best first. next: hives that the measure counts.  base: hidden cases among them as things
    stand, expected.  weighed: how many questions there were.
    """

    next: int
    base: float
    weighed: int
    questions: tuple[Question, ...]


def ask_plan(stage: Staged, posterior: Posterior, used: Rates, top: int = 10) -> AskPlan:
    """The best next questions of an assessment. top: at most so many, 1 or more."""
    figures = {key: value(key) for key in _KEYS}
    scene, draws = stage.scene, posterior.draws
    field = questions.Field.of(scene, draws, stage.cases, int(figures["ask.next_hives"].value),
                               figures["ask.least_draws"].value)  # fmt: skip
    weighed = [_weighed(posterior, field, *each) for each in _unknown(stage, posterior, field)]
    ranked = sorted(weighed, key=lambda q: (-q.gain, q.words))
    chance = field.chances(draws, np.full(draws.count, 1.0 / draws.count))
    return AskPlan(
        next=field.next, base=float(chance[field.best(chance)].sum()), weighed=len(weighed),
        questions=tuple(ranked[:top]), cautions=(CAUTION,), uses=(*figures.values(), *used.used, *stage.used),
        assumptions=(
            f"A question is worth the hidden cases that its answer is expected to add among the next {field.next} "
            "hives opened, those with the highest chance; roads and hours are left out.",
            "A look is one at all brood frames, shaken; a sample is one of bees, pooled, tested in a laboratory.",
            "Of a lot of unrecorded origin all objects are taken to come from one place.", *ASSUMPTIONS,
        ),
    )  # fmt: skip


def _weighed(
    posterior: Posterior, field: questions.Field, kind: str, words: str, names: tuple[str, ...], answers: Floats
) -> Question:
    found = questions.worth(posterior.draws, field, answers)
    told = tuple((name, float(chance)) for name, chance in zip(names, found.chance, strict=True) if chance > 0.0)
    return Question(kind=kind, words=words, gain=found.gain, error=found.error, changed=found.changed,
                    answers=tuple(sorted(told, key=lambda pair: -pair[1])), unsure=found.thin)  # fmt: skip


Unknown = tuple[str, str, tuple[str, ...], Floats]


def _unknown(stage: Staged, posterior: Posterior, field: questions.Field) -> Iterator[Unknown]:
    yield from _dates(stage, posterior)
    yield from _lots(stage, posterior)
    yield from _hives(stage, posterior, field)
    yield from _samples(stage, posterior, field)


def _dates(stage: Staged, posterior: Posterior) -> Iterator[Unknown]:
    scene, parts = stage.scene, int(value("ask.date_parts").value)
    for e in np.flatnonzero(scene.event_to > scene.event_from):
        first, last = float(scene.event_from[e]), float(scene.event_to[e])
        if last - first < parts:
            continue
        cuts = [day_of(stage, first + (last - first) * k / parts) for k in range(parts + 1)]
        names = tuple(f"{a:%d %b} to {b:%d %b %Y}" for a, b in pairwise(cuts))
        answers = questions.date_answers(scene, posterior.draws, int(e), parts)
        yield "date", f"On which day was {stage.events[e].words()}?", names, answers


def _lots(stage: Staged, posterior: Posterior) -> Iterator[Unknown]:
    for e in questions.tied(stage.scene):
        places = questions.giver_places(stage.scene, int(e))
        names = tuple(stage.places[a] if a >= 0 else "a place not known" for a in places)
        answers = questions.giver_answers(stage.scene, posterior.draws, int(e))
        yield "lot", f"From which apiary came what {stage.events[e].words()} brought?", names, answers


def _hives(stage: Staged, posterior: Posterior, field: questions.Field) -> Iterator[Unknown]:
    place, draws = last_place(stage.scene), posterior.draws
    chance = field.chances(draws, np.full(draws.count, 1.0 / draws.count))
    worth, false = value("surveillance.look_sensitivity").value, value("outbreak.case_false").value
    for j in field.colony[np.argsort(-chance, kind="stable")[:_LOOKS]]:
        answers = questions.look_answers(stage.scene, draws, int(j), worth, false)
        where = f" at {stage.places[place[j]]}" if place[j] >= 0 else ""
        yield "hive", f"Does hive {stage.hives[j]}{where} show signs?", ("signs", "no signs"), answers


def _samples(stage: Staged, posterior: Posterior, field: questions.Field) -> Iterator[Unknown]:
    draws, place, most = posterior.draws, last_place(stage.scene), int(value("ask.sample_hives").value)
    chance = field.chances(draws, np.full(draws.count, 1.0 / draws.count))
    signs, latent = value("outbreak.test_sensitivity").value, value("outbreak.test_sensitivity_latent").value
    for a in np.unique(place[field.colony]):
        here = np.flatnonzero(place[field.colony] == a)
        members = field.colony[here[np.argsort(-chance[here], kind="stable")[:most]]]
        if a < 0 or not len(members):
            continue
        answers = questions.sample_answers(stage.scene, draws, members,
                                           (signs, latent, value("outbreak.case_false").value))  # fmt: skip
        hives = "the hives" if len(members) == len(here) else f"the {len(members)} likeliest hives"
        yield "sample", f"What does a sample of bees from {hives} at {stage.places[a]} say?", (
            "positive", "negative"), answers  # fmt: skip
