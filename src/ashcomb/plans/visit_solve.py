"""Chooses the routes of all crews on all days, with a bound that says how far from the best they can be at most.

Column generation: a linear program (HiGHS, through SciPy) prices the stops, the best days of each crew are grown
against these prices, and CP-SAT (OR-Tools) chooses among all the days that were found. The prices give the bound.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import groupby
from typing import Any

import numpy as np
import numpy.typing as npt

from ashcomb.plans.visit_baselines import best_ratio, greedy, nearest_first, worst_first
from ashcomb.plans.visit_job import Job, Route, route_of
from ashcomb.plans.visit_routes import Grower
from ashcomb.plans.visit_start import FIRST, routed

Floats = npt.NDArray[np.float64]
SCALE = 10_000_000  # CP-SAT counts in whole numbers
NEAR = 0.97  # routes this near to the best known one of their kind are worth adding
COLUMNS = 60  # routes added for each kind and turn
FILL = 2_000  # routes of one kind tried at the end
SMALL = 1e-4
PATIENCE = 3  # turns without progress
MANY = 120  # stops above which the guided search takes too long


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a search is. step: in words.  best, bound: scores so far."""

    step: str
    best: float
    bound: float

    @property
    def gap(self) -> float:
        """How far the best can lie above what was found, as a share of the bound."""
        return max(0.0, (self.bound - self.best) / self.bound) if self.bound > 0 else 0.0


@dataclass(frozen=True, slots=True)
class Search:
    """How hard to look. Nothing here reads a clock, so the same search gives the same plan.

    rounds: of pricing at most.  labels: unfinished routes kept at each length.  gap: small enough to stop.
    steps: of guided local search from the start, for jobs that are not too large.
    most: the same when the bound is counted at last.  fill: below this gap every day that could pay is tried.
    effort: deterministic seconds of CP-SAT.
    """

    rounds: int = 40
    labels: int = 1_000
    most: int = 8_000
    steps: int = 300
    gap: float = 0.005
    fill: float = 0.015
    effort: float = 12.0
    workers: int = 2


@dataclass(frozen=True, slots=True)
class Chosen:
    """The routes chosen. bound: no plan scores more.  stopped: somebody cancelled, this is the best until then."""

    routes: tuple[Route, ...]
    score: float
    bound: float
    stopped: bool

    @property
    def gap(self) -> float:
        """How far the best possible plan can lie above this one, as a share of the bound."""
        return Progress("", self.score, self.bound).gap


