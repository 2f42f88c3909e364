"""Laws that petrol vapour must keep whatever the numbers."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ashcomb.science.evaporation import leaking_hive, open_comb_left, open_comb_minutes
from ashcomb.science.vapour import sealed_hive
from ashcomb.science.vapour_distance import cloud_m3, hemisphere_m, pancake_m, plume_distance_m

fuel = st.floats(0.001, 5.0)
warmth = st.floats(-5.0, 40.0)
wind = st.floats(0.05, 20.0)
area = st.floats(0.01, 5.0)
air = st.floats(1.0, 500.0)
more = st.floats(1.0, 20.0)
left = st.floats(0.001, 0.999)


@given(fuel, warmth, st.floats(0.05, 1.0), area, left, more)
def test_more_wind_never_lengthens_evaporation(fuel, warmth, wind, area, left, more):
    calm, windy = open_comb_minutes(fuel, warmth, np.array([wind, wind * more]), area, left)
    assert windy <= calm * (1 + 1e-9)


@given(fuel, st.floats(-5.0, 39.0), wind, area, left)
def test_warmth_never_lengthens_evaporation(fuel, warmth, wind, area, left):
    cool, warm = open_comb_minutes(fuel, np.array([warmth, warmth + 1]), wind, area, left)
    assert warm <= cool


@given(st.floats(0.001, 0.9), more, warmth, wind, area, st.floats(0.0, 1e4))
def test_more_fuel_never_leaves_less(fuel, more, warmth, wind, area, minutes):
    masses = np.array([fuel, fuel * more])
    kept = masses * open_comb_left(masses, warmth, wind, area, minutes)
    assert kept[1] >= kept[0] * (1 - 1e-9)


@given(fuel, warmth, wind, area, left)
def test_time_and_what_is_left_are_each_others_inverse(fuel, warmth, wind, area, left):
    minutes = open_comb_minutes(fuel, warmth, wind, area, left)
    assert np.isclose(open_comb_left(fuel, warmth, wind, area, np.minimum(minutes, 1e6)), left) or minutes > 1e6


@given(fuel, air, warmth, more)
def test_more_fuel_in_a_sealed_hive(fuel, air, warmth, more):
    hive = sealed_hive(np.array([fuel, min(fuel * more, 20.0)]), air, warmth)
    assert hive.vapour_vol_pct[1] >= hive.vapour_vol_pct[0] * (1 - 1e-9)
    assert hive.evaporated_share[1] <= hive.evaporated_share[0] * (1 + 1e-9)
    assert np.all((hive.evaporated_share >= 0) & (hive.evaporated_share <= 1 + 1e-9))


@given(fuel, air, warmth, more)
def test_a_larger_hive_takes_up_more_and_is_thinner(fuel, air, warmth, more):
    hive = sealed_hive(fuel, np.array([air, air * (1 + more / 20)]), warmth)
    assert hive.evaporated_share[1] >= hive.evaporated_share[0] * (1 - 1e-9)
    assert hive.vapour_vol_pct[1] <= hive.vapour_vol_pct[0] * (1 + 1e-9)


@given(st.floats(0.05, 1.0), st.floats(10.0, 100.0), st.floats(20.0, 1000.0), warmth)
def test_leaks_empty_a_hive_and_time_scales_with_their_inverse(fuel, air, exchange, warmth):
    hours = np.array([0.0, 0.5, 2.0, 8.0])
    slow, fast = (
        leaking_hive(fuel, air, exchange, warmth, hours),
        leaking_hive(fuel, air, 4 * exchange, warmth, hours / 4),
    )
    assert np.all(np.diff(slow.left_share) < 0)
    assert np.all(slow.liquid_share <= slow.left_share)
    assert np.allclose(slow.left_share, fast.left_share, rtol=1e-4)


def test_hours_may_come_in_any_order():
    rising, mixed = (
        leaking_hive(0.144, 30.0, 200.0, 20.0, [1.0, 3.0]),
        leaking_hive(0.144, 30.0, 200.0, 20.0, [3.0, 1.0, 3.0]),
    )
    assert np.allclose(mixed.left_share, rising.left_share[[1, 0, 1]], rtol=1e-5)


@given(st.floats(1e-5, 1.0), st.floats(0.5, 20.0), st.floats(1e-4, 0.1), more, st.sampled_from(["stable", "neutral"]))
def test_plume_reaches_further_with_more_vapour_and_less_wind(rate, wind, limit, more, state):
    near, far = plume_distance_m(np.array([rate, min(rate * more, 10.0)]), wind, limit, state)
    assert far >= near
    calm, windy = plume_distance_m(rate, np.array([0.5, wind]), limit, state)
    assert windy <= calm


@given(st.floats(0.0, 100.0), st.floats(0.001, 1.0))
def test_shapes_hold_the_cloud(mass, limit):
    volume = cloud_m3(mass, limit)
    assert np.isclose(2 / 3 * np.pi * hemisphere_m(volume) ** 3, volume)
    assert np.isclose(np.pi * pancake_m(volume, 0.3) ** 2 * 0.3, volume)
