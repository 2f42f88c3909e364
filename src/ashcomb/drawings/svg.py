"""A small builder of drawings as SVG text: black on white, hatches and line styles instead of colour.

All text is escaped, the same calls give the same bytes, and nothing points outside the drawing. Units are those of the
drawing: `WIDTH` across, which an A5 page shows so that the smallest text stays readable.
"""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterable, Sequence
from xml.etree.ElementTree import Element, SubElement, tostring

WIDTH = 640.0
EDGE = 24.0
SMALL, NORMAL, LARGE = 12.0, 13.5, 17.0  # heights of letters
LETTER = 0.52  # mean width of a letter over its height
INK, PAPER = "#000", "#fff"
DASHED, DOTTED, LONG, DASH_DOT = "6 4", "1.5 4", "14 6", "12 4 2 4"
Point = tuple[float, float]

# One square of each hatch: side, then the paths drawn in it with their line width.
HATCHES: dict[str, tuple[float, tuple[tuple[str, float], ...]]] = {
    "ground": (10, (("M-2 12L12 -2M-7 7L7 -7M3 17L17 3", 0.6),)),
    "soil": (5, (("M0 2.5h5", 0.9),)),
    "ash": (4, (("M0.4 1h1.4M2.4 3h1.4", 1.4),)),
    "spoil": (11, (("M2 3h2M7 8h2M8 2h1M3 8h1", 1.3),)),
    "cross": (7, (("M0 0L7 7M7 0L0 7", 0.5),)),
    "walls": (7, (("M3.5 0v7", 0.8),)),
    "band": (6, (("M-1 1L1 -1M0 6L6 0M5 7L7 5", 0.5),)),
    "leak": (5, (("M1 1.5h1M3.5 4h1", 0.9),)),
}

CLEAR = ("band", "leak")  # hatches through which what lies below shows


