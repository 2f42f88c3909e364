"""What goes into the fire: wood, wax, honey, plastic, foam and petrol of each hive, and the heat in it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

import numpy as np

from ashcomb.plans.figures import Figures
from ashcomb.plans.petrol_dose import boxes_dose, petrol_dose
from ashcomb.plans.pieces import boxes_of
from ashcomb.records.places import Component
from ashcomb.records.situation import Situation
from ashcomb.records.state import kill_states
from ashcomb.science.fire import load_energy_mj, wood_heat_mj_kg
from ashcomb.science.pit import loose_comb_m3

MATERIALS = ("wood", "wax", "honey", "plastic", "foam", "petrol")
_MADE_OF = {"plastic": "plastic", "foam": "foam", "metal": ""}
_WEIGHED = ("box", "frame", "lid", "floor", "excluder", "feeder")


@dataclass(frozen=True, slots=True, kw_only=True)
class HiveLoad:
    """One hive as fuel. masses_kg: by `MATERIALS`, petrol as poured.  volume_m3: room on the heap.

    unweighed: kinds of parts that count with a stand-in mass.
    """

    hive: str
    masses_kg: tuple[float, ...]
    volume_m3: float
    unweighed: tuple[str, ...]

    def of(self, material: str) -> float:
        """Mass of one material in kg."""
        return self.masses_kg[MATERIALS.index(material)]


def heats_mj_kg(moisture_pct: float, figures: Figures) -> tuple[float, ...]:
    """Heat of each of `MATERIALS` in MJ/kg; wood by its moisture."""
    for key in ("fire.wood_net", "fire.water_evaporation"):
        figures.ours(key)
    wood = float(wood_heat_mj_kg(moisture_pct / 100))
    others = ("wax", "honey", "polyethylene", "polystyrene", "petrol")
    return (wood, *(float(figures.ours(f"fire.{name}")) for name in others))


def energy_mj(masses_kg: Collection[float], heats: Collection[float]) -> float:
    """All heat in a load."""
    return float(load_energy_mj(np.array(masses_kg), np.array(heats)))


def hive_loads(
    situation: Situation, hives: Collection[str], petrol_ml: float | None, figures: Figures
) -> tuple[HiveLoad, ...]:
    """The load of each hive whose parts are counted; a hive without any counted part is left out.

    petrol_ml: in each hive, or None for what is recorded or the profile asks.
    """
    rows: dict[str, list[Component]] = defaultdict(list)
    for row in situation.rows(Component):
        if row.hive in hives:
            rows[row.hive].append(row)
    states, boxes = kill_states(situation), boxes_of(situation, hives)[0]
    density = float(figures.ours("vapour.petrol_density")) / 1e6  # kg/mL
    found = []
    for hive in dict.fromkeys(hives):
        if rows[hive]:
            dose = petrol_dose(petrol_ml, states.get(hive), boxes_dose(boxes[hive], figures))
            found.append(_load(hive, rows[hive], (dose.ml or 0.0) * density, figures))
    return tuple(found)


def _load(hive: str, rows: list[Component], petrol_kg: float, figures: Figures) -> HiveLoad:
    masses = dict.fromkeys(MATERIALS, 0.0)
    masses["petrol"] = petrol_kg
    masses["honey"] = sum(row.honey_kg or 0.0 for row in rows)
    volume, unweighed = 0.0, []
    for (component, material), (count, mass) in _pieces(rows).items():
        if mass is None and component in _WEIGHED:
            unweighed.append(component)
        each = mass if mass is not None else _stand_in(component, figures)
        made_of = _MADE_OF.get(material, "plastic" if component == "excluder" and not material else "wood")
        wax = count * min(each, float(figures.ours("fire_site.wax"))) if component == "frame" else 0.0
        masses["wax"] += count * each if component == "wax" else wax
        if made_of and component != "wax":
            masses[made_of] += count * each - wax
        volume += _room(component, count, figures)
    return HiveLoad(hive=hive, masses_kg=tuple(masses[name] for name in MATERIALS), volume_m3=volume,
                    unweighed=tuple(dict.fromkeys(unweighed)))  # fmt: skip


def _pieces(rows: list[Component]) -> dict[tuple[str, str], tuple[int, float | None]]:
    """Number and mass of one piece by kind and material; of counts on several days the larger holds."""
    days: dict[tuple[str, str], dict[date, int]] = defaultdict(lambda: defaultdict(int))
    masses: dict[tuple[str, str], float] = {}
    for row in rows:
        key = row.component, row.material.casefold()
        days[key][row.happened.last] += row.count
        if row.mass_kg is not None:
            masses[key] = max(masses.get(key, 0.0), row.mass_kg)
    return {key: (max(by_day.values()), masses.get(key)) for key, by_day in days.items()}


def _stand_in(component: str, figures: Figures) -> float:
    return float(figures.ours(f"fire_site.{component}")) if component in _WEIGHED else 0.0


def _room(component: str, count: int, figures: Figures) -> float:
    if component == "box":
        return count * float(figures.ours("fire_site.box_volume")) / 1000
    if component == "frame":
        size = [float(figures.ours(f"pit.frame_{side}")) for side in ("length", "depth", "spacing")]
        return float(loose_comb_m3(count, size[0], size[1], size[2], float(figures.ours("pit.packing"))))
    return 0.0
