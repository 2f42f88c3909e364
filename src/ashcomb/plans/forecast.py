"""What may come under several plans, in figures with their errors; every plan goes on from the same assessed histories.

Advice: no forecast shortens what the law asks, clears a hive or lifts a standstill.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from ashcomb.kernel.errors import UserError
from ashcomb.outbreak.ahead import Measures
from ashcomb.outbreak.forecast import Figure, Outcome, forecast
from ashcomb.outbreak.posterior import Posterior
from ashcomb.outbreak.rates import Rates
from ashcomb.outbreak.scene import Ints
from ashcomb.outbreak.summaries import hidden_cases, last_place
from ashcomb.plans.result import Plan
from ashcomb.plans.scene import ASSUMPTIONS, Staged
from ashcomb.sources.library import value
from ashcomb.sources.model import Sourced

CAUTION = "A forecast is advice. It never shortens what the law asks, lifts no standstill, clears no hive."
TAKEN = (
    "What moved in the last 365 days moves again on the same days of the next years, unless the plan forbids it.",
    "No look is made on a day without brood; a round that falls there is left out.",
    "New infections from outside the records are left out: the figures tell the end of this outbreak, not of all.",
    "Hives go only by order; that a sick colony dies by itself, or is found by its keeper, is left out.",
    "Looks are made on their days by the same crews under every plan; a hive found spreads until it is killed.",
    "Each hive has the same luck under every plan, so differences are known better than the figures themselves.",
)
STANDARD = ("cases only", "whole apiary", "wait 7", "standstill", "supers kept", "frames kept", "nearest")
_VALUES = ("forecast.removal_days", "forecast.apiaries_a_day", "forecast.rounds", "forecast.round_days",
           "forecast.standstill_days", "forecast.draws", "surveillance.look_sensitivity")  # fmt: skip
WORDS = {
    "cases only": "kill the cases alone",
    "whole apiary": "kill the whole apiary of a case",
    "standstill": "no moves between apiaries for so many days",
    "supers kept": "supers go back only to their own apiary",
    "frames kept": "no brood frames between hives",
    "wait": "the first kill and look so many days later",
    "pace": "apiaries opened in a day",
    "rounds": "rounds of looks",
    "every": "days from round to round",
    "nearest": "apiaries nearest to a case first",
    "marks": "apiaries in order of their marks",
    "first": "an apiary to open first, such as first A12; several times for several",
}
_NUMBERS = ("wait", "pace", "rounds", "every", "standstill")
_FLAGS = {"whole apiary": "whole", "supers kept": "supers_kept", "frames kept": "frames_kept"}


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanFigures:
    """One plan. found: cases beside the known.  new: infections from now on.  lost: hives killed.  free: chance that no
    infected hive is left within the time.  days_middle, days_low, days_high: until then, None where not within it.
    more_new, more_lost: beyond the first plan.  Each figure: mean, 95 % of the histories, error of drawing.
    """

    name: str
    found: Figure
    new: Figure
    lost: Figure
    free: Figure
    days_middle: float | None
    days_low: float | None
    days_high: float | None
    more_new: Figure
    more_lost: Figure


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastPlan(Plan):
    """Several plans. day: they begin.  days: they look ahead.  cases: known ones.  histories: gone on from."""

    day: str
    days: int
    cases: int
    histories: int
    plans: tuple[PlanFigures, ...]


def forecast_plan(
    stage: Staged, posterior: Posterior, used: Rates, asked: Sequence[str] = (), days: int = 0, seed: int = 1,
    workers: int = 1,
) -> ForecastPlan:  # fmt: skip
    """The plans asked for, or the standard ones, for so many days (0: as usual).

    asked: each a list of `WORDS` with numbers, parted by commas. Raises UserError for words that nobody knows, or
    where nothing was drawn.
    """
    ahead = days or int(value("forecast.days").value)
    if not 1 <= ahead <= value("forecast.days").high:
        raise UserError(f"{ahead} days cannot be forecast.", f"Choose 1 to {value('forecast.days').high:g}.")
    if not len(stage.hives) or posterior.draws.count < value("forecast.draws").low:
        raise UserError("Too few histories are drawn for a forecast.", "Assess the case again.")
    plans = [measures(stage, posterior, text) for text in asked or STANDARD]
    gen = np.random.Generator(np.random.Philox(seed))
    most = int(value("forecast.draws").value)
    outcomes = forecast(stage.scene, posterior.draws, plans, stage.cases, ahead, gen, most, workers)
    return ForecastPlan(
        day=stage.day.isoformat(), days=ahead, cases=len(stage.cases), histories=len(outcomes[0].runs),
        plans=tuple(map(_figures, outcomes)), cautions=(CAUTION,), assumptions=(*ASSUMPTIONS, *TAKEN),
        uses=_used(used, stage, bool(days)),
    )  # fmt: skip


def measures(stage: Staged, posterior: Posterior, text: str) -> Measures:
    """A plan from its words: “whole apiary, standstill 90, wait 7, first A12”. Raises UserError for other words."""
    given: dict[str, Any] = {}
    plan = Measures(
        name=text.strip() or "cases only", order=_likeliest(stage, posterior),
        pace=value("forecast.apiaries_a_day").value, rounds=int(value("forecast.rounds").value),
        every=value("forecast.round_days").value, notice=value("surveillance.look_sensitivity").value,
        removal=value("forecast.removal_days").value,
    )  # fmt: skip
    ahead: list[str] = []
    for part in filter(None, (part.strip() for part in text.split(","))):
        word, _, rest = part.partition(" ")
        if word == "first" and rest:
            ahead.append(rest.strip())
        elif part in _FLAGS:
            given[_FLAGS[part]] = True
        elif part in ORDERS:
            given["order"] = ORDERS[part](stage, plan.order)
        elif part == "standstill":
            given["standstill"] = value("forecast.standstill_days").value
        elif word in _NUMBERS:
            given[word] = _number(word, rest)
        elif part != "cases only":
            known = "; ".join(f"{key} ({words})" for key, words in WORDS.items())
            raise UserError(f"“{part}” is no part of a plan.", f"Known are: {known}.")
    plan = replace(plan, **given)
    return replace(plan, order=_first(stage, plan.order, ahead))


def _number(word: str, text: str) -> float:
    low, high = {"pace": (0.1, 200.0), "rounds": (0, 50), "every": (1.0, 730.0)}.get(word, (0.0, 1095.0))
    try:
        number = int(text) if word == "rounds" else float(text)
    except ValueError:
        raise UserError(
            f"“{word} {text}” cannot be read.", f"Write {word} with a number, {low:g} to {high:g}."
        ) from None
    if not low <= number <= high:
        raise UserError(f"{word} {text} cannot be.", f"Choose {low:g} to {high:g}.")
    return number


def _standing(stage: Staged) -> Ints:
    """Places where a living colony stands."""
    place = last_place(stage.scene)
    there = (stage.scene.end > stage.scene.horizon) & (place >= 0)
    return np.unique(place[there]).astype(np.int64)


def _likeliest(stage: Staged, posterior: Posterior) -> Ints:
    """Places by the number of hidden cases to expect, most first."""
    places = _standing(stage)
    group = last_place(stage.scene)
    hidden = hidden_cases(stage.scene, posterior.draws, stage.cases, group, len(stage.places)).mean
    return places[np.argsort(-hidden[places], kind="stable")]


def _nearest(stage: Staged, order: Ints) -> Ints:
    """Places by the distance to the nearest apiary where a known case stood, living or killed; unplaced ones last."""
    xy = stage.ground.xy_km
    stood = {stage.ground.place_at(int(j), stage.scene.horizon - 0.5) for j in stage.cases} - {""}
    homes = np.array(sorted(stage.ground.place[mark] for mark in stood), dtype=np.int64)
    if not len(homes):
        return order
    km = np.hypot(*np.moveaxis(xy[order][:, None, :] - xy[homes][None, :, :], 2, 0))
    nearest = np.where(np.isfinite(km), km, np.inf).min(axis=1)
    return order[np.argsort(nearest, kind="stable")]


def _marks(stage: Staged, order: Ints) -> Ints:
    return np.array(sorted(order.tolist(), key=lambda place: stage.places[place]), dtype=np.int64)


ORDERS: dict[str, Callable[[Staged, Ints], Ints]] = {"nearest": _nearest, "marks": _marks}


def _first(stage: Staged, order: Ints, marks: Sequence[str]) -> Ints:
    """The same order with some apiaries before all others."""
    unknown = next((mark for mark in marks if stage.ground.place.get(mark, -1) not in order), None)
    if unknown is not None:
        raise UserError(f"At “{unknown}” no living hive is on record.", "Name an apiary that has hives.")
    ahead = [stage.ground.place[mark] for mark in marks]
    return np.array([*ahead, *(place for place in order.tolist() if place not in ahead)], dtype=np.int64)


def _figures(outcome: Outcome) -> PlanFigures:
    middle, low, high = (day if np.isfinite(day) else None for day in outcome.days)
    return PlanFigures(name=outcome.name, found=outcome.found, new=outcome.new, lost=outcome.lost, free=outcome.free,
                       days_middle=middle, days_low=low, days_high=high, more_new=outcome.more_new,
                       more_lost=outcome.more_lost)  # fmt: skip


def _used(used: Rates, stage: Staged, own_days: bool) -> tuple[Sourced, ...]:
    own = (value(key) for key in (*_VALUES, *(() if own_days else ("forecast.days",))))
    return tuple({each.key: each for each in (*used.used, *stage.used, *own)}.values())
