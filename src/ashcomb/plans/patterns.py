"""Sizes and masses of pieces: as measured, else of the hive pattern as published, else of a common deep box."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.plans.figures import Figures
from ashcomb.plans.holdings import Holding
from ashcomb.sources.library import values

# Words of a pattern -> key in values/hives; the first that has all its words in the name counts.
PATTERNS: tuple[tuple[tuple[str, ...], str], ...] = (
    (("orrow",), "orrow10_deep"), (("langstroth", "8"), "langstroth8_deep"),
    (("langstroth", "medium"), "langstroth10_medium"), (("langstroth", "shallow"), "langstroth10_shallow"),
    (("langstroth",), "langstroth10_deep"), (("wsp",), "australia10_wsp"), (("ideal",), "australia10_ideal"),
    (("austral",), "australia10_deep"), (("national", "super"), "national_super"), (("national",), "national_brood"),
    (("dadant", "super"), "dadant_super"), (("dadant",), "dadant_brood"), (("buckfast",), "dadant_brood"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Measure:
    """One piece. litres: outside.  grams: with its share of honey.  frames: that fill a box of the pattern."""

    litres: int
    grams: int
    frames: int
    measured: bool


def pattern_key(words: str) -> str:
    """The key of a hive pattern in the sourced values, or '' for an unknown one."""
    text = words.casefold()
    return next((key for parts, key in PATTERNS if all(part in text for part in parts)), "")


def measure_of(holding: Holding, figures: Figures, run_with: int = 0) -> Measure:
    """Size and mass of one piece of the holding; what was weighed goes before what is published.

    run_with: frames that its boxes are run with, if fewer than they hold; 0 is not known.
    """
    part, key = holding.piece.component, pattern_key(holding.piece.pattern)
    honey = holding.honey_kg / holding.count if holding.count else 0.0
    frames = int(_of(key, "frames", figures) or 10)
    frames = min(frames, run_with or frames)
    box = _box_litres(key, figures)
    litres = {"box": box, "frame": box / frames, "lid": _limit("part_l", figures), "floor": _limit("part_l", figures),
              "feeder": _limit("part_l", figures), "drum": 200.0}.get(part, _limit("small_l", figures))  # fmt: skip
    mass = holding.mass_kg if holding.mass_kg is not None else _mass(part, key, figures)
    return Measure(round(litres), round(1000 * (mass + honey)), frames, holding.mass_kg is not None)


def _box_litres(key: str, figures: Figures) -> float:
    sides = [_of(key, f"{side}_mm", figures) for side in ("length", "width", "depth")]
    if None in sides or not key:
        return _limit("box_l", figures)
    length, width, depth = (side or 0.0 for side in sides)
    return length * width * depth / 1e6


def _mass(part: str, key: str, figures: Figures) -> float:
    if part == "box":
        return _of(key, "empty_box_kg", figures) or float(figures.ours("hives.langstroth10_deep.empty_box_kg"))
    if part == "frame":
        return float(figures.ours("hives.comb.deep_drawn_kg"))
    if part == "wax":
        return 1.0  # wax is counted by the kilogram
    return _limit("lid_kg" if part in ("lid", "floor") else "part_kg", figures)


def _of(key: str, name: str, figures: Figures) -> float | None:
    full = f"hives.{key}.{name}"
    return float(figures.ours(full)) if full in values() else None


def _limit(name: str, figures: Figures) -> float:
    return float(figures.ours(f"fate.limit.{name}"))
