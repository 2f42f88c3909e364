"""Petrol vapour against the property library, safety data sheets and second routes of calculation."""

from __future__ import annotations

import chemicals
import numpy as np
import pytest
from chemicals import vapor_pressure
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from ashcomb.science.evaporation import leaking_hive, mass_transfer_m_s, open_comb_left, open_comb_minutes
from ashcomb.science.mixture import bubble_pressure_pa, petrol, saturated_kg_m3, vapour_pressures_pa
from ashcomb.science.vapour import gas_capacity_mol, liquid_mol, sealed_hive
from ashcomb.science.vapour_distance import (
    cloud_m3,
    hemisphere_m,
    limit_kg_m3,
    pancake_m,
    plume_distance_m,
    plume_kg_m3,
)
from ashcomb.sources.library import value

CAS = {
    "n_butane": "106-97-8",
    "isopentane": "78-78-4",
    "n_pentane": "109-66-0",
    "methylpentane_2": "107-83-5",
    "n_hexane": "110-54-3",
    "benzene": "71-43-2",
    "isooctane": "540-84-1",
    "n_heptane": "142-82-5",
    "toluene": "108-88-3",
    "m_xylene": "108-38-3",
    "trimethylbenzene_124": "95-63-6",
    "n_decane": "124-18-5",
}
R = 8.314462618
FUEL_KG = 0.144  # 200 mL


def _library_pressures(kelvin: float) -> np.ndarray:
    """DIPPR equation 101 with the coefficients of Perry's 8th edition, table 2-8, from the library chemicals."""
    table = vapor_pressure.Psat_data_Perrys2_8
    rows = [[float(table.at[CAS[name], f"C{i}"]) for i in range(1, 6)] for name in petrol().names]
    return np.array([np.exp(a + b / kelvin + c * np.log(kelvin) + d * kelvin**e) for a, b, c, d, e in rows])


def test_the_mixture_is_whole():
    assert set(petrol().names) == set(CAS)
    assert sum(value(f"vapour.petrol.{name}.share").value for name in CAS) == pytest.approx(1.0)


@pytest.mark.parametrize("name", CAS)
def test_molar_masses(name):
    assert value(f"vapour.petrol.{name}.molar_mass").value == pytest.approx(chemicals.MW(CAS[name]) / 1000, rel=1e-6)


@pytest.mark.parametrize("celsius", [-5.0, 0.0, 10.0, 20.0, 30.0, 40.0])
def test_vapour_pressures_against_the_table(celsius):
    np.testing.assert_allclose(vapour_pressures_pa(celsius), _library_pressures(celsius + 273.15), rtol=5e-4)


@pytest.mark.parametrize("name", [n for n in CAS if n != "isooctane"])
def test_vapour_pressures_against_a_second_collection(name):
    # VDI Heat Atlas 2010, table 3, Wagner 2,5 form, from the library chemicals: another evaluation of the data.
    row = vapor_pressure.Psat_data_VDI_PPDS_3.loc[CAS[name]]
    wagner = vapor_pressure.Wagner(293.15, row["Tc"], row["Pc"], row["A"], row["B"], row["C"], row["D"])
    ours = vapour_pressures_pa(20.0)[petrol().names.index(name)]
    assert ours == pytest.approx(wagner, rel=0.03)


def test_the_mixture_is_a_petrol():
    # Gasoline safety data sheet 9950 (2007): Reid vapour pressure 6.4 to 15 psi; 275 to 475 mmHg at 20 °C.
    assert 6.4 * 6894.76 < float(bubble_pressure_pa(37.8)) < 15 * 6894.76
    assert 275 * 133.322 < float(bubble_pressure_pa(20.0)) < 475 * 133.322
    # Vapour density 2.4 times air (Fire Engineering 1988 gives 2.48 as the least; sheet 9950 gives 3 to 4).
    molar = float(saturated_kg_m3(20.0)) * R * 293.15 / float(bubble_pressure_pa(20.0))
    assert 2.3 < molar / 0.02896 < 2.5


