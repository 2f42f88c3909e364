"""What the fire site plan says beside its numbers: what does not fit, what slope, wind, embers and honey do."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from ashcomb.plans.figures import Figures
from ashcomb.plans.fire_exclusion import Exclusion
from ashcomb.plans.fire_ground import Ground
from ashcomb.plans.fire_heat import StageFire
from ashcomb.plans.fire_load import MATERIALS, HiveLoad


def against_of(depth_m: float, ground: Ground, stage: StageFire) -> tuple[str, ...]:
    """What of the measured place this loading does not fit; empty where it fits or nothing was measured."""
    found = []
    if stage.heap_m > depth_m:
        found.append(f"The heap of {stage.heap_m:.2f} m stands above the rim of a pit {depth_m:g} m deep.")
    measures = (("room for people", ground.room_m, stage.people), ("bare earth", ground.bare_m, stage.bare_earth),
                ("distance to buildings", ground.building_m, stage.buildings))  # fmt: skip
    for what, measured, needed in measures:
        if measured is not None and measured < needed.distance_m:
            found.append(f"{measured:g} m {what}, less than {needed.distance_m:.1f} m.")
    return tuple(found)


def warnings_of(ground: Ground, stage: StageFire, away: Exclusion, figures: Figures) -> tuple[str, ...]:
    """Vapour, slope, wind, embers, honey, plastics, afterwards."""
    return (*_vapour(ground, stage, away), *_place(ground), *_burning(stage, figures), *_after(figures))


def materials_left_out(loads: tuple[HiveLoad, ...], hives: Collection[str], figures: Figures) -> tuple[str, ...]:
    """Plastics that many permits forbid, parts without a mass, hives without counted parts."""
    return tuple(_materials(loads, hives, figures))


def _vapour(ground: Ground, stage: StageFire, away: Exclusion) -> Iterator[str]:
    if ground.hives_m is not None and ground.hives_m < away.distance_m:
        yield (f"The pit is {ground.hives_m:g} m from dosed hives, inside the {away.distance_m:.0f} m without flame: "
               "nothing burns there while a hive or a can is open.")  # fmt: skip
    if away.reading_m > away.distance_m:
        yield (f"When all hives lie open in light air a meter may read its limit {away.reading_m:.0f} m downwind: "
               "open them one by one.")  # fmt: skip
    if stage.flash:
        flash = stage.flash
        yield (f"Petrol still on the combs would flash: {flash.heat_kw / 1000:.1f} MW, flames of "
               f"{flash.height_m:.1f} m for {flash.seconds:.0f} s. Never lit, never used to light.")  # fmt: skip


def _place(ground: Ground) -> Iterator[str]:
    yield _LIES[ground.pit_is]
    if ground.slope_percent is None:
        yield "The slope of the ground was not measured; fire runs uphill, vapour downhill."
    measures = (("distance to buildings", ground.building_m), ("bare earth", ground.bare_m),
                ("room for people", ground.room_m), ("distance to the hives", ground.hives_m))  # fmt: skip
    missing = [what for what, measured in measures if measured is None]
    if missing:
        yield f"Not measured: {', '.join(missing)}."


_LIES = {
    "above": "The pit lies above the hives, as it must. Meter at its floor all the same: vapour fills hollows.",
    "level": "The pit lies level with the hives: vapour may lie in it. Meter at its floor before anything goes in.",
    "below": "The pit lies below the hives: vapour runs into it. Dig above them, or move the hives before dosing.",
    "": "Nobody said whether the pit lies above or below the hives. Vapour runs downhill: it must lie above.",
}


def _burning(stage: StageFire, figures: Figures) -> Iterator[str]:
    wind = float(figures.theirs("weather.max_wind_kmh", "weather.max_wind"))
    gust = float(figures.theirs("weather.max_gust_kmh", "weather.max_gust"))
    yield (f"Sparks fly further than heat reaches: no fire above {wind:g} km/h wind or {gust:g} km/h gusts, one person "
           "with water stands downwind, and dry grass is wetted or cut beyond the bare earth.")  # fmt: skip
    yield "A wind leans the flames: downwind every distance is too short. People stand upwind and to the side."
    honey, wood = (stage.masses_kg[MATERIALS.index(name)] for name in ("honey", "wood"))
    if honey:
        yield (f"{honey:.0f} kg honey on {wood:.0f} kg wood in one loading: it boils over and damps the fire. "
               "Feed supers slowly.")  # fmt: skip


def _materials(loads: tuple[HiveLoad, ...], hives: Collection[str], figures: Figures) -> Iterator[str]:
    for name in ("plastic", "foam"):
        mass = sum(load.of(name) for load in loads)
        if mass:
            rule = figures.rule("plastics")
            said = f" {rule.text}" if rule else " Ask before they go into an open fire."
            yield f"{mass:.1f} kg of {name} in the load.{said}"
    unweighed = sorted({kind for load in loads for kind in load.unweighed})
    if unweighed:
        yield f"Not weighed, so with stand-in masses: {', '.join(unweighed)}."
    bare = [hive for hive in dict.fromkeys(hives) if hive not in {load.hive for load in loads}]
    if bare:
        yield f"No parts are counted for {', '.join(bare)}: they are not in this load."


def _after(figures: Figures) -> Iterator[str]:
    days = float(figures.ours("fire_site.rekindle_days"))
    yield f"Ash and the ground around are felt for heat on each of {days:g} days; roots and peat burn on unseen."
