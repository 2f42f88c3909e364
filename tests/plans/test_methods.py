"""Methods of detection: sizes by method, pools, what cannot be reached, records read as methods, own records."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import hypergeom
from tests.stories.vale import hives, looks, profile, record, vale

from ashcomb.kernel.errors import UserError
from ashcomb.plans.evidence import findings
from ashcomb.plans.figures import Figures
from ashcomb.plans.inspector_record import own_records
from ashcomb.plans.methods import method, method_named, methods, sizes
from ashcomb.plans.season import Season, season_of
from ashcomb.records.looks import Inspection, LabResult, Sample

P = profile("invented")
NORTH = Season(3, 10)


def test_every_method_keeps_its_chances_in_order():
    for one in methods(Figures(P)):
        assert 0 <= one.before <= one.signs <= 1
        assert one.low <= float(one.signs) <= one.high


# Independent: scipy's hypergeometric, each infected hive in the sample missed with 1 - chance.
def test_the_number_of_each_method_is_the_least():
    plan = sizes(P, 60, 3, 0.95)
    for size in plan.sizes:
        if size.number is None:
            assert 1 - (1 - float(size.found)) ** 3 < 0.95
            continue
        weights = [hypergeom(60, 3, n) for n in (size.number - 1, size.number)]
        below, at = (1 - sum(w.pmf(k) * (1 - float(size.found)) ** k for k in range(4)) for w in weights)
        assert below < 0.95 <= at + 1e-12


def test_what_a_method_cannot_reach_is_said():
    plan = sizes(P, 40, 1, 0.95, visible=Fraction(3, 10))
    look = plan.sizes[0]
    assert look.number is None
    assert "cannot be reached with this method: all 40 hives give 27.0 %" in look.words
    assert "No single method reaches 95.0 %" in plan.answer[0]


def test_a_pool_is_refused_for_what_tests_one_hive():
    with pytest.raises(UserError, match="one hive at a time"):
        method("dog", Figures(P)).pooled(5, Fraction(0))
    with pytest.raises(UserError, match="no method"):
        method("smell", Figures(P))


@given(st.integers(2, 40), st.integers(1, 20))
def test_pools_never_find_more(hives_in_pool, percent_lost):
    one = method("culture", Figures(P))
    assert one.pooled(hives_in_pool, Fraction(percent_lost, 100)).signs <= one.signs


@pytest.mark.parametrize(("words", "material", "key"), [
    ("culture", "adult bees", "culture"), ("culture and PCR", "larvae with signs", "kit"), ("qPCR", "debris", "debris"),
    ("culture", "honey", "honey"), ("Lateral flow", "larva", "kit"), ("Holst milk test", "scale", "milk"),
    ("glance", "bees", ""),
])  # fmt: skip
def test_recorded_words_are_read_as_methods(words, material, key):
    assert method_named(words, material) == key


def test_months_with_brood_turn_with_the_hemisphere():
    assert season_of(Figures(P), 46.0) == NORTH
    south = season_of(Figures(P), -40.0)
    assert (south.first, south.last) == (9, 4)
    assert south.has_brood(date(2031, 1, 5))
    assert not south.has_brood(date(2031, 6, 5))
    assert NORTH.pauses(date(2030, 12, 1), date(2031, 12, 1)) == (
        (date(2030, 11, 1), date(2031, 2, 28)), (date(2031, 11, 1), date(2032, 2, 29)))  # fmt: skip
    assert NORTH.brood(date(2030, 10, 1), date(2031, 3, 31)).months(date(2030, 10, 1), date(2031, 4, 1)) == (
        pytest.approx(62 / 30.4375))  # fmt: skip


def test_looks_without_brood_or_frames_count_as_nothing():
    situation = vale(*hives("A03", 3), *looks("A03", 1, "2031-01-10"), *looks("A03", 2, "2031-05-10"),
                     record(Inspection, "2031-05-12", hive="A03-03", signs="none seen"))  # fmt: skip
    found = findings(situation, Figures(P), ["A03-01", "A03-02", "A03-03"], date(2030, 8, 1), date(2031, 6, 1), NORTH)
    assert [len(found.by_hive.get(f"A03-0{n}", ())) for n in (1, 2, 3)] == [1, 1, 0]
    assert "1 looks fell into months without brood" in found.notes[0]


def test_results_count_on_the_day_of_the_sample_and_weaker_in_a_pool():
    marks = tuple(f"A03-0{n}" for n in range(1, 5))
    situation = vale(*hives("A03", 4),
                     record(Sample, "2031-05-10", mark="S1", hives=marks, material="bees"),
                     record(LabResult, "2031-05-20", sample="S1", method="culture", outcome="not detected"),
                     record(Sample, "2031-05-11", mark="S2", hives=("A03-02",), material="larva"),
                     record(LabResult, "2031-05-12", sample="S2", method="PCR", outcome="positive"))  # fmt: skip
    found = findings(situation, Figures(P), marks, date(2030, 8, 1), date(2031, 6, 1), NORTH)
    (one,) = found.by_hive["A03-01"]
    assert one.day == date(2031, 5, 10)
    assert one.with_signs == pytest.approx(0.95 * 0.95**2)  # two doublings, five in a hundred lost at each
    assert found.signs == ("A03-02",)


# Counts by hand: 2 finds, 1 miss ten days before the signs; with 0.9 counting for ten hives: (9 + 2) / 13.
def test_an_inspectors_own_record_is_counted_from_the_cases():
    sick = {"signs": "clinical"}
    situation = vale(*hives("A03", 3), *looks("A03", 1, "2031-05-01"), *looks("A03", 2, "2031-05-11", **sick),
                     *looks("A03", 3, "2030-06-01"))  # fmt: skip
    (own,) = own_records(situation, Figures(P)).values()
    assert (own.found, own.missed) == (2, 1)
    assert float(own.sensitivity) == pytest.approx(11 / 13, abs=1e-5)
