"""Fire site: heat of the load by hand, distances against a numerical flame, loadings, and flames away from petrol."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from math import pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.stories import vale_night as vn
from tests.stories.vale import PLACE, record

from ashcomb.kernel.errors import UserError
from ashcomb.plans.fire_ground import Ground
from ashcomb.plans.fire_load import MATERIALS
from ashcomb.plans.fire_site import FireOrder, fire_site_plan
from ashcomb.records.places import Component
from ashcomb.records.situation import situation_of
from ashcomb.sources.profile import load_profile

ORDER = FireOrder(apiary="A07", hives=vn.MARKS, now=datetime(2031, 5, 15, 9, tzinfo=PLACE), length_m=3.0, width_m=1.5,
                  depth_m=1.2, temperature_c=15.0)  # fmt: skip
NIGHT = vn.night()


def plan(situation=NIGHT, **changed):
    return fire_site_plan(situation, vn.ORROW, replace(ORDER, **changed))


def weighed(material="wood"):
    """One hive whose parts are weighed: 2 boxes of 4.6 kg, 18 frames of 0.8 kg, 10 kg honey."""
    parts = [record(Component, vn.NIGHT, hive="A07-01", component="box", count=2, mass_kg=4.6, material=material),
             record(Component, vn.NIGHT, hive="A07-01", component="frame", count=18, mass_kg=0.8, honey_kg=10.0),
             record(Component, vn.NIGHT, hive="A07-01", component="excluder", count=1, mass_kg=0.7,
                    material="metal")]  # fmt: skip
    return situation_of([*vn.yard(), *parts])


def test_heat_of_a_weighed_hive_by_hand():
    """Wood 9.2 + 18 x (0.8 - 0.2) = 20 kg at 16.25 MJ/kg (18.8 x 0.88 - 2.44 x 0.12, a wood handbook), wax 3.6 kg at
    41.1, honey 10 kg at 11.3, petrol 0.185 kg at 43.7 (fuel table of NUREG-1805); metal gives nothing."""
    found = plan(weighed(), hives=("A07-01",))
    masses = dict(zip(MATERIALS, found.masses_kg, strict=True))
    assert masses == pytest.approx({"wood": 20.0, "wax": 3.6, "honey": 10, "plastic": 0, "foam": 0, "petrol": 0.185})
    assert found.energy_mj == pytest.approx(20 * 16.2512 + 3.6 * 41.1 + 10 * 11.3 + 0.185 * 43.7)
    assert found.loads[0].unweighed == ()


def test_plastic_and_foam_burn_hotter_and_are_named():
    foam = plan(weighed("foam"), hives=("A07-01",))
    assert foam.loads[0].of("foam") == pytest.approx(9.2)
    assert any("9.2 kg of foam" in words for words in foam.warnings)
    assert foam.energy_mj > plan(weighed(), hives=("A07-01",)).energy_mj


def _numerical_view(distance: float, diameter: float, height: float) -> float:
    """View factor of a small ground target to an upright cylinder, by adding up its surface: no formula of the project.

    The target is turned to the direction in which it sees most.
    """
    radius = diameter / 2
    around, up = np.linspace(-pi, pi, 2001)[:-1] + pi / 2000, (np.arange(400) + 0.5) / 400 * height
    angle, z = np.meshgrid(around, up)
    x, y = radius * np.cos(angle), radius * np.sin(angle)
    away = np.array([distance - x, -y, -z])
    length = np.sqrt((away**2).sum(0))
    facing = np.maximum(0, (np.cos(angle) * away[0] + np.sin(angle) * away[1]) / length)
    patch = radius * (2 * pi / 2000) * (height / 400) * facing / (pi * length**2)
    toward = np.array([(-away[n] / length * patch).sum() for n in (0, 2)])  # level and upright parts of what it sees
    return float(np.hypot(*toward))


def test_the_flame_distances_against_a_numerical_flame():
    """The emissive power is Shokri and Beyler's (from memory); what the target sees is added up patch by patch."""
    stage = plan().stage
    wide = sqrt(4 * 4.5 / pi)
    for kept in (stage.people, stage.bare_earth, stage.buildings):
        seen = 58 * 10 ** (-0.00823 * wide) * _numerical_view(kept.solid_m, wide, stage.flame_m)
        assert seen == pytest.approx(kept.flux_kw_m2, rel=0.01)
        sphere = 4 * pi * kept.point_m**2
        assert 0.35 * stage.heat_kw / sphere == pytest.approx(kept.flux_kw_m2)  # equation 5-1 of NUREG-1805


def test_the_greater_of_every_pair_counts():
    stage = plan().stage
    assert stage.heat_kw == max(stage.crib_kw, stage.stack_kw)
    assert stage.flame_m == max(stage.flames_m)
    assert stage.people.distance_m == max(stage.people.point_m, stage.people.solid_m)
    bare = stage.bare_earth
    assert bare.floor_m == pytest.approx(max(3.0, 1.5 * stage.flame_m))
    assert bare.distance_m == max(bare.point_m, bare.solid_m, bare.floor_m)
    assert stage.buildings.distance_m >= 15  # the profile and the fire codes


