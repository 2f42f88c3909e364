"""How long petrol stays in comb that lies open, and in a hive that leaks. Time never clears a hive: a meter does."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.constants import R

from ashcomb.science.arrays import Array, Numbers, array, falling_root
from ashcomb.science.cautions import FUEL
from ashcomb.science.formula import Quantity, formula
from ashcomb.science.mixture import TEMPERATURE, absolute_k, petrol, vapour_pressures_pa
from ashcomb.science.vapour import gas_capacity_mol, gas_vol_pct, liquid_mol
from ashcomb.sources.library import value

_FUEL = Quantity("kg", 1e-4, 20.0, "petrol at the start")
_LAST_EXPONENT = 60.0
_STEP = 0.3  # share of the fuel that may leave in one step of the calculation
_ALL_GAS = 1 - 1e-12
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
    """A leaking hive, one element a case.

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
    hours=Quantity("h", 0.0, 10000.0, "since the dose"),
    **_LEAK,
)
def leaking_hive(
    fuel_kg: Numbers, hive_air_l: Numbers, exchange_l_h: Numbers, temperature_c: Numbers, hours: Numbers
) -> LeakingHive:
    """What is left in a hive whose air is changed by leaks, some hours after the dose. All inputs broadcast.

    Gas and liquid stay in balance, and leaving air carries vapour with it. The exchange of a taped hive has never been
    measured: ask for the whole range of `vapour.hive_exchange`, time scales with its inverse. Vapour below the limit
    while fuel is left is no clearance: warmth brings it back. Shares above 0.01 are good to 0.1 percent.
    """
    inputs = [array(each) for each in (fuel_kg, hive_air_l, exchange_l_h, temperature_c, hours)]
    fuel, air, exchange, warmth, after = (np.atleast_1d(each) for each in np.broadcast_arrays(*inputs))
    start, capacity = petrol().moles(fuel), gas_capacity_mol(air, warmth)
    moles = _aired(start, capacity, after * exchange / air)
    gas = moles * capacity / (liquid_mol(moles, capacity)[..., None] + capacity)
    percent = gas_vol_pct(gas, air, warmth)
    mass = petrol().molar_mass_kg_mol
    return LeakingHive(moles @ mass / fuel, (moles - gas) @ mass / fuel, percent, percent / value("vapour.lel").value)


def _aired(start: Array, capacity: Array, changes: Array) -> Array:
    """Moles of each component after so many changes of air, case by case.

    Runge-Kutta of the fourth order on the logarithm of the moles, so that none turns negative; each case takes its own
    steps, in each of which about a quarter of its fuel leaves. Where all is gas the rest of the way is exact.
    """
    shape, parts = start.shape, start.shape[-1]
    found, left = start.reshape(-1, parts).copy(), changes.ravel().copy()
    todo = np.flatnonzero(left > 0)
    log, first, room, left = np.zeros((todo.size, parts)), found[todo], capacity.reshape(-1, parts)[todo], left[todo]
    while todo.size:
        fall = _fall(log, first, room)
        moles = first * np.exp(log)
        most = _STEP * moles.sum(-1) / np.maximum((fall * moles).sum(-1), np.finfo(float).tiny)
        step = np.where(np.all(fall > _ALL_GAS, axis=-1), left, np.minimum(left, most))
        h = step[:, None]
        second = _fall(log - h / 2 * fall, first, room)
        third = _fall(log - h / 2 * second, first, room)
        log = log - h / 6 * (fall + 2 * second + 2 * third + _fall(log - h * third, first, room))
        left = left - step
        going = left > 0
        found[todo[~going]] = (first * np.exp(log))[~going]
        todo, log, first, room, left = todo[going], log[going], first[going], room[going], left[going]
    return found.reshape(shape)


def _fall(log: Array, first: Array, room: Array) -> Array:
    """Share of each component that is gas, which is how fast its logarithm falls with each change of air."""
    return room / (liquid_mol(first * np.exp(log), room)[:, None] + room)