@pytest.mark.parametrize(
    ("celsius", "kpa", "grams"),
    [
        (0, 17.1, 0.511),
        (5, 21.0, 0.620),
        (10, 25.6, 0.747),
        (15, 31.1, 0.893),
        (20, 37.4, 1.061),
        (25, 44.7, 1.252),
        (30, 53.1, 1.468),
    ],
)
def test_saturated_vapour_by_temperature(celsius, kpa, grams):
    # Computed with the library's pressures by another hand, to three figures.
    assert float(bubble_pressure_pa(celsius)) / 1000 == pytest.approx(kpa, rel=4e-3)
    assert float(saturated_kg_m3(celsius)) == pytest.approx(grams, rel=2e-3)


@pytest.mark.parametrize(
    ("celsius", "litres", "evaporated", "percent", "multiple", "oxygen"),
    [
        (5, 40, 0.12, 14.0, 10, 18.0),
        (15, 20, 0.10, 23.1, 16, 16.1),
        (15, 40, 0.16, 19.0, 14, 16.9),
        (20, 40, 0.185, 21.7, 16, 16.4),
        (20, 80, 0.283, 16.1, 12, 17.5),
        (20, 120, 0.351, 13.0, 9, 18.2),
        (25, 40, 0.21, 24.8, 18, 15.7),
    ],
)
def test_sealed_hive_rows(celsius, litres, evaporated, percent, multiple, oxygen):
    # Computed with the library's pressures by another hand.
    hive = sealed_hive(FUEL_KG, litres, celsius)
    assert float(hive.evaporated_share) == pytest.approx(evaporated, abs=0.005)
    assert float(hive.vapour_vol_pct) == pytest.approx(percent, abs=0.06)
    assert float(hive.lel_multiple) == pytest.approx(multiple, abs=0.6)
    assert float(hive.oxygen_vol_pct) == pytest.approx(oxygen, abs=0.1)


@pytest.mark.parametrize(
    ("fuel", "litres", "celsius"), [(0.144, 40, 20), (0.001, 120, 30), (0.7, 20, 0), (0.02, 40, 10)]
)
def test_sealed_hive_by_bracketing(fuel, litres, celsius):
    """Second route: library pressures and a bracketing root finder instead of Newton's steps."""
    mix, kelvin = petrol(), celsius + 273.15
    moles = mix.moles(fuel)
    capacity = _library_pressures(kelvin) * litres / 1000 / (R * kelvin)
    if (moles / capacity).sum() <= 1:
        liquid = 0.0
        gas = moles
    else:
        liquid = brentq(lambda n: (moles / (n + capacity)).sum() - 1, 0, moles.sum(), xtol=1e-16)
        gas = moles * capacity / (liquid + capacity)
    expected = gas @ mix.molar_mass_kg_mol / fuel
    assert float(sealed_hive(fuel, litres, celsius).evaporated_share) == pytest.approx(expected, rel=1e-3)


def test_mass_transfer_of_hexane():
    # Metric-hour form of the same paper as public codes carry it: k [m/h] = 0.0292 U^0.78 X^-0.11 Sc^-0.67, U in m/h.
    hourly = 0.0292 * (1.5 * 3600) ** 0.78 * 10**-0.11 * 2.12**-0.67 / 3600
    ours = float(mass_transfer_m_s(1.5, 10.0, 2.12))
    assert ours == pytest.approx(hourly, rel=0.01)
    flux = ours * 0.0861754 * 20164 / (R * 298.15)
    # US EPA 550-B-99-009, appendix D, evaporation from a pool (equation from memory): a screening tool, so larger.
    epa = 0.284 * 1.5**0.78 * 86.1754 ** (2 / 3) * (20164 / 133.322) / (82.05 * 298.15) * 0.45359237 / 60 / 0.09290304
    assert flux < epa < 2 * flux


@pytest.mark.parametrize(("name", "molar", "schmidt"), [("n_hexane", 86.1754, 2.12), ("toluene", 92.1384, 1.96)])
def test_hexane_and_toluene_leave_a_pool_between_still_air_and_the_worst_case(name, molar, schmidt):
    # Least: Mackay & van Wesenbeeck 2014, still air, 1464 p M microgram/m2h (abstract). Most: US EPA 550-B-99-009,
    # appendix D (equation from memory). Pressures at 25 °C from the library; Schmidt numbers from memory, good to 10 %.
    pressure = vapor_pressure_of(name)
    ours = float(mass_transfer_m_s(1.5, 10.0, schmidt)) * molar / 1000 * pressure / (R * 298.15)
    still = 1464 * pressure * molar / 1e9 / 3600
    worst = (
        0.284 * 1.5**0.78 * molar ** (2 / 3) * (pressure / 133.322) / (82.05 * 298.15) * 0.45359237 / 60 / 0.09290304
    )
    assert 2 * still < ours < worst < 2 * ours


