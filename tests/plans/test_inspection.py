"""Worth of looks: against a hypergeometric distribution of an outside library, and what the apiary summary says."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import hypergeom
from tests.stories.vale import hives, looks, profile, record, vale

from ashcomb.kernel.errors import UserError
from ashcomb.plans.inspection import InspectionPlan, inspection
from ashcomb.plans.looks import worth_of
from ashcomb.records.acts import Kill
from ashcomb.records.looks import Inspection
from ashcomb.sources.profile import load_profile

DAY = date(2031, 5, 20)
P = profile("invented")


def look(**seen):
    return record(Inspection, "2031-05-20", hive="A03-01", **{"signs": "none seen", **seen})


def plan(*records, code=P, **more) -> InspectionPlan:
    return inspection(vale(*records), code, "A03", DAY, DAY, **more)


def numbers(**given):
    rest = 'low = 0, high = 100, status = "project choice", reason = "invented"'
    rows = (f'{key} = {{ value = {number}, unit = "{unit}", {rest} }}' for key, (number, unit) in given.items())
    return profile("n", "[values.inspection]\n" + "\n".join(rows) + "\n")


# Independent: chance to draw none of the diseased frames, hypergeometric of scipy.
@given(st.integers(2, 20), st.data())
def test_a_perfect_look_is_a_draw_without_putting_back(frames, data):
    seen = data.draw(st.integers(0, frames))
    found = worth_of(look(brood_frames=frames, frames_seen=seen, frames_shaken=seen), Fraction(1), Fraction(1, 2))
    for diseased, chance in enumerate(found.chances, start=1):
        assert float(chance) == pytest.approx(1 - hypergeom(frames, diseased, seen).pmf(0), abs=1e-12)


# By hand: four of ten frames, two of them with bees on, worth one half: (2 + 2 · 0.5) / 10 = 0.3, noticed with 0.9.
def test_frames_with_bees_on_them_are_worth_half_and_said_to_be_unshaken():
    found = worth_of(look(brood_frames=10, frames_seen=4, frames_shaken=2), Fraction(9, 10), Fraction(1, 2))
    assert found.chances[0] == Fraction(27, 100)
    assert "4 of 10 brood frames seen, 2 of these shaken" in found.words
    assert not found.full


def test_shaking_that_was_not_noted_counts_as_not_done():
    found = worth_of(look(brood_frames=10, frames_seen=10), Fraction(1), Fraction(1, 2))
    assert found.chances[0] == Fraction(1, 2)
    assert "shaking not noted" in found.words


def test_a_look_without_frames_has_no_worth_and_counts_as_none():
    found = plan(*hives("A03", 2), look())
    assert found.looks[0].chances == ()
    assert "its worth is unknown" in found.looks[0].words
    assert found.one_hive == 0
    assert any("count as none" in sentence for sentence in found.reasons)


def test_a_hive_without_brood_shows_nothing():
    found = worth_of(look(brood_frames=0, frames_seen=0), Fraction(1), Fraction(1, 2))
    assert found.chances == (0,)
    assert "no brood" in found.words


# By hand: 30 full looks among 40 hives, each noticing with 0.9: 30 / 40 · 0.9 = 67.5 %.
def test_the_apiary_summary_prints_what_the_round_was_worth():
    found = plan(*hives("A03", 40), *looks("A03", 30, "2031-05-20"))
    assert found.one_hive == Fraction(675, 1000)
    assert any("67.5 %" in sentence for sentence in found.reasons)
    assert len(found.not_looked) == 10
    assert {used.key for used in found.uses} >= {"surveillance.look_sensitivity", "surveillance.unshaken_worth"}


def test_looks_outside_the_round_and_dead_hives_do_not_count():
    dead = record(Kill, "2031-05-14", hive="A03-02", step="dead confirmed")
    found = plan(*hives("A03", 3), *looks("A03", 1, "2031-05-19"), dead)
    assert found.looks == ()
    assert found.standing == ("A03-01", "A03-03")


def test_signs_are_named_and_call_for_every_hive():
    found = plan(*hives("A03", 20), *looks("A03", 1, "2031-05-20", signs="suspect"), code=numbers(fraction=(0.5, "1")))
    assert found.signs == ("A03-01",)
    assert found.asked == 20
    assert any("treat as suspect" in sentence for sentence in found.reasons)


@pytest.mark.parametrize(
    ("hive_count", "given", "asked"),
    [
        (10, {"all_up_to": (10, "hives"), "fraction": (0.5, "1")}, 10),  # Apiary inspection protocol: all up to ten,
        (11, {"all_up_to": (10, "hives"), "fraction": (0.5, "1")}, 6),  # half of more, rounded up
        (400, {"fraction": (0.05, "1"), "min_hives": (10, "hives")}, 20),  # Florida 5B-54.011: 5 %, at least ten
        (40, {"fraction": (0.05, "1"), "min_hives": (10, "hives")}, 10),
        (4, {"fraction": (0.05, "1"), "min_hives": (10, "hives")}, 4),
        (40, {}, None),
    ],
)
def test_how_many_hives_the_profile_asks_for(hive_count, given, asked):
    assert plan(*hives("A03", hive_count), code=numbers(**given) if given else P).asked == asked


# California Food and Agricultural Code: all hives once more than 2 of up to 99, or 2 % of 100 and more, are cases.
@pytest.mark.parametrize(
    ("other", "cased", "all_of_them"), [(87, 2, False), (87, 3, True), (188, 3, False), (188, 4, True)]
)
def test_many_cases_in_the_operation_call_for_every_hive(other, cased, all_of_them):
    own = [*hives("A03", 12), *hives("A11", other), *looks("A11", cased, "2031-05-01", signs="clinical")]
    found = plan(*own, code=load_profile("california"))
    assert (found.asked == 12) is all_of_them


def test_what_is_left_to_do_is_said():
    partial = looks("A03", 2, "2031-05-20", frames_seen=3, frames_shaken=3)
    found = plan(*hives("A03", 4), *partial, code=numbers(all_up_to=(60, "hives")))
    assert any("2 more must be looked at" in sentence for sentence in found.reasons)
    assert any("Look again" in sentence and "A03-01, A03-02" in sentence for sentence in found.reasons)


def test_an_unknown_apiary_is_refused():
    with pytest.raises(UserError, match="not a known apiary"):
        inspection(vale(), P, "X99", DAY, DAY)


def full(hive="A03-01", day="2031-05-20", frames=10, **more):
    taken = {"signs": "none seen", "brood_frames": frames, "frames_seen": frames, "frames_shaken": frames, **more}
    return record(Inspection, day, hive=hive, **taken)


# Arithmetic: 0.9 in daylight, times 0.8 by torch; both figures are the program's own project choices.
def test_poor_light_lowers_the_worth_and_is_named():
    day, torch = (plan(*hives("A03", 1), full(light=light)).looks[0] for light in ("daylight", "by torch"))
    assert (day.chances[0], torch.chances[0]) == (Fraction(9, 10), Fraction(18, 25))
    assert "poor light (by torch): counts 0.8" in torch.note
    assert day.note == ""


# Arithmetic: one cell 0.05, ten cells 1 - 0.95^10 = 0.4013, a hundred would be 0.994 but no frame beats 0.9.
def test_few_cells_are_found_less_often():
    found = plan(*hives("A03", 1), full())
    assert [cells for cells, _ in found.by_cells] == [1, 10, 100]
    assert [float(chance) for _, chance in found.by_cells] == pytest.approx([0.05, 1 - 0.95**10, 0.9], abs=1e-12)
    assert any(
        "If that frame bore few diseased cells: 1 cell 5.0 %, 10 cells 40.1 %" in words for words in found.reasons
    )


# The mean of a Beta distribution: (0.9 * 10 + 0 found) / (10 + 2 missed), common practice for a small record.
def test_an_inspectors_own_record_is_used_and_named():
    sick = [full(f"A03-0{n}", "2031-05-01", inspector="X") for n in (2, 3)]
    cases = [record(Inspection, "2031-05-10", hive=f"A03-0{n}", signs="clinical", inspector="Y", ropy=True, cells=30)
             for n in (2, 3)]  # fmt: skip
    found = plan(*hives("A03", 3), *sick, *cases, full("A03-01", inspector="X"))
    (look,) = found.looks
    assert float(look.chances[0]) == pytest.approx(9 / 12, abs=1e-6)
    assert "own record of X 75.0 %" in look.note


def test_a_winter_look_says_what_it_is_worth_in_the_proof():
    winter = date(2031, 12, 20)
    found = inspection(vale(*hives("A03", 1), full(day="2031-12-20")), P, "A03", winter, winter)
    assert "outside the months with brood" in found.looks[0].note
