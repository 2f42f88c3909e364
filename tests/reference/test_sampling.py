"""Sample sizes and freedom against published figures. Each row names where its figure comes from."""

from __future__ import annotations

import itertools
import math
from fractions import Fraction

import pytest
from scipy.stats import hypergeom

from ashcomb.science import freedom as fr
from ashcomb.science.exact import percent
from ashcomb.science.sampling import group_sensitivity, large_group_sensitivity, least_number, least_number_large
from ashcomb.science.sampling_alarms import CutPoint, group_test, least_number_two_sided
from ashcomb.science.sampling_approx import group_sensitivity_approx, least_number_cannon, least_number_cannon_roe
from ashcomb.sources.library import value


def test_cannon_roe_table():
    # Hawkins 2003, direct calculation of the Cannon and Roe tables: N 1600, 1 %, 99 %
    assert least_number_cannon_roe(1600, 16, 0.99) == 399
    # Sergeant 2020 prints 226 by Cannon's approximation for N 500, 1 %; exact and Cannon-Roe give 225 (own calculation)
    assert least_number_cannon_roe(500, 5, 0.95) == 225
    assert least_number(500, 5, 1, 0.95).number == 225


@pytest.mark.parametrize(("units", "infected"), [(50, 5), (100, 10), (60, 30), (24, 12), (1000, 50)])
def test_cannon_roe_formula(units: int, infected: int):
    # Cannon and Roe 1982, form as quoted: [1 - (1-CL)^(1/D)] * [N - (D-1)/2], rounded up; here in plain floats
    plain = (1 - 0.05 ** (1 / infected)) * (units - (infected - 1) / 2)
    assert least_number_cannon_roe(units, infected, 0.95) == math.ceil(plain)


def test_large_group_sizes():
    assert least_number_large(0.01, 1, 0.95).number == 299  # Sergeant 2020, printed example
    assert least_number_large(0.05, 1, 0.95).number == 59  # BEEBOOK statistical guidelines 2013, section 2.2
    # the same section prints 0.65 for 20 bees at 5 %, rounded up from 0.6415
    assert float(large_group_sensitivity(0.05, 20, 1)) == pytest.approx(0.65, abs=0.01)
    assert float(large_group_sensitivity(0.05, 60, 1)) >= 0.95  # BEEBOOK, European foulbrood, section 4


@pytest.mark.parametrize(
    ("units", "infected", "sensitivity", "number"),
    [  # Sergeant 2020, printed examples at 95 %
        (500, 5, 1, 226),
        (80, 1, 1, 76),
        (80, 2, 1, 63),
        (80, 5, 1, 37),
        (80, 10, 1, 21),
        (500, 5, 0.5, 451),
        (500, 5, 0.7, 322),
        (500, 5, 0.9, 251),
        (5000, 50, 1, 291),
    ],
)
def test_cannon_2001(units: int, infected: int, sensitivity: float, number: int):
    assert least_number_cannon(units, infected, sensitivity, 0.95).number == number


def test_cannon_2001_says_when_it_cannot_be_reached():
    short = least_number_cannon(20, 1, 0.85, 0.95)
    assert short.number is None
    assert float(short.confidence) == pytest.approx(0.85)


def test_cameron_baldock():
    # Sergeant 2020, printed example; n is held at 10 by the specificity, the 95 % are not met
    found = group_test(65, 3, 10, 1, 0.95, 0.99)
    assert float(found.sensitivity) == pytest.approx(0.4411522, abs=1e-6)
    assert float(found.specificity) == pytest.approx(0.9043821, abs=1e-6)


def test_cameron_baldock_without_false_alarms_is_the_exact_group_sensitivity():
    assert group_test(40, 2, 30, 1, 0.85, 1).sensitivity == group_sensitivity(40, 2, 30, 0.85)


@pytest.mark.parametrize(
    ("sensitivity", "specificity", "expected"),
    [(1, 0.99, CutPoint(524, 9)), (1, 1, CutPoint(149, 0)), (0.95, 0.99, CutPoint(542, 9))],
)
def test_two_sided_sizes(sensitivity: float, specificity: float, expected: CutPoint):
    # OIE Aquatic Code, table of sample sizes at 2 %, both errors 5 %; quoted from memory, not seen again
    assert least_number_two_sided(0.02, sensitivity, specificity, 0.05) == expected


@pytest.mark.parametrize(
    ("units", "infected", "number"),
    [(50, 5, 22), (50, 3, 31), (50, 1, 48), (100, 10, 25), (100, 2, 78), (1000, 50, 57), (1000, 10, 258)],
)
def test_exact_sizes(units: int, infected: int, number: int):
    # Table of the kind of Cannon and Roe, from memory, ±1; checked by SciPy's hypergeometric distribution.
    # N 50 at 5 % is 2.5 infected: two give 39 in such tables, three give 31.
    assert least_number(units, infected, 1, 0.95).number == number
    assert hypergeom.sf(0, units, infected, number) >= 0.95 - 1e-12
    assert hypergeom.sf(0, units, infected, number - 1) < 0.95


