"""Practices judged on histories written by hand, and chains on random forests against a walk step by step."""

from __future__ import annotations

import numpy as np
import pytest
from tests.outbreak.histories import draws_of

from ashcomb.outbreak import hindsight
from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.pressure import near_apiaries
from ashcomb.outbreak.rates import rates
from ashcomb.outbreak.scene import BEFORE, FOREVER, PRESSURE, Event, Look, Stay

NEAR = near_apiaries(np.array([[0.0, 0.0], [1.0, 0.0]]), 5.0, np.ones_like)
CASES = np.array([3, 4])


def scene():
    """0, 1 at one apiary, 2, 3, 4 at another; 2 and 3 touch; 0 became a dead-out on day 150; 2 was found on day 250."""
    known = Colonies.plain(5)
    known.touching[2, 0], known.touching[3, 0] = 3, 2
    known.dead[0] = 150.0
    stays = [Stay(j, 0 if j < 2 else 1, 0, FOREVER) for j in range(5)]
    events = [Event(6, 120.0, 120.0, 1.0, [(0, 0.5, 90.0)], [2]), Event(1, 130.0, 130.0, 1.0, [(0, 0.5, None)], [1])]
    return build_scene(300, known, Records(stays, NEAR, events, [Look(2, 250.0, 0.8, 0.0, True)]))


# By supers from 0 to 2 on day 120, then to its neighbour 3 on day 230; 4 by robbing the dead-out 0 on day 160.
ONE = [
    (0, BEFORE, -2, 0.0, 50.0),
    (2, 0, 0, 120.0, 200.0),
    (3, PRESSURE, 2, 230.0, 280.0),
    (4, PRESSURE, 0, 160.0, 260.0),
]
# By a frame from 0 to 1 of the same apiary on day 130, and by robbing from 1 to 3 and from 3 to 4.
TWO = [
    (0, BEFORE, -2, 0.0, 50.0),
    (1, 1, 0, 130.0, 170.0),
    (3, PRESSURE, 1, 140.0, 220.0),
    (4, PRESSURE, 3, 200.0, 240.0),
]


@pytest.fixture(scope="module")
def links():
    return hindsight.links_of(scene(), draws_of([ONE, TWO], 400, rates().vector(), 2))


@pytest.mark.parametrize(("cut", "by_case"), [
    (hindsight.by_kinds(("wet supers", "dry supers"), only_between_places=True), (0.5, 0.0)),
    (hindsight.by_kinds(("brood frames",)), (0.5, 0.5)),
    (hindsight.by_kinds(("brood frames",), only_between_places=True), (0.0, 0.0)),
    (hindsight.standstill(119.0), (0.5, 0.0)),
    (hindsight.standstill(121.0), (0.0, 0.0)),
    (hindsight.closed_dead_outs(), (0.0, 0.5)),
    (hindsight.apart(4e-4, 1e-4), (0.5 * 0.75, 0.0)),
    (hindsight.sooner(30.0), (0.5 * 0.8, 0.0)),  # signs on day 220, a look of worth 0.8, the link of day 230
    (hindsight.sooner(15.0), (0.0, 0.0)),  # day 235 comes too late for the link
    (hindsight.sooner(60.0), (0.0, 0.0)),  # on day 190 there was nothing to see
])  # fmt: skip
def test_what_a_practice_would_have_cut(links, cut, by_case):
    """Each history holds half of the draws; the chances are read off the two stories above."""
    (found,) = hindsight.judged(links, {"practice": cut}, CASES)
    np.testing.assert_allclose(found.by_case, by_case, atol=1e-12)
    assert found.cut.mean == pytest.approx(sum(by_case))


def test_a_chain_is_cut_if_any_link_is():
    """Random forests: one minus the product of what is left, step by step from each row to its root."""
    rng = np.random.default_rng(1)
    for n in (1, 2, 7, 60, 400):
        up = np.array([-1 if k == 0 or rng.random() < 0.1 else int(rng.integers(k)) for k in range(n)])
        mixed = rng.permutation(n)
        place = np.argsort(mixed)
        up, cut = np.where(up[mixed] >= 0, place[up[mixed]], -1), rng.random(n) * rng.integers(0, 2, n)
        want = []
        for row in range(n):
            left, at = 1.0, row
            while at >= 0:
                left, at = left * (1 - cut[at]), int(up[at])
            want.append(1 - left)
        np.testing.assert_allclose(hindsight.cut_off(up, cut), want, atol=1e-12)
