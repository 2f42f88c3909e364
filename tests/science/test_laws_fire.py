"""Laws that fire, radiation and fire danger must keep whatever the numbers."""

from __future__ import annotations

import numpy as np
from hypothesis import assume, given
from hypothesis import strategies as st

from ashcomb.science.fire import crib_kg_s, flame_height_m, pool_kw
from ashcomb.science.fireweather import drought_factor_griffiths, ffdi, gfdi_mark_3, gfdi_mark_4, gfdi_mark_5
from ashcomb.science.fwi import fire_weather_day
from ashcomb.science.radiation import (
    point_source_kw_m2,
    point_source_m,
    skin_seconds,
    solid_flame_kw_m2,
    solid_flame_m,
    stand_off_m,
    view_factor,
)

heat = st.floats(1.0, 1e5)
flux = st.floats(0.1, 50.0)
width = st.floats(0.1, 10.0)
tall = st.floats(0.1, 20.0)
near = st.floats(1.05, 50.0)
warmth = st.floats(0.0, 45.0)
humid = st.floats(0.0, 99.0)
wind = st.floats(0.0, 90.0)


@given(heat, st.floats(0.1, 100.0), st.floats(1.0, 50.0))
def test_flux_falls_with_distance(heat, distance, more):
    close, away = point_source_kw_m2(heat, 0.35, np.array([distance, distance * more]))
    assert away <= close


@given(width, tall, near, st.floats(1.01, 10.0))
def test_flame_flux_falls_with_distance_and_never_passes_the_flame(width, tall, near, more):
    distance = width / 2 * np.array([near, near * more])
    close, away = solid_flame_kw_m2(distance, width, tall)
    assert away <= close * (1 + 1e-9)
    assert 0 <= float(view_factor(distance[0], width, tall)) <= 1


@given(width, tall, near, st.floats(1.0, 5.0))
def test_a_taller_flame_is_seen_larger(width, tall, near, more):
    low, high = view_factor(width / 2 * near, width, np.array([tall, tall * more]))
    assert high >= low * (1 - 1e-7)


@given(heat, flux)
def test_distance_and_flux_are_each_others_inverse(heat, flux):
    assert np.isclose(point_source_kw_m2(heat, 0.35, np.clip(point_source_m(heat, 0.35, flux), 0.01, 1e4)), flux)


@given(width, tall, flux)
def test_flame_distance_gives_the_flux(width, tall, flux):
    found = solid_flame_m(width, tall, flux)
    assume(found > width / 2 * 1.001)
    assert np.isclose(solid_flame_kw_m2(found, width, tall), flux, rtol=1e-5)


@given(st.floats(1.0, 12.0), st.floats(1.0, 12.0))
def test_stronger_radiation_hurts_sooner_and_pain_comes_before_the_burn(one, other):
    pain, burn = skin_seconds(np.sort([one, other]))
    assert pain[1] <= pain[0]
    assert burn[1] <= burn[0]
    assert np.all(pain < burn)


@given(heat, st.floats(1.0, 10.0), st.floats(0.0, 10.0))
def test_a_hotter_fire_never_lets_anybody_closer(heat, more, tall):
    off = stand_off_m(np.array([heat, heat * more]), tall)
    for each in (off.people_m, off.bare_earth_m, off.buildings_m):
        assert each[1] >= each[0]


@given(st.floats(0.01, 100.0), st.floats(1.0, 5.0))
def test_a_wider_pool_burns_harder(area, more):
    small, large = pool_kw(np.array([area, area * more]), 0.055, 43.7, 2.1)
    assert large >= small


@given(heat, width)
def test_flames_have_no_negative_height(heat, width):
    assert flame_height_m(heat, width) >= 0


@given(st.floats(1.0, 500.0), st.floats(0.005, 0.1), st.floats(0.0, 1.0), st.floats(0.001, 0.1), st.floats(0.1, 3.0))
def test_a_crib_never_burns_faster_than_either_limit(mass, stick, left, gap, height):
    rate = crib_kg_s(mass, stick, left, gap, height)
    assert rate <= crib_kg_s(mass, stick, 1.0, gap, height) * (1 + 1e-12)
    assert rate <= crib_kg_s(mass, stick, left, 1.0, 0.01) * (1 + 1e-12)


@given(st.floats(0.1, 10.0), warmth, humid, wind, st.floats(0.0, 30.0))
def test_wind_heat_and_drought_raise_forest_danger_and_damp_lowers_it(factor, warm, humid, wind, more):
    base = ffdi(factor, warm, humid, wind)
    assert ffdi(factor, warm, humid, wind + more) >= base
    assert ffdi(factor, min(warm + more, 55.0), humid, wind) >= base
    assert ffdi(min(factor + more, 10.0), warm, humid, wind) >= base
    assert ffdi(factor, warm, min(humid + more, 100.0), wind) <= base


@given(st.floats(40.0, 99.0), warmth, humid, wind, st.floats(0.0, 30.0))
def test_wind_never_lowers_grass_danger(curing, warm, humid, wind, more):
    for index in (gfdi_mark_3, lambda *a: gfdi_mark_4(4.5, *a), lambda *a: gfdi_mark_5(4.5, *a)):
        assert index(curing, warm, humid, wind + more) >= index(curing, warm, humid, wind)


@given(st.floats(0.0, 203.2), st.floats(0.0, 20.0), st.floats(0.0, 200.0), st.floats(0.0, 50.0))
def test_more_rain_never_raises_the_drought_factor(deficit, days, rain, more):
    assert drought_factor_griffiths(deficit, days, rain + more) <= drought_factor_griffiths(deficit, days, rain) + 1e-12


@given(st.floats(0.0, 101.0), st.floats(0.0, 300.0), st.floats(0.0, 1000.0), warmth, humid, wind, st.floats(0.0, 80.0))
def test_fire_weather_codes_stay_in_their_ranges_and_wind_never_calms(ffmc, dmc, dc, warm, humid, wind, rain):
    calm, windy = (fire_weather_day(ffmc, dmc, dc, warm, humid, speed, rain, 7, 48.0) for speed in (wind, wind + 5))
    assert 0 <= calm.ffmc <= 101
    assert min(calm.dmc, calm.dc, calm.isi, calm.bui, calm.fwi) >= 0
    assert windy.dmc == calm.dmc
    assert windy.dc == calm.dc


@given(st.floats(0.0, 101.0), warmth, humid, wind)
def test_a_whole_country_at_once_is_the_same_as_place_by_place(ffmc, warm, humid, wind):
    rain = np.array([0.0, 0.4, 2.0, 20.0])
    together = fire_weather_day(
        ffmc, 20.0, 100.0, warm, humid, wind, rain, np.array([1, 4, 7, 10]), np.array([-40.0, -15.0, 5.0, 60.0])
    )
    for i, (month, latitude) in enumerate(((1, -40.0), (4, -15.0), (7, 5.0), (10, 60.0))):
        alone = fire_weather_day(ffmc, 20.0, 100.0, warm, humid, wind, rain[i], month, latitude)
        assert np.isclose(together.fwi[i], alone.fwi)
