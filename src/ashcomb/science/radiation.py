"""Heat of a fire at a distance: on people, dry grass and buildings. A pit's rim is never counted as a shield."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ashcomb.science.arrays import Array, Numbers, array, falling_root
from ashcomb.science.cautions import FIRE
from ashcomb.science.formula import Quantity, formula
from ashcomb.sources.library import value, values

_HEAT = Quantity("kW", 0.0, 1e6, "heat release rate")
_SHARE = Quantity("1", 0.0, 1.0, "part of the heat that radiates")
_FLUX = Quantity("kW/m2", 0.01, 200.0)
_DIAMETER = Quantity("m", 0.01, 50.0, "of the fire")
_FLAME = Quantity("m", 0.0, 100.0, "flame height")
_FARTHEST = 1e4


@formula(
    returns="flux [kW/m2]",
    source="nureg-1805",
    place="equation 5-1",
    status="published",
    caution=FIRE,
    heat_kw=_HEAT,
    radiative_share=_SHARE,
    distance_m=Quantity("m", 0.01, _FARTHEST, "from the centre of the fire"),
)
def point_source_kw_m2(heat_kw: Numbers, radiative_share: Numbers, distance_m: Numbers) -> Numbers:
    """Radiation at a distance from the centre of a fire, as if from one point. All inputs broadcast."""
    sphere = 4 * np.pi * array(distance_m) ** 2
    return array(radiative_share) * array(heat_kw) / sphere


@formula(
    returns="distance [m]",
    source="nureg-1805",
    place="equation 5-1, solved for the distance",
    status="derived",
    caution=FIRE,
    heat_kw=_HEAT,
    radiative_share=_SHARE,
    flux_kw_m2=_FLUX,
)
def point_source_m(heat_kw: Numbers, radiative_share: Numbers, flux_kw_m2: Numbers) -> Numbers:
    """Distance from the centre of a fire at which its radiation has fallen to a flux. All inputs broadcast."""
    power = array(radiative_share) * array(heat_kw)
    return np.sqrt(power / (4 * np.pi * array(flux_kw_m2)))


@formula(
    returns="view factor [1]",
    source="shokri-beyler-1989",
    place="cylinder, target on the ground",
    status="from memory",
    caution=FIRE,
    distance_m=Quantity("m", 0.01, _FARTHEST, "from the centre, beyond the edge"),
    diameter_m=_DIAMETER,
    height_m=_FLAME,
)
def view_factor(distance_m: Numbers, diameter_m: Numbers, height_m: Numbers) -> Numbers:
    """Share of a ground target's view that an upright cylinder of flame fills, turned to see most of it.

    All inputs broadcast; the target must lie outside the cylinder, inside the result is 1.
    """
    flat, upright = view_factor_parts(distance_m, diameter_m, height_m)
    return np.minimum(np.hypot(flat, upright), 1.0)


def view_factor_parts(distance_m: Numbers, diameter_m: Numbers, height_m: Numbers) -> tuple[Array, Array]:
    """View factors of a target lying on the ground and of one standing upright facing the fire.

    The printed formulas with A and B written out, which keeps their digits close to the flame.
    """
    radius = array(diameter_m) / 2
    s = np.maximum(array(distance_m) / radius, 1 + 1e-9)
    h = np.maximum(array(height_m) / radius, 1e-12)
    outer, inner = h**2 + (s + 1) ** 2, h**2 + (s - 1) ** 2
    root = np.sqrt(outer * inner)
    near = np.arctan(np.sqrt(outer * (s - 1) / (inner * (s + 1))))
    far = np.arctan(np.sqrt((s + 1) / (s - 1)))
    flat = (far - (h**2 + s**2 - 1) / root * near) / np.pi
    side = np.arctan(h / np.sqrt(s**2 - 1)) - h * np.arctan(np.sqrt((s - 1) / (s + 1)))
    upright = (side + (h**2 + s**2 + 1) * h / root * near) / (np.pi * s)
    return array(flat), array(upright)


@formula(
    returns="flux [kW/m2]",
    source="shokri-beyler-1989",
    place="emissive power of large pool fires times the view factor",
    status="from memory",
    caution=FIRE,
    distance_m=Quantity("m", 0.01, _FARTHEST, "from the centre, beyond the edge"),
    diameter_m=_DIAMETER,
    height_m=_FLAME,
)
def solid_flame_kw_m2(distance_m: Numbers, diameter_m: Numbers, height_m: Numbers) -> Numbers:
    """Radiation on a ground target from a cylinder of flame; near the fire better than a point. Inputs broadcast."""
    power = 58 * 10 ** (-0.00823 * array(diameter_m))
    return power * view_factor(distance_m, diameter_m, height_m)


@formula(
    returns="distance [m]",
    source="shokri-beyler-1989",
    place="solved for the distance",
    status="from memory",
    caution=FIRE,
    diameter_m=_DIAMETER,
    height_m=_FLAME,
    flux_kw_m2=_FLUX,
)
def solid_flame_m(diameter_m: Numbers, height_m: Numbers, flux_kw_m2: Numbers) -> Numbers:
    """Distance from the centre at which a cylinder of flame gives a flux; its edge where it gives less everywhere."""
    width, tall, flux = np.broadcast_arrays(*(array(e) for e in (diameter_m, height_m, flux_kw_m2)))

    def excess(log_distance: Array) -> Array:
        return array(array(solid_flame_kw_m2(np.exp(log_distance), width, tall)) - flux)

    return np.exp(falling_root(excess, np.log(width / 2), np.full(width.shape, np.log(_FARTHEST * 0.999999))))


@formula(
    returns="pain [s], burn [s]",
    source="fema-hazard-1989",
    place="Table 4.2, straight lines between rows on log scales",
    status="published",
    caution=FIRE,
    flux_kw_m2=Quantity("kW/m2", 1.0, 12.0),
)
def skin_seconds(flux_kw_m2: Numbers) -> tuple[Array, Array]:
    """Seconds until bare skin hurts, and until it has a second-degree burn."""
    rows = sorted({key.rsplit(".", 1)[0] for key in values() if key.startswith("fire.effect.")}, key=_flux_of)
    flux, pain, burn = (np.log([value(f"{row}.{name}").value for row in rows]) for name in ("flux", "pain", "burn"))
    asked = np.log(array(flux_kw_m2))
    return array(np.exp(np.interp(asked, flux, pain))), array(np.exp(np.interp(asked, flux, burn)))


def _flux_of(row: str) -> float:
    return value(f"{row}.flux").value


@dataclass(frozen=True, slots=True, eq=False)
class StandOff:
    """Least distances from the centre of the fire; a greater distance in a local rule wins."""

    people_m: Numbers
    bare_earth_m: Numbers
    buildings_m: Numbers


@formula(
    returns="people_m [m], bare_earth_m [m], buildings_m [m]",
    source="nureg-1805",
    place="equation 5-1 with the fluxes fire.people_flux, fire.grass_flux, fire.building_flux",
    status="project choice",
    caution=FIRE,
    heat_kw=_HEAT,
    height_m=_FLAME,
)
def stand_off_m(heat_kw: Numbers, height_m: Numbers) -> StandOff:
    """How far people, dry grass and buildings keep from a fire, at the least. Sparks fly further."""
    share = value("fire.radiative_share").value
    people, grass, building = (
        array(point_source_m(heat_kw, share, value(f"fire.{who}_flux").value))
        for who in ("people", "grass", "building")
    )
    tall = value("fire.bare_earth_heights").value * array(height_m)
    bare = np.maximum(np.maximum(grass, tall), value("fire.bare_earth").value)
    return StandOff(people, bare, np.maximum(building, value("fire.building_distance").value))
