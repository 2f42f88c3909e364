"""Evidence that found nothing: against enumeration, simulation, scipy and the published recursion."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta, hypergeom

from ashcomb.kernel.errors import UserError
from ashcomb.science.evidence import (
    all_missed,
    freedom_with_introductions,
    mixed_group_sensitivity,
    own_record,
    pool_sensitivity,
)
from ashcomb.science.freedom import discounted, freedom
from ashcomb.science.onset import signs_by_table, still_infected
from ashcomb.science.sampling import group_sensitivity, least_number
from ashcomb.science.sampling_big import group_sensitivity_big, least_number_big

CHANCES = st.floats(0, 1)


# Story of the house: prior 45 %, looks of 0.9 after months 2 and 5, onset table: 13.5 % is left (computed by hand).
def test_two_looks_at_one_hive_by_bayes():
    months = (2, 5)
    missed = all_missed([signs_by_table(m) for m in months], [0.9, 0.9], [0.0, 0.0])
    assert 0.45 * missed / (0.45 * missed + 0.55) == pytest.approx(still_infected(0.45, 0.9, months), abs=1e-12)


# Independent: every onset interval and every outcome of the tests written out.
@given(st.lists(st.tuples(CHANCES, CHANCES, CHANCES), max_size=5))
def test_missing_agrees_with_every_outcome_written_out(looks):
    looks.sort()
    shown, late, early = ([row[k] for row in looks] for k in range(3))
    by_hand = 0.0
    for gap, (a, b) in enumerate(itertools.pairwise([0.0, *shown, 1.0])):
        by_hand += (b - a) * math.prod(1 - (late[k] if k >= gap else early[k]) for k in range(len(looks)))
    assert all_missed(shown, late, early) == pytest.approx(by_hand, abs=1e-12)


def test_a_share_that_falls_is_refused():
    with pytest.raises(UserError, match="cannot fall"):
        all_missed([0.5, 0.4], [0.9, 0.9], [0, 0])


# Independent: every choice of the infected hives written out.
@given(st.lists(CHANCES, min_size=1, max_size=8), st.data())
def test_a_group_agrees_with_every_choice_of_infected_hives(missed, data):
    infected = data.draw(st.integers(1, len(missed)))
    choices = [math.prod(choice) for choice in itertools.combinations(missed, infected)]
    assert mixed_group_sensitivity(missed, infected) == pytest.approx(1 - sum(choices) / len(choices), abs=1e-12)


# Independent: the exact hypergeometric of this house and of scipy, as the case of equal looks.
@given(st.integers(1, 200), st.data())
def test_equal_looks_give_the_hypergeometric(units, data):
    infected, seen = data.draw(st.integers(1, units)), data.draw(st.integers(0, units))
    sure = data.draw(st.integers(0, 20)) / 20
    found = mixed_group_sensitivity([1 - sure] * seen + [1.0] * (units - seen), infected)
    assert found == pytest.approx(float(group_sensitivity(units, infected, seen, sure)), abs=1e-9)
    assert group_sensitivity_big(units, infected, seen, sure) == pytest.approx(found, abs=1e-9)
    if sure == 1:
        assert found == pytest.approx(hypergeom.sf(0, units, infected, seen), abs=1e-9)


# Martin, Cameron & Greiner 2007: survey and discount in turns. Independent looks of 0.18 in twelve months.
@pytest.mark.parametrize("coming", [0.0, 0.001, 0.02])
def test_introductions_kept_apart_give_the_published_recursion(coming):
    free = Fraction(1, 2)
    for _ in range(12):
        free = freedom(discounted(free, coming), 0.18)
    missed = [0.82**12, *(0.82 ** (12 - k) for k in range(12))]
    assert freedom_with_introductions(0.5, [coming] * 12, missed) == pytest.approx(float(free), abs=1e-12)


@given(st.integers(1, 400), st.data())
@settings(max_examples=60)
def test_large_groups_agree_with_exact_numbers(units, data):
    infected = data.draw(st.integers(1, units))
    sure, target = data.draw(st.sampled_from([0.5, 0.85, 0.9, 1])), data.draw(st.sampled_from([0.5, 0.8, 0.95, 0.99]))
    assert least_number_big(units, infected, sure, target) == least_number(units, infected, sure, target).number


# Large-group formula ln(0.05) / ln(1 - 0.01 * 0.9) = 331.2, so 332 (Sergeant 2020, form of the sample size).
def test_a_million_hives():
    assert least_number_big(1_000_000, 10_000, 0.9, 0.95) == 332
    assert least_number_big(1_000_000, 1, 0.9, 0.95) is None


# Simulated populations: the stated confidence is met within Monte-Carlo error (4 standard errors).
@pytest.mark.parametrize(("units", "infected", "sure", "target"), [(40, 2, 0.85, 0.95), (120, 6, 0.9, 0.95),
                                                                   (25, 3, 1.0, 0.8), (300, 3, 0.95, 0.9)])  # fmt: skip
def test_the_stated_confidence_is_met_in_simulated_apiaries(units, infected, sure, target):
    rng, runs = np.random.default_rng(units), 20_000
    plan = least_number(units, infected, sure, target)
    number = plan.number
    assert number is not None
    drawn = rng.hypergeometric(infected, units - infected, number, runs)
    met = float(np.mean(rng.random(runs) >= (1 - sure) ** drawn))
    error = 4 * math.sqrt(met * (1 - met) / runs)
    assert met == pytest.approx(float(plan.confidence), abs=error)
    assert met >= target - error


# Simulated outbreaks: one infected hive with one onset, looked at in two rounds; the group's figure is met.
def test_the_sensitivity_of_two_rounds_is_met_in_simulated_apiaries():
    rng, runs, hives, rounds = np.random.default_rng(5), 40_000, 30, (2.0, 4.0)
    looked = [(0, 25), (5, 30)]
    shown = np.cumsum([0.19, 0.30, 0.11, 0.14, 0.11, 0.06])  # Table 1 of the published times to signs
    month = np.searchsorted(shown, rng.random(runs)) + rng.random(runs)
    where = rng.integers(0, hives, runs)
    found = np.zeros(runs, dtype=bool)
    for at, (low, high) in zip(rounds, looked, strict=True):
        found |= (month <= at) & (where >= low) & (where < high) & (rng.random(runs) < 0.9)
    missed = []
    for hive in range(hives):
        own = [at for at, (low, high) in zip(rounds, looked, strict=True) if low <= hive < high]
        missed.append(all_missed([signs_by_table(at) for at in own], [0.9] * len(own), [0.0] * len(own)))
    stated = mixed_group_sensitivity(missed, 1)
    assert found.mean() == pytest.approx(stated, abs=4 * math.sqrt(stated * (1 - stated) / runs))


# scipy's beta distribution: the mean of the posterior with 9 + 12 found, 1 + 3 missed.
def test_an_own_record_is_the_mean_of_a_beta_distribution():
    assert own_record(12, 3, 0.9, 10) == pytest.approx(beta.mean(9 + 12, 1 + 3), abs=1e-12)
    assert own_record(0, 0, 0.9, 0) == 0.9


def test_a_pool_loses_by_each_doubling():
    assert pool_sensitivity(0.9, 1, 0.1) == pytest.approx(0.9)
    assert pool_sensitivity(0.9, 4, 0.1) == pytest.approx(0.9 * 0.81)
