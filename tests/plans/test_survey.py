"""Sizes of surveys: against SciPy's hypergeometric, every draw written out, and published inputs."""

from __future__ import annotations

import itertools
from fractions import Fraction

import numpy as np
import pytest
from scipy.stats import hypergeom
from tests.stories.vale import profile

from ashcomb.kernel.errors import UserError
from ashcomb.plans.survey import Herd, SurveyAsk, SurveyPlan, survey

P = profile("invented")


def herds(*hives: int, risk: int = 0) -> list[Herd]:
    return [Herd(f"Y{n}", count, risk) for n, count in enumerate(hives)]


def plan(yards, **asked) -> SurveyPlan:
    return survey(P, yards, SurveyAsk(target=0.95, **asked))


# 40 hives, 2 infected, sensitivity 0.9: SciPy's hypergeometric weights, each infected hive drawn missed with 0.1.
def test_the_exact_number_is_the_least():
    own = plan(herds(20, 20), apiaries=2).ways[0]

    def missed(n: int) -> float:
        return sum(hypergeom.pmf(k, 40, 2, n) * 0.1**k for k in range(3))

    assert 1 - missed(own.number) >= 0.95 > 1 - missed(own.number - 1)
    assert own.truly == pytest.approx(1 - missed(own.number), abs=1e-9)


# Sergeant 2020, printed examples: N 500, 5 infected, 0.9 gives 251 by Cannon's approximation, a perfect test 226;
# exact and Cannon-Roe with a perfect test 225 (own calculation).
def test_published_approximations_stand_beside_it():
    found = {way.name: way.number for way in plan(herds(*[100] * 5), apiaries=5).ways}
    assert found["Cannon 2001, this method"] == 251
    assert found["exact, perfect method"] == found["Cannon and Roe 1982, perfect method"] == 225
    assert found["exact, this method"] <= 251


def test_what_cannot_be_reached_is_said():
    found = plan(herds(20, 20, 20))
    assert found.ways[0].number is None
    assert found.stages is None
    assert "cannot be reached with this method" in found.answer[0]
    assert "In two stages 95 % cannot be reached" in found.answer[1]


# Every choice of infected apiaries, infected hives, apiaries drawn and hives drawn is counted by simulation.
def test_two_stages_meet_their_confidence_in_simulated_populations():
    yards = herds(6, 9, 12, 15, 20, 24, 30, 18)
    stages = plan(yards, apiaries=3, hives=2).stages
    assert stages is not None
    rng, number, runs = np.random.default_rng(7), dict(stages.hives), 4_000
    hits = 0
    for _ in range(runs):
        sick = rng.choice(len(yards), 3, replace=False)
        drawn = set(rng.choice(len(yards), stages.apiaries, replace=False).tolist())
        found = (rng.hypergeometric(2, yards[k].hives - 2, number[yards[k].mark]) for k in sick if k in drawn)
        hits += any(rng.random(each).min(initial=1.0) < 0.9 for each in found)
    assert hits / runs >= 0.95 - 3 * np.sqrt(0.95 * 0.05 / runs)


def test_two_stages_are_the_cheapest_of_those_tried():
    yards = herds(10, 10, 10, 10, 10)
    stages = plan(yards, apiaries=2, hives=2).stages
    assert stages is not None
    # by every draw of apiaries written out: two infected of five
    draws = list(itertools.combinations(range(5), stages.apiaries))
    missed = sum((1 - stages.within) ** len({0, 1} & set(draw)) for draw in draws) / Fraction(len(draws))
    assert 1 - missed == stages.reached >= Fraction(95, 100)


# Adjusted risks 3.5714 and 0.7143 for risks (5, 1) and shares (0.1, 0.9): inputs of a printed example, Sergeant 2020.
def test_the_riskiest_are_looked_at_first():
    yards = [Herd("A", 100, 3), Herd("B", 900, 0)]
    found = survey(P, yards, SurveyAsk(apiaries=2, hives=20, target=0.95, risks=(1, 1, 1, 5)))
    assert [round(layer.adjusted, 4) for layer in found.layers] == [3.5714, 0.7143]
    sick, other = found.layers
    assert (other.looked > 0) == (sick.looked == 100)
    assert found.first >= 0.95 - 1e-9
    assert found.first > found.even


def test_a_false_alarm_is_counted():
    # 1 - 0.9^n with the culture's specificity of 0.9, the program's project choice
    found = plan(herds(30, 30), apiaries=2, method="culture")
    assert found.false_alarm == pytest.approx(1 - 0.9 ** found.ways[0].number)
    assert "confirmed before it counts" in found.answer[-1]


@pytest.mark.parametrize("asked", [{"apiaries": 3}, {"hives": 11}, {"apiaries": 0}, {"risks": (1, 2)}])
def test_counts_that_do_not_fit_are_refused(asked):
    with pytest.raises(UserError):
        plan(herds(10, 10), **asked)


def test_a_million_hives():
    found = plan(herds(*[1_000] * 1_000), apiaries=10, hives=10)
    assert found.ways[0].number == pytest.approx(32_791, abs=1)  # checked against SciPy's hypergeometric when written
    assert 1 - sum(hypergeom.pmf(k, 1_000_000, 100, 32_791) * 0.1**k for k in range(30)) >= 0.95
