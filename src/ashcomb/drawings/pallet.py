"""Loaded pallets as drawings: from above with the numbers of the stacks, and from the front with each unit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, tostring

MM = 0.22  # units of the drawing by millimetre
GAP = 40
EDGE = 24
LINE = {"fill": "none", "stroke": "currentColor", "stroke-width": "1.4"}


@dataclass(frozen=True, slots=True)
class Block:
    """One unit on a stack. stack: from 1.  base_mm: under it, above the deck."""

    label: str
    stack: int
    base_mm: int
    height_mm: int


@dataclass(frozen=True, slots=True)
class Loaded:
    """A pallet with its load. places: left, front, length and width of each stack in mm.  limit_mm: stay below it."""

    title: str
    length_mm: int
    width_mm: int
    deck_mm: int
    limit_mm: int
    places: tuple[tuple[int, int, int, int], ...]
    blocks: tuple[Block, ...]


def draw_pallet(pallet: Loaded) -> str:
    """The pallet as an SVG element: one row of stacks behind the other, each stack with its units, then the view from
    above. Every unit is drawn once; words are escaped."""
    stacks = sorted({block.stack for block in pallet.blocks})
    wide = max([place[2] for place in pallet.places], default=400) * MM
    above = pallet.length_mm * MM
    width = 2 * EDGE + len(stacks) * (wide + 8) + GAP + above
    height = 2 * EDGE + max(pallet.limit_mm, pallet.width_mm) * MM + 30
    root = Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "viewBox": f"0 0 {width:.0f} {height:.0f}",
                           "role": "img", "aria-label": pallet.title, "font-family": "sans-serif",
                           "font-size": "12"})  # fmt: skip
    ground = EDGE + pallet.limit_mm * MM
    _limit(root, EDGE, ground, len(stacks) * (wide + 8), pallet)
    for at, stack in enumerate(stacks):
        _stack(root, EDGE + at * (wide + 8), ground, wide, stack, pallet)
    _from_above(root, EDGE + len(stacks) * (wide + 8) + GAP, EDGE + 20, pallet)
    return tostring(root, encoding="unicode")


def _limit(root: Element, x: float, ground: float, wide: float, pallet: Loaded) -> None:
    y = ground - pallet.limit_mm * MM
    SubElement(root, "line", {"x1": f"{x:.1f}", "x2": f"{x + wide:.1f}", "y1": f"{y:.1f}", "y2": f"{y:.1f}",
                              "stroke-dasharray": "6 4", **LINE})  # fmt: skip
    _text(root, x, y - 6, f"stay below {pallet.limit_mm} mm")


def _stack(root: Element, x: float, ground: float, wide: float, stack: int, pallet: Loaded) -> None:
    _box(root, x, ground - pallet.deck_mm * MM, wide, pallet.deck_mm * MM)
    for block in (b for b in pallet.blocks if b.stack == stack):
        top = ground - (pallet.deck_mm + block.base_mm + block.height_mm) * MM
        _box(root, x, top, wide, block.height_mm * MM)
        _text(root, x + wide / 2, top + block.height_mm * MM / 2 + 5, block.label, "middle", "15")
    _text(root, x + wide / 2, ground + 20, f"stack {stack}", "middle", "15")


def _from_above(root: Element, x: float, y: float, pallet: Loaded) -> None:
    _text(root, x, y - 8, f"from above, {pallet.length_mm} by {pallet.width_mm} mm")
    _box(root, x, y, pallet.length_mm * MM, pallet.width_mm * MM)
    used = {block.stack for block in pallet.blocks}
    for number, (left, front, length, depth) in enumerate(pallet.places, start=1):
        if number in used:
            _box(root, x + left * MM, y + front * MM, length * MM, depth * MM)
            words = str(number)
            _text(root, x + (left + length / 2) * MM, y + (front + depth / 2) * MM + 7, words, "middle", "20")


def _box(root: Element, x: float, y: float, wide: float, high: float) -> None:
    SubElement(
        root, "rect", {"x": f"{x:.1f}", "y": f"{y:.1f}", "width": f"{wide:.1f}", "height": f"{high:.1f}", **LINE}
    )


def _text(root: Element, x: float, y: float, words: str, anchor: str = "start", size: str = "14") -> None:
    SubElement(root, "text", {"x": f"{x:.1f}", "y": f"{y:.1f}", "text-anchor": anchor, "font-size": size,
                              "fill": "currentColor"}).text = words  # fmt: skip


def qr_svg(words: str) -> str:
    """A QR code of these words as SVG, black on white with its quiet zone, error correction level M or better."""
    import segno

    code = segno.make(words, error="m", micro=False)
    cells: Sequence[Sequence[int]] = tuple(code.matrix)
    size = len(cells) + 8
    path = "".join(f"M{x + 4} {y + 4}h1v1h-1z" for y, row in enumerate(cells) for x, dark in enumerate(row) if dark)
    root = Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "viewBox": f"0 0 {size} {size}",
                           "shape-rendering": "crispEdges"})  # fmt: skip
    SubElement(root, "rect", {"width": str(size), "height": str(size), "fill": "#fff"})
    SubElement(root, "path", {"d": path, "fill": "#000"})
    return tostring(root, encoding="unicode")
