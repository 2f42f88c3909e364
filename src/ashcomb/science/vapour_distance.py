"""How far petrol vapour may burn from where it is let out. Vapour runs downhill and into pits; these figures do not."""

from __future__ import annotations

from typing import Literal

import numpy as np
from scipy.constants import R, atm

from ashcomb.science.arrays import Array, Numbers, array, falling_root
from ashcomb.science.cautions import FUEL
from ashcomb.science.formula import Quantity, formula
from ashcomb.science.mixture import TEMPERATURE, absolute_k
from ashcomb.sources.library import value

Air = Literal["neutral", "stable"]
_NEAREST_M, _FARTHEST_M = 0.01, 1e5
_VOLUME = Quantity("m3", 0.0, 1e6, "of air and vapour at the limit")


@formula(
    returns="concentration [kg/m3]",
    source="geometry",
    place="ideal gas",
    status="derived",
    caution=FUEL,
    limit_vol_pct=Quantity("vol%", 0.01, 100.0),
    molar_mass_kg_mol=Quantity("kg/mol", 0.01, 0.2),
    temperature_c=TEMPERATURE,
)
def limit_kg_m3(limit_vol_pct: Numbers, molar_mass_kg_mol: Numbers, temperature_c: Numbers) -> Numbers:
    """A limit in vol% as mass of vapour in a cubic metre of air at one atmosphere. All inputs broadcast."""
    share = array(limit_vol_pct) / 100
    return share * atm * array(molar_mass_kg_mol) / (R * absolute_k(temperature_c))


@formula(
    returns="volume [m3]",
    source="geometry",
    place="mass over concentration",
    status="derived",
    caution=FUEL,
    fuel_kg=Quantity("kg", 0.0, 1e4, "all of it vapour"),
    concentration_kg_m3=Quantity("kg/m3", 1e-6, 10.0, "at the limit"),
)
def cloud_m3(fuel_kg: Numbers, concentration_kg_m3: Numbers) -> Numbers:
    """The most air that a mass of fuel can bring to a limit, if every drop were vapour and evenly mixed."""
    return array(fuel_kg) / array(concentration_kg_m3)


@formula(
    returns="radius [m]", source="geometry", place="half sphere", status="derived", caution=FUEL, volume_m3=_VOLUME
)
def hemisphere_m(volume_m3: Numbers) -> Numbers:
    """Radius of a half sphere of that volume on the ground."""
    return np.cbrt(3 * array(volume_m3) / (2 * np.pi))


@formula(
    returns="radius [m]",
    source="geometry",
    place="flat cylinder",
    status="derived",
    caution=FUEL,
    volume_m3=_VOLUME,
    height_m=Quantity("m", 0.05, 5.0, "depth of the layer"),
)
def pancake_m(volume_m3: Numbers, height_m: Numbers) -> Numbers:
    """Radius of a flat layer of that volume on level ground; on a slope it reaches further downhill."""
    return np.sqrt(array(volume_m3) / (np.pi * array(height_m)))


@formula(
    returns="concentration [kg/m3]",
    source="briggs-1973",
    place="rural classes D and F",
    status="from memory",
    caution=FUEL,
    rate_kg_s=Quantity("kg/s", 0.0, 10.0, "vapour let out"),
    wind_m_s=Quantity("m/s", 0.5, 20.0),
    distance_m=Quantity("m", _NEAREST_M, _FARTHEST_M, "downwind"),
)
def plume_kg_m3(rate_kg_s: Numbers, wind_m_s: Numbers, distance_m: Numbers, air: Air) -> Numbers:
    """Vapour on the axis of a plume from a source on the ground. All inputs broadcast.

    air: 'stable' for a still clear night, 'neutral' for wind or cloud. Fitted from 100 m on: nearer it is an order of
    magnitude, and heavy vapour that creeps along the ground is not modelled.
    """
    distance = array(distance_m)
    sideways = value(f"vapour.briggs_y_{air}").value * distance / np.sqrt(1 + 0.0001 * distance)
    upward = value(f"vapour.briggs_z_{air}").value * distance
    upward = upward / np.sqrt(1 + 0.0015 * distance) if air == "neutral" else upward / (1 + 0.0003 * distance)
    return array(rate_kg_s) / (np.pi * array(wind_m_s) * sideways * upward)


@formula(
    returns="distance [m]",
    source="briggs-1973",
    place="rural classes D and F",
    status="from memory",
    caution=FUEL,
    rate_kg_s=Quantity("kg/s", 0.0, 10.0, "vapour let out"),
    wind_m_s=Quantity("m/s", 0.5, 20.0),
    concentration_kg_m3=Quantity("kg/m3", 1e-6, 10.0, "at the limit"),
)
def plume_distance_m(rate_kg_s: Numbers, wind_m_s: Numbers, concentration_kg_m3: Numbers, air: Air) -> Numbers:
    """How far downwind the axis of the plume stays above a concentration; limits as `plume_kg_m3`."""
    rate, wind, target = np.broadcast_arrays(*(array(each) for each in (rate_kg_s, wind_m_s, concentration_kg_m3)))

    def excess(log_distance: Array) -> Array:
        return array(array(plume_kg_m3(rate, wind, np.exp(log_distance), air)) - target)

    ends = np.full(rate.shape, np.log(_NEAREST_M * 1.000001)), np.full(rate.shape, np.log(_FARTHEST_M * 0.999999))
    return np.exp(falling_root(excess, *ends))
