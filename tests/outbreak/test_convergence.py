"""Chances of colonies from pieces of chains, against the closed form of a colony that comes and goes at fixed rates.

A chain of two states that stays with correlation r from sweep to sweep: the mean of N sweeps has the variance
p (1 - p) / N × (1 + r) / (1 - r). From memory: A. Sokal, Monte Carlo methods in statistical mechanics (1997).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ashcomb.outbreak import convergence
from ashcomb.outbreak.chain import Lacks, Plan, lacking, weighed
from ashcomb.outbreak.convergence import colony_quality, colony_sizes, credible_sizes
from ashcomb.outbreak.posterior import Draws, _behind, _Fed, _fed, _feeding, _rivals

P, R, CHAINS, PIECES, SPAN, COLONIES = 0.06, 0.7, 4, 50, 64, 1500


def pieces(told, every=8, count=PIECES, span=SPAN, seed=3, rate=P, stays=R):
    """Pieces of chains; `told`: chance that a visit finds, from whether it is infected, and noise."""
    gen = np.random.default_rng(seed)
    state = gen.random((CHAINS, COLONIES)) < rate
    chains = []
    for c in range(CHAINS):
        found = []
        for _ in range(count):
            sums, visits, stood = np.zeros(COLONIES), np.zeros(COLONIES, dtype=np.int64), np.zeros(COLONIES, np.int64)
            for k in range(span):
                state[c] = np.where(gen.random(COLONIES) < stays, state[c], gen.random(COLONIES) < rate)
                stood += state[c]
                if k % every == 0:
                    sums, visits = sums + told(state[c], gen), visits + 1
            found.append((sums, visits, stood))
        chains.append(found)
    return chains


ALL = CHAINS * PIECES * SPAN
CLOSED = np.sqrt(P * (1 - P) / ALL * (1 + R) / (1 - R))


def test_visits_that_tell_no_more_leave_the_closed_form():
    chance, error, size, agree = colony_quality(pieces(lambda sick, _: sick.astype(float)), SPAN)
    assert chance.mean() == pytest.approx(P, abs=4 * CLOSED / np.sqrt(COLONIES))
    assert chance.std() == pytest.approx(CLOSED, rel=0.06)
    assert np.sqrt((error**2).mean()) == pytest.approx(CLOSED, rel=0.06)
    assert np.median(size) == pytest.approx(ALL * (1 - R) / (1 + R), rel=0.1)
    assert np.median(agree) < 1.01


def test_pieces_of_a_slow_colony_are_not_taken_for_independent(monkeypatch):
    """Of pieces as short as the memory of the chain, batches alone promise too much; the weakest are looked at anew."""
    monkeypatch.setattr(convergence, "_ANEW", COLONIES)
    chance, error, *_ = colony_quality(pieces(lambda sick, _: sick.astype(float), count=800, span=4), 4)
    assert np.sqrt((error**2).mean()) == pytest.approx(chance.std(), rel=0.06)


def test_visits_that_tell_more_make_the_error_less():
    """Half of each visit's word is the truth of the mean: the error must fall, and be told rightly."""
    chance, error, size, _ = colony_quality(pieces(lambda sick, _: 0.9 * P + 0.1 * sick, every=2), SPAN)
    assert chance.std() < 0.5 * CLOSED
    assert np.sqrt((error**2).mean()) == pytest.approx(chance.std(), rel=0.06)
    assert chance.mean() == pytest.approx(P, abs=4 * CLOSED / np.sqrt(COLONIES))
    assert np.median(size) > 4 * ALL * (1 - R) / (1 + R)


def test_pieces_without_a_visit_count_for_nothing():
    """Every second piece has none, as in large registers."""
    chains = pieces(lambda sick, gen: P * gen.gamma(4.0, 0.25, COLONIES))
    for chain in chains:
        for k in range(0, PIECES, 2):
            chain[k] = (np.zeros(COLONIES), np.zeros(COLONIES, dtype=np.int64), chain[k][2])
    chance, error, *_ = colony_quality(chains, SPAN)
    assert chance.mean() == pytest.approx(P, abs=4 * CLOSED / np.sqrt(COLONIES))
    assert np.sqrt((error**2).mean()) == pytest.approx(chance.std(), rel=0.06)


def test_a_chain_of_one_piece_is_not_left_out_whole():
    piece = (np.array([0.5]), np.array([2]), np.array([3]))
    assert colony_sizes([[piece], [piece]], SPAN, 0.1).shape == (1,)


