"""Pit fire against the worksheets of NUREG-1805, measured radiation, and direct integration."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from ashcomb.science.fire import (
    crib_flaming_s,
    crib_kg_s,
    equivalent_diameter_m,
    flame_height_m,
    flame_height_thomas_m,
    load_energy_mj,
    pool_kw,
    pool_seconds,
    stack_kw,
    wood_heat_mj_kg,
)
from ashcomb.science.radiation import (
    point_source_kw_m2,
    point_source_m,
    skin_seconds,
    solid_flame_kw_m2,
    solid_flame_m,
    stand_off_m,
    view_factor,
    view_factor_parts,
)
from ashcomb.sources.library import value

SQUARE_FOOT = 0.09290304


@pytest.mark.parametrize(
    ("square_feet", "rate", "heat", "extinction", "published"),
    [(9.0, 0.039, 46.0, 0.7, 771.52), (9.0, 0.033, 28.0, 2.6, 719.75), (2545.0, 0.045, 44.4, 2.1, 472403.60)],
)
def test_pool_fires_of_the_worksheets(square_feet, rate, heat, extinction, published):
    # NUREG-1805, worksheet 05.1, three filled-in copies: inputs and heat release rate as printed.
    assert float(pool_kw(square_feet * SQUARE_FOOT, rate, heat, extinction)) == pytest.approx(published, rel=1e-4)


def test_lube_oil_pool():
    # NUREG-1805, chapter 3 example: 5 gallons on 9 square feet burn 7.35 min (published value from memory).
    area = 9 * SQUARE_FOOT
    assert float(equivalent_diameter_m(area)) == pytest.approx(1.032, abs=5e-4)
    assert float(pool_seconds(5 * 3.785411784, area, 0.039, 760.0)) / 60 == pytest.approx(7.35, abs=0.01)
    # Flame heights computed by another hand from the same inputs.
    assert float(flame_height_m(771.5, 1.032)) == pytest.approx(2.305, abs=2e-3)
    assert float(flame_height_thomas_m(1.032, 0.039)) == pytest.approx(2.645, abs=5e-3)


def test_a_quarter_litre_of_petrol_is_a_fireball_not_a_lighter():
    # Computed by another hand: 314 kW, flames 1.83 m, 17 s.
    heat = pool_kw(0.2, value("fire.pool_petrol_rate").value, value("fire.petrol").value, 2.1)
    assert float(heat) == pytest.approx(314, abs=1)
    assert float(flame_height_m(heat, equivalent_diameter_m(0.2))) == pytest.approx(1.83, abs=0.01)
    assert float(pool_seconds(0.25, 0.2, 0.055, 740.0)) == pytest.approx(17, abs=0.5)


def test_measured_fire_ring():
    # Urbanski for the Minnesota Pollution Control Agency, aq-ei4-48 (2022): 11 kg of wood at 15 % moisture (dry basis)
    # burned in 55 min; radiometers at 0.69 m read 0.65 (10-20 % moisture) to 3.3 kW/m2 (very dry).
    heat = 11 / 1.15 * value("fire.wood_flaming").value * 1000 / (55 * 60)
    assert heat == pytest.approx(50.7, abs=0.1)
    flux = float(point_source_kw_m2(heat, 0.32, 0.69))
    assert 0.65 < flux < 3.3
    assert flux == pytest.approx(2.71, abs=0.01)


@pytest.mark.parametrize(
    ("area", "height", "heat", "flame", "distances"),
    [
        (1.0, 1.0, 1847, 3.61, {12.5: 2.0, 4.7: 3.3, 2.5: 4.5, 1.6: 5.7}),
        (4.0, 1.2, 8394, 6.4, {12.5: 4.3, 4.7: 7.1, 1.6: 12.1}),
    ],
)
def test_stacks(area, height, heat, flame, distances):
    # Computed by another hand, 12 % moisture, radiative share 0.35.
    found = float(stack_kw(area, height, 12.0))
    assert found == pytest.approx(heat, abs=1)
    assert float(flame_height_m(found, equivalent_diameter_m(area))) == pytest.approx(flame, abs=0.05)
    for flux, distance in distances.items():
        assert float(point_source_m(found, 0.35, flux)) == pytest.approx(distance, abs=0.06)


def test_crib_of_a_hive():
    # Computed by another hand: 30 kg of 20 mm sticks, surface-controlled: 0.138 kg/s, 2.07 MW at 15 MJ/kg, 7 min.
    rate = float(crib_kg_s(30.0, 0.02, 1.0, 1.0, 0.5))
    assert rate == pytest.approx(0.138, abs=5e-4)
    assert rate * 15 == pytest.approx(2.07, abs=0.01)
    assert float(crib_flaming_s(30.0, rate)) / 60 == pytest.approx(7.25, abs=0.1)
    # Tight frames: the gaps decide, 4.4e-4 (S/h)(m/D).
    assert float(crib_kg_s(30.0, 0.02, 1.0, 0.005, 0.5)) == pytest.approx(4.4e-4 * 0.01 * 1500)


def test_a_crib_flames_as_long_as_its_falling_rate_integrated():
    # dm/dt = -r (m/m0)^0.5, stepped by scipy to a ten-thousandth, where 1 % of the time is left.
    run = solve_ivp(lambda _, m: -0.138 * np.sqrt(np.maximum(m, 0) / 30.0), (0, 1e4), [30.0], rtol=1e-9, atol=1e-9,
                    events=_nearly_gone)  # fmt: skip
    assert float(crib_flaming_s(30.0, 0.138)) == pytest.approx(run.t_events[0][0] / 0.99, rel=1e-4)


def _nearly_gone(_: float, mass: np.ndarray) -> float:
    return float(mass[0] - 30.0 * 1e-4)


_nearly_gone.terminal = True  # type: ignore[attr-defined]


def test_heat_of_wood_and_of_a_hive():
    # Nielsen: 18.8 (1 - w) - 2.44 w; at 12 % 16.25 MJ/kg.
    assert float(wood_heat_mj_kg(0.12)) == pytest.approx(16.25, abs=5e-3)
    # 30 kg wood, 2 kg wax, 10 kg honey, 0.185 kg petrol: 692 MJ by hand.
    energy = load_energy_mj(np.array([30, 2, 10, 0.185]), np.array([16, 42, 12, 43.7]))
    assert float(energy) == pytest.approx(692, abs=0.5)


def _integrated(s: float, h: float) -> tuple[float, float]:
    """View factors of a target at s radii from the axis, cylinder h radii high, by Gauss's rule."""
    nodes, weights = np.polynomial.legendre.leggauss(200)
    most = np.arccos(1 / s)
    turn, rise = (nodes + 1) / 2 * most, (nodes + 1) / 2 * h
    cos, sin = np.cos(turn)[:, None], np.sin(turn)[:, None]
    square = (s - cos) ** 2 + sin**2 + rise**2
    leaving = s * cos - 1
    weight = 2 * np.outer(weights, weights) * most * h / 4 / (np.pi * square**2)
    return float((leaving * rise * weight).sum()), float((leaving * (s - cos) * weight).sum())


