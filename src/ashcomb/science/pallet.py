"""One pallet: how many stacks stand on it, how high they may be, and how few pallets could ever do."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from ashcomb.kernel.errors import UserError
from ashcomb.science.formula import Quantity, formula

_MM = Quantity("mm", 1, 100_000, "length")


@dataclass(frozen=True, slots=True)
class PalletSpec:
    """What one pallet carries.

    stacks: side by side.  height_mm: of the load alone, the largest allowed, itself allowed.  max_kg: heaviest load.
    """

    stacks: int
    height_mm: int
    max_kg: float


@dataclass(frozen=True, slots=True)
class Load:
    """What is set on a stack in one piece."""

    height_mm: int
    grams: int


@dataclass(frozen=True, slots=True)
class Stacks:
    """Stacks on one pallet. number: that a plain layout takes.  at_most: that no layout can exceed."""

    number: int
    at_most: int


@formula(
    returns="number [1], at most [1]",
    source="barnes-1979",
    place="bound from the lengths that can be filled",
    status="from memory",
    length_mm=_MM,
    width_mm=_MM,
    pallet_length_mm=_MM,
    pallet_width_mm=_MM,
)
def stacks_on_pallet(length_mm: int, width_mm: int, pallet_length_mm: int, pallet_width_mm: int) -> Stacks:
    """How many boxes of that footprint stand side by side on a pallet, without overhang.

    All in whole mm. The layout is rows and columns, all boxes turned alike, or two such blocks beside each other. The
    bound: a line across the pallet can only be filled with whole lengths and widths, so the rest of it is always empty.
    """
    a, b, length, width = length_mm, width_mm, pallet_length_mm, pallet_width_mm
    area = _fillable([a, b], length) * _fillable([a, b], width)
    return Stacks(max(_two_blocks(a, b, length, width), _two_blocks(a, b, width, length)), area // (a * b))


@formula(
    returns="kg/m3",
    source="iso-dose-terms",
    place="bulk density",
    status="published",
    mass_kg=Quantity("kg", 0, 100_000, "mass with packing"),
    length_m=Quantity("m", 0.01, 100, "length"),
    width_m=Quantity("m", 0.01, 100, "width"),
    height_m=Quantity("m", 0.01, 100, "height"),
)
def bulk_density(mass_kg: float, length_m: float, width_m: float, height_m: float) -> float:
    """Mass by the volume of the whole stack, packing included: what a plant asks before it sets the time."""
    return mass_kg / (length_m * width_m * height_m)


def load_height(pallet_height_mm: int, deck_mm: int, strict: bool = True) -> int:
    """Height left for the load: the pallet with its load must stay below the limit, or (not strict) may reach it."""
    return pallet_height_mm - deck_mm - int(strict)


def least_pallets(height_mm: int, grams: int, parts_mm: Sequence[int], pallet: PalletSpec) -> int:
    """Number of pallets below which nothing can go, by mass and by height.

    height_mm, grams: of everything to be loaded.  parts_mm: heights of the pieces it is made of; a stack can only be as
    high as some sum of them, so the rest of the height is always empty.
    """
    if not height_mm:
        return 0
    by_height = height_mm / (pallet.stacks * max(1, _fillable(parts_mm, pallet.height_mm)))
    return max(ceil(by_height), -(-grams // round(pallet.max_kg * 1000)))


def fill(loads: Sequence[Load], pallet: PalletSpec, at_least: int) -> list[list[list[int]]]:
    """Sets loads on pallets: tallest first, each where it fits and the load is lightest; one more pallet if it fails.

    Returns pallets of stacks of indices into loads, bottom first, empty stacks left out. at_least: pallets to begin
    with. Raises UserError for a load that fits on no empty pallet.
    """
    limit = round(pallet.max_kg * 1000)
    if any(load.height_mm > pallet.height_mm or load.grams > limit for load in loads):
        raise UserError(
            "A unit is higher or heavier than a pallet allows.", "Send it as single boxes or lower the load."
        )
    order = sorted(range(len(loads)), key=lambda i: (-loads[i].height_mm, -loads[i].grams, i))
    ordered = [loads[i] for i in order]
    full = _full_stacks(ordered, pallet, limit)
    number = at_least
    while True:
        placed = full if full is not None and len(full) <= number else _fill_number(ordered, pallet, number, limit)
        if placed is not None:
            return [[[order[i] for i in stack] for stack in stacks if stack] for stacks in placed if any(stacks)]
        number += 1


def _full_stacks(loads: Sequence[Load], pallet: PalletSpec, limit: int) -> list[list[list[int]]] | None:
    """Builds each stack as high as it goes, then spreads the stacks by mass; None if a pallet comes out too heavy."""
    waiting: dict[int, list[int]] = {}
    for index, load in enumerate(loads):
        waiting.setdefault(load.height_mm, []).append(index)
    stacks = []
    while waiting:
        heights = _highest({height: len(those) for height, those in waiting.items()}, pallet.height_mm)
        stacks.append([waiting[height].pop(-(at % 2)) for at, height in enumerate(heights)])  # heavy and light in turn
        waiting = {height: those for height, those in waiting.items() if those}
    mass = {at: sum(loads[i].grams for i in stack) for at, stack in enumerate(stacks)}
    pallets: list[list[int]] = [[] for _ in range(-(-len(stacks) // pallet.stacks))]
    weights = [0] * len(pallets)
    for at in sorted(mass, key=lambda at: -mass[at]):
        best = min((p for p in range(len(pallets)) if len(pallets[p]) < pallet.stacks), key=lambda p: weights[p])
        pallets[best].append(at)
        weights[best] += mass[at]
    if max(weights, default=0) > limit:
        return None
    return [[stacks[at] for at in members] for members in pallets]


def _highest(counts: dict[int, int], room: int) -> list[int]:
    """Heights that together come nearest to the room, none used more often than it is there; tall ones first."""
    reached: dict[int, tuple[int, ...]] = {0: ()}
    for height in sorted(counts, reverse=True):
        for total, used in sorted(reached.items()):
            for more in range(1, min(counts[height], (room - total) // height) + 1):
                reached.setdefault(total + more * height, used + (height,) * more)
    return list(reached[max(reached)])


def _fill_number(loads: Sequence[Load], pallet: PalletSpec, number: int, limit: int) -> list[list[list[int]]] | None:
    stacks: list[list[list[int]]] = [[[] for _ in range(pallet.stacks)] for _ in range(number)]
    heights = [[0] * pallet.stacks for _ in range(number)]
    masses = [0] * number
    for index, load in enumerate(loads):
        room = pallet.height_mm - load.height_mm
        fits = [
            (masses[p], -height, p, s)
            for p in range(number)
            if masses[p] + load.grams <= limit
            for s, height in enumerate(heights[p])
            if height <= room
        ]
        if not fits:
            return None
        _, _, p, s = min(fits)
        stacks[p][s].append(index)
        heights[p][s] += load.height_mm
        masses[p] += load.grams
    return stacks


def _fillable(parts: Sequence[int], space: int) -> int:
    """The longest length up to `space` that is a sum of parts, each used any number of times."""
    reached = 1
    for part in sorted(set(parts)):
        if part > 0:
            for start in range(part, space + 1):
                reached |= (reached >> (start - part) & 1) << start
    return (reached & ((1 << space + 1) - 1)).bit_length() - 1


def _two_blocks(a: int, b: int, length: int, width: int) -> int:
    """Best of one block of columns along `length` with sides a, and a second block with sides b beside it."""
    best = 0
    for columns in range(length // a + 1):
        rest = length - columns * a
        best = max(best, columns * (width // b) + (rest // b) * (width // a))
    return best


def stack_places(
    length_mm: int, width_mm: int, pallet_length_mm: int, pallet_width_mm: int
) -> tuple[tuple[int, int, int, int], ...]:
    """Where the stacks of `stacks_on_pallet` stand: left, front, size along the length, size along the width, in mm."""
    along = _two_block_places(length_mm, width_mm, pallet_length_mm, pallet_width_mm)
    across = _two_block_places(length_mm, width_mm, pallet_width_mm, pallet_length_mm)
    if len(across) > len(along):
        return tuple((y, x, deep, wide) for x, y, wide, deep in across)
    return tuple(along)


def _two_block_places(a: int, b: int, length: int, width: int) -> list[tuple[int, int, int, int]]:
    best: list[tuple[int, int, int, int]] = []
    for columns in range(length // a + 1):
        left = columns * a
        places = [(x * a, y * b, a, b) for x in range(columns) for y in range(width // b)]
        places += [(left + x * b, y * a, b, a) for x in range((length - left) // b) for y in range(width // a)]
        best = max(best, places, key=len)
    return best