def vapor_pressure_of(name):
    return float(_library_pressures(298.15)[petrol().names.index(name)])


@pytest.mark.parametrize(("celsius", "wind", "left"), [(20.0, 0.5, 0.5), (10.0, 0.1, 0.05)])
def test_open_comb_by_stepping(celsius, wind, left):
    """Second route: the twelve balances integrated in time."""
    mix, kelvin, area = petrol(), celsius + 273.15, 0.2
    speed = float(mass_transfer_m_s(wind, area**0.5, value("vapour.schmidt").value))
    pressure = vapour_pressures_pa(celsius)

    def fall(_, n):
        return -speed * area * pressure * n / n.sum() / (R * kelvin)

    minutes = float(open_comb_minutes(FUEL_KG, celsius, wind, area, left))
    run = solve_ivp(fall, (0, minutes * 60), mix.moles(FUEL_KG), "LSODA", rtol=1e-9, atol=1e-14)
    assert run.y[:, -1] @ mix.molar_mass_kg_mol / FUEL_KG == pytest.approx(left, rel=1e-4)
    assert float(open_comb_left(FUEL_KG, celsius, wind, area, minutes)) == pytest.approx(left, rel=1e-6)


@pytest.mark.parametrize(
    ("celsius", "wind", "expected"),
    [(20, 0.5, (9, 35, 65, 92)), (20, 0.1, (32, 126, 228, 318)), (10, 0.1, (53, 222, 426, 606))],
)
def test_open_comb_rows(celsius, wind, expected):
    # Computed by another hand with a Schmidt number of its own; the coefficient itself is no better than a factor 1.5.
    found = open_comb_minutes(FUEL_KG, celsius, wind, 0.2, [0.5, 0.2, 0.1, 0.05])
    np.testing.assert_allclose(found, expected, rtol=0.07)


@pytest.mark.parametrize(
    ("exchange", "celsius", "liquid", "under_limit", "under_tenth"),
    [
        (50, 20, (3.7, 15, 27, 38), 11.5, 52),
        (200, 20, (0.9, 3.8, 6.8, 9.4), 2.9, 13),
        (200, 10, (1.5, 6.5, 12), 2.6, 15),
        (1000, 20, (0.2, 0.8, 1.4, 1.9), 0.6, 2.6),
    ],
)
def test_leaking_hive_rows(exchange, celsius, liquid, under_limit, under_tenth):
    # Computed by another hand with coarse steps: first hour at which 50, 20, 10, 5 % is liquid, and of the gas limits.
    hours = np.linspace(0, 70, 14001)
    hive = leaking_hive(FUEL_KG, 30.0, exchange, celsius, hours)
    first = [hours[np.argmax(hive.liquid_share < share)] for share in (0.5, 0.2, 0.1, 0.05)]
    np.testing.assert_allclose(first[: len(liquid)], liquid, rtol=0.08, atol=0.05)
    assert hours[np.argmax(hive.lel_multiple < 1)] == pytest.approx(under_limit, rel=0.05)
    assert hours[np.argmax(hive.lel_multiple < 0.1)] == pytest.approx(under_tenth, rel=0.08)


def test_leaking_hive_by_small_steps():
    """Second route: implicit-free Euler steps of the moles, with bracketing for the balance of gas and liquid."""
    mix, kelvin, litres, exchange = petrol(), 293.15, 30.0, 200.0
    capacity = vapour_pressures_pa(20.0) * litres / 1000 / (R * kelvin)
    moles, steps, hours = mix.moles(FUEL_KG), 4000, 2.0
    for _ in range(steps):
        here = moles
        liquid = brentq(lambda n, here=here: (here / (n + capacity)).sum() - 1, 0, here.sum())
        gas = moles * capacity / (liquid + capacity)
        moles = moles - gas * exchange / litres * hours / steps
    found = leaking_hive(FUEL_KG, litres, exchange, 20.0, hours)
    assert found.left_share[0] == pytest.approx(moles @ mix.molar_mass_kg_mol / FUEL_KG, rel=2e-3)


