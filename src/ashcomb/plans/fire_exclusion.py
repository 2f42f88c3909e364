"""How far every flame, switch and engine stays from open petrol: a rule as the floor, three estimates beside it."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.plans.figures import Figures
from ashcomb.plans.hold import clearance_share
from ashcomb.science.evaporation import open_comb_minutes
from ashcomb.science.vapour_distance import cloud_m3, hemisphere_m, limit_kg_m3, pancake_m, plume_distance_m


@dataclass(frozen=True, slots=True, kw_only=True)
class Exclusion:
    """Distance of ignition sources from open petrol. floor_m: by rule.  electronics_m: inside it nothing is switched.

    plume_m: axis of the plume at the lower limit when every hive is opened at once.  reading_m: the same at the reading
    that clears.  cloud_m, layer_m: all petrol as vapour at the lower limit, as a half sphere and as a flat layer.
    """

    floor_m: float
    electronics_m: float
    fuel_kg: float
    plume_m: float
    reading_m: float
    cloud_m: float
    layer_m: float

    @property
    def distance_m(self) -> float:
        """The distance to keep: the rule, or an estimate that goes beyond it."""
        return max(self.floor_m, self.plume_m, self.cloud_m, self.layer_m)


def exclusion(doses_kg: tuple[float, ...], carried_kg: float, temperature_c: float, figures: Figures) -> Exclusion:
    """The exclusion around dosed hives and cans. doses_kg: petrol in each hive.  carried_kg: in cans on the site.

    Heavy vapour runs downhill and into hollows; none of the estimates knows the ground.
    """
    floor = float(figures.theirs("exclusion.ignition_m", "vapour.ignition_exclusion"))
    electronics = float(figures.ours("vapour.electronics_exclusion"))
    fuel = max(sum(doses_kg), carried_kg)
    if not fuel:
        return Exclusion(floor_m=floor, electronics_m=electronics, fuel_kg=0.0, plume_m=0.0, reading_m=0.0, cloud_m=0.0,
                         layer_m=0.0)  # fmt: skip
    molar = float(figures.ours("vapour.vapour_molar_mass"))
    limit = float(limit_kg_m3(float(figures.ours("vapour.lel_cautious")), molar, temperature_c))
    share = clearance_share(figures)
    rate, wind = _rate_kg_s(doses_kg, temperature_c, figures), float(figures.ours("fire_site.plume_wind"))
    volume = float(cloud_m3(fuel, limit))
    plume, reading = (float(plume_distance_m(rate, wind, limit * part, "stable")) for part in (1.0, share))
    return Exclusion(
        floor_m=floor, electronics_m=electronics, fuel_kg=fuel, plume_m=plume, reading_m=reading,
        cloud_m=float(hemisphere_m(volume)),
        layer_m=float(pancake_m(volume, float(figures.ours("vapour.pancake_height")))),
    )  # fmt: skip


def _rate_kg_s(doses_kg: tuple[float, ...], temperature_c: float, figures: Figures) -> float:
    """Vapour when every dosed hive lies open at once: the mean rate while the first part of each dose goes."""
    share, wind = float(figures.ours("fire_site.opening_share")), float(figures.ours("fire_site.plume_wind"))
    area = float(figures.ours("vapour.wetted_area"))
    rate = 0.0
    for dose in filter(None, doses_kg):
        rate += share * dose / (60 * float(open_comb_minutes(dose, temperature_c, wind, area, 1 - share)))
    return rate
