"""One shape for each state, told apart in black and white and by red light. Colour carries nothing.

The same table stands in `frontend/map/shapes.ts`; a test holds the two together.
"""

from __future__ import annotations

Part = tuple[str, dict[str, str]]

PAPER = {"fill": "var(--paper, #fff)", "stroke": "currentColor"}
INK = {"fill": "currentColor", "stroke": "currentColor"}
LINE = {"fill": "none", "stroke": "currentColor"}
KNOCKED = {"fill": "none", "stroke": "var(--paper, #fff)"}
SQUARE = "M3 3H17V17H3Z"
DIAMOND = "M10 1L19 10L10 19L1 10Z"
TRIANGLE = "M10 2L18.5 17H1.5Z"
STAR = "M10 0L12.9 7L20 7.6L14.6 12.3L16.3 19.5L10 15.6L3.7 19.5L5.4 12.3L0 7.6L7.1 7Z"


def _circle(radius: int, look: dict[str, str]) -> Part:
    return "circle", {"cx": "10", "cy": "10", "r": str(radius), **look}


def _path(d: str, look: dict[str, str]) -> Part:
    return "path", {"d": d, **look}


_CASE = (_path(SQUARE, INK), _path("M6 6L14 14M14 6L6 14", KNOCKED))
SHAPES: dict[str, tuple[Part, ...]] = {
    "index": (_path(STAR, INK),),
    "confirmed": _CASE,
    "case": _CASE,
    "suspect": (_path(DIAMOND, PAPER), _path("M10 1L19 10L10 19Z", INK)),
    "contact": (_path(TRIANGLE, PAPER),),
    "exposed": (_path(TRIANGLE, PAPER), _path("M10 9V13", LINE)),
    "at risk": (_path(DIAMOND, PAPER),),
    "standstill": (_path(SQUARE, PAPER), _path("M6 10H14", LINE)),
    "under inspection": (_circle(8, PAPER), _circle(3, INK)),
    "follow-up": (_circle(8, PAPER), _path("M10 2A8 8 0 0 1 10 18Z", INK)),
    "released": (_circle(8, PAPER), _path("M6 10L9 13.5L14.5 6.5", LINE)),
    "free-running": (_circle(8, PAPER),),
    "abandoned": (_path(SQUARE, {**PAPER, "stroke-dasharray": "3 2"}),),
}
HOUSE: tuple[Part, ...] = (_path("M2 9L10 2L18 9V18H2Z", PAPER),)
OTHER: tuple[Part, ...] = (_circle(4, INK),)


def state_name(state: str, kind: str) -> str:
    """The name under which a state stands in the legend: 'Follow-up 2' and 'follow-up 3' are both 'follow-up'."""
    words = state.lower().replace("_", " ").strip()
    known = next((name for name in SHAPES if words.startswith(name)), "")
    return known or words or kind.lower() or "no state recorded"


def shape_of(state: str, kind: str) -> tuple[Part, ...]:
    """The parts of the shape of a state, on a field of 20 by 20; without a state, what is no apiary is a house."""
    fallback = OTHER if state or kind.lower() == "apiary" else HOUSE
    return SHAPES.get(state_name(state, kind), fallback)
