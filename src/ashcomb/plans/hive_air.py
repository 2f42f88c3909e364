"""How much free air a shut hive holds, from its boxes by pattern, its combs and its honey."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from ashcomb.plans.figures import Figures
from ashcomb.plans.pieces import boxes_of, counted_of
from ashcomb.records.places import Component, Hive
from ashcomb.records.situation import Situation
from ashcomb.sources.library import values

LITRE = 1e6  # mm³


@dataclass(frozen=True, slots=True, kw_only=True)
class HiveAir:
    """Free air of one hive. air_l: None where no box is counted.  how: how it was found, in words."""

    hive: str
    boxes: int | None
    frames: int
    honey_kg: float
    air_l: float | None
    how: str


def hive_air(situation: Situation, hive: str, figures: Figures) -> HiveAir:
    """Free air in litres: inside of the boxes less the wood and wax of the frames and less the honey.

    A box of unknown pattern counts with the stand-in `vapour.hive_air`; none counts with less than `waiting.least_air`.
    """
    boxes = boxes_of(situation, [hive])[0][hive]
    rows = [row for row in situation.rows(Component) if row.hive == hive]
    honey = sum(row.honey_kg or 0.0 for row in rows)
    frames = counted_of(situation, [hive]).of(hive, "frame")
    if boxes is None:
        return HiveAir(hive=hive, boxes=None, frames=frames, honey_kg=honey, air_l=None, how="boxes not counted")
    combs = frames or boxes * int(figures.ours("waiting.frames_a_box"))
    inside = _inside_l(situation, hive, boxes, rows, figures)
    if inside is None:
        stand_in = boxes * float(figures.ours("vapour.hive_air"))
        return HiveAir(hive=hive, boxes=boxes, frames=combs, honey_kg=honey, air_l=stand_in,
                       how="pattern unknown: a stand-in for each box")  # fmt: skip
    solid = combs * float(figures.ours("waiting.frame_solid")) + honey / float(figures.ours("pit.honey_density"))
    how = "boxes less frames and honey" if frames else "boxes less frames (not counted: ten a box) and honey"
    least = boxes * float(figures.ours("waiting.least_air"))
    return HiveAir(hive=hive, boxes=boxes, frames=combs, honey_kg=honey, air_l=max(inside - solid, least), how=how)


def _inside_l(situation: Situation, hive: str, boxes: int, rows: list[Component], figures: Figures) -> float | None:
    counted = [(row.pattern, row.count) for row in rows if row.component == "box"]
    sheet = situation.by_mark(Hive)
    pattern = sheet[hive].pattern if hive in sheet else ""
    parts = counted if sum(count for _, count in counted) == boxes else [(pattern, boxes)]
    found = [(box_inside_l(name or pattern, figures), count) for name, count in parts]
    if any(litres is None for litres, _ in found):
        return None
    return sum(litres * count for litres, count in found if litres is not None)


def box_inside_l(pattern: str, figures: Figures) -> float | None:
    """Inside of one box of a pattern as it is written ('Langstroth 10 deep'), in litres; None if it is not known."""
    name = _patterns().get(_plain(pattern))
    if name is None:
        return None
    length, width = (_inner_mm(name, side, figures) for side in ("length", "width"))
    return length * width * float(figures.ours(f"hives.{name}.depth_mm")) / LITRE


def _inner_mm(name: str, side: str, figures: Figures) -> float:
    """Inside measure; a shallower box of a family is as long and wide as its deep one."""
    deep = f"{name.split('_')[0]}_deep"
    for box in (name, deep):
        if f"hives.{box}.inner_{side}_mm" in values():
            return float(figures.ours(f"hives.{box}.inner_{side}_mm"))
        if f"hives.{box}.{side}_mm" in values():
            return float(figures.ours(f"hives.{box}.{side}_mm") - 2 * figures.ours("waiting.wall"))
    raise KeyError(f"no {side} for {name}")


@cache
def _patterns() -> dict[str, str]:
    names = {key.split(".")[1] for key in values() if key.startswith("hives.") and key.endswith(".depth_mm")}
    return {_plain(name): name for name in names}


def _plain(text: str) -> str:
    return "".join(letter for letter in text.casefold() if letter.isalnum())
