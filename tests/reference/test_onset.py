"""Onset of signs and what looks without signs leave, against the published table and hand calculation."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.stats import gamma, lognorm

from ashcomb.science.exact import percent
from ashcomb.science.onset import brood_months, signs_by_gamma, signs_by_lognormal, signs_by_table, still_infected
from ashcomb.sources.library import value

# Management Agency, National American Foulbrood Pest Management Plan New Zealand, “Time to visual symptoms”, Table 1
TABLE = (19, 30, 11, 14, 11, 6, 9)


def test_the_table_is_the_published_one():
    assert sum(TABLE) == 100
    for month in range(7):
        assert signs_by_table(month) == pytest.approx(sum(TABLE[:month]) / 100)
    assert signs_by_table(60) == pytest.approx(0.91)


@pytest.mark.parametrize(("prior", "first", "both"), [(0.45, "31.4 %", "13.5 %"), (0.20, "12.3 %", "4.6 %")])
def test_one_and_two_looks_without_signs(prior: float, first: str, both: str):
    # By hand: 0.45 * 0.559 / (0.45 * 0.559 + 0.55); with months 2 and 5 the factor is 0.15 + 0.36*0.1 + 0.49*0.01
    assert percent(still_infected(prior, 0.90, [2])) == first
    assert percent(still_infected(prior, 0.90, [2, 5])) == both
    assert percent(still_infected(prior, 0.90, [5, 2])) == both


def test_looks_that_do_not_share_the_onset_would_clear_too_fast():
    # 0.559 * 0.235 instead of 0.1909: two looks at one hive taken as if at two hives
    wrong = 0.45 * 0.559 * 0.235 / (0.45 * 0.559 * 0.235 + 0.55)
    assert still_infected(0.45, 0.90, [2, 5]) > wrong + 0.03


def _best(loglik, start: tuple[float, float]) -> np.ndarray:
    return minimize(lambda p: -loglik(*p), start, method="Nelder-Mead", options={"xatol": 1e-6, "fatol": 1e-9}).x


def test_the_curves_are_the_fits_to_the_table():
    edges = np.array([*range(7), np.inf])

    def likelihood(cdf):
        return float(np.dot(TABLE, np.log(np.maximum(np.diff(cdf(edges)), 1e-12))))

    shape, scale = _best(lambda a, b: likelihood(lambda x: gamma.cdf(x, abs(a), scale=abs(b))), (1, 2))
    assert value("disease.onset_gamma_shape").value == pytest.approx(shape, abs=0.02)
    assert value("disease.onset_gamma_scale").value == pytest.approx(scale, abs=0.02)
    median, sd = _best(lambda a, b: likelihood(lambda x: lognorm.cdf(x, abs(b), scale=abs(a))), (2, 1))
    assert value("disease.onset_lognormal_median").value == pytest.approx(median, abs=0.02)
    assert value("disease.onset_lognormal_sd").value == pytest.approx(sd, abs=0.01)


def test_the_curves_at_the_usual_times():
    # Derived from the fits: about 30 % by six weeks, 43 to 48 % by 60 days, 62 to 65 % by 90, 89 to 90 % by 180
    for days, low, high in ((42, 0.28, 0.34), (60, 0.42, 0.48), (90, 0.61, 0.66), (180, 0.88, 0.91)):
        for curve in (signs_by_gamma, signs_by_lognormal):
            assert low <= curve(brood_months(days)) <= high
    assert signs_by_gamma(brood_months(12)) == signs_by_lognormal(brood_months(12)) == 0


def test_the_clock_stands_still_without_brood():
    assert brood_months(180, 90) == pytest.approx(90 / 30.4375)


@given(
    st.floats(0.01, 0.99),
    st.floats(0.0, 1.0),
    st.lists(st.integers(0, 8), max_size=3),
)
def test_against_every_month_of_onset(prior: float, sensitivity: float, looks: list[int]):
    """Sums over the month of onset and over what each look could have found."""
    unseen = 0.0
    for onset, share in enumerate((*TABLE[:6], TABLE[6]), start=1):
        visible = [month >= onset and onset <= 6 for month in looks]
        for found in product((False, True), repeat=len(looks)):
            if not any(found):
                unseen += share / 100 * np.prod([1 - sensitivity if see else 1.0 for see in visible])
    expected = prior * unseen / (prior * unseen + 1 - prior)
    assert still_infected(prior, sensitivity, looks) == pytest.approx(expected, abs=1e-9)
    assert still_infected(prior, sensitivity, looks) <= prior + 1e-12
