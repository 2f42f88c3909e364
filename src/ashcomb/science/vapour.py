"""Petrol vapour inside a hive that is shut: sealed tight, or leaking."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.constants import R, atm

from ashcomb.science.arrays import Array, Numbers, array
from ashcomb.science.cautions import FUEL
from ashcomb.science.formula import Quantity, formula
from ashcomb.science.mixture import TEMPERATURE, absolute_k, petrol, vapour_pressures_pa
from ashcomb.sources.library import value

_NEWTON_STEPS = 100
_HIVE = {
    "fuel_kg": Quantity("kg", 0.0, 20.0, "petrol poured"),
    "hive_air_l": Quantity("L", 1.0, 1000.0, "free air in the hive"),
    "temperature_c": TEMPERATURE,
}


@dataclass(frozen=True, slots=True, eq=False)
class SealedHive:
    """What a sealed hive holds at balance.

    evaporated_share: mass share of the fuel that has evaporated.  vapour_vol_pct: petrol vapour in the hive's air.
    lel_multiple: that over the lower explosive limit `vapour.lel`; above the upper limit a hive is not safe: the band
    that burns lies at every leak.  oxygen_vol_pct: if the vapour pushed air out.
    """

    evaporated_share: Numbers
    vapour_vol_pct: Numbers
    lel_multiple: Numbers
    oxygen_vol_pct: Numbers


@formula(
    returns="evaporated_share [1], vapour_vol_pct [vol%], lel_multiple [1], oxygen_vol_pct [vol%]",
    source="perry-2008",
    place="Raoult's law on Table 2-8, mass balance per component",
    status="derived",
    caution=FUEL,
    **_HIVE,
)
def sealed_hive(fuel_kg: Numbers, hive_air_l: Numbers, temperature_c: Numbers) -> SealedHive:
    """How much of the fuel evaporates in a sealed hive, and what air is left.

    All inputs broadcast. Not modelled: petrol taken up by wax and wood (less vapour, later), ethanol in the fuel,
    liquid colder than the air. Raises UserError outside the stated ranges.
    """
    moles = petrol().moles(fuel_kg)
    capacity = gas_capacity_mol(hive_air_l, temperature_c)
    vapour = moles * capacity / (liquid_mol(moles, capacity)[..., None] + capacity)
    mass = petrol().molar_mass_kg_mol
    total = np.maximum(moles @ mass, np.finfo(float).tiny)
    percent = gas_vol_pct(vapour, hive_air_l, temperature_c)
    oxygen = value("vapour.oxygen_air").value * (1 - percent / 100)
    return SealedHive(vapour @ mass / total, percent, percent / value("vapour.lel").value, oxygen)


def gas_capacity_mol(hive_air_l: Numbers, temperature_c: Numbers) -> Array:
    """Moles of each component that the hive's air holds over its pure liquid; components along the last axis."""
    volume_m3 = array(hive_air_l)[..., None] / 1000
    return array(vapour_pressures_pa(temperature_c) * volume_m3 / (R * absolute_k(temperature_c)[..., None]))


def gas_vol_pct(vapour_mol: Array, hive_air_l: Numbers, temperature_c: Numbers) -> Array:
    """Petrol vapour in vol% of air at one atmosphere, from the moles of each component that are gas."""
    volume_m3 = array(hive_air_l) / 1000
    return array(100 * vapour_mol.sum(-1) * R * absolute_k(temperature_c) / volume_m3 / atm)


def liquid_mol(moles: Array, capacity_mol: Array) -> Array:
    """Moles that stay liquid when gas and liquid are in balance; zero where all evaporates.

    moles, capacity_mol: per component along the last axis. Solves sum moles / (L + capacity) = 1. The sum falls and is
    convex in L, so Newton's steps from a point below the root climb to it and never pass it.
    """
    moles, capacity_mol = np.broadcast_arrays(moles, capacity_mol)
    liquid = np.maximum(moles.sum(-1) - capacity_mol.max(-1), 0.0)
    for _ in range(_NEWTON_STEPS):
        share = moles / (liquid[..., None] + capacity_mol)
        fall = np.maximum((share / (liquid[..., None] + capacity_mol)).sum(-1), np.finfo(float).tiny)
        step = (share.sum(-1) - 1) / fall
        liquid = np.maximum(liquid + step, 0.0)
        if not np.any(np.abs(step) > 1e-14 * (liquid + 1e-12)):
            break
    return array(liquid)
