"""One fire: how fast it burns at the most, how high it stands, how far people, grass and buildings keep from it."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.fire_load import MATERIALS, HiveLoad, energy_mj
from ashcomb.science.fire import (
    crib_flaming_s,
    crib_kg_s,
    equivalent_diameter_m,
    flame_height_m,
    flame_height_thomas_m,
    pool_kw,
    pool_seconds,
    stack_kw,
)
from ashcomb.science.radiation import point_source_m, solid_flame_m

TALLEST_M = 5.0  # heap beyond which the formula for stacks says nothing
_BURNS = tuple(name for name in MATERIALS if name not in ("honey", "petrol"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Distance:
    """How far something keeps from the rim of the pit. point_m, solid_m: by two ways of reckoning radiation.

    floor_m: least by rule or flame height, whatever the heat.  distance_m: the greatest of the three.
    """

    who: str
    flux_kw_m2: float
    point_m: float
    solid_m: float
    floor_m: float
    floor_why: str

    @property
    def distance_m(self) -> float:
        """The distance to keep."""
        return max(self.point_m, self.solid_m, self.floor_m)


@dataclass(frozen=True, slots=True, kw_only=True)
class Flash:
    """Petrol left on the combs, if somebody lit it: why nobody may."""

    heat_kw: float
    seconds: float
    height_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StageFire:
    """One loading of the pit. crib_kw, stack_kw: two ways to bound the heat release rate; the greater is used.

    flames_m: Heskestad and Thomas, the greater is used.  flaming_min: shortest and longest.
    """

    hives: int
    masses_kg: tuple[float, ...]
    energy_mj: float
    heap_m: float
    crib_kw: float
    stack_kw: float
    flames_m: tuple[float, float]
    people: Distance
    bare_earth: Distance
    buildings: Distance
    flaming_min: tuple[float, float]
    flash: Flash | None

    @property
    def heat_kw(self) -> float:
        """The heat release rate that distances are reckoned from."""
        return max(self.crib_kw, self.stack_kw)

    @property
    def flame_m(self) -> float:
        """The flame height that is used."""
        return max(self.flames_m)


def heap_m(loads: tuple[HiveLoad, ...], area_m2: float) -> float:
    """Height of a heap of whole boxes and loose combs on a floor."""
    return sum(load.volume_m3 for load in loads) / area_m2


def stage_fire(
    loads: tuple[HiveLoad, ...], area_m2: float, moisture_pct: float, heats: tuple[float, ...], figures: Figures
) -> StageFire:
    """The fire of these hives burned together on a floor of that area. No pit wall is counted as a shield."""
    masses = tuple(sum(load.masses_kg[n] for load in loads) for n in range(len(MATERIALS)))
    burns = sum(masses[MATERIALS.index(name)] for name in _BURNS)
    if burns <= 0:
        raise UserError("Nothing in this load burns.", "Count the wooden parts and frames too.")
    mean = sum(masses[MATERIALS.index(n)] * heats[MATERIALS.index(n)] for n in _BURNS) / burns  # MJ/kg
    tall = max(heap_m(loads, area_m2), float(figures.ours("fire_site.least_height")))
    stick, gap = (float(figures.ours(f"fire_site.{name}")) for name in ("stick", "gap"))
    crib = float(crib_kg_s(burns, stick, 1.0, gap, tall)) * mean * 1000
    stack = float(stack_kw(area_m2, tall, moisture_pct))
    heat, wide = max(crib, stack), float(equivalent_diameter_m(area_m2))
    figures.ours("fire.air_density")
    flames = (float(flame_height_m(heat, wide)), float(flame_height_thomas_m(wide, heat / (mean * 1000 * area_m2))))
    fast, slow = (rate / (mean * 1000) for rate in (heat, min(crib, stack)))
    people, bare, buildings = _distances(heat, wide, max(flames), figures)
    return StageFire(
        hives=len(loads), masses_kg=masses, energy_mj=energy_mj(masses, heats), heap_m=tall, crib_kw=crib,
        stack_kw=stack, flames_m=flames, people=people, bare_earth=bare, buildings=buildings,
        flaming_min=(burns / fast / 60, float(crib_flaming_s(burns, slow)) / 60),
        flash=_flash(masses[MATERIALS.index("petrol")], len(loads), area_m2, figures),
    )  # fmt: skip


def _distances(heat: float, wide: float, tall: float, figures: Figures) -> tuple[Distance, Distance, Distance]:
    share = float(figures.ours("fire.radiative_share"))

    def at(who: str, name: str, floor: float, why: str) -> Distance:
        flux = float(figures.ours(f"fire.{name}_flux"))
        return Distance(who=who, flux_kw_m2=flux, point_m=float(point_source_m(heat, share, flux)),
                        solid_m=float(solid_flame_m(wide, tall, flux)), floor_m=floor, floor_why=why)  # fmt: skip

    heights = float(figures.ours("fire.bare_earth_heights"))
    bare = max((float(figures.ours("fire.bare_earth")), "least width"), (heights * tall, f"{heights:g} flame heights"))
    near = (float(figures.ours("fire.building_distance")), "least distance in fire codes")
    theirs = figures.maybe("pit.building_m")
    building = max(near, (float(theirs), "the profile's distance of pits")) if theirs is not None else near
    return at("people", "people", 0.0, "none"), at("bare earth", "grass", *bare), at("buildings", "building", *building)


def _flash(petrol_kg: float, hives: int, area_m2: float, figures: Figures) -> Flash | None:
    if petrol_kg <= 0:
        return None
    wetted = min(hives * float(figures.ours("vapour.wetted_area")), area_m2)
    rate, deep, heat, density = (float(figures.ours(key)) for key in (
        "fire.pool_petrol_rate", "fire.pool_petrol_extinction", "fire.petrol", "vapour.petrol_density"))  # fmt: skip
    power = float(pool_kw(wetted, rate, heat, deep))
    seconds = float(pool_seconds(petrol_kg / density * 1000, wetted, rate, density))
    return Flash(heat_kw=power, seconds=seconds,
                 height_m=float(flame_height_m(power, float(equivalent_diameter_m(wetted)))))  # fmt: skip
