"""Laws that pits and nights must keep whatever the numbers."""

from __future__ import annotations

from datetime import date, timedelta

import astronomy
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ashcomb.kernel.errors import UserError
from ashcomb.science.formula import REGISTRY
from ashcomb.science.pit import battered_pit_m3, cone_pit_m3, cover_m3, needed_depth_m, round_pit_m3, trench_m3
from ashcomb.science.sun import sun_night

side = st.floats(0.1, 20.0)
deep = st.floats(0.01, 5.0)
slope = st.floats(0.0, 2.0)


@given(st.floats(0.1, 100.0), st.floats(0.0, 2.0), st.floats(0.0, 2.0))
def test_deeper_cover_never_needs_less_soil(area, cover, more):
    thin, thick = cover_m3(area, np.array([cover, cover + more]), 0.15)
    assert thick >= thin


@given(st.floats(0.0, 50.0), st.floats(0.1, 50.0), st.floats(0.0, 2.0), st.floats(0.0, 2.0))
def test_deeper_cover_never_makes_a_shallower_pit(heap, area, cover, more):
    thin, thick = needed_depth_m(heap, area, np.array([cover, cover + more]), 0.15)
    assert thick >= thin


@given(side, side, deep, slope)
def test_sloped_walls_only_add(length, width, depth, slope):
    box, battered = length * width * depth, battered_pit_m3(length, width, depth, slope)
    trench = trench_m3(length, width, depth, slope)
    assert box <= trench * (1 + 1e-12)
    assert trench <= battered * (1 + 1e-12)
    assert np.isclose(battered_pit_m3(length, width, depth, 0.0), box)


@given(side, deep)
def test_a_cone_without_slope_is_a_cylinder(radius, depth):
    assert np.isclose(cone_pit_m3(radius, radius, depth), round_pit_m3(2 * radius, depth))


@settings(max_examples=60)
@given(st.floats(-89.0, 89.0), st.floats(-180.0, 180.0), st.dates(date(2000, 1, 1), date(2060, 12, 31)))
def test_a_night_is_in_order_and_the_sun_stands_where_it_says(latitude, longitude, day):
    night = sun_night(latitude, longitude, "UTC", day)
    order = [night.sunset, night.civil_dusk, night.nautical_dusk, night.sun_lowest]
    order += [night.nautical_dawn, night.civil_dawn, night.sunrise]
    known = [moment for moment in order if moment]
    assert known == sorted(known)
    for moment, altitude in (
        (night.sunset, -5 / 6),
        (night.civil_dusk, -6),
        (night.civil_dawn, -6),
        (night.sunrise, -5 / 6),
    ):
        if moment:
            assert _altitude(latitude, longitude, moment) == pytest.approx(altitude, abs=0.02)
    for moment, altitude in ((night.sunset, -5 / 6), (night.civil_dusk, -6)):
        noon = _altitude(latitude, longitude, night.sun_lowest - timedelta(hours=12))
        if not moment:
            assert night.sun_lowest_deg > altitude - 0.3 or noon < altitude + 0.3


def _altitude(latitude: float, longitude: float, moment) -> float:
    """Altitude of the sun without refraction, from astronomy-engine."""
    time = astronomy.Time.Make(moment.year, moment.month, moment.day, moment.hour, moment.minute, moment.second)
    observer = astronomy.Observer(latitude, longitude, 0)
    sun = astronomy.Equator(astronomy.Body.Sun, time, observer, True, True)
    return astronomy.Horizon(time, observer, sun.ra, sun.dec, astronomy.Refraction.Airless).altitude


def test_whatever_touches_fuel_fire_digging_or_night_warns():
    unwarned = {
        name
        for name, each in REGISTRY.items()
        if each.function.__module__.rsplit(".", 1)[-1]
        in (
            "sun",
            "vapour",
            "evaporation",
            "vapour_distance",
            "mixture",
            "fire",
            "radiation",
            "fireweather",
            "fwi",
            "pit",
        )
        and not each.caution
    }
    assert unwarned <= {"honey_l", "layer_mm", "loose_comb_m3"}  # the load alone, without fire or pit


def test_no_caution_says_that_anything_is_safe():
    for each in REGISTRY.values():
        assert "it is safe" not in each.caution.replace("never says that it is safe", "")


@pytest.mark.parametrize(("cover", "settle"), [(-0.1, 0.0), (0.3, 0.9), (float("nan"), 0.0)])
def test_refuses_what_is_out_of_range(cover, settle):
    with pytest.raises(UserError, match="outside the valid range"):
        cover_m3(4.5, cover, settle)
