"""Tiny scenes whose every history can be written down, with several patterns of what was observed."""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.pressure import exponential_fall, near_apiaries
from ashcomb.outbreak.rates import Rates, rates
from ashcomb.outbreak.scene import FOREVER, Event, Floats, Look, Pool, Scene, Stay

COIN = np.array([20.0, 20.0, np.inf])  # signs after 20 days with even chance, else never
SPREAD = np.array([20.0, 40.0, 80.0])  # signs within 20 to 80 days, half of them by 40; in eighths: whole fives of days
NEAR = near_apiaries(np.array([[0.0, 0.0], [0.7, 0.0]]), 3.0, exponential_fall(1.0))
NONE = np.array([0.0, 28.0, 7.0, 21.0])
LOOKS = {
    "no looks": (),
    "one without signs": (Look(1, 95, 0.8, 0.01, False),),
    "a case at the end": (Look(3, 150, 0.9, 0.01, True), Look(2, 150, 0.9, 0.01, False)),
    "case, then nothing": (Look(1, 80, 0.9, 0.01, True), Look(1, 120, 0.9, 0.01, False), Look(0, 60, 0.5, 0.02, False)),
    "looks that err together": (
        Look(1, 65, 0.4, 0.02, False, 0.3), Look(1, 80, 0.5, 0.01, True, 0.3), Look(1, 95, 0.9, 0.01, False),
        Look(1, 120, 0.5, 0.01, False, 0.3), Look(2, 60, 0.5, 0.0, False, 0.5), Look(2, 130, 0.5, 0.0, False, 0.5),
    ),
}  # fmt: skip


def dated(
    looks: str,
    colonies: int = 4,
    pools: bool = False,
    open_days: float = 0.0,
    sampled: tuple[str, ...] = (),
    delays: Floats = COIN,
) -> tuple[Scene, Rates]:
    """Infection comes only by what was there before and by dated events, so the sum over histories is exact.

    open_days: within so many days of day 40 the first lot came, else on day 40.  sampled: names of sampled rates.
    delays: law of the days to signs, see `Scene.quantile`. Dates are whole fives of days: a sum over `SPREAD` is exact.
    """
    known = Colonies.plain(colonies, 0.1)
    known.before[0] = 0.3
    stays = [Stay(j, j % 2, 0, FOREVER) for j in range(colonies)]
    events = [
        Event(6, 40, 40 + open_days, 1.0, [(0, 0.7, None)], [1, 2], 0.05),
        Event(1, 70, 70, 1.5, [(1, 0.6, None), (2, 0.3, 50.0)], [3] if colonies > 3 else [0]),
        Event(6, 100, 100, 0.5, [(3, 1.0, None)] if colonies > 3 else [(2, 1.0, None)], [0]),
    ]
    tests = [Pool(110, (0, 2), True, 0.02, 0.9, 0.4)] if pools else []
    seen = [look for look in LOOKS[looks] if look.colony < colonies]
    scene = build_scene(200, known, Records(stays, NEAR, events, seen, tests, None, delays, NONE))
    off = dict.fromkeys(("background", "touching", "apiary", "robbing"), (0.0, "switched off"))
    return scene, rates(sampled, off)


def pressed(looks: str, colonies: int = 2, remission: float = 0.0) -> tuple[Scene, Rates]:
    """Infection comes by pressure at any time: background, one apiary or two near ones."""
    known = Colonies.plain(colonies, 0.0)
    known.touching[0, 0], known.touching[1 % colonies, 0] = (1, 0) if colonies > 1 else (-1, -1)
    stays = [Stay(j, j // 2, 0, FOREVER) for j in range(colonies)]
    seen = [look for look in LOOKS[looks] if look.colony < colonies]
    here = np.array([remission, 28.0, 7.0, 21.0])
    scene = build_scene(160, known, Records(stays, NEAR, (), seen, (), None, None, here))
    given = {"background": 2e-3, "touching": 1.2e-2, "apiary": 6e-3, "robbing": 6e-3}
    return scene, rates(replaced={name: (rate, "made stronger for the test") for name, rate in given.items()})
