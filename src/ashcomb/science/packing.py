"""Boxes into units, units into stacks, stacks on pallets: fewest pallets first, then fewest units.

Everything is counted in whole millimetres and grams. A unit is one box, or two on each other, with lid and base where
it has them; it is never split between stacks. What is claimed to be least is met by a bound from geometry and mass, or
is marked as not proven.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ashcomb.kernel.errors import UserError
from ashcomb.science.pallet import Load, PalletSpec, fill, least_pallets

SMALL = 12  # pairs up to which every number of them is tried apart


@dataclass(frozen=True, slots=True)
class Box:
    """One box to send. mark: as on the label.  mass_kg: filled and wrapped.  height_mm: outside."""

    mark: str
    mass_kg: float
    height_mm: int


@dataclass(frozen=True, slots=True)
class UnitSpec:
    """What the plant takes as one unit.

    max_kg: heaviest unit, itself allowed.  max_boxes: 1 (singles only) or 2.  ends_kg, ends_mm: mass and height that
    lid and base add to every unit; 0 where units travel without.
    """

    max_kg: float
    max_boxes: int = 2
    ends_kg: float = 0.0
    ends_mm: int = 0


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: marks of its boxes from the bottom up, mass with lid and base, height."""

    boxes: tuple[str, ...]
    grams: int
    height_mm: int

    @property
    def mass_kg(self) -> float:
        """Mass in kg."""
        return self.grams / 1000


@dataclass(frozen=True, slots=True)
class Packing:
    """One way to pack. pallets: of stacks of units.  bound: number of pallets below which no packing can go."""

    pallets: tuple[tuple[tuple[Unit, ...], ...], ...]
    bound: int

    @property
    def units(self) -> tuple[Unit, ...]:
        """All units, pallet by pallet."""
        return tuple(unit for pallet in self.pallets for stack in pallet for unit in stack)

    @property
    def mass_kg(self) -> float:
        """Mass of all units."""
        return sum(unit.grams for unit in self.units) / 1000

    @property
    def proven(self) -> bool:
        """Whether no packing takes fewer pallets. The number of units is the fewest that was found."""
        return len(self.pallets) == self.bound


@dataclass(frozen=True, slots=True)
class PackingChoice:
    """chosen: fewest pallets, then fewest units.  fewer_units: that with fewest units, if it costs a pallet."""

    chosen: Packing
    fewer_units: Packing | None


def pair_up(boxes: Sequence[Box], spec: UnitSpec) -> list[tuple[Box, ...]]:
    """The fewest units: as many pairs as the heaviest allowed mass lets, the rest single; pairs first.

    Takes the heaviest box with the lightest; if even that is too heavy the heaviest travels alone, which no other
    choice could better. Raises UserError naming the boxes that are too heavy alone.
    """
    limit = _grams(spec.max_kg) - _grams(spec.ends_kg)
    over = [box.mark for box in boxes if _grams(box.mass_kg) > limit]
    if over:
        raise UserError(
            f"{len(over)} boxes are over {spec.max_kg:g} kg alone: {', '.join(over[:10])}.", "Take out honey or frames."
        )
    order = sorted(boxes, key=lambda box: (_grams(box.mass_kg), box.mark))
    pairs, singles = [], []
    while order:
        heavy = order.pop()
        if spec.max_boxes > 1 and order and _grams(order[0].mass_kg) + _grams(heavy.mass_kg) <= limit:
            pairs.append((heavy, order.pop(0)))
        else:
            singles.append((heavy,))
    return [*pairs, *singles]


def pack(boxes: Sequence[Box], units: UnitSpec, pallet: PalletSpec) -> PackingChoice:
    """Packs boxes of one footprint: fewest pallets first, then fewest units; shows the other choice too.

    Pairs are taken apart, tallest first, until the bound is met: one by one, in larger steps where there are many.
    Raises UserError for a box that is too heavy or too tall. No boxes give no pallets.
    """
    groups = pair_up(boxes, units)
    bound = _bound(boxes, len(groups), units, pallet)
    pairs = sum(len(group) == 2 for group in groups)
    tried = []
    for apart in _steps(pairs):
        packing = _packed(_taken_apart(groups, apart), units, pallet, bound)
        tried.append(packing)
        if packing.proven:
            break
    chosen = min(tried, key=lambda packing: (len(packing.pallets), len(packing.units)))
    dearer = len(tried[0].pallets) > len(chosen.pallets)
    return PackingChoice(chosen, tried[0] if dearer else None)


def _steps(pairs: int) -> list[int]:
    """How many pairs to take apart in turn: every number for a small load, fewer and fewer of them for a large one."""
    if pairs <= SMALL:
        return list(range(pairs + 1))
    return sorted({*range(SMALL), *(pairs * part // SMALL for part in range(1, SMALL + 1))} - {*range(4, SMALL)})


def _taken_apart(groups: list[tuple[Box, ...]], number: int) -> list[tuple[Box, ...]]:
    pairs = sorted((g for g in groups if len(g) == 2), key=lambda g: -sum(box.height_mm for box in g))
    singles = [g for g in groups if len(g) == 1]
    return [*pairs[number:], *singles, *((box,) for pair in pairs[:number] for box in pair)]


def _packed(groups: list[tuple[Box, ...]], spec: UnitSpec, pallet: PalletSpec, bound: int) -> Packing:
    units = [
        Unit(
            tuple(box.mark for box in group),
            sum(_grams(box.mass_kg) for box in group) + _grams(spec.ends_kg),
            sum(box.height_mm for box in group) + spec.ends_mm,
        )
        for group in groups
    ]
    loads = [Load(unit.height_mm, unit.grams) for unit in units]
    placed = fill(loads, pallet, bound)
    return Packing(tuple(tuple(tuple(units[i] for i in stack) for stack in p) for p in placed), bound)


def _bound(boxes: Sequence[Box], least_units: int, spec: UnitSpec, pallet: PalletSpec) -> int:
    height = sum(box.height_mm for box in boxes) + least_units * spec.ends_mm
    grams = sum(_grams(box.mass_kg) for box in boxes) + least_units * _grams(spec.ends_kg)
    parts = [box.height_mm for box in boxes] + ([spec.ends_mm] if spec.ends_mm else [])
    return least_pallets(height, grams, parts, pallet)


def _grams(mass_kg: float) -> int:
    return round(mass_kg * 1000)
