"""Packing boxes for irradiation by the limits of the profile: units, stacks, pallets, and what may not travel."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.words import several
from ashcomb.plans.figures import Figures
from ashcomb.plans.result import Plan
from ashcomb.records.acts import Kill
from ashcomb.records.situation import Situation
from ashcomb.science.dose import CAUTION as DOSE_CAUTION
from ashcomb.science.packing import Box, PackingChoice, UnitSpec, pack
from ashcomb.science.pallet import PalletSpec, stacks_on_pallet
from ashcomb.sources.profile import CodeProfile


@dataclass(frozen=True, slots=True, kw_only=True)
class Parcel:
    """One box to send. mark: as on its label.  hive: whose it was.  honey: holds honey, brood or bees."""

    mark: str
    hive: str
    mass_kg: float
    honey: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ShipmentOrder:
    """Boxes of one size, outside measure in mm, and what the plant takes as a unit (1 or 2 boxes; lid and base)."""

    parcels: tuple[Parcel, ...]
    length_mm: int
    width_mm: int
    height_mm: int
    boxes_in_unit: int = 2
    ends_kg: float = 0.0
    ends_mm: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shipment(Plan):
    """How to pack. refused: boxes that may not travel, with the reason; they are not packed.

    by_weight: pallets that the mass alone would need.  stacks, levels: side by side, and boxes one on another.
    """

    order: ShipmentOrder
    packing: PackingChoice
    units: int
    mass_kg: float
    pallets: int
    by_weight: int
    stacks: int
    levels: int
    refused: tuple[tuple[str, str], ...]
    verdict: str


def plan_shipment(situation: Situation, profile: CodeProfile, order: ShipmentOrder) -> Shipment:
    """Packs the boxes that may travel. Raises UserError where the profile sets no limits, or a box is too heavy."""
    figures = Figures(profile)
    names = ("unit_max_kg", "pallet_max_kg", "pallet_length_mm", "pallet_width_mm", "pallet_height_mm", "deck_mm")
    limits = {name: figures.maybe(f"irradiation.{name}") for name in names}
    unset = [name for name, limit in limits.items() if limit is None]
    if unset:
        raise UserError(
            f"Profile “{profile.id}” sets no {', '.join(unset)} for irradiation.", "Ask the plant and add them."
        )
    unit_kg, pallet_kg, length, width, height, deck = (float(limit or 0) for limit in limits.values())
    refused = dict(_refused(situation, order))
    boxes = [Box(p.mark, p.mass_kg, order.height_mm) for p in order.parcels if p.mark not in refused]
    stacks = stacks_on_pallet(order.length_mm, order.width_mm, int(length), int(width)).number
    room = ceil(height - deck) - 1  # the pallet with its load stays below the height
    choice = pack(
        boxes,
        UnitSpec(unit_kg, order.boxes_in_unit, order.ends_kg, order.ends_mm),
        PalletSpec(stacks, room, pallet_kg),
    )
    chosen = choice.chosen
    return Shipment(
        order=order, packing=choice, units=len(chosen.units), mass_kg=chosen.mass_kg, pallets=len(chosen.pallets),
        by_weight=ceil(chosen.mass_kg / pallet_kg), stacks=stacks, levels=room // order.height_mm,
        refused=tuple(refused.items()), verdict=_verdict(choice, len(refused)),
        uses=figures.taken, rules=figures.rules, cautions=(DOSE_CAUTION,),
        assumptions=(
            "A unit is never split between stacks; lid and base add their height and mass where units have them.",
            "Fewest pallets first, then fewest units.",
            "Stacks stand inside the edge of the pallet, without overhang.",
        ),
    )  # fmt: skip


def _refused(situation: Situation, order: ShipmentOrder) -> Iterator[tuple[str, str]]:
    wet = {kill.hive for kill in situation.rows(Kill) if "petrol" in kill.agent.casefold()}
    for parcel in order.parcels:
        if parcel.hive in wet:
            yield parcel.mark, f"{parcel.hive} was killed with petrol: a flammable load is not sent; burn it."
        elif parcel.honey:
            yield parcel.mark, "Holds honey, brood or bees: it leaks and is too heavy; empty it or burn it."


def _verdict(choice: PackingChoice, refused: int) -> str:
    chosen = choice.chosen
    words = f"{several(len(chosen.units), 'unit')}, {chosen.mass_kg:g} kg, {several(len(chosen.pallets), 'pallet')}."
    if not chosen.proven:
        words += " Fewer pallets could not be ruled out."
    if choice.fewer_units:
        fewer = choice.fewer_units
        words += f" With {several(len(fewer.units), 'unit')} it would be {several(len(fewer.pallets), 'pallet')}."
    return words + (f" {several(refused, 'box')} may not travel." if refused else "")
