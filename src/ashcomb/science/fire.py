"""How much heat a pit fire gives, how fast, how long, and how high its flames stand."""

from __future__ import annotations

import numpy as np
from scipy.constants import g

from ashcomb.science.arrays import Array, Numbers, array
from ashcomb.science.cautions import FIRE
from ashcomb.science.formula import Quantity, formula
from ashcomb.sources.library import value

_AREA = Quantity("m2", 1e-4, 1000.0)
_DIAMETER = Quantity("m", 0.01, 50.0)
_BURN_RATE = Quantity("kg/m2/s", 1e-4, 1.0, "burning rate of a wide pool")
_POROSITY_RATE = 4.4e-4
_STICK_SPEED = 2.2e-6


@formula(
    returns="heat [MJ/kg]",
    source="nielsen-wood",
    place="net heating value of wet wood",
    status="published",
    caution=FIRE,
    moisture_share=Quantity("1", 0.0, 0.8, "water over wet mass"),
)
def wood_heat_mj_kg(moisture_share: Numbers) -> Numbers:
    """Heat of a kilogram of wood as it is, water included."""
    wet = array(moisture_share)
    dry, water = value("fire.wood_net").value, value("fire.water_evaporation").value
    return dry * (1 - wet) - water * wet


@formula(
    returns="energy [MJ]",
    source="geometry",
    place="sum of mass times heat",
    status="derived",
    caution=FIRE,
    mass_kg=Quantity("kg", 0.0, 1e6, "of each material, last axis"),
    heat_mj_kg=Quantity("MJ/kg", 0.0, 60.0, "of each material, last axis"),
)
def load_energy_mj(mass_kg: Array, heat_mj_kg: Array) -> Numbers:
    """Heat in all that goes into the fire: wood, wax, honey, fuel."""
    return array((array(mass_kg) * array(heat_mj_kg)).sum(-1))


@formula(
    returns="diameter [m]", source="nureg-1805", place="chapter 3", status="published", caution=FIRE, area_m2=_AREA
)
def equivalent_diameter_m(area_m2: Numbers) -> Numbers:
    """Diameter of the circle of the same area."""
    return np.sqrt(4 * array(area_m2) / np.pi)


@formula(
    returns="heat release rate [kW]",
    source="nureg-1805",
    place="chapter 3, worksheet",
    status="published",
    caution=FIRE,
    area_m2=_AREA,
    burn_rate_kg_m2_s=_BURN_RATE,
    heat_mj_kg=Quantity("MJ/kg", 1.0, 60.0),
    extinction_per_m=Quantity("1/m", 0.1, 200.0, "how fast the rate is reached with width"),
)
def pool_kw(area_m2: Numbers, burn_rate_kg_m2_s: Numbers, heat_mj_kg: Numbers, extinction_per_m: Numbers) -> Numbers:
    """Heat release rate of a burning pool: why petrol must never light a pit."""
    area = array(area_m2)
    reached = -np.expm1(-array(extinction_per_m) * equivalent_diameter_m(area))
    return array(burn_rate_kg_m2_s) * array(heat_mj_kg) * 1000 * area * reached


@formula(
    returns="time [s]",
    source="nureg-1805",
    place="chapter 3, burning duration",
    status="published",
    caution=FIRE,
    volume_l=Quantity("L", 0.0, 1e5),
    area_m2=_AREA,
    burn_rate_kg_m2_s=_BURN_RATE,
    density_kg_m3=Quantity("kg/m3", 500.0, 1500.0),
)
def pool_seconds(volume_l: Numbers, area_m2: Numbers, burn_rate_kg_m2_s: Numbers, density_kg_m3: Numbers) -> Numbers:
    """How long a pool burns at its full rate."""
    mass = array(volume_l) / 1000 * array(density_kg_m3)
    return mass / (array(area_m2) * array(burn_rate_kg_m2_s))


@formula(
    returns="height [m]",
    source="heskestad-1983",
    place="mean flame height",
    status="from memory",
    caution=FIRE,
    heat_kw=Quantity("kW", 0.0, 1e6),
    diameter_m=_DIAMETER,
)
def flame_height_m(heat_kw: Numbers, diameter_m: Numbers) -> Numbers:
    """Height that the flames reach half of the time; zero where the fire is too wide to stand up."""
    height = 0.235 * array(heat_kw) ** 0.4 - 1.02 * array(diameter_m)
    return np.maximum(height, 0.0)


@formula(
    returns="height [m]",
    source="thomas-1962",
    place="flames in still air",
    status="from memory",
    caution=FIRE,
    diameter_m=_DIAMETER,
    burn_rate_kg_m2_s=_BURN_RATE,
)
def flame_height_thomas_m(diameter_m: Numbers, burn_rate_kg_m2_s: Numbers) -> Numbers:
    """Flame height by a second route, from the burning rate."""
    width = array(diameter_m)
    scaled = array(burn_rate_kg_m2_s) / (value("fire.air_density").value * np.sqrt(g * width))
    return 42 * width * scaled**0.61


@formula(
    returns="burning rate [kg/s]",
    source="babrauskas-sfpe",
    place="wood cribs, surface and porosity limits",
    status="from memory",
    caution=FIRE,
    mass_kg=Quantity("kg", 0.01, 1e5, "at the start"),
    stick_m=Quantity("m", 0.005, 0.2, "thickness of a stick"),
    left_share=Quantity("1", 0.0, 1.0, "mass still there over mass at the start"),
    spacing_m=Quantity("m", 0.001, 1.0, "clear space between sticks"),
    height_m=Quantity("m", 0.01, 10.0, "of the crib"),
)
def crib_kg_s(
    mass_kg: Numbers, stick_m: Numbers, left_share: Numbers, spacing_m: Numbers, height_m: Numbers
) -> Numbers:
    """How fast stacked sticks burn in the open: the smaller of what their surface gives and what the gaps let through.

    Stands in for frames in a stack; a pit burns slower. All inputs broadcast.
    """
    per_stick = array(mass_kg) / array(stick_m)
    speed = _STICK_SPEED * array(stick_m) ** -0.6
    surface = 4 * per_stick * speed * np.sqrt(left_share)
    return np.minimum(surface, _POROSITY_RATE * per_stick * array(spacing_m) / array(height_m))


@formula(
    returns="time [s]",
    source="babrauskas-sfpe",
    place="wood cribs, integral of the surface limit",
    status="derived",
    caution=FIRE,
    mass_kg=Quantity("kg", 0.01, 1e5),
    rate_kg_s=Quantity("kg/s", 1e-6, 1e3, "at the start"),
)
def crib_flaming_s(mass_kg: Numbers, rate_kg_s: Numbers) -> Numbers:
    """How long a crib flames when its rate falls with the root of what is left; hours of glowing char follow."""
    return 2 * array(mass_kg) / array(rate_kg_s)


@formula(
    returns="heat release rate [kW]",
    source="babrauskas-sfpe",
    place="stacked wood pallets",
    status="from memory",
    caution=FIRE,
    area_m2=_AREA,
    height_m=Quantity("m", 0.1, 5.0, "of the stack"),
    moisture_pct=Quantity("%", 0.0, 30.0, "of the wood"),
)
def stack_kw(area_m2: Numbers, height_m: Numbers, moisture_pct: Numbers) -> Numbers:
    """Heat release rate of a tall loose stack of wood with air from all sides. All inputs broadcast."""
    tall = 1 + 2.14 * array(height_m)
    return 919 * array(area_m2) * tall * (1 - 0.03 * array(moisture_pct))
