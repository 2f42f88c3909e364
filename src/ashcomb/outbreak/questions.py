"""What an answer would be worth: the draws weighed by how likely each makes the answer, and what would be done then.

The measure of a decision: hidden cases among the next so many hives, those with the highest chance. A question is worth
what its answers are expected to add to that number. It is never below zero, as nobody must heed an answer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ashcomb.outbreak.posterior import Draws
from ashcomb.outbreak.rates import ROUTES
from ashcomb.outbreak.scene import BEFORE, Floats, Ints, Scene
from ashcomb.outbreak.summaries import place_at, rows_of, shows

_LATENT, _FIRST_ROUTE = 4, 6  # in the rates of a draw


@dataclass(frozen=True)
class Worth:
    """What a question is worth. gain: hidden cases more among the next hives.  error: of drawing, standard error.

    changed: hives among the next ones that the answer is expected to replace.  chance (k): of each answer.
    thin: chance of the answers that too few draws tell of.
    """

    gain: float
    error: float
    changed: float
    chance: Floats
    thin: float


def look_answers(scene: Scene, draws: Draws, j: int, worth: float, false: float) -> Floats:
    """Chance of each answer in each draw, shape (draws, 2): a look at colony j at the horizon finds signs, or none."""
    rows = rows_of(draws, j)
    seen = np.zeros(draws.count)
    seen[draws.draw[rows]] = np.where(shows(scene, draws, rows, scene.horizon), worth, 0.0)
    return _two(seen + (1.0 - seen) * false)


def sample_answers(scene: Scene, draws: Draws, members: Ints, chances: tuple[float, float, float]) -> Floats:
    """The same for a pooled sample of colonies at the horizon. chances: with signs, before signs, false."""
    signs, latent, false = chances
    among = np.zeros(len(scene.first), dtype=bool)
    among[members] = True
    rows = np.flatnonzero(among[draws.colony])
    found = np.where(draws.onset[rows] <= scene.horizon, signs, latent)
    missed = np.bincount(draws.draw[rows], weights=np.log1p(-found), minlength=draws.count)
    return _two(1.0 - (1.0 - false) * np.exp(missed))


def date_answers(scene: Scene, draws: Draws, e: int, parts: int) -> Floats:
    """The same for the open date of event e, cut into equal parts; shape (draws, parts)."""
    first, last = scene.event_from[e], scene.event_to[e]
    part = np.clip((draws.date_of(scene, e) - first) / (last - first) * parts, 0, parts - 1).astype(np.int64)
    return np.asarray(np.eye(parts)[part])


def giver_places(scene: Scene, e: int) -> Ints:
    """Places from which the objects of event e may have come, in order."""
    givers = scene.give[scene.give_ptr[e] : scene.give_ptr[e + 1]]
    return np.unique(place_at(scene, givers, np.full(len(givers), scene.event_from[e])))


def giver_answers(scene: Scene, draws: Draws, e: int) -> Floats:
    """The same for the place from which the objects of event e came, if all came from one; shape (draws, places).

    The chance of a place is its share of the objects, times how likely it makes what the event did in the draw.
    """
    places, when = giver_places(scene, e), draws.date_of(scene, e)
    lot = slice(scene.give_ptr[e], scene.give_ptr[e + 1])
    home = np.searchsorted(places, place_at(scene, scene.give[lot], np.full(lot.stop - lot.start, scene.event_from[e])))
    bad = np.zeros((draws.count, len(places)))
    for at, i, share, where in zip(scene.give_time[lot], scene.give[lot], scene.give_share[lot], home, strict=True):
        rows = rows_of(draws, int(i))
        draw = draws.draw[rows]
        given = when[draw] if np.isnan(at) else at
        worth = np.where(draws.onset[rows] <= given, 1.0, draws.rates[draw, _LATENT]) * (draws.time[rows] < given)
        bad[draw, where] += share * worth
    whole = np.bincount(home, weights=scene.give_share[lot], minlength=len(places))
    route = draws.rates[:, _FIRST_ROUTE + scene.event_kind[e], None]
    log_spared = scene.event_objects[e] * np.log1p(-np.minimum(bad / whole * route, 1.0 - 1e-15))
    taken, risk = _did(scene, draws, e, when)
    with np.errstate(divide="ignore", invalid="ignore"):
        infects = np.where(taken[:, None] > 0, taken[:, None] * np.log(-np.expm1(log_spared)), 0.0)
    likely = whole * np.exp(risk[:, None] * log_spared + infects)
    total = likely.sum(axis=1, keepdims=True)
    return np.asarray(np.where(total > 0.0, likely / np.where(total > 0.0, total, 1.0), whole / whole.sum()))


def _did(scene: Scene, draws: Draws, e: int, when: Floats) -> tuple[Floats, Floats]:
    """How many the event infected in each draw, and how many it could have."""
    takers = scene.take[scene.take_ptr[e] : scene.take_ptr[e + 1]]
    taken, risk = np.zeros(draws.count), np.full(draws.count, float(len(takers)))
    for j in takers:
        rows = rows_of(draws, int(j))
        draw, source = draws.draw[rows], draws.source[rows]
        np.add.at(taken, draw[source == e], 1.0)
        early = (draws.time[rows] < when[draw]) | (source == BEFORE) | (source == e)
        np.add.at(risk, draw[early | ((draws.time[rows] == when[draw]) & (source < e))], -1.0)
    return taken, risk


@dataclass(frozen=True)
class Field:
    """Hives that may be opened, and the rows of draws in which each is infected. next: how many are opened next."""

    colony: Ints
    row: Ints
    number: Ints
    next: int
    least: float

    @classmethod
    def of(cls, scene: Scene, draws: Draws, cases: Ints, next_hives: int, least: float) -> Field:
        """All colonies that still stand and are no known case. least: draws that must count for an answer."""
        open_to = scene.end > scene.horizon
        open_to[cases] = False
        colony = np.flatnonzero(open_to)
        number = np.full(len(open_to), -1, dtype=np.int64)
        number[colony] = np.arange(len(colony))
        row = np.flatnonzero(open_to[draws.colony])
        return cls(colony, row, number[draws.colony[row]], min(next_hives, len(colony)), least)

    def chances(self, draws: Draws, weight: Floats) -> Floats:
        """Chance of each hive under weights of the draws, which sum to 1."""
        found = np.bincount(self.number, weights=weight[draws.draw[self.row]], minlength=len(self.colony))
        return found.astype(np.float64)

    def best(self, chance: Floats) -> Ints:
        """The next hives: those with the highest chance."""
        return np.argsort(-chance, kind="stable")[: self.next]


def worth(draws: Draws, field: Field, answers: Floats) -> Worth:
    """What a question is worth. answers (draws, k): chance of each answer in each draw, rows sum to 1.

    For each chain the hives are chosen by the other chains and counted in it, so that chance finds of the choice do not
    count as gains. The error comes from the differences between chains.
    """
    chains = int(draws.chain[-1]) + 1
    gains, changes, thin = [], [], 0.0
    for c in range(chains):
        inside = draws.chain == c
        base = field.best(field.chances(draws, _share(~inside, None)))
        gain = change = 0.0
        for k in range(answers.shape[1]):
            chance = float(answers[inside, k].mean())
            others, own = _share(~inside, answers[:, k]), _share(inside, answers[:, k])
            if min(_size(others), _size(own)) < field.least:
                thin += chance / chains
                continue
            then = field.best(field.chances(draws, others))
            here = field.chances(draws, own)
            gain += chance * float(here[then].sum() - here[base].sum())
            change += chance * len(np.setdiff1d(then, base))
        gains.append(gain)
        changes.append(change)
    error = float(np.std(gains, ddof=1) / np.sqrt(chains)) if chains > 1 else np.inf
    return Worth(max(float(np.mean(gains)), 0.0), error, float(np.mean(changes)), answers.mean(axis=0), thin)


def _two(yes: Floats) -> Floats:
    return np.column_stack([yes, 1.0 - yes])


def _share(kept: np.ndarray, weight: Floats | None) -> Floats:
    found = np.where(kept, 1.0 if weight is None else weight, 0.0)
    total = found.sum()
    return found / total if total > 0.0 else found


def _size(weight: Floats) -> float:
    """How many draws of equal weight tell as much."""
    squares = float(weight @ weight)
    return 1.0 / squares if squares > 0.0 else 0.0


def tied(scene: Scene, names: Sequence[str] = ("wet supers", "dry supers")) -> Ints:
    """Events of these routes whose objects may have come from more than one place: the lot is not fully on record."""
    kinds = [ROUTES.index(name) for name in names]
    among = np.flatnonzero(np.isin(scene.event_kind, kinds))
    return np.array([e for e in among if len(giver_places(scene, int(e))) > 1], dtype=np.int64)
