"""Special cases of the outbreak model whose answer is a formula: waiting for signs, freedom after a survey."""

from __future__ import annotations

from itertools import product
from math import comb

import numpy as np
import pytest
from scipy.stats import beta as beta_law
from scipy.stats import betabinom, uniform

from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.kernel_chance import log_looks
from ashcomb.outbreak.layout import packed
from ashcomb.outbreak.observation import alike, onset_quantiles, worth
from ashcomb.outbreak.posterior import Effort, sample
from ashcomb.outbreak.rates import rates
from ashcomb.outbreak.scene import FOREVER, Event, Look, Pool, Stay
from ashcomb.science.onset import DAYS_IN_MONTH, signs_by_gamma, signs_by_lognormal, signs_by_table, still_infected
from ashcomb.sources.library import value

EFFORT = Effort(ess=20_000, first=10_240, most=81_920, kept=40_000)
OFF = dict.fromkeys(("background", "touching", "apiary", "robbing"), (0.0, "off"))
ALONE = (np.zeros(2, dtype=np.int64), np.zeros(0, dtype=np.int64), np.zeros(0))
NO_REMISSION = np.array([0.0, 28.0, 7.0, 21.0])


def chance(colonies, records, horizon, replaced):
    found = sample(build_scene(horizon, colonies, records), rates(replaced=replaced), 11, EFFORT)
    return found.chance, found


def wet_supers(prior, sensitivity, months, law):
    """A sick hive gives one wet super to another on day 0; looks without signs so many months later."""
    known = Colonies.plain(2)
    known.before[0] = 1 - 1e-12
    stays = [Stay(0, 0, 0, FOREVER), Stay(1, 0, 0, FOREVER)]
    looks = [Look(1, 10 + month * DAYS_IN_MONTH, sensitivity, 0.0, False) for month in months]
    gift = Event(6, 10, 10, 1.0, [], [1], outside=1.0)
    records = Records(stays, ALONE, [gift], looks, (), None, onset_quantiles(law), NO_REMISSION)
    return chance(known, records, 300, OFF | {"wet supers": (prior, "as in the story")})[0][1]


@pytest.mark.parametrize(("prior", "months", "answer"), [
    (0.45, (2,), 0.314), (0.45, (2, 5), 0.135), (0.20, (2,), 0.123), (0.20, (2, 5), 0.046),
])  # fmt: skip
def test_still_infected_after_looks_without_signs(prior, months, answer):
    """Acceptance story 6 of this project, worked by hand from the published table of first signs."""
    assert wet_supers(prior, 0.9, months, "table") == pytest.approx(answer, abs=0.012)
    assert still_infected(prior, 0.9, months) == pytest.approx(answer, abs=0.0006)


@pytest.mark.parametrize(("law", "curve"), [("gamma", signs_by_gamma), ("lognormal", signs_by_lognormal)])
def test_the_other_laws_of_onset(law, curve):
    assert wet_supers(0.45, 0.9, (2, 5), law) == pytest.approx(still_infected(0.45, 0.9, (2, 5), curve), abs=0.012)


@pytest.mark.parametrize(("law", "curve"), [
    ("table", signs_by_table), ("gamma", signs_by_gamma), ("lognormal", signs_by_lognormal),
])  # fmt: skip
def test_quantiles_are_the_curves_turned_round(law, curve):
    found = onset_quantiles(law, 1000)
    least = value("disease.onset_least_days").value
    for k in (100, 250, 500, 750, 900):
        if found[k] > least:
            assert curve(found[k] / DAYS_IN_MONTH) == pytest.approx(k / 1000, abs=1e-3)


def test_an_exponential_infection_time_under_background_alone():
    """Background alone: chance 1 - exp(-rate × days)."""
    known = Colonies.plain(20)
    stays = [Stay(j, 0, 0, FOREVER) for j in range(20)]
    got, _ = chance(known, Records(stays, ALONE), 400, OFF | {"background": (1e-3, "test")})
    assert got.mean() == pytest.approx(1 - np.exp(-0.4), abs=0.004)