def test_exact_size_for_two_in_fifty():
    assert least_number(50, 2, 1, 0.95).number == 39  # the same kind of table, N 50 at 5 % rounded down


def test_yard_of_forty():
    # Computed by hand from the inputs: 40 hives, 2 infected, sensitivity 0.85
    assert percent(group_sensitivity(40, 2, 30, 0.85)) == "87.2 %"
    least = least_number(40, 2, 0.85, 0.95)
    assert (least.number, percent(least.confidence)) == (37, "95.6 %")
    assert percent(group_sensitivity(40, 2, 40, 0.85)) == "97.8 %"


def test_a_confidence_equal_to_the_target_reaches_it():
    assert least_number(20, 1, 1, 0.95).number == 19
    assert least_number(40, 2, 0.85, Fraction(9775, 10000)).number == 40
    assert least_number(40, 2, 0.85, 0.9776).number is None


def test_survey_of_herds_and_freedom():
    # Rosendal, worked case “Probability of freedom”: 500 herds, herd sensitivity 0.2, design 1 %; prior 0.5; then 1 %
    survey = fr.system_sensitivity(0.01, [0.2] * 500)
    assert float(survey) == pytest.approx(0.6324887, abs=1e-6)
    free = fr.freedom(0.5, survey)
    assert float(free) == pytest.approx(0.7312554, abs=1e-6)
    assert float(fr.discounted(free, 0.01)) == pytest.approx(0.7239429, abs=1e-6)


def test_twelve_months_of_evidence():
    # Martin et al. 2007, part 2, abstract: 0.91 after 12 months of 0.18; their prior and introduction were not seen
    for introduction in (0.0, 0.001):
        free = Fraction(1, 2)
        for _ in range(12):
            free = fr.freedom(fr.discounted(free, introduction), 0.18)
        assert float(free) == pytest.approx(0.91, abs=0.01)


def test_adjusted_risks():
    # Inputs of a printed example of Sergeant 2020; values calculated: 5 / 1.4 and 1 / 1.4
    assert fr.adjusted_risks([5, 1], [0.1, 0.9]) == (Fraction(25, 7), Fraction(5, 7))


def test_plateau():
    # Inputs of a public library manual; values calculated from the fixed point
    level = fr.plateau(0.6, 0.02)
    assert float(level.before) == pytest.approx(0.9667, abs=1e-4)
    assert float(level.after) == pytest.approx(0.9864, abs=1e-4)


def test_two_stage():
    # Inputs of Sergeant 2020; values calculated
    survey = fr.two_stage(0.01, 0.1, 0.95, 0.5, 0.95)
    assert (survey.apiaries.number, survey.hives_each.number) == (598, 7)


def test_group_sensitivity_as_the_authority_prints_it():
    # USDA-APHIS CEAH: miss = [1 - n*Se/N]^(P*N); here 30 of 40, two infected
    assert group_sensitivity_approx(40, 2, 30, 0.85) == 1 - (1 - Fraction(3, 4) * Fraction(17, 20)) ** 2


def test_rate_of_drift():
    # Goodwin et al. 1994, abstract: 2 of 25 colonies fell ill in mean 103 days
    assert value("disease.drift_per_pair_day").value == pytest.approx(2 / (25 * 103), abs=1e-6)


@pytest.mark.parametrize(("key", "cases"), [("disease.prior_wet_super", 9), ("disease.prior_same_apiary", 4)])
def test_ranges_of_the_wet_super_trial(key: str, cases: int):
    # 9 of 20 and 4 of 20 colonies; exact 95 % intervals, 0.231 to 0.685 for the first
    low, high = fr.exact_interval(cases, 20)
    shown = value(key)
    assert (shown.low, shown.high) == (pytest.approx(low, abs=1e-3), pytest.approx(high, abs=1e-3))
    assert shown.value == cases / 20


def test_components_combine_as_independent_chances():
    # Martin, Cameron & Greiner 2007: SSe = 1 - product of (1 - SSe_j); against every outcome written out
    chances = [Fraction(3, 5), Fraction(7, 10), Fraction(1, 4)]
    found = Fraction(0)
    for outcome in itertools.product((True, False), repeat=3):
        weight = math.prod(c if hit else 1 - c for c, hit in zip(chances, outcome, strict=True))
        found += weight if any(outcome) else 0
    assert fr.combined_sensitivity(chances) == found


def test_risk_weights_of_the_published_adjusted_risks():
    # Adjusted risks 3.5714 and 0.7143 for RR (5, 1) and shares (0.1, 0.9), inputs printed by Sergeant 2020
    by_hand = 1 - (1 - 0.01 * 3.5714 * 0.9) ** 30 * (1 - 0.01 * 0.7143 * 0.9) ** 70
    assert float(fr.risk_weighted_sensitivity(0.01, [5, 1], [0.1, 0.9], [30, 70], 0.9)) == pytest.approx(
        by_hand, abs=1e-4
    )
