"""Orders of visits: time and gap of two sizes, sample sizes for a million hives, hours against orders people use."""

from __future__ import annotations

import statistics
from collections.abc import Iterator, Sequence
from functools import partial
from time import perf_counter

import numpy as np
from measure import Case, Table

from ashcomb.plans.visit_baselines import greedy, nearest_first, worst_first
from ashcomb.plans.visit_job import Crew, Job, Route, Stop
from ashcomb.plans.visit_solve import Chosen, Search, solve
from ashcomb.science.sampling import least_number_large
from ashcomb.science.sampling_big import least_number_big

OUTBREAKS = 100
LIGHT = Search(rounds=4, labels=100, most=300, steps=30, effort=0.5)  # a hundred of them; a user gets far more
SHARE = 0.9  # of what the poorest order finds in the week


def tables() -> Iterator[Table]:
    """Sample sizes, a week of three crews, a week of eight, and a hundred outbreaks in one run."""
    sizes = [Case("large group, infinite", partial(least_number_large, 0.01, 0.9, 0.95))]
    sizes += [Case(f"{n:,} of a million infected", partial(least_number_big, 1_000_000, n, 0.9, 0.95))
              for n in (10_000, 100, 10)]  # fmt: skip
    yield Table("Hives to look at among a million, 95 %", sizes)
    yield _plan("28 apiaries, 3 crews, 5 days (asked: 30 s, gap 3 %)", outbreak(28, 3, 5, 1))
    yield _plan("200 apiaries, 8 crews, 5 days (asked: 180 s)", outbreak(200, 8, 5, 1, (2, 30), 60.0))
    yield _hours()


def _plan(title: str, job: Job) -> Table:
    made: list[Chosen] = []

    def run() -> None:
        made.append(solve(job))

    begun = perf_counter()
    run()
    spent = perf_counter() - begun
    found = made[-1]
    finds = sum(job.stops[k].value for route in found.routes for k in route.stops)
    words = (f"{len(job.stops)} visits to choose from; {spent:.1f} s; gap {found.gap:.2%}; "
             f"{finds:.2f} infected hives to expect")  # fmt: skip
    other = [Case(name, partial(greedy, job, choice)) for name, choice in
             (("nearest first", nearest_first), ("worst first", worst_first))]  # fmt: skip
    return Table(title, other, 1, [words])


def _hours() -> Table:
    """Hours away and at the wheel until the same number of infected hives is expected to be found."""
    begun = perf_counter()
    made = [ratios(seed) for seed in range(OUTBREAKS)]
    return Table("Hours against the orders that people use", [], 1, told(made, perf_counter() - begun))


def ratios(seed: int) -> dict[str, float]:
    """Hours of this plan divided by those of each order, in one invented outbreak."""
    job = outbreak(28, 3, 5, seed)
    ours: Sequence[Route] = solve(job, LIGHT).routes
    others = {"nearest first": greedy(job, nearest_first), "worst first": greedy(job, worst_first)}
    wanted = SHARE * min(_finds(job, routes) for routes in (ours, *others.values()))
    away, wheel = until(job, ours, wanted)
    found = {}
    for name, routes in others.items():
        theirs = until(job, routes, wanted)
        found[f"away, this plan / {name}"] = away / theirs[0]
        found[f"at the wheel, this plan / {name}"] = wheel / theirs[1]
    return found


def told(made: Sequence[dict[str, float]], seconds: float) -> list[str]:
    """The ratios of several outbreaks in words."""
    head = (f"{len(made)} outbreaks, {seconds:.0f} s; this plan divided by each order, until both have found "
            f"{SHARE:.0%} of what the poorest finds in the week; light search")  # fmt: skip
    return [head, *(f"hours {name}: {_spread([each[name] for each in made])}" for name in made[0])]


def _spread(ratios: Sequence[float]) -> str:
    ranked = sorted(ratios)
    tenth, ninetieth = ranked[len(ranked) // 10], ranked[-1 - len(ranked) // 10]
    return (
        f"median {statistics.median(ranked):.2f}, tenth {tenth:.2f}, ninetieth {ninetieth:.2f}, worst {ranked[-1]:.2f}"
    )


def _finds(job: Job, routes: Sequence[Route]) -> float:
    return sum(job.stops[k].value for route in routes for k in route.stops)


def until(job: Job, routes: Sequence[Route], wanted: float) -> tuple[float, float]:
    """Hours away and hours driven by all crews when so many infected hives are expected to be found."""
    visits = [(route.day, begins + job.stops[k].minutes, job.stops[k].value)
              for route in routes for k, begins in zip(route.stops, route.begins, strict=True)]  # fmt: skip
    found, moment = 0.0, (0, 0)
    for day, ends, value in sorted(visits):
        found, moment = found + value, (day, ends)
        if found >= wanted:
            break
    hours = driven = 0.0
    for route in routes:
        crew = job.crews[route.crew]
        if route.day < moment[0]:
            hours, driven = hours + route.home - crew.leaves[route.day], driven + route.driven
        elif route.day == moment[0]:
            done = min(route.home, moment[1]) - crew.leaves[route.day]
            at = crew.base
            hours += done
            for k, begins in zip(route.stops, route.begins, strict=True):
                if begins <= moment[1]:
                    driven, at = driven + int(job.shortest[at, job.stops[k].place]), job.stops[k].place
    return hours / 60, max(driven / 60, 1e-9)


def outbreak(
    apiaries: int, crews: int, days: int, seed: int, hives: tuple[int, int] = (30, 52), extent_km: float = 40.0
) -> Job:
    """An invented outbreak: four apiaries of ten have something pointing at them, the others next to nothing."""
    rng = np.random.default_rng(seed)
    spots = np.r_[[[extent_km / 2, extent_km / 2]], rng.random((apiaries, 2)) * extent_km]
    roads = np.rint(np.hypot(*(spots[:, None] - spots[None]).transpose(2, 0, 1)) * 1.3 / 45 * 60).astype(int)
    stops: list[Stop] = []
    for apiary in range(apiaries):
        count = int(rng.integers(*hives))
        chance = float(rng.beta(0.3, 3)) if rng.random() < 0.4 else 0.003
        parts = -(-count // 20)
        for part in range(parts):
            own = count // parts + (part < count % parts)
            stops.append(Stop(
                mark=f"Y{apiary}.{part}", apiary=f"Y{apiary}", hives=(), place=apiary + 1, minutes=20 + own * 8,
                value=own * chance * 0.5 * (1 - 0.3 * part / parts), part=part, windows=(((420, 1140),),) * days,
                risk=0 if chance < 0.01 else 1 if chance < 0.15 else 2,
            ))  # fmt: skip
    teams = tuple(Crew(mark=f"C{n}", people=(), skills=frozenset(), base=0, leaves=(480,) * days, home=(1020,) * days,
                       cleanings=1) for n in range(crews))  # fmt: skip
    return Job(stops=tuple(stops), crews=teams, days=days, roads=roads, disinfect=30, loss=0.05, hour_cost=0.01)
