"""Invented jobs for the order of visits: apiaries scattered over a square, some of them suspect."""

from __future__ import annotations

import numpy as np

from ashcomb.plans.visit_job import Crew, Job, Stop


def job(
    apiaries: int, crews: int, days: int, seed: int, hives: tuple[int, int] = (5, 30), minutes: int = 8,
    extent_km: float = 40.0, hours: int = 9, windows: bool = False, cleanings: int = 1,
) -> Job:  # fmt: skip
    """Apiaries of so many hives at 8 minutes each, 45 km/h on roads 1.3 times as long as the straight line."""
    rng = np.random.default_rng(seed)
    spots = np.r_[[[extent_km / 2, extent_km / 2]], rng.random((apiaries, 2)) * extent_km]
    roads = np.rint(np.hypot(*(spots[:, None] - spots[None]).transpose(2, 0, 1)) * 1.3 / 45 * 60).astype(int)
    stops = []
    for apiary in range(apiaries):
        count = int(rng.integers(*hives))
        chance = float(rng.beta(0.3, 3)) if rng.random() < 0.4 else 0.003
        opens = int(rng.integers(420, 780)) if windows else 420
        open_ = tuple(((opens, min(opens + 300, 1140)),) if windows else ((420, 1140),) for _ in range(days))
        stops.append(Stop(
            mark=f"Y{apiary}", apiary=f"Y{apiary}", hives=(), place=apiary + 1, minutes=10 + count * minutes,
            value=count * chance / 2, risk=0 if chance < 0.01 else 1 if chance < 0.15 else 2, part=0, windows=open_,
        ))  # fmt: skip
    teams = tuple(
        Crew(mark=f"C{n}", people=(), skills=frozenset(), base=0, leaves=(480,) * days, home=(480 + 60 * hours,) * days,
             cleanings=cleanings) for n in range(crews)
    )  # fmt: skip
    return Job(stops=tuple(stops), crews=teams, days=days, roads=roads, disinfect=30, loss=0.05, hour_cost=0.01)