def test_what_is_lacking_by_hand():
    """Draws must come so many times faster as what lacks (of half more than the aim) is more than what would come."""
    sizes = np.array([500.0, 1000.0, 1500.0, 4000.0])
    assert lacking(sizes, 1000.0, 0.5).tolist() == [4.0, 1.0, 0.0, 0.0]
    assert lacking(sizes, 1000.0, 0.5, 0.0) == pytest.approx([6.0, 3.0, 2.0, 0.75])


def test_slow_apiaries_get_more_branches():
    yards = np.tile([0, 1, 2, 3, 5], 4)
    plan = Plan(np.zeros(0, dtype=np.int64), np.ones(6, dtype=np.int64), 0, 1, yards=yards, branches=5)
    told = weighed(plan, Lacks(np.array([1.0, 1.0, 1.0, 7.0, 3.0, 0.1])))
    times = np.bincount(told.yards % 6, minlength=6)
    assert times.tolist() == [4, 4, 4, 28, 0, 2]  # a branch in two sweeps is the least
    assert told.branches == 11  # 42 entries, each in every fourth sweep
    again = weighed(told, Lacks(np.array([1.0, 1.0, 1.0, 0.5, 1.0, 3.0])))
    assert np.bincount(again.yards % 6, minlength=6).tolist() == [4, 4, 4, 14, 0, 6]
    calm = weighed(again, Lacks(np.zeros(6)))
    fallen = np.bincount(calm.yards % 6, minlength=6)
    assert fallen.tolist() == [2, 2, 2, 7, 0, 3]  # what was slow falls by half a time
    whole = np.bincount(told.yards[told.yards >= 6] - 6, minlength=6)
    assert whole.tolist() == [4, 4, 4, 14, 0, 2]  # all of it in quick apiaries, in slow ones every other time


def test_an_apiary_that_fed_a_case_gets_branches_before_it_looks_slow():
    yards = np.tile([0, 1, 2, 3], 4)
    plan = Plan(np.zeros(0, dtype=np.int64), np.ones(6, dtype=np.int64), 0, 1, yards=yards, branches=4)
    told = weighed(plan, Lacks(np.array([0.0, 0.0, 0.0, 3.0]), feeds=np.array([0.0, 0.02, 0.5, 0.02])))
    assert np.bincount(told.yards % 4).tolist() == [2, 8, 16, 12]  # no more than 16 for that


def test_what_lacks_draws_is_looked_at_more_and_the_rest_less():
    none = np.zeros(0, dtype=np.int64)
    plan = Plan(none, np.ones(40, dtype=np.int64), 0, 1, yards=np.array([0, 1, 2]), branches=3, likely=np.array([4, 7]))
    colonies = np.zeros(40)
    colonies[[7, 20, 21]] = 6.0, 1.2, 90.0
    told = weighed(plan, Lacks(np.zeros(3), colonies))
    assert {int(j): int((told.likely == j).sum()) for j in np.unique(told.likely)} == {4: 1, 7: 6, 20: 2, 21: 13}
    assert told.again == 6  # 22 entries, each in every fourth sweep
    assert told.doubts.tolist() == []
    known = weighed(replace(plan, often=np.array([7, 30])), Lacks(np.zeros(3), colonies))
    assert known.doubts.tolist() == [7, 7, 7, 7]  # at most so many moves a sweep
    assert weighed(known, Lacks(np.zeros(3), np.zeros(40))).doubts.tolist() == [7, 7, 7, 7]
    calm = weighed(told, Lacks(np.zeros(3), np.zeros(40)))
    assert {int(j): int((calm.likely == j).sum()) for j in np.unique(calm.likely)} == {4: 1, 7: 1, 20: 1, 21: 1}
    at = np.flatnonzero(told.likely == 7)
    assert np.diff(at).max() <= 5  # spread over the list


def test_a_case_that_a_slow_apiary_may_have_infected_is_visited_more():
    often = np.array([3, 7, 30, 31])
    yards, likely = np.array([0, 1, 2]), np.append(np.repeat(often, 8), 4)  # twice a sweep, besides the one of all
    plan = Plan(often, np.ones(40, dtype=np.int64), 0, 1, yards=yards, branches=3, likely=likely)
    behind = np.zeros(40)
    behind[[7, 20, 30, 31]] = 2.0, 9.0, 90.0, 1.0
    told = weighed(plan, Lacks(np.zeros(3), np.zeros(40), behind))
    times = {int(j): int((told.likely == j).sum()) for j in np.unique(told.likely)}
    assert times == {3: 8, 4: 1, 7: 16, 30: 20, 31: 8}  # all cases together 80 at most; 20 is no case
    calm = weighed(told, Lacks(np.zeros(3), np.zeros(40), np.zeros(40)))
    assert {int(j): int((calm.likely == j).sum()) for j in np.unique(calm.likely)} == {3: 8, 4: 1, 7: 8, 30: 10, 31: 8}