class Drawing:
    """One drawing under way. name: short, starts the ids in it.  title, desc: for those who cannot see it."""

    def __init__(self, name: str, title: str, desc: str) -> None:
        self.name = name
        self.root = Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "role": "img", "font-family": "sans-serif",
                                    "fill": INK})  # fmt: skip
        SubElement(self.root, "title").text = printable(title)
        SubElement(self.root, "desc").text = printable(desc)
        self._defs = SubElement(self.root, "defs")
        self._ground = SubElement(self.root, "rect", {"x": "0", "y": "0", "width": number(WIDTH), "fill": PAPER})

    def shape(self, tag: str, attributes: dict[str, str], kind: str = "") -> None:
        """Any element; kind becomes its class."""
        SubElement(self.root, tag, ({"class": kind} if kind else {}) | attributes)

    def line(self, start: Point, end: Point, *, weight: float = 1.0, dash: str = "", kind: str = "") -> None:
        """A straight line."""
        self.path([start, end], weight=weight, dash=dash, kind=kind)

    def path(
        self, points: Sequence[Point], *, weight: float = 1.0, dash: str = "", fill: str = "none", closed: bool = False,
        kind: str = "", ink: str = INK,
    ) -> None:  # fmt: skip
        """A line through points; closed and filled if asked, with a grey, white or the name of a hatch."""
        steps = "L".join(f"{number(x)} {number(y)}" for x, y in points)
        self.shape("path", {"d": f"M{steps}{'Z' if closed else ''}", **self._look(weight, dash, fill, ink)}, kind)

    def box(
        self, x: float, y: float, wide: float, high: float, *, round_: float = 0.0, weight: float = 1.0, dash: str = "",
        fill: str = "none", kind: str = "",
    ) -> None:  # fmt: skip
        """A rectangle, its corners rounded if asked."""
        place = {"x": number(x), "y": number(y), "width": number(wide), "height": number(high)}
        corners = {"rx": number(round_), "ry": number(round_)} if round_ else {}
        self.shape("rect", {**place, **corners, **self._look(weight, dash, fill, INK)}, kind)

    def circle(self, at: Point, radius: float, *, weight: float = 1.0, fill: str = PAPER, kind: str = "") -> None:
        """A circle."""
        place = {"cx": number(at[0]), "cy": number(at[1]), "r": number(radius)}
        self.shape("circle", {**place, **self._look(weight, "", fill, INK)}, kind)

    def text(
        self, at: Point, words: str, *, size: float = NORMAL, anchor: str = "start", bold: bool = False,
        halo: bool = True,
    ) -> None:  # fmt: skip
        """Words on their base line, with a white edge so that lines below do not cut them."""
        look = {"x": number(at[0]), "y": number(at[1]), "font-size": number(size)}
        look |= {"text-anchor": anchor} if anchor != "start" else {}
        look |= {"font-weight": "bold"} if bold else {}
        look |= (
            {"stroke": PAPER, "stroke-width": "3.5", "stroke-linejoin": "round", "paint-order": "stroke"}
            if halo
            else {}
        )
        SubElement(self.root, "text", look).text = printable(words)

    def plate(self, at: Point, words: str, *, size: float = SMALL, bold: bool = False) -> None:
        """Words centred on a white field, for places that are hatched or crossed by lines."""
        wide = len(printable(words)) * size * LETTER * (1.12 if bold else 1.04) + 6
        self.box(at[0] - wide / 2, at[1] - size * 0.65, wide, size * 1.3, weight=0, fill=PAPER)
        self.text((at[0], at[1] + size * 0.36), words, size=size, anchor="middle", bold=bold, halo=False)

    def paragraph(self, at: Point, words: str, *, size: float = SMALL, wide: float = WIDTH - 2 * EDGE) -> float:
        """Words in lines no wider than `wide`; returns the base line for what follows."""
        x, y = at
        for line in textwrap.wrap(printable(words), max(8, int(wide / (size * LETTER)))):
            self.text((x, y), line, size=size, halo=False)
            y += size * 1.3
        return y

    def arrow(self, start: Point, end: Point, *, weight: float = 1.2, dash: str = "", kind: str = "") -> None:
        """A line with a head at its end."""
        self.line(start, end, weight=weight, dash=dash, kind=kind)
        self._head(start, end, 7 + weight)

    def measure(self, start: Point, end: Point, words: str, *, kind: str = "", off: float = 0.0) -> None:
        """A measured length with heads at both ends and words on a white plate at its middle, `off` beside the line."""
        self.line(start, end, kind=kind)
        self._head(start, end, 6)
        self._head(end, start, 6)
        middle = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
        if abs(end[0] - start[0]) >= abs(end[1] - start[1]):
            self.plate((middle[0], middle[1] + off), words)
        else:
            self.plate((middle[0] + off, middle[1]), words)

    def swatch(self, at: Point, words: str, *, fill: str = "none", dash: str = "", weight: float = 1.0) -> float:
        """A row of the legend: a small field or line, then words; returns the base line of the next row."""
        x, y = at
        if fill != "none":
            self.box(x, y - 11, 26, 13, fill=fill, dash=dash, weight=weight)
        else:
            self.line((x, y - 4), (x + 26, y - 4), dash=dash, weight=weight)
        return self.paragraph((x + 34, y), words, wide=WIDTH - 2 * EDGE - 34) + 3

    def heading(self, words: str, below: str = "") -> float:
        """The title on the drawing itself; returns the base line for what follows."""
        self.text((EDGE, EDGE + 6), words, size=LARGE, bold=True, halo=False)
        return self.paragraph((EDGE, EDGE + 26), below) if below else EDGE + 26

    def caution(self, y: float, cautions: Iterable[str]) -> float:
        """A ruled line and the cautions below it; returns the base line for what follows."""
        self.line((EDGE, y), (WIDTH - EDGE, y), weight=0.8)
        y += 16
        for words in cautions:
            y = self.paragraph((EDGE, y), words) + 3
        return y

    def render(self, height: float) -> str:
        """The drawing as SVG text of that height."""
        self.root.set("viewBox", f"0 0 {number(WIDTH)} {number(height)}")
        self.root.set("width", number(WIDTH))
        self.root.set("height", number(height))
        self._ground.set("height", number(height))
        return tostring(self.root, encoding="unicode") + "\n"

    def _look(self, weight: float, dash: str, fill: str, ink: str) -> dict[str, str]:
        stroke = {"stroke": ink, "stroke-width": number(weight)} if weight else {}
        dashes = {"stroke-dasharray": dash} if dash else {}
        return {"fill": self.hatch(fill) if fill in HATCHES else fill, **stroke, **dashes}

    def hatch(self, name: str) -> str:
        """The fill that draws a hatch of `HATCHES`."""
        key = f"{self.name}-{name}"
        if not any(pattern.get("id") == key for pattern in self._defs):
            side, parts = HATCHES[name]
            size = number(side)
            pattern = SubElement(self._defs, "pattern", {"id": key, "width": size, "height": size,
                                                         "patternUnits": "userSpaceOnUse"})  # fmt: skip
            if name not in CLEAR:
                SubElement(pattern, "rect", {"width": size, "height": size, "fill": PAPER})
            for d, weight in parts:
                SubElement(pattern, "path", {"d": d, "stroke": INK, "stroke-width": number(weight), "fill": "none"})
        return f"url(#{key})"

    def _head(self, start: Point, end: Point, size: float) -> None:
        dx, dy = end[0] - start[0], end[1] - start[1]
        length = (dx * dx + dy * dy) ** 0.5 or 1.0
        ux, uy = dx / length * size, dy / length * size
        wing = 0.35
        left = end[0] - ux - wing * uy, end[1] - uy + wing * ux
        right = end[0] - ux + wing * uy, end[1] - uy - wing * ux
        self.path([end, left, right], weight=0, fill=INK, closed=True)


def number(value: float) -> str:
    """A number with two places at most and no needless zeros, so that the same drawing has the same bytes."""
    words = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if words in ("-0", "") else words


def printable(words: str) -> str:
    """The words on one line, with a visible sign for characters that XML or a page cannot show."""
    flat = " ".join(words.split())
    return "".join("\ufffd" if unicodedata.category(c) in ("Cc", "Cs", "Co", "Cn") else c for c in flat)
