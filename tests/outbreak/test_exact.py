"""The sampler against the sum over every history. Differences are judged in Monte Carlo standard errors."""

from __future__ import annotations

import numpy as np
import pytest
from verification.exact import exact
from verification.tiny import COIN, LOOKS, NEAR, NONE, SPREAD, dated, pressed

from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.chain import Chain, Plan
from ashcomb.outbreak.convergence import effective_size
from ashcomb.outbreak.layout import TURN, packed
from ashcomb.outbreak.posterior import Effort, sample
from ashcomb.outbreak.rates import rates
from ashcomb.outbreak.scene import FOREVER, Event, Look, Stay

EFFORT = Effort(ess=12_000, first=10_240, most=40_960, kept=20_000)


def drawn(scene, used, seed=5, effort=EFFORT):
    """Chance of each colony with its error, number of infected and its size, mean times with theirs."""
    found = sample(scene, used, seed, effort)
    draws, n = found.draws, len(scene.first)
    chains = int(draws.chain[-1]) + 1
    numbers = np.bincount(draws.draw, minlength=draws.count).reshape(chains, -1)
    share = np.bincount(numbers.ravel(), minlength=n + 1) / draws.count
    size = effective_size(numbers.astype(float))
    infected = np.bincount(draws.colony, minlength=n)
    mean = np.bincount(draws.colony, weights=draws.time, minlength=n) / np.maximum(infected, 1)
    plain = infected / draws.count
    assert np.all(np.abs(plain - found.chance) < 4.5 * np.sqrt(plain * (1 - plain) * 3 / size) + 1e-3)
    return found.chance, found.error, share, size, mean


def agree(scene, used, grid, delays, remissions=1, slack=0.0, bounds=None):
    chance, number, mean = exact(scene, used.vector(), grid, delays, remissions, bounds)
    got, error, share, size, times = drawn(scene, used)
    assert np.all(np.abs(got - chance) < 4.5 * error + slack + 1e-9), (got, chance, error)
    spread = np.sqrt(np.maximum(number * (1 - number), 1e-4) / size)
    assert np.all(np.abs(share - number) < 4.5 * spread + slack), (share, number)
    late = 60 / np.sqrt(np.maximum(size * chance, 1)) * 4.5 + 200 * slack
    assert np.all(np.abs(times - mean) < late), (times, mean)


@pytest.mark.parametrize("looks", list(LOOKS))
def test_four_colonies_with_dated_events(looks):
    agree(*dated(looks), None, 2)


def test_three_colonies_with_a_positive_pool():
    agree(*dated("one without signs", 3, pools=True), None, 2)


@pytest.mark.parametrize("looks", ["one without signs", "case, then nothing"])
def test_two_colonies_under_pressure(looks):
    agree(*pressed(looks), 10.0, 8, slack=0.006)


def test_one_colony_whose_signs_may_vanish():
    agree(*pressed("case, then nothing", 1, remission=0.33), 4.0, 24, 6, slack=0.006)


@pytest.mark.parametrize("looks", ["one without signs", "case, then nothing"])
def test_an_open_date(looks):
    """The first lot came on any day of sixty, straddling a gift of its receiver; summed over a grid of days."""
    agree(*dated(looks, 3, open_days=60.0), None, 2, slack=0.004)


@pytest.mark.parametrize("looks", ["no looks", "case, then nothing"])
def test_a_sampled_chance(looks):
    """The chance of a wet super lies anywhere in its range, flat."""
    agree(*dated(looks, 3, sampled=("wet supers",)), None, 2, slack=0.003, bounds={"wet supers": 12})


ALONE = {"births and deaths": (6, 0, 0), "beside infected ones": (1, 8, 0), "pairs": (1, 0, 8)}