def test_who_stands_behind_a_case():
    """Colony 0 was infected from apiary 1 in half of the draws, from 0 in one of a hundred; 1 lacks more."""
    count = 100
    infector = np.where(np.arange(count) < 50, 5, np.where(np.arange(count) == 50, 6, -1))
    none = np.zeros(count)
    draws = Draws(np.arange(count), np.zeros(count, dtype=np.int64), infector, infector, none, none, none, none,
                  np.zeros((count, 0)), np.zeros((count, 0)), np.arange(count) // 50)  # fmt: skip
    now = np.array([-1, 0, 0, 0, 0, 1, 0, -1])
    lacks = np.array([9.0, 3.0])
    assert _behind(_fed(draws, now, 2), 8, lacks).tolist() == [3.0, 0, 0, 0, 0, 0, 0, 0]
    assert _behind(_fed(draws, np.where(now == 1, -1, now), 2), 8, lacks).tolist() == [0.0] * 8


def test_rivals_for_the_same_case_grow_as_often():
    """Cases 0 and 1 by apiaries 0 and 1, and 1 and 2; colony 2, no case, by 0 and 3. Shares: 0.5, 0.01, 0.3, 0.001."""
    fed = _Fed(np.array([0, 0, 1, 1, 2, 2]), np.array([0, 1, 1, 2, 0, 3]), np.array([0.5, 0.01, 0.3, 0.001, 0.5, 0.5]))
    case = np.array([True, True, False])
    assert _rivals(fed, case, np.array([9.0, 0.5, 0.5, 0.5])).tolist() == [9.0, 9.0, 0.0, 0.0]
    assert _rivals(fed, case, np.array([0.5, 9.0, 0.5, 0.5])).tolist() == [0.5, 9.0, 0.0, 0.0]  # too seldom there
    assert _rivals(fed, case, np.array([0.5, 0.5, 9.0, 0.5])).tolist() == [0.5, 0.5, 0.0, 0.0]


def test_how_often_an_apiary_fed_a_case():
    """Colony 0, a case, was infected from apiary 1 in half of the draws, once twice over; colony 3, no case, always."""
    case = np.array([True, True, False, False, False])
    draw = np.array([0, 1, 1, 2, 3, 0, 1, 2, 3])
    colony = np.array([0, 0, 1, 0, 0, 3, 3, 3, 3])
    infector = np.array([4, 4, 2, -1, -2, 2, 2, 2, 2])
    none = np.zeros(len(draw))
    draws = Draws(draw, colony, infector, infector, none, none, none, none,
                  np.zeros((4, 0)), np.zeros((4, 0)), np.arange(4) // 2)  # fmt: skip
    assert _feeding(draws, case, np.array([-1, -1, 1, 1, 1]), 3).tolist() == [0.0, 0.5, 0.0]
    assert _feeding(draws, case, np.array([-1, -1, 2, 1, 0]), 3).tolist() == [0.5, 0.0, 0.25]
    assert _feeding(draws, case, np.array([-1, -1, -1, 1, -1]), 3).tolist() == [0.0, 0.0, 0.0]


def test_the_least_of_many_sizes_is_no_more_luck():
    """Colonies alike but for five slow ones, infected in so few spells that own pieces tell little."""
    slow = np.arange(5)
    stays = np.full(COLONIES, R)
    stays[slow] = 0.97
    chains = pieces(lambda sick, _: sick.astype(float), count=40, rate=0.03, stays=stays)
    total = CHAINS * 40 * SPAN
    _, _, raw, _, spread = convergence._some_colonies([piece for chain in chains for piece in chain], SPAN, CHAINS)
    _, _, size, _ = colony_quality(chains, SPAN)
    closed = total * (1 - R) / (1 + R)
    assert raw[5:].min() < 0.57 * closed
    assert size[5:].min() > 0.65 * closed
    assert np.median(size[5:]) == pytest.approx(closed, rel=0.15)
    assert size[slow].max() < 0.5 * closed  # of 0.09 in truth: they are not lost among the others
    assert np.all(np.abs(np.log(size / raw)) <= spread + 1e-9)


def test_few_colonies_tell_nothing_of_each_other():
    sizes, spread = np.array([100.0, 2000.0, 3000.0]), np.full(3, 0.5)
    np.testing.assert_array_equal(credible_sizes(sizes, spread, np.full(3, 0.01)), sizes)
