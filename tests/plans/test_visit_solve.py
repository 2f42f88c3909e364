"""Order of visits: the optimum against brute force, the solver library's own example, the rules that it must keep."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.plans.visit_jobs import job

from ashcomb.plans.visit_baselines import greedy, nearest_first, worst_first
from ashcomb.plans.visit_job import Job, route_of
from ashcomb.plans.visit_solve import Progress, Search, solve
from ashcomb.plans.visit_start import routed

QUICK = Search(rounds=12, labels=300, most=1_000, steps=30, effort=2.0)


def days_of(one: Job, crew: int, day: int) -> dict[frozenset[int], float]:
    """By brute force: every order of every set of stops that one crew can do in a day, its best score."""
    who, best = one.crews[crew], {frozenset[int](): 0.0}

    def go(done: tuple[int, ...], at: int, clock: int, risk: int, cleaned: int, driven: int, worth: float) -> None:
        for k, stop in enumerate(one.stops):
            if k in done:
                continue
            drive = int(one.roads[at, stop.place])
            dirty = stop.risk < risk
            arrives = clock + drive + (one.disinfect if dirty else 0)
            starts = [max(arrives, a) for a, b in stop.windows[day] if max(arrives, a) + stop.minutes <= b]
            if not starts or cleaned + dirty > who.cleanings:
                continue
            ends, back = min(starts) + stop.minutes, int(one.roads[stop.place, who.base])
            if ends + back > who.home[day]:
                continue
            total = worth + stop.value * (1 - one.loss) ** day
            key = frozenset((*done, k))
            score = total - one.hour_cost * (driven + drive + back) / 60
            best[key] = max(best.get(key, -1e9), score)
            go((*done, k), stop.place, ends, stop.risk, cleaned + dirty, driven + drive, total)

    go((), who.base, who.leaves[day], -1, 0, 0, 0.0)
    return best


def closed(one: Job) -> Job:
    """The same job on roads that no detour shortens, so that both sides drive alike."""
    return replace(one, roads=one.shortest)


@pytest.mark.parametrize(("stops", "seed", "windows"), [(9, 1, False), (9, 2, True), (8, 3, True), (9, 4, False)])
def test_one_crew_one_day_against_brute_force(stops: int, seed: int, windows: bool):
    one = closed(job(stops, 1, 1, seed, hives=(2, 14), windows=windows))
    assert solve(one).score == pytest.approx(max(days_of(one, 0, 0).values()), abs=1e-6)


@pytest.mark.parametrize("seed", range(4))
def test_two_crew_days_against_brute_force(seed: int):
    one = closed(job(7, 1, 2, seed, hives=(8, 30)))
    first, second = days_of(one, 0, 0), days_of(one, 0, 1)
    best = max(a + b for (s, a), (t, b) in itertools.product(first.items(), second.items()) if not s & t)
    found = solve(one)
    assert found.score == pytest.approx(best, abs=1e-6)
    assert found.bound >= best - 1e-6


# The routing library's own example: PATH_CHEAPEST_ARC, then its default search to the first local optimum.
@pytest.mark.parametrize("seed", [0, 1])
def test_never_worse_than_the_librarys_example_on_eighty_stops(seed: int):
    one = job(80, 4, 1, seed, hives=(1, 4))
    example = sum(route.score for route in routed(one, "PATH_CHEAPEST_ARC"))
    found = solve(one, QUICK)
    assert example > 0
    assert found.score >= example - 1e-9
    assert found.bound >= found.score


def test_a_stated_gap_of_three_in_a_hundred_on_a_week_of_three_crews():
    found = solve(job(28, 3, 5, 0), QUICK)
    assert found.gap <= 0.03


@pytest.mark.parametrize("seed", range(3))
def test_the_bound_holds_however_early_the_search_ends(seed: int):
    one = job(12, 2, 2, seed)
    best = solve(one).score
    hasty = solve(one, Search(rounds=1, labels=5, most=10, steps=0, effort=0.1))
    assert hasty.score <= best + 1e-6 <= hasty.bound + 1e-5


@given(st.integers(0, 10_000), st.integers(1, 3), st.integers(1, 3))
@settings(max_examples=12)
def test_every_route_keeps_the_rules(seed: int, crews: int, days: int):
    one = job(10, crews, days, seed, windows=seed % 2 == 0, cleanings=seed % 3)
    found = solve(one, QUICK)
    visited = [stop for route in found.routes for stop in route.stops]
    assert len(visited) == len(set(visited))
    assert len({(route.crew, route.day) for route in found.routes}) == len(found.routes)
    for route in found.routes:
        who = one.crews[route.crew]
        assert route == route_of(one, route.crew, route.day, route.stops)
        assert who.leaves[route.day] + route.driven + route.worked + route.waited == route.home <= who.home[route.day]
        risks = [one.stops[k].risk for k in route.stops]
        drops = [b < a for a, b in itertools.pairwise([-1, *risks])]
        assert list(route.cleaned) == drops
        assert sum(drops) <= who.cleanings
        for stop, begins in zip(route.stops, route.begins, strict=True):
            (first, last), = one.stops[stop].windows[route.day]  # fmt: skip
            assert first <= begins <= last - one.stops[stop].minutes


def test_no_crew_goes_to_a_less_dirty_apiary_without_spare_tools():
    two = job(2, 1, 1, 7, hives=(5, 6), cleanings=0)
    dirty, other = (replace(stop, risk=risk, value=1.0) for stop, risk in zip(two.stops, (2, 0), strict=True))
    dirty = replace(dirty, windows=(((480, 600),),))  # the dirty one is open in the morning only
    other = replace(other, windows=(((700, 1000),),))
    one = replace(two, stops=(dirty, other))
    assert len(solve(one, QUICK).routes[0].stops) == 1
    spare = replace(one, crews=(replace(one.crews[0], cleanings=1),))
    (route,) = solve(spare, QUICK).routes
    assert route.cleaned == (False, True)


def test_the_same_job_gives_the_same_plan():
    one = job(20, 2, 3, 5)
    assert solve(one, QUICK) == solve(one, QUICK)


def test_nobody_able_means_no_visit():
    one = job(4, 1, 1, 1)
    asks = replace(one, stops=tuple(replace(stop, needs=frozenset({"inspector"})) for stop in one.stops))
    found = solve(asks, QUICK)
    assert (found.routes, found.score) == ((), 0.0)


def test_a_search_that_is_stopped_gives_the_best_so_far():
    told: list[Progress] = []
    found = solve(job(20, 2, 3, 5), QUICK, told.append, lambda: len(told) >= 2)
    assert found.stopped
    assert found.score > 0
    assert found.bound >= found.score


def test_never_worse_than_what_people_do():
    for seed in range(3):
        one = job(24, 2, 3, seed)
        for choice in (nearest_first, worst_first):
            assert solve(one, QUICK).score >= sum(r.score for r in greedy(one, choice)) - 1e-9


def test_a_detour_that_is_shorter_is_taken():
    one = job(3, 1, 1, 0)
    roads = np.array([[0, 5, 90, 9], [5, 0, 5, 9], [90, 5, 0, 9], [9, 9, 9, 0]])
    assert replace(one, roads=roads).shortest[0, 2] == 10


# Where no further solution exists the guided search used to wait for one for ever.
@pytest.mark.timeout(120)
@pytest.mark.parametrize("stops", [1, 2])
def test_a_search_among_few_stops_ends(stops: int):
    one = job(stops, 1, 1, 0, hives=(5, 6))
    assert solve(one).score == pytest.approx(max(days_of(one, 0, 0).values()), abs=1e-6)