@settings(max_examples=20, deadline=None)
@given(st.integers(1, 13), st.floats(1, 6), st.floats(1, 4))
def test_more_hives_at_once_never_need_less_room(hives: int, length: float, width: float):
    size = {"length_m": length, "width_m": width, "depth_m": 3.0}
    few, more = (plan(at_once=n, **size) for n in (hives, hives + 1))
    for name in ("people", "bare_earth", "buildings"):
        assert getattr(more.stage, name).distance_m >= getattr(few.stage, name).distance_m - 1e-6
    assert more.stages <= few.stages
    assert few.stages * few.stage.hives >= 14


@pytest.mark.parametrize("ground", [Ground(room_m=12.0), Ground(bare_m=8.0), Ground(building_m=15.0, bare_m=7.5)])
def test_fewer_hives_at_a_time_where_the_place_is_small(ground: Ground):
    found = plan(ground=ground)
    assert found.fits
    assert 1 <= found.stage.hives < 14
    assert not plan(at_once=found.stage.hives + 1, ground=ground).fits


def test_a_place_that_is_too_small_says_so_and_a_heap_stays_below_the_rim():
    near = plan(ground=Ground(building_m=10.0))
    assert not near.fits
    assert "10 m distance to buildings" in near.verdict
    shallow = plan(depth_m=0.3)
    assert shallow.stage.heap_m <= 0.3
    assert shallow.stages > 1


def test_the_rule_is_the_floor_of_the_exclusion_and_the_estimates_are_beside_it():
    """Briggs' class F by hand: x with rate / (pi u 0.04 x 0.016 x) at the limit, correction terms left out (< 1 %)."""
    away = plan().exclusion
    assert away.distance_m == away.floor_m == 20
    assert away.fuel_kg == pytest.approx(14 * 0.25 * 1.25 / 4.375 * 4.5 * 0.74)  # 4.5 L carried, more than 3.5 L poured
    volume = away.fuel_kg / (0.012 * 101325 * 0.066 / (8.314462618 * 288.15))
    assert away.cloud_m == pytest.approx((3 * volume / (2 * pi)) ** (1 / 3), rel=1e-6)
    assert away.layer_m == pytest.approx(sqrt(volume / (pi * 0.3)), rel=1e-6)
    assert away.reading_m / away.plume_m == pytest.approx(sqrt(10), rel=0.02)  # ten times thinner, both spreads ~ x
    drums = plan(on_site_l=200.0)
    assert drums.exclusion.distance_m > 20
    assert not drums.fits
    assert any("200 L on the site" in gate.why and not gate.met for gate in drums.gates)


def test_without_petrol_there_is_only_the_rule():
    blank = fire_site_plan(NIGHT, load_profile("blank"), ORDER)
    assert blank.fuel is None
    assert blank.stage.flash is None
    assert blank.exclusion.distance_m == 20  # published distance, the profile has none
    assert blank.exclusion.layer_m == 0


@pytest.mark.parametrize(
    ("ground", "words"),
    [
        (Ground(), "must lie above"),
        (Ground(pit_is="below"), "vapour runs into it"),
        (Ground(pit_is="level"), "vapour may lie in it"),
        (Ground(hives_m=12.0), "inside the 20 m without flame"),
        (Ground(slope_percent=None), "slope of the ground was not measured"),
        (Ground(building_m=50.0), "Not measured: bare earth"),
    ],
)
def test_slope_and_place_warn(ground: Ground, words: str):
    assert any(words in warning for warning in plan(ground=ground).warnings)


def test_it_never_says_that_it_is_safe():
    found = plan(ground=Ground(building_m=80, bare_m=30, room_m=60, hives_m=40, pit_is="above", slope_percent=1))
    assert found.fits
    assert "says nothing about lighting" in found.verdict
    assert any("flash" in words for words in found.warnings)
    assert any("shields nothing" in words for words in found.assumptions)
    assert not any("safe" in words for words in (*found.warnings, found.verdict))


TINY = {"length_m": 0.2, "width_m": 0.1}  # a heap of many metres


@pytest.mark.parametrize("wrong", [{"depth_m": 0.0}, {"at_once": 0}, {"hives": ("A12-01",)}, TINY])
def test_what_cannot_be_planned_is_refused(wrong: dict):
    with pytest.raises(UserError):
        plan(**wrong)


@pytest.mark.parametrize(
    "wrong",
    [
        {"petrol_ml": -1.0},
        {"on_site_l": -1.0},
        {"ground": Ground(building_m=-3.0)},
        {"ground": Ground(hives_deg=400.0)},
    ],
)
def test_what_cannot_be_is_refused(wrong: dict):
    with pytest.raises(UserError):
        plan(**wrong)