@pytest.mark.parametrize("kind", list(ALONE))
def test_moves_of_rare_colonies_alone(kind):
    """A plan that visits no colony of itself, so these moves do all, with tickets far from the chances."""
    scene, used = dated("one without signs")
    chance, number, _ = exact(scene, used.vector(), None, 2)
    moves, local, pairs = ALONE[kind]
    tickets, none = np.array([1, 2, 3, 4]), np.zeros(0, dtype=np.int64)
    chains = []
    for seed in range(2):
        chain = Chain(scene, packed(scene), used, np.random.default_rng(seed))
        chain.follow(Plan(none, tickets, moves, 10**9, local, np.arange(3), pairs))
        chain.state.wholes("plan")[TURN] = 1
        chain.run(50_000, 1)
        chains.append(chain)
    got = sum(np.bincount(piece[0][:, 0], minlength=4) for chain in chains for piece in chain.pieces) / 100_000
    assert np.all(np.abs(got - chance) < 0.012), (got, chance)
    many = np.concatenate([np.diff(piece[2], prepend=0) for chain in chains for piece in chain.pieces])
    assert np.all(np.abs(np.bincount(many, minlength=5) / 100_000 - number) < 0.012)


@pytest.mark.parametrize("looks", list(LOOKS))
@pytest.mark.parametrize("often", [(), (3,), (0, 2)])
def test_branches(looks, often):
    """Branches that go and grow anew, a few births beside them; some colonies are visited often and held by them."""
    scene, used = dated(looks, pools=not often)
    chance, number, _ = exact(scene, used.vector(), None, 2)
    got, many = branched(scene, used, often)
    assert np.all(np.abs(got - chance) < 0.016), (got, chance)
    assert np.all(np.abs(many - number) < 0.016), (many, number)


@pytest.mark.parametrize("often", [(), (0,)])
def test_branches_under_pressure(often):
    """The sum is over a grid of days, so it is a little off itself."""
    scene, used = pressed("one without signs")
    chance, number, _ = exact(scene, used.vector(), 5.0, 8)
    got, many = branched(scene, used, often)
    assert np.all(np.abs(got - chance) < 0.012), (got, chance)
    assert np.all(np.abs(many - number) < 0.014), (many, number)


def test_a_branch_and_the_stem_give_to_the_same():
    """A colony elsewhere has gifts of both: of each alone, one after the other, and of both in one event."""
    known = Colonies.plain(4, 0.4)
    stays = [Stay(j, j % 2, 0, FOREVER) for j in range(4)]
    events = [
        Event(1, 40, 40, 2.0, [(0, 1.0, None)], [3]),
        Event(1, 70, 70, 2.0, [(0, 0.5, None), (1, 0.5, None)], [3]),
        Event(1, 110, 110, 3.0, [(1, 1.0, None)], [3]),
        Event(1, 140, 140, 2.0, [(3, 1.0, None)], [2]),
    ]
    looks = [Look(2, 190, 0.9, 0.01, True)]
    scene = build_scene(200, known, Records(stays, NEAR, events, looks, [], None, COIN, NONE))
    off = dict.fromkeys(("background", "touching", "apiary", "robbing"), (0.0, "switched off"))
    used = rates((), off)
    chance, number, _ = exact(scene, used.vector(), None, 2)
    got, many = branched(scene, used, (), moves=0)
    assert np.all(np.abs(got - chance) < 0.01), (got, chance)
    assert np.all(np.abs(many - number) < 0.01), (many, number)


@pytest.mark.parametrize("looks", list(LOOKS))
@pytest.mark.parametrize("colonies", [3, 4])
@pytest.mark.parametrize("side", ["giver", "receiver"])
def test_one_side_that_comes_and_goes(looks, colonies, side):
    """A giver or receiver appears or goes while the other is infected anew; a birth or death a sweep beside that."""
    scene, used = dated(looks, colonies)
    chance, number, _ = exact(scene, used.vector(), None, 2)
    got, many, _ = planned(scene, used, one_side(scene, side))
    assert np.all(np.abs(got - chance) < 0.014), (got, chance)
    assert np.all(np.abs(many - number) < 0.014), (many, number)


@pytest.mark.parametrize("side", ["giver", "receiver"])
def test_one_side_while_the_signs_of_the_other_stay(side):
    """Signs come within a span of days, so that those of one infection may be those of another, of another day."""
    scene, used = dated("case, then nothing", 3, delays=SPREAD)
    chance, number, mean = exact(scene, used.vector(), None, 8)
    got, many, times = planned(scene, used, one_side(scene, side, 32))
    assert np.all(np.abs(got - chance) < 0.014), (got, chance)
    assert np.all(np.abs(many - number) < 0.014), (many, number)
    assert abs(times[1] - mean[1]) < 0.5, (times, mean)  # the case


