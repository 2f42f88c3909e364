"""Petrol as a mixture of twelve hydrocarbons, and the vapour pressure of each of them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.constants import R, zero_Celsius

from ashcomb.science.arrays import Array, Numbers, array
from ashcomb.science.cautions import FUEL
from ashcomb.science.formula import Quantity, formula
from ashcomb.sources.library import values

TEMPERATURE = Quantity("C", -5.0, 40.0, "of air and liquid")
_REFERENCE_K = 20.0 + zero_Celsius


@dataclass(frozen=True, slots=True, eq=False)
class Mixture:
    """Components of a liquid, one array element each: mole share, molar mass [kg/mol], vapour pressure law."""

    names: tuple[str, ...]
    mole_share: Array
    molar_mass_kg_mol: Array
    pressure_20_pa: Array
    slope_k: Array
    bend: Array

    def moles(self, mass_kg: Numbers) -> Array:
        """Moles of each component in a mass of fresh liquid; components along a new last axis."""
        mean = float(self.mole_share @ self.molar_mass_kg_mol)
        return array(array(mass_kg)[..., None] * self.mole_share / mean)


@cache
def petrol() -> Mixture:
    """The stand-in for petrol, read from the sourced values `vapour.petrol.*`."""
    names = sorted({key.split(".")[2] for key in values() if key.startswith("vapour.petrol.")})

    def column(field: str) -> Array:
        return np.array([values()[f"vapour.petrol.{name}.{field}"].value for name in names])

    moles = column("share") / column("molar_mass")
    return Mixture(
        tuple(names),
        moles / moles.sum(),
        column("molar_mass"),
        column("pressure_20"),
        column("slope"),
        column("bend"),
    )


@formula(
    returns="vapour pressure [Pa], components along the last axis",
    source="perry-2008",
    place="Table 2-8, fitted from -5 to 40 °C",
    status="derived",
    caution=FUEL,
    temperature_c=TEMPERATURE,
)
def vapour_pressures_pa(temperature_c: Numbers) -> Array:
    """Vapour pressure of each component of the petrol stand-in.

    Shape of the temperature plus one axis of twelve. Within 0.05 % of the source between -5 and 40 °C.
    """
    mixture, kelvin = petrol(), absolute_k(temperature_c)[..., None]
    ratio = kelvin / _REFERENCE_K
    law = -mixture.slope_k * (1 / kelvin - 1 / _REFERENCE_K) + mixture.bend * (np.log(ratio) + 1 / ratio - 1)
    return array(mixture.pressure_20_pa * np.exp(law))


@formula(
    returns="pressure [Pa]",
    source="perry-2008",
    place="Raoult's law on Table 2-8",
    status="derived",
    caution=FUEL,
    temperature_c=TEMPERATURE,
)
def bubble_pressure_pa(temperature_c: Numbers) -> Numbers:
    """Pressure of the vapour over fresh petrol: the sum of mole share times vapour pressure."""
    return vapour_pressures_pa(temperature_c) @ petrol().mole_share


@formula(
    returns="concentration [kg/m3]",
    source="perry-2008",
    place="Raoult's law on Table 2-8, ideal gas",
    status="derived",
    caution=FUEL,
    temperature_c=TEMPERATURE,
)
def saturated_kg_m3(temperature_c: Numbers) -> Numbers:
    """Petrol vapour in air that stands over fresh petrol without end."""
    mixture = petrol()
    grams = vapour_pressures_pa(temperature_c) @ (mixture.mole_share * mixture.molar_mass_kg_mol)
    return grams / (R * absolute_k(temperature_c))


def absolute_k(temperature_c: Numbers) -> Array:
    """Kelvin from degrees Celsius."""
    return array(temperature_c) + zero_Celsius
