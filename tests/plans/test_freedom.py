"""Freedom: against an outside distribution, exact comparison with the target, and the words."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import hypergeom
from tests.stories.vale import hives, looks, profile, vale

from ashcomb.kernel.errors import UserError
from ashcomb.plans.freedom import freedom, freedom_of

P = profile("invented")
DAY = date(2031, 5, 20)


# Independent: hypergeometric weights of scipy, each infected hive in the sample missed with 1 - Se.
@given(st.integers(1, 60), st.data())
def test_the_confidence_agrees_with_outside_weights(units, data):
    infected, seen = data.draw(st.integers(1, units)), data.draw(st.integers(0, units))
    sure = data.draw(st.integers(1, 99)) / 100
    found = freedom(P, units, seen, design=infected, sensitivity=sure)
    weights = hypergeom(units, infected, seen)
    expected = 1 - sum(weights.pmf(k) * (1 - sure) ** k for k in range(min(infected, seen) + 1))
    assert float(found.confidence) == pytest.approx(expected, abs=1e-9)


# Cannon & Roe type table, N = 100, 10 % and 2 %, perfect test, 95 %: 25 and 78 (from memory; exact values agree to 1).
@pytest.mark.parametrize(("infected", "number"), [(10, 25), (2, 78)])
def test_the_least_number_of_a_classical_table(infected, number):
    found = freedom(P, 100, 0, design=infected, sensitivity=1).least.number
    assert found == pytest.approx(number, abs=1)


# By hand: 19 of 20 hives, one infected, perfect look: exactly 95 %, which reaches 95 %.
def test_a_confidence_that_equals_the_target_reaches_it():
    found = freedom(P, 20, 19, design=1, sensitivity=1)
    assert found.confidence == Fraction(19, 20)
    assert found.reached
    assert "reaches the 95 %" in found.answer[1]


def test_what_more_hives_cannot_reach_is_said():
    found = freedom(P, 10, 10, design=1, sensitivity=0.9)
    assert found.least.number is None
    assert "More hives alone cannot reach 95 %." in found.raise_it
    assert any("99 %" in sentence for sentence in found.raise_it)


# By hand: half of the infected hives show signs, look 0.9, all of ten looked at, one infected: 0.45.
def test_hives_that_show_no_signs_yet_lower_the_confidence():
    found = freedom(P, 10, 10, design=1, sensitivity=0.9, visible=0.5)
    assert found.confidence == Fraction(9, 20)
    assert any("50.0 % of the infected hives" in sentence for sentence in found.assumptions)
    assert any("too good" in sentence for sentence in freedom(P, 10, 10).assumptions)


def test_recorded_rounds_count_full_looks_only():
    case = vale(*hives("A03", 40), *looks("A03", 30, "2031-05-20"), *looks("A03", 5, "2031-05-19"))
    found = freedom_of(case, P, "A03", DAY, DAY, design=2)
    assert (found.survey.hives, found.survey.inspected) == (40, 30)
    partial = vale(*hives("A03", 40), *looks("A03", 30, "2031-05-20", frames_shaken=7))
    assert freedom_of(partial, P, "A03", DAY, DAY).survey.inspected == 0


def test_signs_end_the_question():
    case = vale(*hives("A03", 4), *looks("A03", 3, "2031-05-20"), *looks("A03", 1, "2031-05-20", signs="suspect"))
    found = freedom_of(case, P, "A03", DAY, DAY)
    assert found.answer == ("No: signs were seen in A03-01.",)
    assert not found.reached


def test_it_never_says_yes():
    found = freedom(P, 1, 1, design=1, sensitivity=1)
    assert found.confidence == 1
    assert "Nobody can say yes" in found.answer[0]


def test_the_target_of_the_profile_is_taken():
    row = (
        'freedom.target = { value = 0.8, low = 0.8, high = 0.99, unit = "1", status = "project choice", reason = "x" }'
    )
    found = freedom(profile("t", f"[values]\n{row}\n"), 40, 30, design=2, sensitivity=0.85)
    assert found.reached
    assert "freedom.target" in {used.key for used in found.uses}


def test_counts_that_do_not_fit_are_refused():
    with pytest.raises(UserError, match="more than the 10 units"):
        freedom(P, 10, 11)
    with pytest.raises(UserError, match="No living hive"):
        freedom_of(vale(), P, "A03", DAY, DAY)