def test_freedom_after_a_survey_without_signs():
    """P_free = prior / (1 - SSe (1 - prior)) for one unit with prevalence: here each of 40 hives is its own unit.

    With independent hives the chance that none is infected is the product of (1 - p) / (1 - p Se) over those looked at
    and of (1 - p) over the others (Bayes' rule).
    """
    known = Colonies.plain(40, 0.05)
    stays = [Stay(j, 0, 0, FOREVER) for j in range(40)]
    looks = [Look(j, 10.0, 0.85, 0.0, False) for j in range(30)]
    at_once = np.linspace(0.0, 1e-3, 9)
    _, found = chance(known, Records(stays, ALONE, (), looks, (), None, at_once, NO_REMISSION), 20, OFF)
    none = 1 - len(np.unique(found.draws.draw)) / found.draws.count
    assert none == pytest.approx((0.95 / (1 - 0.05 * 0.85)) ** 30 * 0.95**10, abs=0.012)


AT_ONCE = np.linspace(0.0, 1e-3, 9)


def survey(before, looks, pools=(), events=(), n=None):
    """Hives infected at the beginning with these chances, signs at once, then looks, tests and events."""
    n = n or len(before)
    known = Colonies.plain(n)
    known.before[:] = before
    stays = [Stay(j, 0, 0, FOREVER) for j in range(n)]
    records = Records(stays, ALONE, events, looks, pools, None, AT_ONCE, NO_REMISSION)
    return chance(known, records, 60, OFF | {"wet supers": (0.3, "test")})


@pytest.mark.parametrize(("looked", "answer"), [(30, 0.872), (37, 0.956), (40, 0.978)])
def test_confidence_that_two_of_forty_would_have_been_seen(looked, answer):
    """Acceptance story 7: 40 hives, 2 infected, sensitivity 0.85.

    With independent hives the odds of two infected against none change by the chance to see neither, so that chance
    can be read from the draws: 1 - it is the confidence, the same as by the hypergeometric sum.
    """
    p = 0.05
    _, found = survey(p, [Look(j, 10.0, 0.85, 0.0, False) for j in range(looked)], n=40)
    number = np.bincount(np.bincount(found.draws.draw, minlength=found.draws.count), minlength=3) / found.draws.count
    unseen = number[2] / number[0] / (comb(40, 2) * (p / (1 - p)) ** 2)
    by_hand = sum(comb(looked, y) * comb(40 - looked, 2 - y) / comb(40, 2) * 0.15**y for y in range(3))
    assert 1 - unseen == pytest.approx(answer, abs=0.01)
    assert 1 - by_hand == pytest.approx(answer, abs=0.0006)


def test_hives_at_unequal_risk_looks_and_a_test_together():
    """Components combine: what is left of each hive is p Π(1 - Se) / (1 - p + p Π(1 - Se)), whatever its risk."""
    before = np.array([0.5, 0.2, 0.05, 0.2])
    looks = [Look(0, 10.0, 0.6, 0.0, False), Look(1, 10.0, 0.6, 0.0, False), Look(0, 20.0, 0.3, 0.0, False)]
    got, _ = survey(before, looks, [Pool(30.0, (1,), False, 0.0, 0.5, 0.5)])
    missed = np.array([0.4 * 0.7, 0.4 * 0.5, 1.0, 1.0])
    np.testing.assert_allclose(got, before * missed / (1 - before + before * missed), atol=0.01)


def beta(worth, alike):
    """The two numbers of the beta law from which the one worth of looks that err together is drawn."""
    return worth / alike, (1 - worth) / alike


@pytest.mark.parametrize("looks", [1, 2, 5])
def test_hives_after_empty_looks_that_err_together(looks):
    """All of them miss with the beta-binomial chance (SciPy's, an independent library)."""
    before, worth, alike = np.array([0.4, 0.1]), 0.45, 0.25
    rows = [Look(j, 5.0 + 3 * k, worth, 0.0, False, alike) for j in range(2) for k in range(looks)]
    got, _ = survey(before, rows)
    missed = betabinom.pmf(0, looks, *beta(worth, alike))
    assert looks < 5 or missed > 2 * (1 - worth) ** looks
    np.testing.assert_allclose(got, before * missed / (1 - before + before * missed), atol=0.01)


