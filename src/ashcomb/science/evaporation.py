"""How long petrol stays in comb that lies open, and in a hive that leaks. Time never clears a hive: a meter does."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.constants import R
from scipy.integrate import solve_ivp

from ashcomb.science.arrays import Array, Numbers, array, falling_root
from ashcomb.science.cautions import FUEL
from ashcomb.science.formula import Quantity, formula
from ashcomb.science.mixture import TEMPERATURE, absolute_k, petrol, vapour_pressures_pa
from ashcomb.science.vapour import gas_capacity_mol, gas_vol_pct, liquid_mol
from ashcomb.sources.library import value

_FUEL = Quantity("kg", 1e-4, 20.0, "petrol at the start")
_LAST_EXPONENT = 60.0
_LEAST_CHANGES = 1e-3
_OPEN = {
    "fuel_kg": _FUEL,
    "temperature_c": TEMPERATURE,
    "wind_m_s": Quantity("m/s", 0.05, 20.0, "air over the comb"),
    "area_m2": Quantity("m2", 0.01, 20.0, "wetted area"),
}
_LEAK = {
    "fuel_kg": _FUEL,
    "hive_air_l": Quantity("L", 1.0, 1000.0, "free air in the hive"),
    "exchange_l_h": Quantity("L/h", 1.0, 10000.0, "air that leaks through"),
    "temperature_c": TEMPERATURE,
}


@formula(
    returns="mass transfer coefficient [m/s]",
    source="mackay-matsugu-1973",
    place="SI form, 0.0048 U^(7/9) X^(-1/9) Sc^(-2/3)",
    status="derived",
    caution=FUEL,
    wind_m_s=Quantity("m/s", 0.05, 20.0),
    length_m=Quantity("m", 0.05, 100.0, "of the wetted area along the wind"),
    schmidt=Quantity("1", 0.5, 5.0, "viscosity of air over diffusivity of the vapour"),
)
def mass_transfer_m_s(wind_m_s: Numbers, length_m: Numbers, schmidt: Numbers) -> Numbers:
    """How fast vapour leaves a wetted surface in wind. The wind exponent is disputed below 1 m/s."""
    wind, length, number = (array(each) for each in (wind_m_s, length_m, schmidt))
    return 0.0048 * wind ** (7 / 9) * length ** (-1 / 9) * number ** (-2 / 3)


@formula(
    returns="time [min]",
    source="rayleigh-1902",
    place="differential distillation, with the coefficient of mackay-matsugu-1973",
    status="derived",
    caution=FUEL,
    left_share=Quantity("1", 1e-6, 1.0, "mass share still there"),
    **_OPEN,
)
def open_comb_minutes(
    fuel_kg: Numbers, temperature_c: Numbers, wind_m_s: Numbers, area_m2: Numbers, left_share: Numbers
) -> Numbers:
    """How long open comb takes until only a share of the fuel is left. All inputs broadcast.

    Each component leaves in proportion to its mole share and vapour pressure, so what is left grows heavier and slower.
    Liquid as warm as the air, one wetted area throughout; wax that holds fuel back is not modelled.
    """
    pressure = vapour_pressures_pa(temperature_c)
    left = array(left_share)
    exposure = falling_root(lambda e: _left_share(pressure, e) - left, *_exposures(pressure, left))
    return _minutes(fuel_kg, temperature_c, wind_m_s, area_m2, exposure)


@formula(
    returns="mass share [1]",
    source="rayleigh-1902",
    place="differential distillation, with the coefficient of mackay-matsugu-1973",
    status="derived",
    caution=FUEL,
    minutes=Quantity("min", 0.0, 1e6, "since the comb was opened"),
    **_OPEN,
)
def open_comb_left(
    fuel_kg: Numbers, temperature_c: Numbers, wind_m_s: Numbers, area_m2: Numbers, minutes: Numbers
) -> Numbers:
    """Mass share of the fuel still in open comb after a time. All inputs broadcast; limits as `open_comb_minutes`."""
    pressure = vapour_pressures_pa(temperature_c)
    inputs = np.broadcast_arrays(*(array(i) for i in (fuel_kg, wind_m_s, area_m2, minutes)))
    low, high = _exposures(pressure, inputs[0])
    exposure = falling_root(
        lambda e: inputs[3] - array(_minutes(inputs[0], temperature_c, inputs[1], inputs[2], e)), low, high
    )
    return _left_share(pressure, exposure)


def _exposures(pressure: Array, like: Array) -> tuple[Array, Array]:
    """Bracket of the evaporative exposure, in 1/Pa: from nothing to e^-60 of the heaviest component."""
    shape = np.broadcast_shapes(pressure.shape[:-1], like.shape)
    return np.zeros(shape), np.broadcast_to(_LAST_EXPONENT / pressure.min(-1), shape)


def _left_share(pressure: Array, exposure: Array) -> Array:
    mass = petrol().mole_share * petrol().molar_mass_kg_mol
    return array(np.exp(-pressure * exposure[..., None]) @ (mass / mass.sum()))


def _minutes(fuel_kg: Numbers, temperature_c: Numbers, wind_m_s: Numbers, area_m2: Numbers, exposure: Array) -> Numbers:
    """Time of an exposure e: the moles of component i are n exp(-p e), and de/dt = k A / (R T sum n)."""
    area = array(area_m2)
    speed = mass_transfer_m_s(wind_m_s, np.sqrt(area), value("vapour.schmidt").value)
    pressure = vapour_pressures_pa(temperature_c)
    gone = petrol().moles(fuel_kg) * -np.expm1(-pressure * exposure[..., None]) / pressure
    return array(gone.sum(-1) * R * absolute_k(temperature_c) / (speed * area) / 60)


@dataclass(frozen=True, slots=True, eq=False)
class LeakingHive:
    """A leaking hive at each hour asked.

    left_share, liquid_share: mass share of the fuel still in the hive, and still liquid.  vapour_vol_pct: in its air.
    lel_multiple: that over the lower explosive limit `vapour.lel`.
    """

    left_share: Array
    liquid_share: Array
    vapour_vol_pct: Array
    lel_multiple: Array


@formula(
    returns="left_share [1], liquid_share [1], vapour_vol_pct [vol%], lel_multiple [1]",
    source="perry-2008",
    place="Raoult's law on Table 2-8, mass balance with air exchange",
    status="derived",
    caution=FUEL,
    hours=Quantity("h", 0.0, 10000.0, "since the dose, one or many, rising"),
    **_LEAK,
)
def leaking_hive(
    fuel_kg: float, hive_air_l: float, exchange_l_h: float, temperature_c: float, hours: Numbers
) -> LeakingHive:
    """What is left in a hive whose air is changed by leaks, at each of the hours.

    Gas and liquid stay in balance, and leaving air carries vapour with it. hours: number or array. The exchange of a
    taped hive has never been measured: ask for the whole range of `vapour.hive_exchange`, time scales with its inverse.
    Vapour below the limit while fuel is left is no clearance: warmth brings it back.
    """
    asked = np.atleast_1d(array(hours))
    changes = asked * exchange_l_h / hive_air_l
    start = petrol().moles(fuel_kg)
    capacity = gas_capacity_mol(hive_air_l, temperature_c)

    def fall(_: float, log_left: Array) -> Array:
        return -capacity / (liquid_mol(start * np.exp(log_left), capacity)[..., None] + capacity)

    end = max(float(changes.max()), _LEAST_CHANGES)
    moments, order = np.unique(changes, return_inverse=True)
    run = solve_ivp(fall, (0.0, end), np.zeros(start.size), "LSODA", t_eval=moments, rtol=1e-7, atol=1e-9)
    moles = start * np.exp(run.y.T[order])
    gas = moles * capacity / (liquid_mol(moles, capacity)[:, None] + capacity)
    percent = gas_vol_pct(gas, hive_air_l, temperature_c)
    mass = petrol().molar_mass_kg_mol / fuel_kg
    return LeakingHive(moles @ mass, (moles - gas) @ mass, percent, percent / value("vapour.lel").value)
