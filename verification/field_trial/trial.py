"""The trial of one world: the work of the engine and of the habits of today, one-shot and renewed, and ablations."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from verification.field_trial.belief import Belief, Range, left_after
from verification.field_trial.habits import HABITS
from verification.field_trial.laws import FITTED, TRIAL, Assumptions
from verification.field_trial.search import Chances, by_chances, by_habit, one_shot
from verification.field_trial.thumb import Thumb
from verification.field_trial.world import World, world

from ashcomb.outbreak.rates import NAMES, PRESSURES, Rates, rates
from ashcomb.outbreak.scene import Scene
from ashcomb.sources.library import value

Works = dict[str, list[float]]  # way of searching: work until 80 % and until 95 %
ABLATIONS = ("true record", "true record and laws")
EVERY = 8  # every eighth world is searched in the ways that show what limits it
RARE = ("engine, drive not counted", *ABLATIONS)
ALL = ("engine", "engine, rates sampled", "engine, fitted", "rule of thumb", *RARE)
PROPHET = 0.999  # chance of every hive with signs, for one who knows them; a look can still miss


def asked(seed: int, ways: Sequence[str] = ALL) -> list[str]:
    """Those of the ways in which the world of a seed is searched: the rare ones in every eighth."""
    return [way for way in ways if way not in RARE or seed % EVERY == 0]


def trial(seed: int, ways: Sequence[str] = ALL, assumed: Assumptions = TRIAL) -> dict[str, Works | int]:
    """Ways in the world of a seed, beside the habits and the prophet: 'one-shot', 'renewed'. ways: some of `ALL`."""
    made = world(seed, assumed)
    one: Works = {name: by_habit(made, key, False) for name, key in HABITS.items()}
    new: Works = {name: by_habit(made, key, True) for name, key in HABITS.items()}
    left = left_after(_of_a_look())
    for way in ways:
        belief = _belief(made, way)
        if way not in RARE:
            one[way] = one_shot(made, belief.chance, left)
        if way == "engine":
            one["engine, drive not counted"] = one_shot(made, belief.chance, left, drive=False)
        new[way] = by_chances(made, belief, drive=way != "engine, drive not counted")
    one["prophet"] = one_shot(made, PROPHET * made.signs, left, least=0.0)
    signs, apiaries = int(made.signs.sum()), len(set(made.standing[made.signs].tolist()))
    return {"seed": seed, "hives": int((made.standing >= 0).sum()), "apiaries": len(made.owner), "signs": signs,
            "apiaries with signs": apiaries, "one-shot": one, "renewed": new}  # fmt: skip


def _belief(made: World, way: str) -> Chances:
    match way:
        case "engine" | "engine, drive not counted":
            return engine(made, made.told, rates())
        case "engine, rates sampled":
            return engine(made, made.told, rates(PRESSURES[:4]))
        case "engine, fitted":
            return engine(made, made.fitted, _replaced(FITTED, "as in other outbreaks of the trial"))
        case "rule of thumb":
            return Thumb(made, left_after(_of_a_look()))
        case "true record":
            return engine(made, made.full, rates())
        case "true record and laws":
            return engine(made, made.lawful, true_rates(made), (made.notice, made.notice))
    raise ValueError(f"No way of searching: {way}. There are {', '.join(ALL)}.")


def _of_a_look() -> Range:
    best = value("surveillance.look_sensitivity")
    return best.low, best.high


def engine(made: World, scene: Scene, used: Rates, notice: Range | None = None) -> Belief:
    """The engine before the first hive is opened; looks of officers over their sourced range, unless given."""
    return Belief(scene, used, made.seed, notice or _of_a_look())


def true_rates(made: World) -> Rates:
    """The rates of the truth, each as a replacement."""
    return _replaced(dict(zip(NAMES, made.theta.tolist(), strict=True)), "true in this world")


def _replaced(values: Mapping[str, float], reason: str) -> Rates:
    return rates(replaced={name: (x, reason) for name, x in values.items()})


@dataclass(frozen=True)
class Ratio:
    """Median over outbreaks of the engine's work over the habit's, with its 95 % bootstrap interval. n: outbreaks."""

    median: float
    between: tuple[float, float]
    n: int


def ratio(found: list[dict], order: str, way: str, share: int, habit: str = "", rounds: int = 4000) -> Ratio:
    """Against one habit, or against the best of each outbreak in hindsight. share: 0 for 80 %, 1 for 95 %.

    A way that does not reach its share within its passes counts as infinite work.
    """
    rows = [row[order] for row in found if way in row[order]]
    mine = np.array([_work(row[way][share]) for row in rows])
    habits = np.array([[_work(row[name][share]) for name in ([habit] if habit else HABITS)] for row in rows])
    ratios = mine / habits.min(axis=1)
    picks = np.random.default_rng(0).integers(0, len(ratios), (rounds, len(ratios)))
    low, high = np.quantile(np.median(ratios[picks], axis=1), [0.025, 0.975])
    return Ratio(float(np.median(ratios)), (float(low), float(high)), len(ratios))


def best_single(found: list[dict], order: str, share: int) -> str:
    """The habit with the least median work over all outbreaks."""
    return min(HABITS, key=lambda name: (np.median([_work(row[order][name][share]) for row in found]), name))


def _work(cost: float) -> float:
    return cost if cost == cost else np.inf