KINDS = [*((dated, looks, None, 2) for looks in LOOKS), (pressed, "case, then nothing", 5.0, 8)]


@pytest.mark.parametrize("often", [[0], [1], [0, 1]])
@pytest.mark.parametrize(("scene_of", "looks", "grid", "delays"), KINDS)
def test_a_known_one_comes_and_goes_with_the_branch_of_its_apiary(scene_of, looks, grid, delays, often):
    """Mostly by that move; the others by one birth or death a sweep beside it."""
    scene, used = scene_of(looks)
    chance, number, _ = exact(scene, used.vector(), grid, delays)
    n = len(scene.first)
    tickets = np.where(np.isin(np.arange(n), often), 0, np.arange(1, n + 1))
    got, many, _ = planned(scene, used, Plan(np.array(often), tickets, 1, 10**9, doubts=np.repeat(often, 4)))
    assert np.all(np.abs(got - chance) < 0.014), (got, chance)
    assert np.all(np.abs(many - number) < 0.014), (many, number)


def one_side(scene, side, anew=8):
    """A plan of such moves for every giver and receiver, and of one birth or death a sweep."""
    pairs = [(i, j, e) if side == "giver" else (j, i, -1)
             for e in range(3) for i in gives(scene, e) for j in takes(scene, e)]  # fmt: skip
    none, tickets = np.zeros(0, dtype=np.int64), np.arange(1, len(scene.first) + 1)
    return Plan(none, tickets, 1, 10**9, duos=np.array(pairs), anew=anew)


def gives(scene, e):
    return scene.give[scene.give_ptr[e] : scene.give_ptr[e + 1]].tolist()


def takes(scene, e):
    return scene.take[scene.take_ptr[e] : scene.take_ptr[e + 1]].tolist()


def branched(scene, used, often, moves=2):
    """Chance of each colony and of each number of infected. Apiaries grow anew in part, or whole (their number + 2)."""
    tickets = np.array([0 if j in often else 1 + j for j in range(len(scene.first))])
    often = np.array(often, dtype=np.int64)
    return planned(scene, used, Plan(often, tickets, moves, 10**9, yards=np.array([0, 3, 1, 2]), branches=3, each=2))[
        :2
    ]


def planned(scene, used, plan):
    """The same, and mean times of infection, by the moves of a plan, without visits to all."""
    n = len(scene.first)
    got, times, many = np.zeros(n), np.zeros(n), np.zeros(n + 1)
    for seed in range(2):
        chain = Chain(scene, packed(scene), used, np.random.default_rng(seed))
        chain.follow(plan)
        chain.state.wholes("plan")[TURN] = 2  # no visit of all
        chain.run(40_000, 1)
        for whole, part, ends, *_ in chain.pieces:
            got += np.bincount(whole[:, 0], minlength=n)
            times += np.bincount(whole[:, 0], weights=part[:, 0], minlength=n)
            many += np.bincount(np.diff(ends, prepend=0), minlength=n + 1)
    return got / many.sum(), many / many.sum(), times / np.maximum(got, 1)


def test_one_worker_or_two_draw_the_same():
    scene, used = pressed("case, then nothing")
    effort = Effort(first=512, most=512)
    one, two = sample(scene, used, 9, effort, workers=1), sample(scene, used, 9, effort, workers=2)
    for name in ("draw", "colony", "source", "infector", "time", "onset", "turn", "length", "rates", "dates", "chain"):
        np.testing.assert_array_equal(getattr(one.draws, name), getattr(two.draws, name))
    np.testing.assert_array_equal(one.chance, two.chance)
    np.testing.assert_array_equal(one.error, two.error)
    assert (one.quality.ess, one.quality.rhat, one.stopped) == (two.quality.ess, two.quality.rhat, two.stopped)


def test_a_wrong_rate_is_noticed():
    scene, used = dated("a case at the end")
    wrong = scene._replace(before=np.array([0.27, 0.1, 0.1, 0.1]))
    chance, _, _ = exact(wrong, used.vector(), None, 2)
    got, error, *_ = drawn(scene, used)
    assert np.any(np.abs(got - chance) > 4.5 * error)
