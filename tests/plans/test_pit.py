"""Pit plan: what does not fit, what would, what stands too near. Figures worked out by hand beside each check."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.stories import vale_night as vn
from tests.stories.vale import record

from ashcomb.kernel.errors import UserError
from ashcomb.plans.pit import PitOrder, pit_plan
from ashcomb.plans.pit_site import Site
from ashcomb.records.places import Component
from ashcomb.records.situation import situation_of

ORDER = PitOrder(hives=vn.MARKS, length_m=3.0, width_m=1.5, depth_m=1.0)
CLEAR = Site(well_m=400, watercourse_m=120, field_drain_m=30, building_m=60, dry_m=2, slope_percent=1,
             services_searched=True)  # fmt: skip
NIGHT = vn.night()


def plan(**changed):
    return pit_plan(NIGHT, vn.ORROW, replace(ORDER, **changed))


def test_a_deep_enough_pit_fits_and_says_nothing_about_lighting():
    found = plan()
    assert found.fits
    assert found.would == ()
    assert found.needed_depth_m == pytest.approx(0.45)  # 0.30 m cover + 0.15 m ash; the heap is 1.63 / 4.5 = 0.36 m
    assert "nothing about lighting" in found.verdict


def test_digging():
    """3 x 1.5 x 1 m = 4.5 m³; two people at 0.2 m³/h = 11.25 h by day, / 0.7 in the dark."""
    assert plan().dug_m3 == pytest.approx(4.5)
    assert plan().hours == pytest.approx(11.25)
    assert plan(dark=True).hours == pytest.approx(11.25 / 0.7)
    assert plan().spoil_m3 == pytest.approx(4.5 * 1.25)


def test_too_shallow_does_not_fit_and_says_what_would():
    found = plan(depth_m=0.4)
    assert not found.fits
    assert found.verdict.startswith("Does not fit here.")
    assert any("0.45 m deep" in words for words in found.would)


def test_a_small_floor_asks_for_a_larger_one_or_slow_feeding():
    """1.631 m³ on 1 m² is a heap of 1.63 m; at 1 m depth 1.64 m² hold it; fed slowly 1.631 x 0.6 / 1.4 = 0.70 m."""
    found = plan(length_m=1.0, width_m=1.0)
    assert not found.fits
    assert any("1.64 m² at 1 m" in words for words in found.would)
    assert any("0.70 m is deep enough" in words for words in found.would)
    assert plan(length_m=1.0, width_m=1.0, fed=True).fits


def test_nobody_enters_a_pit_beyond_the_limit():
    found = plan(depth_m=1.5, entered=True)
    assert not found.fits
    assert any("1.2 m" in words for words in found.against)
    assert any(words.startswith("Nobody enters") for words in found.would)
    assert plan(depth_m=1.5).fits
    assert plan(depth_m=1.5, entered=True, supported=True).fits
    assert plan(depth_m=1.2, entered=True).fits


def test_a_measured_good_place_has_no_warning():
    assert plan(site=CLEAR).warnings == ()


@pytest.mark.parametrize(
    ("near", "words"),
    [
        ({"well_m": 240}, "240 m to a well"),  # 250 m asked: English guidance for burials
        ({"watercourse_m": 49}, "49 m to open water"),
        ({"building_m": 14}, "14 m to buildings"),
        ({"dry_m": 0.5}, "0.5 m to the water table"),
        ({"slope_percent": 4}, "slopes 4 %"),  # passes below 5 %, warned above 2 %: New South Wales, dead stock
        ({"slope_percent": 5}, "should be below 5 %"),
        ({"well_m": None}, "was not measured"),
        ({"services_searched": False}, "buried cables"),
    ],
)
def test_what_is_near_warns_and_never_blocks(near: dict, words: str):
    found = plan(site=replace(CLEAR, **near))
    assert [words in warning for warning in found.warnings] == [True]
    assert found.fits


def test_exactly_the_asked_distance_is_far_enough():
    assert plan(site=replace(CLEAR, well_m=250)).warnings == ()


def test_plastic_frames_are_named():
    plastic = record(Component, vn.NIGHT, hive="A07-01", component="frame", count=1, material="plastic")
    found = pit_plan(vn.night(plastic), vn.ORROW, replace(ORDER, site=CLEAR))
    assert any("Frames of plastic" in warning for warning in found.warnings)


def test_uncounted_hives_are_refused_and_unweighed_ones_named():
    with pytest.raises(UserError, match="A12-01"):
        pit_plan(NIGHT, vn.ORROW, replace(ORDER, hives=("A12-01",)))
    light = [replace(r, honey_kg=None) if isinstance(r, Component) and r.hive == "A07-04" else r for r in vn.parts()]
    found = pit_plan(situation_of([*vn.yard(), *light]), vn.ORROW, ORDER)
    assert found.load.unweighed == ("A07-04",)
    assert any("A07-04" in words for words in found.assumptions)


@pytest.mark.parametrize("wrong", [{"depth_m": 0.0}, {"people": 0}, {"width_m": -1.0}])
def test_no_pit_at_all_is_refused(wrong: dict):
    with pytest.raises(UserError):
        plan(**wrong)


@given(st.floats(0.3, 6), st.floats(0.3, 6), st.floats(0.1, 3), st.booleans(), st.booleans())
def test_what_it_says_would_fit_fits(length: float, width: float, depth: float, entered: bool, fed: bool):
    size = {"length_m": length, "width_m": width, "entered": entered, "fed": fed}
    found = plan(depth_m=depth, **size)
    assert found.fits == (not found.against)
    assert bool(found.would) == (not found.fits)
    for words in found.would:
        if deeper := re.match(r"This floor, (.*) m deep", words):
            assert plan(**{**size, "depth_m": float(deeper[1])}).fits
        if wider := re.match(r"A floor of (.*) m² at (.*) m depth", words):
            side = {"length_m": float(wider[1]), "width_m": 1.0, "depth_m": float(wider[2])}
            assert plan(**{**size, **side}).fits
        if slower := re.match(r"Combs fed .*: (.*) m is deep enough", words):
            outside = {"fed": True, "entered": False, "depth_m": float(slower[1])}
            assert plan(**{**size, **outside}).fits


@pytest.mark.parametrize("wrong", [{"well_m": -4.0}, {"slope_percent": float("nan")}, {"building_m": float("inf")}])
def test_what_cannot_be_measured_is_refused(wrong: dict):
    with pytest.raises(UserError, match="cannot be measured"):
        plan(site=Site(**wrong))
