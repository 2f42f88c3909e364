"""Laws that hold whatever the numbers are: time order, names, lots, and what has nothing to do with an outbreak."""

from __future__ import annotations

import numpy as np
import pytest
from tests.outbreak.test_likelihood_twin import TRIED, history, run
from verification.twin_likelihood import History, log_likelihood

from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.posterior import Effort, sample
from ashcomb.outbreak.pressure import exponential_fall, near_apiaries
from ashcomb.outbreak.rates import rates
from ashcomb.outbreak.scene import FOREVER, Event, Look, Pool, Stay

NEAR = ((0.0, 0.0), (0.8, 0.0), (2.0, 0.0))
USED = rates(replaced=TRIED)
EFFORT = Effort(ess=2000, first=2048, most=8192, kept=8000)


class World:
    """A scene as lists, so that it can be told in another way before it is built."""

    def __init__(self, seed: int, colonies: int = 9) -> None:
        rng = np.random.default_rng(seed)
        self.n, self.horizon, self.at = colonies, 260, [list(xy) for xy in NEAR]
        self.known = Colonies.plain(colonies, 0.03)
        self.known.touching[0, 0], self.known.touching[1, 0] = 1, 0
        self.known.gone[4] = 180.0
        self.stays = [Stay(j, int(rng.integers(0, 3)) if j > 1 else 0, 0, FOREVER) for j in range(colonies)]
        self.events = [Event(6, 110.5, 110.5, 0.8, [(0, 0.3, None), (3, 0.3, 100.5)], [1, 5, 7], 0.05),
                       Event(1, 130.5, 130.5, 1.0, [(5, 0.5, None), (8, 0.5, None)], [0, 6])]  # fmt: skip
        self.looks = [Look(j, float(rng.integers(90, 250)) + 0.75, 0.8, 0.02, False) for j in range(colonies)]
        self.looks.append(Look(1, 240.75, 0.9, 0.01, True))
        self.pools = [Pool(220.75, (2, 3), False, 0.001, 0.9, 0.4)]
        self.brood = np.concatenate([[0.0], np.cumsum((np.arange(2000) % 365 < 270) * 1.0)])

    def scene(self):
        near = near_apiaries(np.array(self.at), 3.0, exponential_fall(1.0))
        records = Records(self.stays, near, self.events, self.looks, self.pools, self.brood)
        return build_scene(self.horizon, self.known, records)

    def later(self, days: int) -> World:
        """The same, told from a day 0 that lies so many days earlier."""
        self.horizon += days
        self.known.first += days
        for name in ("gone", "dead"):
            dates = getattr(self.known, name)
            dates[dates < FOREVER] += days
        self.stays = [s._replace(first=s.first + days, last=s.last + days) for s in self.stays]
        self.events = [_moved(event, days) for event in self.events]
        self.looks = [look._replace(time=look.time + days) for look in self.looks]
        self.pools = [pool._replace(time=pool.time + days) for pool in self.pools]
        self.brood = np.concatenate([np.zeros(days), self.brood])
        return self

    def renamed(self, to, places) -> World:
        """Colony j becomes number to[j], apiary a number places[a]."""
        back = np.argsort(to)
        touching = np.where(self.known.touching < 0, -1, np.asarray(to)[self.known.touching])
        kept = (getattr(self.known, name)[back] for name in ("first", "gone", "dead", "before"))
        self.known = Colonies(*kept, touching[back])
        self.stays = [s._replace(colony=to[s.colony], place=places[s.place]) for s in self.stays]
        self.at = [self.at[a] for a in np.argsort(places)]
        self.events = [e._replace(gives=[(to[j], share, at) for j, share, at in e.gives],
                                  takes=[to[j] for j in e.takes]) for e in self.events]  # fmt: skip
        self.looks = [look._replace(colony=to[look.colony]) for look in self.looks]
        self.pools = [pool._replace(colonies=[to[j] for j in pool.colonies]) for pool in self.pools]
        return self

    def split(self, parts: int) -> World:
        """The first lot told as so many lots on the same day, each with the same givers and a part of the objects."""
        lot = self.events[0]
        self.events = [lot._replace(objects=lot.objects / parts)] * parts + self.events[1:]
        return self

    def with_a_far_apiary(self, hives: int) -> World:
        """More hives where nothing reaches, without looks."""
        self.at.append([500.0, 500.0])
        more = Colonies.plain(hives, 0.0)
        self.known = Colonies(*(np.concatenate([getattr(self.known, name), getattr(more, name)])
                                for name in ("first", "gone", "dead", "before", "touching")))  # fmt: skip
        self.stays += [Stay(self.n + k, len(self.at) - 1, 0, FOREVER) for k in range(hives)]
        return self


def _moved(event: Event, days: int) -> Event:
    gives = [(j, share, None if at is None else at + days) for j, share, at in event.gives]
    return event._replace(earliest=event.earliest + days, latest=event.latest + days, gives=gives)