@pytest.mark.parametrize("pattern", list(product((False, True), repeat=4)))
def test_looks_that_err_together_find_as_the_beta_binomial_law_says(pattern):
    """Any order of as many finds is as likely as any other, and all orders together as SciPy's law says."""
    worth, alike = 0.35, 0.4
    looks = [Look(0, 10.0 + 5 * k, worth, 0.0, found, alike) for k, found in enumerate(pattern)]
    records = Records([Stay(0, 0, 0, FOREVER)], ALONE, (), looks, (), None, AT_ONCE, NO_REMISSION)
    num, idx = packed(build_scene(60, Colonies.plain(1), records))
    law = betabinom.pmf(sum(pattern), 4, *beta(worth, alike)) / comb(4, sum(pattern))
    assert np.exp(log_looks(num, idx, 0, 1.0, 1.0, 0.0)) == pytest.approx(law, rel=1e-12)
    assert log_looks(num, idx, 0, np.inf, 1.0, 0.0) == (-np.inf if any(pattern) else 0.0)


def test_the_law_of_a_look_without_frames_has_the_mean_and_spread_of_its_range():
    """The worth of such looks lies evenly between the ends of its sourced range (SciPy's beta law, its two moments)."""
    best, unnoted = value("surveillance.look_sensitivity").value, value("outbreak.unnoted_look_worth")
    law = beta_law(*beta(worth(None, None, None), alike(None, None)))
    evenly = uniform(best * unnoted.low, best * (unnoted.high - unnoted.low))
    assert (law.mean(), law.std()) == pytest.approx((evenly.mean(), evenly.std()), rel=1e-12)
    missed = [((1 - evenly.ppf((np.arange(4000) + 0.5) / 4000)) ** m).mean() for m in (2, 4, 8)]
    assert [betabinom.pmf(0, m, *law.args) for m in (2, 4, 8)] == pytest.approx(missed, rel=0.06)
    assert alike(10, 10) == alike(10, 0) == 0.0
    assert alike(10, None) == alike(None, None) > 0.0


def test_one_pooled_test_of_several_hives():
    """Bayes over the eight cases of three hives: the chance of a negative pool is the product over its members."""
    before = np.array([0.3, 0.2, 0.1])
    got, _ = survey(before, [], [Pool(30.0, (0, 1, 2), True, 0.02, 0.7, 0.7)])
    total, mine = 0.0, np.zeros(3)
    for case in product((0, 1), repeat=3):
        sick = np.array(case)
        weight = np.prod(np.where(sick, before, 1 - before)) * (1 - 0.98 * 0.3 ** sick.sum())
        total += weight
        mine += weight * sick
    np.testing.assert_allclose(got, mine / total, atol=0.012)


def test_a_finding_of_imperfect_specificity():
    """Positive predictive value: p (Se + (1 - Se) f) / (that + (1 - p) f)."""
    got, _ = survey(np.array([0.1]), [Look(0, 10.0, 0.7, 0.05, True)])
    seen = 0.7 + 0.3 * 0.05
    assert got[0] == pytest.approx(0.1 * seen / (0.1 * seen + 0.9 * 0.05), abs=0.012)


def test_freedom_is_discounted_by_what_comes_later():
    """P_free next = P_free (1 - P_intro): a lot after the look brings it with a chance of 0.3."""
    gift = Event(6, 40, 40, 1.0, [], [0], outside=1.0)
    got, _ = survey(np.array([0.2]), [Look(0, 10.0, 0.8, 0.0, False)], (), [gift])
    free = 0.8 / (1 - 0.8 * 0.2)
    assert 1 - got[0] == pytest.approx(free * 0.7, abs=0.012)
