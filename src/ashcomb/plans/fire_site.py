"""The fire site: heat of the real load, distances around it, how many hives at a time, and where no flame may be.

No answer here is leave to light: permits, fire bans, the meter and two named people decide at the pit.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.fire_exclusion import Exclusion, exclusion
from ashcomb.plans.fire_ground import Ground, check_ground
from ashcomb.plans.fire_heat import TALLEST_M, StageFire, heap_m, stage_fire
from ashcomb.plans.fire_load import HiveLoad, energy_mj, heats_mj_kg, hive_loads
from ashcomb.plans.fire_words import against_of, materials_left_out, warnings_of
from ashcomb.plans.night_fuel import Fuel, fuel
from ashcomb.plans.pieces import boxes_of
from ashcomb.plans.result import Gate, Plan
from ashcomb.plans.waiting_air import air_temperature
from ashcomb.records.situation import Situation
from ashcomb.science.cautions import DIGGING, FIRE, FUEL
from ashcomb.sources.profile import CodeProfile


@dataclass(frozen=True, slots=True, kw_only=True)
class FireOrder:
    """The fire that somebody has in mind. Lengths in m, of the floor of the pit.

    at_once: hives in one loading; None takes the most that fit.  petrol_ml: in each hive; None for what is recorded.
    on_site_l: petrol in cans; None for what the night would carry.
    """

    apiary: str
    hives: tuple[str, ...]
    now: datetime
    length_m: float
    width_m: float
    depth_m: float
    at_once: int | None = None
    petrol_ml: float | None = None
    on_site_l: float | None = None
    moisture_pct: float | None = None
    temperature_c: float | None = None
    ground: Ground = Ground()  # noqa: RUF009


@dataclass(frozen=True, slots=True, kw_only=True)
class FireSitePlan(Plan):
    """One fire site. loads: by hive.  heats_mj_kg, masses_kg, energy_mj: all of it.  stage: the heaviest loading.

    stages: how many loadings.  against: what does not fit.  fuel: petrol to carry, None where there is no dose.
    """

    order: FireOrder
    loads: tuple[HiveLoad, ...]
    heats_mj_kg: tuple[float, ...]
    masses_kg: tuple[float, ...]
    energy_mj: float
    area_m2: float
    stage: StageFire
    stages: int
    exclusion: Exclusion
    fuel: Fuel | None
    ash_watch_h: float
    gates: tuple[Gate, ...]
    against: tuple[str, ...]
    warnings: tuple[str, ...]
    verdict: str

    @property
    def fits(self) -> bool:
        """Whether the measured place has the room. Says nothing about lighting."""
        return not self.against and all(gate.met for gate in self.gates)


def fire_site_plan(situation: Situation, profile: CodeProfile, order: FireOrder) -> FireSitePlan:
    """Plans the site of a fire for the counted parts of some hives.

    Raises UserError for a pit without floor or depth, no hive with counted parts, a loading of less than one hive, or a
    heap so tall that no formula holds.
    """
    _check(order)
    figures = Figures(profile)
    loads = hive_loads(situation, order.hives, order.petrol_ml, figures)
    if not loads:
        raise UserError("No part of any hive is counted.", "Count the parts and record them under Components.")
    moisture = float(order.moisture_pct if order.moisture_pct is not None else figures.ours("fire_site.moisture"))
    heats, area = heats_mj_kg(moisture, figures), order.length_m * order.width_m
    stage, against = _staged(order, loads, area, moisture, heats, figures)
    carry = _carry(situation, order, loads, figures)
    temperature, doubt = air_temperature(situation, order.apiary, order.now, order.temperature_c, figures)
    litres = order.on_site_l if order.on_site_l is not None else float(carry.carry_l) if carry else 0.0
    cans_kg = litres / 1000 * float(figures.ours("vapour.petrol_density"))
    away = exclusion(tuple(load.of("petrol") for load in loads), cans_kg, temperature, figures)
    masses = tuple(sum(column) for column in zip(*(load.masses_kg for load in loads), strict=True))
    stages, watch = -(-len(loads) // stage.hives), float(figures.ours("fire.ash_hold"))
    gates = (carry.gate, *_on_site(order, figures)) if carry else tuple(_on_site(order, figures))
    warnings = (*warnings_of(order.ground, stage, away, figures), *materials_left_out(loads, order.hives, figures))
    return FireSitePlan(
        order=order, loads=loads, heats_mj_kg=heats, masses_kg=masses, energy_mj=energy_mj(masses, heats), area_m2=area,
        stage=stage, stages=stages, exclusion=away, fuel=carry, ash_watch_h=watch, gates=gates, against=against,
        warnings=warnings, verdict=_verdict(stage, stages, against), uses=figures.taken, rules=figures.rules,
        assumptions=(*_ASSUMED, *([doubt] if doubt else [])), cautions=(FIRE, FUEL, DIGGING),
    )  # fmt: skip


_ASSUMED = (
    "The pit shields nothing and slows nothing: the fire is reckoned as if it burned on the open ground.",
    "Distances are reckoned from the middle of the fire and kept from the rim of the pit, which is further.",
    "Boxes go on whole and combs loose; the greater of a crib and a stack of pallets bounds the rate. A pit burns "
    "slower and longer: plan for hours.",
    "Honey counts with all its heat in the total and with none in the rate: it boils over and damps the fire.",
    "Petrol counts as it was poured, as if none had evaporated.",
)


def _check(order: FireOrder) -> None:
    if min(order.length_m, order.width_m, order.depth_m) <= 0:
        raise UserError("The pit has no floor or no depth.", "Give lengths above 0.")
    if order.at_once is not None and order.at_once < 1:
        raise UserError(f"{order.at_once} hives at once cannot burn.", "Load at least one hive at a time.")
    for name, found in (("in each hive", order.petrol_ml), ("in cans", order.on_site_l)):
        if found is not None and found < 0:
            raise UserError(f"Petrol {name} cannot be {found:g}.", "Give 0 or more, or leave it out.")
    if order.now.tzinfo is None:
        raise ValueError("the fire site needs an aware moment")
    check_ground(order.ground)


def _staged(
    order: FireOrder, loads: tuple[HiveLoad, ...], area: float, moisture: float, heats: tuple[float, ...],
    figures: Figures,
) -> tuple[StageFire, tuple[str, ...]]:  # fmt: skip
    """The heaviest loading: as asked, or the most hives whose heap and distances fit; one hive if none fits."""
    heaviest = sorted(loads, key=lambda load: (-energy_mj(load.masses_kg, heats), load.hive))
    counts = [min(order.at_once, len(loads))] if order.at_once else range(len(loads), 0, -1)
    stage: StageFire | None = None
    against: tuple[str, ...] = ()
    for count in counts:
        some = tuple(heaviest[:count])
        if heap_m(some, area) > TALLEST_M:
            continue
        stage = stage_fire(some, area, moisture, heats, figures)
        against = against_of(order.depth_m, order.ground, stage)
        if not against:
            break
    if stage is None:
        raise UserError(f"Even the smallest loading makes a heap of more than {TALLEST_M:g} m.", "Dig a larger floor.")
    return stage, against


def _carry(situation: Situation, order: FireOrder, loads: tuple[HiveLoad, ...], figures: Figures) -> Fuel | None:
    if not any(load.of("petrol") for load in loads):
        return None
    return fuel(boxes_of(situation, [load.hive for load in loads])[0], figures)


def _on_site(order: FireOrder, figures: Figures) -> list[Gate]:
    limit, name = figures.maybe("fuel.site_max_l"), "petrol on the site"
    if order.on_site_l is None:
        return []
    if limit is None:
        return [Gate(name, False, "The profile states no most fuel on site; ask and add it.", "officer")]
    words = f"{order.on_site_l:g} L on the site; {float(limit):g} L are allowed."
    return [Gate(name, order.on_site_l <= limit, words, "officer")]


def _verdict(stage: StageFire, stages: int, against: tuple[str, ...]) -> str:
    loading = (
        f"{stage.hives} hive{'s' if stage.hives > 1 else ''} at a time, {stages} loading{'s' if stages > 1 else ''}"
    )
    if against:
        return f"Does not fit here, even with {loading}. {' '.join(against)}"
    return (
        f"{loading}: people {stage.people.distance_m:.0f} m, bare earth {stage.bare_earth.distance_m:.0f} m, buildings "
        f"{stage.buildings.distance_m:.0f} m from the rim. This says nothing about lighting."
    )