@pytest.mark.parametrize(("s", "h"), [(3.0, 4.0), (10.0, 8.0), (1.2, 3.0), (2.0, 0.5), (30.0, 5.0), (1.05, 6.0)])
def test_view_factors_against_integration(s, h):
    flat, upright = view_factor_parts(s, 2.0, h)
    assert (float(flat), float(upright)) == pytest.approx(_integrated(s, h), abs=1e-6)


def test_view_factors_that_were_printed():
    # Values with six figures from an independent surface integration.
    assert [float(f) for f in view_factor_parts(3.0, 2.0, 4.0)] == pytest.approx([0.083727, 0.158442], abs=1e-6)
    assert [float(f) for f in view_factor_parts(10.0, 2.0, 8.0)] == pytest.approx([0.013737, 0.038550], abs=1e-6)
    assert float(view_factor(3.0, 2.0, 4.0)) == pytest.approx(np.hypot(0.083727, 0.158442), abs=1e-6)


def test_solid_flame_distance_turns_the_flux_round():
    found = solid_flame_m(1.5, 4.0, np.array([12.5, 4.3, 1.6]))
    np.testing.assert_allclose(solid_flame_kw_m2(found, 1.5, 4.0), [12.5, 4.3, 1.6], rtol=1e-6)


def test_pain_and_burn():
    # FEMA, DOT, EPA: Handbook of Chemical Hazard Analysis Procedures 1989, table 4.2.
    pain, burn = skin_seconds(np.array([1.0, 2, 3, 4, 5, 6, 8, 10, 12]))
    np.testing.assert_allclose(pain, [115, 45, 27, 18, 13, 11, 7, 5, 4])
    np.testing.assert_allclose(burn, [663, 187, 92, 57, 40, 30, 20, 14, 11])
    # Between the rows: the power law 115 q^(-4/3) that fits the table within 4 % from 2 to 5 kW/m2.
    between = np.array([2.5, 3.5, 4.5])
    np.testing.assert_allclose(skin_seconds(between)[0], 115 * between ** (-4 / 3), rtol=0.05)


def test_stand_off_distances():
    # By hand for the stack of one cubic metre: people to 1.6 kW/m2 5.67 m; bare earth 1.5 x 3.61 m; building minimum.
    off = stand_off_m(1847.0, 3.61)
    assert float(off.people_m) == pytest.approx(5.67, abs=0.01)
    assert float(off.bare_earth_m) == pytest.approx(1.5 * 3.61)
    assert float(off.buildings_m) == 15.0
    small = stand_off_m(1.0, 0.1)
    assert float(small.bare_earth_m) == 3.0
