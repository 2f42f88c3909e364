"""Small invented scenes for the tests of the outbreak engine."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.pressure import exponential_fall, near_apiaries
from ashcomb.outbreak.scene import FOREVER, Event, Look, Pool, Scene, Stay


def busy_scene(seed: int, colonies: int = 12, horizon: int = 300, open_dates: bool = True) -> Scene:
    """Three apiaries, stays that change, deaths, removals, events of all sorts, looks and tests, at random."""
    rng = np.random.default_rng(seed)
    known = Colonies.plain(colonies, 0.02)
    for a in (0, 1, 2, 6):
        known.touching[a, 0], known.touching[a + 3, 0] = a + 3, a  # of one apiary
    known.dead[1], known.gone[1] = 150.0, 260.0
    known.gone[2] = 200.0
    known.first[3] = 40.0
    stays = [Stay(j, j % 3, 0, FOREVER) for j in range(colonies - 2)]
    stays += [Stay(colonies - 2, 0, 0, 90), Stay(colonies - 2, 2, 90, FOREVER)]
    stays += [Stay(colonies - 1, 1, 0, 120), Stay(colonies - 1, 0, 120, 210), Stay(colonies - 1, 1, 210, FOREVER)]
    near = near_apiaries(np.array([[0.0, 0.0], [0.8, 0.0], [2.0, 0.0]]), 3.0, exponential_fall(1.0))
    events = [
        Event(6, 110.5, 110.5, 0.8, [(0, 0.3, None), (3, 0.3, 100.5), (4, 0.2, None)], [1, 5, 7], 0.05),
        Event(1, 130.5, 130.5, 0.5, [(5, 0.5, None), (8, 0.5, None)], [0, 6, 9]),
        Event(0, 170.5, 170.5, 1.0, [(6, 0.4, 160.5)], [4, 8], 0.02),
    ]
    if open_dates:
        events.append(Event(6, 140.0, 200.0, 0.7, [(0, 0.5, None), (7, 0.3, None)], [3, 10]))
    looks = [Look(j, float(rng.integers(60, 299)) + 0.75, 0.8, 0.02, False, 0.2 * (j % 2))
             for j in range(colonies) for _ in range(2)]  # fmt: skip
    looks += [Look(0, 280.75, 0.9, 0.01, True), Look(8, 285.75, 0.9, 0.02, True)]
    pools = [Pool(220.75, (4, 5, 6), False, 0.001, 0.9, 0.4), Pool(250.75, (9, 10), True, 0.05, 0.9, 0.4)]
    brood = np.concatenate([[0.0], np.cumsum((np.arange(1500) % 365 < 270) * 1.0)])
    return build_scene(horizon, known, Records(stays, near, events, looks, pools, brood))
