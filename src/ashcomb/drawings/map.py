"""The map of a case as SVG: places by state, rings and moves on blank paper, with scale bar, north and legend."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from math import atan2, cos, degrees, floor, hypot, log10, radians
from typing import Any
from xml.etree.ElementTree import Element, SubElement, tostring

from ashcomb.drawings.shapes import Part, shape_of, state_name

WIDTH = 960.0  # of the drawing, in its own units
HEIGHT = 720.0  # at most
EDGE = 36.0
LEGEND = 170.0  # room for the legend on the right
LETTER = 8.0  # room for one letter of a mark
DEGREE_M = 111_320.0  # metres to a degree of latitude: on paper this is good enough
Box = tuple[float, float, float, float]
FLAT = {"fill": "none", "stroke": "currentColor"}


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle around (x, y). Units as in `Picture`; the radius is in metres."""

    x: float
    y: float
    radius_m: float
    label: str


@dataclass(frozen=True, slots=True)
class Place:
    """A place with its mark. x, y: None when nobody knows where it is.  state, kind: as in `drawings.shapes`."""

    mark: str
    name: str
    x: float | None
    y: float | None
    state: str
    words: str
    kind: str


@dataclass(frozen=True, slots=True)
class Move:
    """Something that went from one place to another."""

    source: tuple[float, float]
    target: tuple[float, float]
    words: str


