"""Proof of freedom: against closed forms, the enumeration of small groups, and the laws that it must keep."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from scipy.stats import gamma
from tests.stories.vale import hives, looks, profile, record, vale

from ashcomb.kernel.errors import UserError
from ashcomb.plans.proof import Group, ProofAsk, proof
from ashcomb.records.looks import LabResult, Sample

P = profile("invented")
TODAY, SINCE = date(2031, 8, 1), date(2031, 4, 1)
CLOSED = ProofAsk(introduction=0.0)


def group(count: int, name: str = "A03", since: date = SINCE) -> Group:
    return Group(name=name, level="apiary", since={f"{name}-{n:02d}": since for n in range(1, count + 1)})


def free(situation, ask=CLOSED, count=40, today=TODAY):
    return proof(situation, P, [group(count)], today, 46.0, ask).groups[0]


# By hand with scipy's gamma (shape 1.58, scale 1.81 months): 30 of 40 hives after 91 days with brood, look 0.9.
def test_one_round_is_share_looked_at_times_visible_times_look():
    found = free(vale(*hives("A03", 40), *looks("A03", 30, "2031-07-01")))
    visible = gamma(1.58, scale=1.81).cdf(91 / 30.4375)
    sure = 30 / 40 * visible * 0.9
    assert found.sensitivity == pytest.approx(sure, abs=1e-9)
    assert found.free == pytest.approx(0.5 / (1 - sure * 0.5), abs=1e-9)  # Martin et al. 2007, after a negative survey


def test_two_looks_at_one_hive_are_not_two_hives():
    twice = free(vale(*hives("A03", 40), *looks("A03", 20, "2031-07-01"), *looks("A03", 20, "2031-07-02")))
    once_each = free(vale(*hives("A03", 40), *looks("A03", 40, "2031-07-02")))
    assert twice.sensitivity < 0.6 * once_each.sensitivity


def test_introductions_take_confidence_away_with_time():
    situation = vale(*hives("A03", 40), *looks("A03", 40, "2031-07-01"))
    free_now, free_later = (free(situation, ProofAsk(standstill=False), today=day).free
                            for day in (date(2031, 7, 2), date(2032, 2, 1)))  # fmt: skip
    assert free_later < free_now - 0.05


def test_methods_are_combined_and_shown_apart():
    marks = tuple(f"A03-{n:02d}" for n in range(1, 41))
    situation = vale(*hives("A03", 40), *looks("A03", 40, "2031-07-01"),
                     record(Sample, "2031-07-01", mark="S1", hives=marks[:5], material="bees"),
                     record(LabResult, "2031-07-09", sample="S1", method="culture", outcome="not detected"),
                     )  # fmt: skip
    found = free(situation)
    parts = dict(found.components)
    assert parts.keys() == {"look", "culture"}
    assert max(parts.values()) < found.sensitivity < sum(parts.values())


def test_signs_are_a_plain_no():
    found = free(vale(*hives("A03", 40), *looks("A03", 2, "2031-07-01", signs="suspect")))
    assert (found.free, found.reached, found.curve) == (0.0, False, ())
    assert "no. Signs" in found.answer


def test_looks_before_the_exposure_count_for_nothing():
    found = free(vale(*hives("A03", 40), *looks("A03", 40, "2031-03-20")))
    assert (found.looked, found.sensitivity, found.free) == (0, 0.0, 0.5)


def test_what_would_raise_it_is_worked_out_strongest_first():
    found = free(vale(*hives("A03", 40), *looks("A03", 10, "2031-07-01")))
    assert len(found.raise_it) >= 3
    shares = [float(line.rsplit(":", 1)[1].strip(" %.")) for line in found.raise_it if "nothing found" in line]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > 100 * found.free


def test_a_hundred_introductions_a_year_are_said_to_level_off():
    found = free(vale(*hives("A03", 40), *looks("A03", 10, "2031-07-01")), ProofAsk(introduction=0.5))
    assert "levels off" in found.raise_it[-1]


# With two hives and design 2 both are infected: found unless both looks miss.
def test_a_design_of_two():
    situation = vale(*hives("A03", 2), *looks("A03", 2, "2031-07-01"))
    one = free(situation, CLOSED, 2).sensitivity
    both = free(situation, ProofAsk(design=2, introduction=0.0), 2).sensitivity
    assert both == pytest.approx(1 - (1 - one) ** 2, abs=1e-12)


def test_a_firm_is_the_mean_of_its_hives():
    situation = vale(*hives("A03", 30), *hives("A11", 10), *looks("A03", 30, "2031-07-01"))
    whole = Group(name="firm", level="firm", since={**group(30).since, **group(10, "A11").since})
    plan = proof(situation, P, [whole, group(30), group(10, "A11")], TODAY, 46.0, CLOSED)
    firm, large, small = (each.sensitivity for each in plan.groups)
    assert firm == pytest.approx((30 * large + 10 * small) / 40, abs=1e-12)


def test_a_place_without_hives_is_refused():
    with pytest.raises(UserError, match="No living hive"):
        proof(vale(), P, [Group(name="A99", level="apiary", since={})], TODAY)


# Simulated populations: 40 hives, one infected at the start in half of them, others catching it later; 30 hives looked
# at on 1 July, all on 28 July, a look 0.9. Of those in which nothing is found, as many are free as the proof says.
@pytest.mark.parametrize("early", [False, True])
def test_the_stated_freedom_is_met_in_simulated_populations(early: bool):
    hives_, runs, yearly = 40, 60_000, 0.02
    situation = vale(*hives("A03", 40), *looks("A03", 30, "2031-07-01"), *looks("A03", 40, "2031-07-28"))
    stated = free(situation, ProofAsk(introduction=yearly, standstill=False)).free
    rng = np.random.default_rng(11)
    ends = [(end - SINCE).days for end in (date(2031, 4, 30), date(2031, 5, 31), date(2031, 6, 30), date(2031, 7, 31))]
    caught = np.full((runs, hives_), np.inf)  # day of infection of each hive
    sick = rng.random(runs) < 0.5
    caught[np.flatnonzero(sick), rng.integers(0, hives_, runs)[sick]] = 0.0
    for end in ends:  # the model lets it come in at the end of a month, the truth at any day of it
        came = rng.random((runs, hives_)) < 1 - (1 - yearly) ** (1 / 12)
        day = end - rng.random((runs, hives_)) * 30 if early else float(end)
        caught = np.where(came & np.isinf(caught), day, caught)
    wait = np.maximum(rng.gamma(1.58, 1.81, (runs, hives_)) * 30.4375, 12.5)
    found = np.zeros(runs, dtype=bool)
    for at, number in (((date(2031, 7, 1) - SINCE).days, 30), ((date(2031, 7, 28) - SINCE).days, 40)):
        seen = (caught + wait <= at) & (rng.random((runs, hives_)) < 0.9)
        found |= seen[:, :number].any(axis=1)
    left = np.isinf(caught[~found]).all(axis=1)
    error = 4 * np.sqrt(left.mean() * (1 - left.mean()) / left.size)
    assert left.mean() >= stated - error
    if not early:
        assert left.mean() == pytest.approx(stated, abs=error + 0.003)  # more than one introduction is not counted
