"""Chances of colonies from pieces of chains, against the closed form of a colony that comes and goes at fixed rates.

A chain of two states that stays with correlation r from sweep to sweep: the mean of N sweeps has the variance
p (1 - p) / N × (1 + r) / (1 - r). From memory: A. Sokal, Monte Carlo methods in statistical mechanics (1997).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from ashcomb.outbreak import convergence
from ashcomb.outbreak.chain import Plan, lacking, weighed
from ashcomb.outbreak.convergence import colony_quality

P, R, CHAINS, PIECES, SPAN, COLONIES = 0.06, 0.7, 4, 50, 64, 1500


def pieces(told, every=8, count=PIECES, span=SPAN, seed=3):
    """Pieces of chains; `told`: chance that a visit finds, from whether it is infected, and noise."""
    gen = np.random.default_rng(seed)
    state = gen.random((CHAINS, COLONIES)) < P
    chains = []
    for c in range(CHAINS):
        found = []
        for _ in range(count):
            sums, visits, stood = np.zeros(COLONIES), np.zeros(COLONIES, dtype=np.int64), np.zeros(COLONIES, np.int64)
            for k in range(span):
                state[c] = np.where(gen.random(COLONIES) < R, state[c], gen.random(COLONIES) < P)
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


def test_what_is_lacking_by_hand():
    """Draws must come so many times faster as what lacks (of half more than the aim) is more than what would come."""
    sizes = np.array([500.0, 1000.0, 1500.0, 4000.0])
    assert lacking(sizes, 1000.0, 0.5).tolist() == [4.0, 1.0, 0.0, 0.0]
    assert lacking(sizes, 1000.0, 0.5, 0.0) == pytest.approx([6.0, 3.0, 2.0, 0.75])


def test_slow_apiaries_get_more_branches():
    yards = np.tile([0, 1, 2, 3, 5], 4)
    plan = Plan(np.zeros(0, dtype=np.int64), np.ones(6, dtype=np.int64), 0, 1, yards=yards, branches=5)
    told = weighed(plan, np.array([1.0, 1.0, 1.0, 10.0, 3.0, 0.1]))
    times = np.bincount(told.yards, minlength=6)
    assert times.tolist() == [4, 4, 4, 40, 0, 2]  # a branch in two sweeps is the least
    assert told.branches == 14  # 54 entries, each in every fourth sweep
    again = weighed(told, np.array([1.0, 1.0, 1.0, 0.5, 1.0, 3.0]))
    assert np.bincount(again.yards, minlength=6).tolist() == [4, 4, 4, 20, 0, 6]


def test_what_lacks_draws_is_looked_at_more_and_the_rest_less():
    none = np.zeros(0, dtype=np.int64)
    plan = Plan(none, np.ones(40, dtype=np.int64), 0, 1, yards=np.array([0, 1, 2]), branches=3, likely=np.array([4, 7]))
    colonies = np.zeros(40)
    colonies[[7, 20, 21]] = 6.0, 1.2, 90.0
    told = weighed(plan, np.zeros(3), colonies)
    assert {int(j): int((told.likely == j).sum()) for j in np.unique(told.likely)} == {4: 1, 7: 6, 20: 2, 21: 13}
    assert told.again == 6  # 22 entries, each in every fourth sweep
    assert told.doubts.tolist() == []
    known = weighed(replace(plan, often=np.array([7, 30])), np.zeros(3), colonies)
    assert known.doubts.tolist() == [7, 7, 7, 7]  # at most so many moves a sweep
    assert weighed(known, np.zeros(3), np.zeros(40)).doubts.tolist() == [7, 7, 7, 7]
    calm = weighed(told, np.zeros(3), np.zeros(40))
    assert {int(j): int((calm.likely == j).sum()) for j in np.unique(calm.likely)} == {4: 1, 7: 1, 20: 1, 21: 1}
    at = np.flatnonzero(told.likely == 7)
    assert np.diff(at).max() <= 5  # spread over the list