@dataclass(frozen=True, slots=True)
class Picture:
    """What a map shows. grid: x, y are metres east and north; else degrees of longitude and latitude."""

    grid: bool
    places: tuple[Place, ...] = ()
    rings: tuple[Ring, ...] = ()
    moves: tuple[Move, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The form that `frontend/map/contract.ts` reads."""
        moves = [{"from": list(m.source), "to": list(m.target), "words": m.words} for m in self.moves]
        return {"grid": self.grid, "rings": [asdict(ring) for ring in self.rings],
                "places": [asdict(place) for place in self.places], "moves": moves}  # fmt: skip

    @property
    def unplaced(self) -> tuple[str, ...]:
        """Marks of the places that cannot be drawn."""
        return tuple(place.mark for place in self.places if place.x is None or place.y is None)

    @property
    def close_up(self) -> Picture | None:
        """What lies inside the widest ring, drawn larger, or None without rings or where nothing lies farther out."""
        if not self.rings:
            return None
        ring = max(self.rings, key=lambda ring: ring.radius_m)
        sheet = _Sheet(Picture(self.grid, rings=(ring,)))
        inside = tuple(
            p for p in self.places if p.x is not None and p.y is not None
            and hypot((p.x - ring.x) * sheet.east, (p.y - ring.y) * sheet.north) <= ring.radius_m
        )  # fmt: skip
        spots = {(p.x, p.y) for p in inside}
        moves = tuple(move for move in self.moves if {move.source, move.target} <= spots)
        fewer = 0 < len(inside) < len(self.places) - len(self.unplaced)
        return Picture(self.grid, inside, self.rings, moves) if fewer else None


def draw_map(picture: Picture, title: str) -> str:
    """The picture as an SVG element, width and height by its viewBox; all text is escaped.

    Degrees are drawn with parallels shortened by the cosine of the middle latitude: for outbreaks, not for continents.
    """
    sheet = _Sheet(picture)
    root = Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "viewBox": f"0 0 {WIDTH:g} {sheet.height:.0f}",
                           "role": "img", "aria-label": title, "class": "drawn-map", "font-size": "15"})  # fmt: skip
    for ring in picture.rings:
        _ring(root, sheet, ring)
    for move in picture.moves:
        _move(root, sheet, move)
    placed = sorted(
        (p for p in picture.places if p.x is not None and p.y is not None), key=lambda p: p.state == "index"
    )
    spots = [(place, *sheet.at(place.x or 0.0, place.y or 0.0)) for place in placed]
    for place, x, y in spots:
        group = _shape(root, x, y, shape_of(place.state, place.kind))
        SubElement(group, "title").text = "; ".join(filter(None, [place.mark, place.name, place.state, place.words]))
    _marks(root, spots)
    _scale_bar(root, sheet)
    _legend(root, {state_name(place.state, place.kind): place for place in placed})
    return tostring(root, encoding="unicode")


class _Sheet:
    """Carries places to paper: metres first, then units of the drawing, north up."""

    def __init__(self, picture: Picture) -> None:
        spots = [(p.x, p.y) for p in picture.places if p.x is not None and p.y is not None]
        spots += [end for move in picture.moves for end in (move.source, move.target)]
        spots += [(ring.x, ring.y) for ring in picture.rings]
        middle = (min(y for _, y in spots) + max(y for _, y in spots)) / 2 if spots else 0.0
        self.east = 1.0 if picture.grid else DEGREE_M * max(0.01, cos(radians(middle)))
        self.north = 1.0 if picture.grid else DEGREE_M
        xs = [x * self.east for x, _ in spots] + [
            r.x * self.east + s * r.radius_m for r in picture.rings for s in (-1, 1)
        ]
        ys = [y * self.north for _, y in spots] + [
            r.y * self.north + s * r.radius_m for r in picture.rings for s in (-1, 1)
        ]
        self.left, self.top = (min(xs), max(ys)) if spots else (0.0, 0.0)
        wide, high = (max(xs) - self.left, self.top - min(ys)) if spots else (0.0, 0.0)
        room = min((WIDTH - LEGEND - 2 * EDGE) / max(wide, 1.0), (HEIGHT - 3 * EDGE) / max(high, 1.0))
        self.per_m = min(room, 1.0)  # one place alone is not blown up
        self.height = max(high * self.per_m + 3 * EDGE, LEGEND)
        self.shift = (WIDTH - LEGEND - wide * self.per_m) / 2

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Units of the drawing, from its upper left corner."""
        return self.shift + (x * self.east - self.left) * self.per_m, EDGE + (self.top - y * self.north) * self.per_m


def _ring(root: Element, sheet: _Sheet, ring: Ring) -> None:
    x, y = sheet.at(ring.x, ring.y)
    radius = ring.radius_m * sheet.per_m
    SubElement(
        root, "circle", {"cx": f"{x:.1f}", "cy": f"{y:.1f}", "r": f"{radius:.1f}", "stroke-dasharray": "6 4", **FLAT}
    )
    _text(root, x, y - radius - 5, ring.label, {"text-anchor": "middle", "font-size": "13"})


def _move(root: Element, sheet: _Sheet, move: Move) -> None:
    (x1, y1), (x2, y2) = sheet.at(*move.source), sheet.at(*move.target)
    group = SubElement(root, "g")
    SubElement(group, "title").text = move.words
    SubElement(group, "line", {"x1": f"{x1:.1f}", "y1": f"{y1:.1f}", "x2": f"{x2:.1f}", "y2": f"{y2:.1f}", **FLAT})
    turn = f"translate({(x1 + x2) / 2:.1f} {(y1 + y2) / 2:.1f}) rotate({degrees(atan2(x2 - x1, y1 - y2)):.1f})"
    SubElement(group, "path", {"d": "M0 -6L5 6L0 3L-5 6Z", "fill": "currentColor", "transform": turn})


def _marks(root: Element, spots: list[tuple[Place, float, float]]) -> None:
    """Writes each mark beside its shape, on the side where it covers least."""
    halo = {"stroke": "var(--paper, #fff)", "stroke-width": "3", "paint-order": "stroke", "font-size": "13"}
    taken = [(x - 9, y - 9, x + 9, y + 9) for _, x, y in spots]
    for place, x, y in spots:
        wide = LETTER * len(place.mark)
        corners = [(x + 11, y + 5), (x - 11 - wide, y + 5), (x - wide / 2, y - 12), (x - wide / 2, y + 22),
                   (x + 8, y - 9), (x + 8, y + 19)]  # fmt: skip
        boxes = [(left, low - 11, left + wide, low) for left, low in corners]
        best = min(range(len(boxes)), key=lambda i: sum(_overlap(boxes[i], other) for other in taken))
        taken.append(boxes[best])
        _text(root, *corners[best], place.mark, halo)


def _overlap(a: Box, b: Box) -> float:
    return max(0.0, min(a[2], b[2]) - max(a[0], b[0])) * max(0.0, min(a[3], b[3]) - max(a[1], b[1]))


def _shape(root: Element, x: float, y: float, parts: Iterable[Part]) -> Element:
    group = SubElement(
        root, "g", {"transform": f"translate({x - 9:.1f} {y - 9:.1f}) scale(0.9)", "stroke-width": "1.8"}
    )
    for tag, attributes in parts:
        SubElement(group, tag, attributes)
    return group


def _scale_bar(root: Element, sheet: _Sheet) -> None:
    longest = 180 / sheet.per_m
    power = 10.0 ** floor(log10(longest))
    metres = next(step * power for step in (5, 2, 1) if step * power <= longest)
    x, y = EDGE, sheet.height - 12
    end = x + metres * sheet.per_m
    SubElement(root, "path", {"d": f"M{x:.1f} {y - 7:g}V{y:g}H{end:.1f}V{y - 7:g}", "stroke-width": "1.5", **FLAT})
    words = f"{metres / 1000:g} km" if metres >= 1000 else f"{metres:g} m"
    _text(root, end + 8, y, f"{words}, north is up", {"font-size": "13"})


def _legend(root: Element, first: Mapping[str, Place]) -> None:
    for row, (name, place) in enumerate(sorted(first.items())):
        y = EDGE + 24 * row
        _shape(root, WIDTH - LEGEND + 20, y, shape_of(place.state, place.kind))
        _text(root, WIDTH - LEGEND + 36, y + 5, name, {"font-size": "14"})


def _text(root: Element, x: float, y: float, words: str, look: Mapping[str, str]) -> None:
    SubElement(root, "text", {"x": f"{x:.1f}", "y": f"{y:.1f}", "fill": "currentColor", **look}).text = words
