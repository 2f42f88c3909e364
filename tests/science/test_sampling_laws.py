"""Laws that hold for every sample, whatever the numbers."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ashcomb.kernel.errors import UserError
from ashcomb.science import freedom as fr
from ashcomb.science.exact import exact, percent
from ashcomb.science.sampling import group_sensitivity, large_group_sensitivity, least_number, least_number_large

share = st.fractions(0, 1, max_denominator=20)


@st.composite
def groups(draw: st.DrawFn, most: int = 8) -> tuple[int, int, int]:
    units = draw(st.integers(1, most))
    return units, draw(st.integers(1, units)), draw(st.integers(0, units))


@given(groups(), share)
def test_group_sensitivity_counts_every_sample(group: tuple[int, int, int], sensitivity: Fraction):
    units, infected, tested = group
    samples = list(combinations(range(units), tested))
    missed = sum((1 - sensitivity) ** sum(unit < infected for unit in sample) for sample in samples)
    assert group_sensitivity(units, infected, tested, sensitivity) == 1 - missed / Fraction(len(samples))


@given(groups(60), share, share)
def test_least_number_is_least(group: tuple[int, int, int], sensitivity: Fraction, target: Fraction):
    units, infected, _ = group
    size = least_number(units, infected, sensitivity, target)
    if size.number is None:
        assert group_sensitivity(units, infected, units, sensitivity) < target
    else:
        assert size.confidence >= target
        assert size.number == 0 or group_sensitivity(units, infected, size.number - 1, sensitivity) < target


@given(st.fractions(Fraction(1, 50), 1, max_denominator=50), st.fractions(0, Fraction(99, 100), max_denominator=100))
def test_least_number_large_is_least(prevalence: Fraction, target: Fraction):
    number = least_number_large(prevalence, 1, target).number
    assert number is not None
    assert large_group_sensitivity(prevalence, number, 1) >= target
    assert number == 0 or large_group_sensitivity(prevalence, number - 1, 1) < target


@given(st.lists(share, max_size=5))
def test_no_survey_makes_us_less_sure(sensitivities: list[Fraction]):
    together = fr.combined_sensitivity(sensitivities)
    assert together >= max(sensitivities, default=Fraction(0))
    assert fr.freedom(Fraction(1, 2), together) >= Fraction(1, 2)


@given(st.fractions(Fraction(1, 10), 1, max_denominator=20), st.fractions(0, Fraction(1, 20), max_denominator=100))
def test_the_plateau_stays_where_it_is(sensitivity: Fraction, introduction: Fraction):
    level = fr.plateau(sensitivity, introduction)
    assert fr.freedom(level.before, sensitivity) == level.after or level.before == 1 == sensitivity
    assert fr.discounted(level.after, introduction) == level.before


def test_equal_risks_are_no_risk_groups():
    flat = fr.risk_weighted_sensitivity(0.02, [1, 1], [0.5, 0.5], [30, 30], 0.9)
    assert flat == large_group_sensitivity(0.02, 60, 0.9)
    assert fr.risk_weighted_sensitivity(0.02, [5, 1], [0.1, 0.9], [60, 0], 0.9) > flat
    assert fr.risk_weighted_sensitivity(0.9, [9, 1], [0.1, 0.9], [1, 0], 0.5) == Fraction(1, 2), "capped at 1"


def test_numbers_are_read_as_written():
    assert exact(0.85) == Fraction(17, 20)
    assert percent(Fraction(1, 8), 0) == "13 %"
    assert percent(0.9775) == "97.8 %"
    assert percent(Fraction(8, 15)) == "53.3 %"


@pytest.mark.parametrize("call", [
    lambda: group_sensitivity(40, 41, 1, 0.9),
    lambda: group_sensitivity(40, 2, 41, 0.9),
    lambda: group_sensitivity(40, 2, 30, 1.2),
    lambda: fr.adjusted_risks([1, 2], [0.5, 0.4]),
    lambda: fr.exact_interval(3, 2),
    lambda: fr.freedom(0, 1),
])  # fmt: skip
def test_what_does_not_fit_is_refused(call):
    with pytest.raises(UserError):
        call()
