"""Invented registers with an outbreak, of any size: most hives healthy, a few cases, looks, moves and lots.

28 apiaries of 43 hives on a plane with as many apiaries to the square kilometre as in Orrow Vale; two seasons. Each
apiary's supers are extracted twice a year in lots of three apiaries; hives move, brood frames and nuclei change places.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.observation import worth
from ashcomb.outbreak.pressure import exponential_fall, near_apiaries
from ashcomb.outbreak.rates import ROUTES, rates
from ashcomb.outbreak.scene import FOREVER, Event, Look, Scene, Stay
from ashcomb.outbreak.simulate import Simulator, looked_at
from ashcomb.sources.library import value

DAYS = 600
BACKGROUND = 4e-6  # a day, in the registers
HIVES_A_KM2 = 1200 / 640.0
SEASON = ((60, 210), (425, 575))  # days of the two seasons since day 0


def register(hives: int, apiaries: int, index: int, seed: int) -> tuple[Scene, list[int]]:
    """A scene with its known cases. index: apiaries in which the outbreak begins, two hives in each.

    The outbreak is drawn from the model itself; hives that a look calls a case are destroyed a few days later.
    """
    gen = np.random.default_rng(seed)
    home = np.sort(np.concatenate([np.arange(apiaries), gen.integers(0, apiaries, hives - apiaries)]))
    side = np.sqrt(hives / HIVES_A_KM2)
    near = near_apiaries(gen.uniform(0, side, (apiaries, 2)), value("outbreak.robbing_cutoff_km").value,
                         exponential_fall(value("disease.robbing_range_km").value))  # fmt: skip
    colonies = Colonies.plain(hives, value("outbreak.infected_before").value)
    pair = np.arange(0, hives - 1, 2)[home[0 : hives - 1 : 2] == home[1:hives:2]]
    colonies.touching[pair, 0], colonies.touching[pair + 1, 0] = pair + 1, pair
    stays, at = _stays(home, apiaries, gen)
    events = _lots(home, apiaries, gen) + _swaps(hives, gen)
    brood = np.concatenate([[0.0], np.cumsum((np.arange(DAYS + 5 * 366) % 365 < 240) * 1.0)])
    begun = gen.choice(apiaries, index, replace=False)
    opened = np.union1d(begun, gen.choice(apiaries, apiaries // 3, replace=False))
    looks = _looks(hives, np.isin(at, opened), gen)
    sick = np.concatenate([np.flatnonzero(home == a)[:2] for a in begun])
    truth = Colonies.plain(hives, 0.0)
    truth.touching[:] = colonies.touching
    truth.before[sick] = 1.0
    records = Records(stays, near, events, (), (), brood)
    told = rates(replaced={"background": (BACKGROUND, "the same registers, whatever value is delivered")})
    sim = Simulator(build_scene(DAYS, truth, records), told.vector())
    happened = sim.run(gen)
    seen = looked_at(happened, looks, build_scene(DAYS, truth, records).remission, gen)
    cases: dict[int, float] = {}
    kept = []
    for look in sorted(seen, key=lambda look: look.time):
        if look.colony not in cases:
            kept.append(look)
            if look.found:
                cases[look.colony] = look.time
                colonies.gone[look.colony] = look.time + 5.0
    return build_scene(DAYS, colonies, Records(stays, near, events, kept, (), brood)), sorted(cases)


def _stays(home, apiaries: int, gen) -> tuple[list[Stay], np.ndarray]:
    """One hive in forty moves to another apiary on some day."""
    stays, at = [], home.copy()
    for j, a in enumerate(home):
        if gen.random() < 1 / 40:
            day = int(gen.integers(60, 560))
            at[j] = gen.integers(0, apiaries)
            stays += [Stay(j, int(a), 0, day), Stay(j, int(at[j]), day, FOREVER)]
        else:
            stays.append(Stay(j, int(a), 0, FOREVER))
    return stays, at


def _lots(home, apiaries: int, gen) -> list[Event]:
    events = []
    members = np.split(np.arange(len(home)), np.cumsum(np.bincount(home, minlength=apiaries))[:-1])
    for first, last in SEASON:
        for _ in range(2):
            order = gen.permutation(apiaries)
            for k in range(0, apiaries, 3):
                hives = np.concatenate([members[a] for a in order[k : k + 3]])
                day = float(gen.integers(first + 40, last)) + 0.5
                gives = [(int(j), 1 / len(hives), day - 3.0) for j in hives]
                events.append(Event(ROUTES.index("wet supers"), day, day, 1.0, gives, hives.tolist()))
    return events


def _swaps(hives: int, gen) -> list[Event]:
    """Brood frames from one hive to another, one for forty hives and year; one in twenty of them on an open date."""
    events = []
    for first, last in SEASON:
        for n in range(hives // 40):
            a, b = (int(x) for x in gen.choice(hives, 2, replace=False))
            day = float(gen.integers(first, last - 61)) + 0.5
            wide = 61.0 if n % 20 == 0 else 0.0
            events.append(Event(ROUTES.index("brood frames"), day, day + wide, 1.0, [(a, 1.0, None)], [b]))
    return events


def _looks(hives: int, officer, gen) -> list[Look]:
    """The keeper's spring and autumn look at a few frames; the officer's, in the last two months, at whole apiaries."""
    false, few = value("outbreak.case_false").value, worth(8, 3, 0)
    found = []
    for first, last in ((75, 110), (190, 220), (440, 475)):
        found += [Look(j, float(gen.integers(first, last)) + 0.75, few, false, False) for j in range(hives)]
    for j in np.flatnonzero(officer):
        found.append(Look(int(j), float(gen.integers(545, 598)) + 0.75, worth(8, 8, 8), false, False))
    return found
