"""Forecasts of small situations whose answer is a formula: exponential escape, days that add up, moves that return."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from tests.outbreak.histories import draws_of

from ashcomb.outbreak.ahead import Measures, ahead, visits
from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.forecast import forecast, states
from ashcomb.outbreak.pressure import near_apiaries
from ashcomb.outbreak.rates import rates
from ashcomb.outbreak.scene import BEFORE, FOREVER, Event, Stay

NOW, RUNS = 400, 4000
ALONE = near_apiaries(np.array([[0.0, 0.0], [50.0, 0.0], [100.0, 0.0]]), 5.0, np.ones_like)
ON_SIGHT = np.array([20.0, 20.0])  # signs after 20 days
GIVEN = {"background": 1e-3, "touching": 0.0, "apiary": 4e-3, "robbing": 0.0, "latent": 1.0, "wet supers": 0.4,
         "brood frames": 0.9}  # fmt: skip
THETA = rates(replaced={name: (rate, "test") for name, rate in GIVEN.items()}).vector()
NOBODY = np.zeros(0, dtype=np.int64)
NO_LOOKS = Measures("nothing", NOBODY, rounds=0)


def scene(homes, events=(), no_remission=True):
    """Colonies that stand at these places since day 0."""
    n = len(homes)
    stays = [Stay(j, home, 0, FOREVER) for j, home in enumerate(homes)]
    law = np.array([0.0 if no_remission else 0.33, 28.0, 7.0, 21.0])
    return build_scene(NOW, Colonies.plain(n), Records(stays, ALONE, events, (), (), None, ON_SIGHT, law))


def sick(*colonies, onset=390.0):
    return [(j, BEFORE, -2, 0.0, onset) for j in colonies]


def ask(where, histories, plans, cases=NOBODY, days=300, seed=1, **more):
    found = draws_of(histories, RUNS, THETA)
    return forecast(where, found, plans, cases, days, np.random.default_rng(seed), most=RUNS, **more)


def near(figure, want):
    assert abs(figure.mean - want) < 4.5 * max(figure.error, 1e-9), (figure, want)


@pytest.mark.parametrize("wait", [0.0, 7.0, 60.0])
def test_a_case_presses_until_it_is_killed(wait):
    """Chance that the other hive escapes: exp(-rate × days until the kill). Background is off: nothing else infects."""
    plan = replace(NO_LOOKS, wait=wait, removal=30.0)
    (told,) = ask(scene([0, 0]), [sick(0)], [plan], np.array([0]))
    near(told.new, 1 - np.exp(-4e-3 * (wait + 30.0)))
    near(told.free, np.exp(-4e-3 * (wait + 30.0)))
    assert told.lost.mean == 1.0
    assert told.found.mean == 0.0
    assert min(told.runs[:, 3]) == wait + 30.0


def test_hidden_hives_count_until_a_look_finds_them():
    """Two apiaries out of reach, a hive with signs in each, an apiary a day, sure looks: freedom on day 1 + 3."""
    where, plan = scene([0, 1]), Measures("looks", np.array([1, 0]), pace=1.0, notice=1.0, removal=3.0)
    (told,) = ask(where, [sick(0, 1)], [plan])
    assert (told.found.mean, told.lost.mean, told.days) == (2.0, 2.0, (4.0, 4.0, 4.0))
    (later,) = ask(where, [sick(0, 1)], [replace(plan, wait=7.0)])
    assert later.days == (11.0, 11.0, 11.0)
    (half,) = ask(where, [sick(0)], [replace(plan, notice=0.5, rounds=3, every=50.0)])
    near(half.free, 1 - 0.5**3)
    share = [np.mean(half.runs[:, 3] == day) for day in (1 + 3, 51 + 3, 101 + 3)]
    np.testing.assert_allclose(share, [0.5, 0.25, 0.125], atol=4.5 * 0.5 / np.sqrt(RUNS))


def test_the_order_of_visits_counts():
    where, plan = scene([0, 1]), Measures("near", np.array([0, 1]), pace=0.1, notice=1.0, removal=0.0)
    first, second = ask(where, [sick(1)], [plan, replace(plan, name="far", order=np.array([1, 0]))])
    assert (first.days[0], second.days[0]) == (10.0, 0.0)


def test_a_whole_apiary_goes_with_its_case():
    homes = [0, 0, 0, 1, 1]
    plan = Measures("case", np.array([0, 1]), notice=1.0, removal=0.0)
    one, all_of = ask(scene(homes), [sick(0, 3)], [plan, replace(plan, whole=True)], np.array([0]))
    assert (one.lost.mean, all_of.lost.mean) == (2.0, 5.0)
    assert all_of.more_lost.mean == 3.0
    assert all_of.days[2] == 0.0


SUPERS = Event(6, 300.0, 300.0, 1.0, [(0, 0.5, None)], [1, 2])
MIXED = Event(6, 300.0, 300.0, 1.0, [(0, 0.5, 290.0), (1, 0.5, None)], [1, 2])
FRAMES = Event(1, 300.0, 300.0, 1.0, [(0, 0.5, None)], [1])


@pytest.mark.parametrize(("event", "change", "want"), [
    (SUPERS, {}, 2 * 0.4 * 0.5),
    (SUPERS, {"standstill": 264.0}, 2 * 0.4 * 0.5),
    (SUPERS, {"standstill": 266.0}, 0.4 * 0.5),  # hive 2 stands beside the sick one
    (SUPERS, {"supers_kept": True}, 0.4 * 0.5),
    (MIXED, {}, 2 * 0.4 * 0.5),
    (MIXED, {"supers_kept": True}, 0.4),  # what hive 2 gets now comes from the sick hive alone
    (SUPERS, {"frames_kept": True}, 2 * 0.4 * 0.5),
    (FRAMES, {}, 0.45),
    (FRAMES, {"supers_kept": True}, 0.45),
    (FRAMES, {"frames_kept": True}, 0.0),
    (FRAMES, {"standstill": 266.0}, 0.0),
])  # fmt: skip
def test_what_moved_last_year_moves_again_unless_the_plan_forbids_it(event, change, want):
    """365 days after day 300 is 265 days ahead: chance of each receiver = contaminated share × chance of the route.

    Hive 2 stands beside the sick hive, hive 1 elsewhere.
    """
    where = scene([0, 1, 0], [event])
    off = THETA.copy()
    off[2] = 0.0
    found = draws_of([sick(0)], RUNS, off)
    (told,) = forecast(where, found, [replace(NO_LOOKS, **change)], NOBODY, 270, np.random.default_rng(2), RUNS)
    near(told.new, want)


def test_differences_between_plans_are_better_known_than_plans():
    """Common luck: the difference that a week of waiting makes, against two forecasts with other seeds.

    By the spread of all runs: errors from twenty batches are themselves known to a sixth only.
    """
    homes = [0] * 10 + [1] * 5
    plan = Measures("now", np.array([0, 1]), notice=0.8, rounds=3, every=60.0)
    both = ask(scene(homes, [SUPERS], no_remission=False), [sick(0, onset=420.0)], [plan, replace(plan, wait=7.0)])
    alone = both[0].runs[:, 1].std() * np.sqrt(2)
    assert (both[1].runs[:, 1] - both[0].runs[:, 1]).std() < 0.5 * alone
    assert both[1].more_new.mean == pytest.approx(both[1].new.mean - both[0].new.mean)


def test_the_same_figures_on_one_or_two_workers():
    plan = Measures("now", np.array([0]), notice=0.8)
    plans = [plan, replace(plan, whole=True), replace(plan, wait=7.0)]
    one, two = (ask(scene([0, 0, 0, 1]), [sick(0)], plans, workers=w) for w in (1, 2))
    for a, b in zip(one, two, strict=True):
        np.testing.assert_array_equal(a.runs, b.runs)


def test_what_a_colony_is_at_the_beginning_is_what_the_draw_says():
    histories = [sick(0), sick(0, 1), sick(1)]
    after, used = states(draws_of(histories, 30, THETA), 30)
    assert used[:, 0].max() == 0.0
    for d in range(30):
        rows = slice(after.ptr[d], after.ptr[d + 1])
        assert after.colony[rows].tolist() == [row[0] for row in histories[d % 3]]


def test_looks_after_the_end_or_without_brood_are_left_out_and_the_scene_ahead_is_sound():
    plan = Measures("looks", np.array([0, 1]), pace=1.0, rounds=4, every=100.0, wait=5.0)
    times, places, _ = visits(plan, scene([0, 1]), 300)
    assert times.tolist() == [405.0, 406.0, 505.0, 506.0, 605.0, 606.0]
    assert places.tolist() == [0, 1, 0, 1, 0, 1]
    winter = scene([0, 1])._replace(brood=np.cumsum(np.arange(2000) % 1000 < 506) * 1.0)
    assert visits(plan, winter, 300)[0].tolist() == [405.0, 406.0]  # brood until day 505, then not until day 999
    made, killed = ahead(scene([0, 0, 1], [SUPERS]), 300, replace(plan, whole=True), np.array([1]))
    assert (made.horizon, killed, made.end[:2].tolist(), made.infectable[2]) == (700.0, 2, [408.0, 408.0], 700.0)
