"""Summaries of draws against the sum over every history, and against refits without the record."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from verification.exact import cells, exact
from verification.tiny import COIN, NEAR, NONE, dated
from verification.twin_likelihood import History, log_likelihood

from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.convergence import effective_size
from ashcomb.outbreak.leave_out import without
from ashcomb.outbreak.posterior import Draws, Effort, sample
from ashcomb.outbreak.rates import rates
from ashcomb.outbreak.scene import FOREVER, NO, Event, Look, Pool, Stay
from ashcomb.outbreak.summaries import (
    colony_chances,
    hidden_cases,
    last_place,
    links,
    parents,
    rows_of,
    sources_of,
    tells,
)

EFFORT = Effort(ess=8_000, first=8_000, most=32_000, kept=10_000)
CASES = np.array([3])
OFF = rates(replaced=dict.fromkeys(("background", "touching", "apiary", "robbing"), (0.0, "switched off")))


@pytest.fixture(scope="module")
def drawn():
    scene, used = dated("a case at the end")
    return scene, used, sample(scene, used, 3, EFFORT)


def histories(scene, theta):
    """Every history of the dated scene with its chance; the list of cells, one for each colony."""
    options = [cells(scene, j, None, 2) for j in range(len(scene.first))]
    found, logs = [], []
    for chosen in product(*options):
        source, time, onset, turn, length, measure = map(list, zip(*chosen, strict=True))
        h = History(time, onset, turn, length, source, [float(t) for t in scene.event_from])
        logs.append(log_likelihood(scene, theta, h) + sum(measure))
        found.append(h)
    weight = np.exp(np.array(logs) - max(logs))
    return found, weight / weight.sum()


def test_chances_and_their_error_against_the_sum_over_histories(drawn):
    scene, used, found = drawn
    every, weight = histories(scene, used.vector())
    got = colony_chances(scene, found, CASES)
    infected = weight @ np.array([[s != NO for s in h.source] for h in every])
    signs = weight @ np.array([[o <= scene.horizon for o in h.onset] for h in every])
    assert np.all(np.abs(got.infected - infected) < 4.5 * got.error + 1e-3)
    assert np.all(np.abs(got.signs - signs) < 4.5 * np.sqrt(signs / 4000) + 1e-3)
    assert np.all((got.low <= got.infected) & (got.infected <= got.high))
    assert np.all(got.signs <= got.infected)


def test_hidden_cases_of_a_group_against_the_sum_over_histories(drawn):
    scene, used, found = drawn
    every, weight = histories(scene, used.vector())
    place = last_place(scene)
    assert place.tolist() == [0, 1, 0, 1]
    got = hidden_cases(scene, found.draws, CASES, place, 2)
    for g in (0, 1):
        members = [j for j in range(4) if j % 2 == g and j not in CASES]
        number = np.array([sum(h.source[j] != NO for j in members) for h in every])
        assert abs(got.mean[g] - weight @ number) < 4.5 * got.error[g] + 1e-3
        assert abs(got.none[g] - weight @ (number == 0)) < 0.02
        reach = np.cumsum(np.bincount(number, weights=weight, minlength=3))
        assert got.low[g] == np.argmax(reach >= 0.025)
        assert got.high[g] == np.argmax(reach >= 0.975)


def test_sources_of_a_case_against_the_sum_over_histories(drawn):
    scene, used, found = drawn
    every, weight = histories(scene, used.vector())
    got = {s.source: s for s in sources_of(scene, found.draws, rows_of(found.draws, 3))}
    ill = np.array([h.source[3] != NO for h in every])
    for kind in {h.source[3] for h in every} - {NO}:
        share = weight @ np.array([h.source[3] == kind for h in every]) / (weight @ ill)
        assert abs(got[kind].share - share) < 4.5 * got[kind].error + 1e-3


def plain_draws(rows, draws=2):
    """Draws from (draw, colony, infector, time) by hand."""
    d, c, i, t = (np.array(x) for x in zip(*rows, strict=True))
    zero = np.zeros(len(d))
    return Draws(d, c, np.full(len(d), -1), i, t.astype(float), zero, zero + 1, zero, np.zeros((draws, 19)),
                 np.zeros((draws, 0)), np.arange(draws))  # fmt: skip


def test_a_link_lies_strictly_between_two_cases():
    # 0: case 0 -> 1 -> case 2; 4 is a side branch.  1: 1 infects both cases; 3 infects 1.
    made = plain_draws([(0, 0, -1, 1), (0, 1, 0, 2), (0, 2, 1, 3), (0, 4, 1, 4),
                        (1, 3, -1, 0), (1, 1, 3, 1), (1, 0, 1, 2), (1, 2, 1, 3)])  # fmt: skip
    assert parents(made).tolist() == [-1, 0, 1, 1, -1, 4, 5, 5]
    found = links(made, np.array([0, 2]))
    assert [(int(made.draw[r]), int(made.colony[r])) for r in found] == [(0, 1), (1, 1)]


def test_a_case_in_the_middle_is_a_link_too():
    made = plain_draws([(0, 0, -1, 1), (0, 2, 0, 2), (0, 5, 2, 3)], 1)
    assert [int(made.colony[r]) for r in links(made, np.array([0, 2, 5]))] == [2]


def scene_of(events, looks, pools=()):
    known = Colonies.plain(3, 0.2)
    stays = [Stay(j, j % 2, 0, FOREVER) for j in range(3)]
    return build_scene(200, known, Records(stays, NEAR, events, looks, pools, None, COIN, NONE))


EVENTS = (Event(6, 40, 40, 1.0, [(0, 0.7, None)], [1, 2], 0.05), Event(6, 70, 70, 1.0, [(1, 0.5, None)], [2], 0.02))
LOOKS = (Look(0, 90, 0.6, 0.05, False), Look(1, 120, 0.7, 0.05, True), Look(2, 130, 0.5, 0.02, False))
POOLS = (Pool(100, (0, 2), False, 0.02, 0.8, 0.4), Pool(110, (1, 2), True, 0.05, 0.8, 0.4))


def drawn_size(draws, j):
    """Independent draws that tell as much of colony j."""
    sick = np.zeros(draws.count)
    sick[draws.draw[rows_of(draws, j)]] = 1.0
    return effective_size(sick.reshape(int(draws.chain[-1]) + 1, -1))


@pytest.mark.parametrize(("kind", "number"), [("look", 0), ("look", 1), ("look", 2), ("pool", 0), ("pool", 1),
                                              ("event", 0), ("event", 1)])  # fmt: skip
def test_leaving_a_record_out_equals_a_refit_without_it(kind, number):
    scene = scene_of(EVENTS, LOOKS, POOLS)
    found = sample(scene, OFF, 11, EFFORT)
    parts = {"event": list(EVENTS), "look": list(LOOKS), "pool": list(POOLS)}
    del parts[kind][number]
    chance, _, _ = exact(scene_of(parts["event"], parts["look"], parts["pool"]), OFF.vector(), None, 2)
    weighed = without(scene, found.draws, kind, number)
    assert weighed.share > 0.1
    got = [weighed.chance(found.draws, rows_of(found.draws, j)) for j in range(3)]
    size = weighed.share * np.array([drawn_size(found.draws, j) for j in range(3)])
    assert np.all(np.abs(got - chance) < 4.5 * np.sqrt(chance * (1 - chance) / size)), (got, chance)


@pytest.mark.parametrize("number", range(4))
def test_leaving_out_a_look_that_errs_with_others_equals_a_refit_without_it(number):
    """Without it the looks after it mean something else."""
    looks = [Look(2, 90, 0.5, 0.02, False, 0.5), Look(2, 105, 0.5, 0.05, True, 0.5),
             Look(2, 130, 0.5, 0.02, False, 0.5), Look(1, 120, 0.7, 0.05, True)]  # fmt: skip
    scene = scene_of(EVENTS, looks)
    found = sample(scene, OFF, 13, EFFORT)
    chance, _, _ = exact(scene_of(EVENTS, [look for k, look in enumerate(looks) if k != number]), OFF.vector(), None, 2)
    at = (number + 1) % 4  # in order of the scene: by colony
    weighed = without(scene, found.draws, "look", at)
    got = [weighed.chance(found.draws, rows_of(found.draws, j)) for j in range(3)]
    size = weighed.share * np.array([drawn_size(found.draws, j) for j in range(3)])
    assert weighed.share > 0.1
    assert np.all(np.abs(got - chance) < 4.5 * np.sqrt(chance * (1 - chance) / size)), (got, chance)


@pytest.mark.parametrize("number", [0, 1])
def test_leaving_out_one_of_two_events_of_the_same_moment_equals_a_refit(number):
    events = [
        Event(6, 40, 40, 1.0, [(0, 0.7, None)], [1, 2], 0.3),
        Event(6, 40, 40, 1.0, [(0, 0.5, None)], [1, 2], 0.4),
    ]
    found = sample(scene_of(events, LOOKS), OFF, 12, EFFORT)
    chance, _, _ = exact(scene_of([events[1 - number]], LOOKS), OFF.vector(), None, 2)
    weighed = without(scene_of(events, LOOKS), found.draws, "event", number)
    got = [weighed.chance(found.draws, rows_of(found.draws, j)) for j in range(3)]
    size = weighed.share * np.array([drawn_size(found.draws, j) for j in range(3)])
    assert np.all(np.abs(got - chance) < 4.5 * np.sqrt(chance * (1 - chance) / size)), (got, chance)


def test_leaving_out_the_only_way_in_says_that_nothing_is_left():
    known = Colonies.plain(2, 0.0)
    known.before[0] = 0.5
    events = [Event(6, 40, 40, 1.0, [(0, 1.0, None)], [1])]
    looks = [Look(1, 150, 0.9, 0.0, True)]
    records = Records([Stay(0, 0, 0, FOREVER), Stay(1, 1, 0, FOREVER)], NEAR, events, looks, (), None, COIN, NONE)
    scene = build_scene(200, known, records)
    found = sample(scene, OFF, 1, Effort(ess=200, first=500, most=500))
    assert without(scene, found.draws, "event", 0).share == 0.0


def test_a_source_is_named_only_with_enough_share_and_lead(drawn):
    scene, _, found = drawn
    listed = sources_of(scene, found.draws, rows_of(found.draws, 3))
    assert tells(listed, listed[0].share - 0.01)
    assert not tells(listed, listed[0].share + 0.01)
    assert not tells([], 0.5)