class _Pool:
    """Routes found so far, by kind of crew-day. Crews that are alike in all but name share a kind."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.kinds: dict[tuple[object, ...], list[tuple[int, int]]] = {}
        for day in range(job.days):
            for index, crew in enumerate(job.crews):
                if crew.home[day] > crew.leaves[day]:
                    key = (day, crew.base, crew.leaves[day], crew.home[day], crew.skills, crew.cleanings)
                    self.kinds.setdefault(key, []).append((index, day))
        self.members = list(self.kinds.values())
        self.of = {member: kind for kind, members in enumerate(self.members) for member in members}
        self.routes: list[Route] = []
        self.kind: list[int] = []
        self._seen: set[tuple[int, tuple[int, ...]]] = set()

    def add(self, crew: int, day: int, stops: tuple[int, ...]) -> bool:
        kind = self.of.get((crew, day))
        if kind is None or (kind, stops) in self._seen or not stops:
            return False
        route = route_of(self.job, *self.members[kind][0], stops)
        if route is None:
            return False
        self._seen.add((kind, stops))
        self.routes.append(route)
        self.kind.append(kind)
        return True

    def best(self, kind: int, prices: Floats) -> float:
        """The most that a known route of a kind is worth beyond the prices of its stops, at least 0."""
        known = (
            r.score - prices[list(r.stops)].sum() for r, k in zip(self.routes, self.kind, strict=True) if k == kind
        )
        return max([0.0, *map(float, known)])


def solve(
    job: Job,
    search: Search | None = None,
    tell: Callable[[Progress], None] = lambda progress: None,
    stop: Callable[[], bool] = lambda: False,
) -> Chosen:
    """Routes with the highest score that the search finds, never lower than the orders people use, and a bound.

    tell: is told how far it is.  stop: asked now and then; when it says yes, the best so far is returned.
    """
    search = search or Search()
    pool = _Pool(job)
    tell(Progress("starting plans", 0.0, _loose(job)))
    starts = [greedy(job, choice) for choice in (best_ratio, worst_first, nearest_first)]
    starts += [routed(job, first) for first in FIRST if not stop()]
    if search.steps and len(job.stops) <= MANY and not stop():
        starts.append(routed(job, FIRST[-1], search.steps))
    for route in (route for routes in starts for route in routes):
        pool.add(route.crew, route.day, route.stops)
    best = max(starts, key=_score)
    if not pool.routes:
        return Chosen((), 0.0, _nothing(job, pool, search), False)
    growers = [Grower(job, *members[0]) for members in pool.members]
    bound, prices, cancelled = _price_out(pool, growers, search, _score(best), tell, stop)
    if not cancelled:
        best = max(best, _choose(pool, best, search), key=_score)
        tell(Progress("choosing among the days", _score(best), bound))
    gap = Progress("", _score(best), bound).gap
    if not cancelled and gap > search.gap / 4 and not stop():
        tell(Progress("counting the bound", _score(best), bound))
        bound = _fill(pool, growers, prices, bound, _score(best), search)
        best = max(best, _choose(pool, best, search), key=_score)
    tell(Progress("done", _score(best), bound))
    return Chosen(_named(pool, best), _score(best), max(bound, _score(best)), cancelled)


def _score(routes: Iterable[Route]) -> float:
    return sum(route.score for route in routes)


def _nothing(job: Job, pool: _Pool, search: Search) -> float:
    free = np.zeros(len(job.stops))
    return sum(len(m) * max(0.0, Grower(job, *m[0]).price(free, 0.0, search.labels, 1).bound) for m in pool.members)


def _price_out(
    pool: _Pool, growers: list[Grower], search: Search, floor: float, tell: Callable[[Progress], None],
    stop: Callable[[], bool],
) -> tuple[float, Floats, bool]:  # fmt: skip
    """Adds routes until none pays; gives the best bound, the prices that gave it, and whether somebody cancelled."""
    bound, best_prices, still = np.inf, np.zeros(len(pool.job.stops)), 0
    for turn in range(search.rounds):
        if stop():
            return min(bound, _loose(pool.job)), best_prices, True
        level, prices = _relaxed(pool)
        calm = turn and still < PATIENCE  # calmer prices need fewer turns
        mixed = 0.5 * prices + 0.5 * best_prices if calm else prices
        added, total = 0, float(mixed.sum())
        for kind, grower in enumerate(growers):
            found = grower.price(mixed, NEAR * pool.best(kind, mixed), search.labels, COLUMNS)
            total += len(pool.members[kind]) * found.bound
            added += sum(pool.add(*pool.members[kind][0], stops) for stops, _ in found.routes)
        still = 0 if total < bound * (1 - SMALL) else still + 1
        if total < bound:
            bound, best_prices = total, mixed
        tell(Progress(f"pricing, turn {turn + 1}", floor, bound))
        if bound - level <= search.gap / 4 * bound or still > 2 * PATIENCE or (still > PATIENCE and not added):
            break
    return min(bound, _loose(pool.job)), best_prices, False


def _loose(job: Job) -> float:
    return sum(stop.value for stop in job.stops)


def _relaxed(pool: _Pool) -> tuple[float, Floats]:
    """The linear program over the routes found so far: its value and the price of each stop."""
    from scipy.optimize import linprog
    from scipy.sparse import csr_array

    stops, kinds = len(pool.job.stops), len(pool.members)
    rows = [row for k, route in enumerate(pool.routes) for row in (*route.stops, stops + pool.kind[k])]
    columns = [k for k, route in enumerate(pool.routes) for _ in range(len(route.stops) + 1)]
    matrix: Any = csr_array((np.ones(len(rows)), (rows, columns)), shape=(stops + kinds, len(pool.routes)))
    limits = np.r_[np.ones(stops), [len(members) for members in pool.members]]
    worth = np.array([-route.score for route in pool.routes])
    made = linprog(worth, A_ub=matrix, b_ub=limits, bounds=(0, None), method="highs")
    return -float(made.fun or 0.0), np.maximum(-np.asarray(made.ineqlin.marginals)[:stops], 0.0)


def _fill(pool: _Pool, growers: list[Grower], prices: Floats, bound: float, score: float, search: Search) -> float:
    """Counts the bound once more with many more unfinished routes, and adds every route that could still pay.

    A route can be part of a better plan only if it comes as near to the best of its kind as the plan to the bound.
    """
    tops = [grower.price(prices, NEAR * pool.best(kind, prices), search.most, 1).bound
            for kind, grower in enumerate(growers)]  # fmt: skip
    counted = float(prices.sum()) + sum(len(m) * top for m, top in zip(pool.members, tops, strict=True))
    bound = min(bound, counted)
    if Progress("", score, bound).gap < search.fill:
        for kind, (grower, top) in enumerate(zip(growers, tops, strict=True)):
            for stops, _ in grower.price(prices, max(0.0, top - (bound - score)), search.most, FILL).routes:
                pool.add(*pool.members[kind][0], stops)
    return bound


def _choose(pool: _Pool, hint: list[Route], search: Search) -> list[Route]:
    """The best set of routes of the pool: each stop at most once, each crew-day at most once."""
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    chosen = [model.new_bool_var(f"r{k}") for k in range(len(pool.routes))]
    by_stop: dict[int, list[int]] = {}
    by_kind: dict[int, list[int]] = {}
    for k, route in enumerate(pool.routes):
        by_kind.setdefault(pool.kind[k], []).append(k)
        for index in route.stops:
            by_stop.setdefault(index, []).append(k)
    for ks in by_stop.values():
        model.add_at_most_one(chosen[k] for k in ks)
    for kind, ks in by_kind.items():
        model.add(sum(chosen[k] for k in ks) <= len(pool.members[kind]))
    model.maximize(sum(round(route.score * SCALE) * chosen[k] for k, route in enumerate(pool.routes)))
    hinted = {(pool.of[route.crew, route.day], route.stops) for route in hint}
    for k, route in enumerate(pool.routes):
        model.add_hint(chosen[k], (pool.kind[k], route.stops) in hinted)
    solver = cp_model.CpSolver()
    solver.parameters.max_deterministic_time = search.effort
    solver.parameters.num_workers = search.workers
    solver.parameters.interleave_search = True
    solver.parameters.random_seed = 1
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return hint
    return [route for k, route in enumerate(pool.routes) if solver.boolean_value(chosen[k])]


def _in_order(job: Job, stops: tuple[int, ...]) -> list[int]:
    """The same stops with parts of one apiary that follow each other in their order, the likeliest hives first."""
    runs = (sorted(run, key=lambda k: job.stops[k].part) for _, run in groupby(stops, lambda k: job.stops[k].apiary))
    return [k for run in runs for k in run]


def _named(pool: _Pool, routes: list[Route]) -> tuple[Route, ...]:
    """The routes with crews that are alike named one after the other."""
    free = {kind: list(members) for kind, members in enumerate(pool.members)}
    named = []
    for route in sorted(routes, key=lambda r: (r.day, r.stops)):
        crew, day = free[pool.of[route.crew, route.day]].pop(0)
        made = route_of(pool.job, crew, day, _in_order(pool.job, route.stops))
        if made is None or made.score < route.score:
            made = route_of(pool.job, crew, day, route.stops)
        if made is not None:
            named.append(made)
    return tuple(sorted(named, key=lambda r: (r.day, r.crew)))