def test_a_leaking_hive_starts_as_a_sealed_one():
    start = leaking_hive(FUEL_KG, 40.0, 200.0, 20.0, 0.0)
    assert start.vapour_vol_pct[0] == pytest.approx(float(sealed_hive(FUEL_KG, 40.0, 20.0).vapour_vol_pct))
    assert start.left_share[0] == pytest.approx(1.0)


def test_distances_to_the_lower_limit():
    # Hand calculation: 1.4 vol% of M 66 at 15 °C is 39.1 g/m3; 148 g fill 3.79 m3, ten hives 37.9 m3.
    limit = float(limit_kg_m3(1.4, 0.066, 15.0))
    assert limit == pytest.approx(0.0391, rel=2e-3)
    one, ten = cloud_m3(np.array([0.148, 1.48]), limit)
    assert (one, ten) == pytest.approx((3.79, 37.9), rel=2e-3)
    np.testing.assert_allclose(hemisphere_m(np.array([one, ten])), [1.22, 2.62], rtol=5e-3)
    np.testing.assert_allclose(pancake_m(np.array([one, ten]), 0.3), [2.0, 6.34], rtol=5e-3)


@pytest.mark.parametrize(("air", "sideways", "upward"), [("stable", 38.14, 12.31), ("neutral", 76.28, 37.95)])
def test_plume_a_kilometre_off(air, sideways, upward):
    # Briggs' rural spreads at 1 km by hand: F 40/1.1^0.5 and 16/1.3 m, D 80/1.1^0.5 and 60/2.5^0.5 m.
    expected = 0.001 / (np.pi * 2.0 * sideways * upward)
    assert float(plume_kg_m3(0.001, 2.0, 1000.0, air)) == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("rate", "wind", "air", "expected"),
    [
        (2e-4, 1.0, "stable", (1.6, 2.3, 5.1)),
        (7e-4, 1.0, "stable", (3.0, 4.2, 9.5)),
        (7e-4, 2.0, "neutral", (0.8, 1.1, 2.4)),
    ],
)
def test_plume_rows(rate, wind, air, expected):
    # Computed by another hand from Briggs' rural curves; near the ground they give the order of magnitude only.
    limit = float(limit_kg_m3(1.4, 0.066, 15.0))
    found = plume_distance_m(rate, wind, limit * np.array([1.0, 0.5, 0.1]), air)
    np.testing.assert_allclose(found, expected, atol=0.06)


def test_leaking_hive_against_a_general_solver():
    # scipy's LSODA on the same mass balance: dn_i/dt = -q y_i / V, gas and liquid in Raoult's balance
    air, exchange, celsius, hours = 30.0, 200.0, 20.0, np.array([0.5, 2.0, 6.8, 13.0])
    start, room = petrol().moles(FUEL_KG), gas_capacity_mol(air, celsius)

    def fall(_, log):
        return -room / (liquid_mol(start * np.exp(log), room)[..., None] + room)

    run = solve_ivp(fall, (0, hours[-1] * exchange / air), np.zeros(start.size), "LSODA", hours * exchange / air,
                    rtol=1e-9, atol=1e-11)  # fmt: skip
    left = (start * np.exp(run.y.T)) @ petrol().molar_mass_kg_mol / FUEL_KG
    assert leaking_hive(FUEL_KG, air, exchange, celsius, hours).left_share == pytest.approx(left, rel=1e-3)


def test_leaking_hives_of_many_kinds_at_once_are_those_one_by_one():
    fuel, air, hours = np.array([0.1, 0.3, 0.7]), np.array([20.0, 40.0, 80.0]), np.array([0.0, 5.0, 60.0])
    together = leaking_hive(fuel, air, 300.0, 15.0, hours).left_share
    apart = [
        float(leaking_hive(*each, 300.0, 15.0, when).left_share[0])
        for *each, when in zip(fuel, air, hours, strict=True)
    ]
    assert together == pytest.approx(apart, rel=1e-12)