def some_history(seed: int):
    scene = World(seed).scene()
    _, state, theta = run(scene, seed, 15)
    return scene, history(state), theta


def permuted(h: History, to, change=lambda source: source) -> History:
    back = [int(k) for k in np.argsort(to)]
    fields = [[getattr(h, name)[k] for k in back] for name in ("time", "onset", "turn", "length")]
    return History(*fields, [change(h.source[k]) for k in back], h.when)


@pytest.mark.parametrize("seed", range(4))
def test_another_day_0_changes_no_likelihood(seed):
    scene, h, theta = some_history(seed)
    days = 100
    there = World(seed).later(days).scene()
    moved = History([t + days for t in h.time], [t + days for t in h.onset], h.turn, h.length, h.source,
                    [t + days for t in h.when])  # fmt: skip
    assert log_likelihood(there, theta, moved) == pytest.approx(log_likelihood(scene, theta, h), abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_other_numbers_of_colonies_and_apiaries_change_no_likelihood(seed):
    scene, h, theta = some_history(seed)
    to = [int(k) for k in np.random.default_rng(seed).permutation(9)]
    there = World(seed).renamed(to, [2, 0, 1]).scene()
    assert log_likelihood(there, theta, permuted(h, to)) == pytest.approx(log_likelihood(scene, theta, h), abs=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_a_far_apiary_changes_a_likelihood_by_its_own_hives_alone(seed):
    scene, h, theta = some_history(seed)
    there = World(seed).with_a_far_apiary(3).scene()
    more = History(h.time + [np.inf] * 3, h.onset + [np.inf] * 3, h.turn + [1.0] * 3, h.length + [0.0] * 3,
                   h.source + [-3] * 3, h.when)  # fmt: skip
    free = -theta[0] * scene.horizon * 3
    assert log_likelihood(there, theta, more) == pytest.approx(log_likelihood(scene, theta, h) + free, abs=1e-9)


def test_a_split_lot_spares_as_before_and_infects_as_before():
    """A receiver of the lot is spared by all parts with the same chance, so those infected by any part have it too."""
    scene, h, theta = some_history(1)
    there = World(1).split(3).scene()
    free = History(list(h.time), list(h.onset), list(h.turn), list(h.length), list(h.source), list(h.when))
    for j, source in enumerate(free.source):
        if source >= 0:
            free.source[j], free.time[j], free.onset[j] = -3, np.inf, np.inf
    parts = History(free.time, free.onset, free.turn, free.length, free.source, [h.when[0]] * 3 + h.when[1:])
    assert log_likelihood(there, theta, parts) == pytest.approx(log_likelihood(scene, theta, free), abs=1e-9)


def chances(scene, seed):
    found = sample(scene, USED, seed, EFFORT)
    return found.chance, found.error


def close(a, b):
    (p, e), (q, f) = a, b
    assert np.all(np.abs(p - q) < 4.5 * np.sqrt(e**2 + f**2) + 1e-9), (p, q, e, f)


TO = [3, 1, 4, 0, 5, 8, 2, 6, 7]
TOLD = {
    "another day 0": (lambda: World(2).later(100), lambda p: p),
    "other numbers": (lambda: World(2).renamed(TO, [2, 0, 1]), lambda p: p[TO]),
    "a lot in three parts": (lambda: World(2).split(3), lambda p: p),
    "a far apiary": (lambda: World(2).with_a_far_apiary(30), lambda p: p[:9]),
}


@pytest.fixture(scope="module")
def base():
    return chances(World(2).scene(), 3)


@pytest.mark.parametrize("name", list(TOLD))
def test_told_in_another_way_the_chances_are_the_same(base, name):
    told, back = TOLD[name]
    p, e = chances(told().scene(), 4)
    close(base, (back(p), back(e)))


def test_another_look_is_noticed(base):
    world = World(2)
    world.looks.append(Look(7, 250.75, 0.9, 0.01, True))
    p, e = chances(world.scene(), 4)
    assert p[7] > base[0][7] + 10 * np.hypot(e[7], base[1][7])


def test_nothing_that_comes_later_changes_what_was_certain_to_be_free():
    """Time order: a hive that left before the lot came, and was never near a sick one, stays as its beginning."""
    world = World(3)
    world.known.before[:] = 0.0
    world.known.before[0] = 0.5
    world.known.gone[6] = 100.0
    world.stays = [Stay(j, 2 if j == 6 else 0, 0, FOREVER) for j in range(9)]
    world.at = [[0.0, 0.0], [0.8, 0.0], [50.0, 0.0]]
    found = sample(world.scene(), rates(replaced=TRIED | {"background": (0.0, "test")}), 1, EFFORT)
    assert found.chance[6] < 1e-9
    assert found.chance[1] > 0.8
