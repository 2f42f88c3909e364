"""The pit in section and in plan: walls, ash, cover, spoil heap, and the depth that nobody enters without support."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from ashcomb.drawings.axes import Scale, round_length
from ashcomb.drawings.svg import DASH_DOT, DASHED, DOTTED, EDGE, NORMAL, PAPER, SMALL, WIDTH, Drawing
from ashcomb.plans.pit import PitPlan

SPOIL_RUN = 1.5  # drawn slope of the spoil heap, run to rise
BANK_M = 1.0  # ground drawn beside the pit
TALLEST = 300.0  # of the picture itself, in units of the drawing


@dataclass(frozen=True, slots=True)
class PitMarks:
    """Distances that the plan does not hold: of the spoil heap and every load from the edge, and of the way out."""

    spoil_setback_m: float
    exit_m: float


def spoil_m(plan: PitPlan) -> tuple[float, float]:
    """Base and height of a spoil heap that runs along the pit, as drawn."""
    order = plan.order
    along = order.length_m + 2 * order.slope * order.depth_m
    high = sqrt(plan.spoil_m3 / (along * SPOIL_RUN))
    return 2 * SPOIL_RUN * high, high


def pit_section(plan: PitPlan, marks: PitMarks) -> str:
    """The pit across its width, to scale, with the heap before the fire, ash and cover after it."""
    order, (base, high) = plan.order, spoil_m(plan)
    residue = _used(plan, "pit.residue")
    out = order.slope * order.depth_m
    rim = order.width_m + 2 * out
    heap = plan.load.comb_m3 / plan.area_m2
    above = max(high, heap - order.depth_m, 0.2) + 0.25
    below = max(order.depth_m, plan.entry_limit_m) + 0.35
    across = BANK_M + rim + marks.spoil_setback_m + base + 0.3
    title = f"Section of the pit, {order.width_m:g} m wide, {order.depth_m:g} m deep"
    drawing = Drawing("pit-section", title, f"{plan.verdict} {_layers(plan, residue)}")
    top = drawing.heading(title, plan.verdict) + 12
    per_m = min((WIDTH - 2 * EDGE - 40) / across, TALLEST / (above + below))
    x = Scale(-BANK_M - out, across - BANK_M - out, EDGE + 40, EDGE + 40 + across * per_m)
    y = Scale(-above, below, top, top + (above + below) * per_m)
    _ground(drawing, plan, x, y, across, below)
    _fill(drawing, plan, x, y, residue)
    drawing.path([(x(-out), y(0)), (x(0), y(order.depth_m)), (x(order.width_m), y(order.depth_m)),
                  (x(order.width_m + out), y(0))], weight=2, kind="walls")  # fmt: skip
    level = y(order.depth_m - heap)
    sides = ([(x(0), y(0))], [(x(order.width_m), y(0))]) if heap > order.depth_m else ([], [])
    drawing.path([*sides[0], (x(0), level), (x(order.width_m), level), *sides[1]], dash=DASHED, weight=1.4, kind="heap")
    left = order.width_m + out + marks.spoil_setback_m
    drawing.path([(x(left), y(0)), (x(left + base / 2), y(-high)), (x(left + base), y(0))], closed=True, fill="spoil",
                 kind="spoil")  # fmt: skip
    _depths(drawing, plan, x, y)
    drawing.measure((x(order.width_m + out), y(0) - 10), (x(left), y(0) - 10), f"≥ {marks.spoil_setback_m:g} m",
                    kind="setback", off=-14)  # fmt: skip
    level = y(order.depth_m - max(residue + plan.cover_m, heap)) - 14
    level = level if level > y(0) + 8 else y(order.depth_m) + 14
    for side in (0.0, order.width_m):
        drawing.line((x(side), level), (x(side), y(order.depth_m)), weight=0.6, dash=DOTTED)
    drawing.measure((x(0), level), (x(order.width_m), level), f"{order.width_m:g} m", kind="width")
    line = _legend(drawing, plan, marks, residue, heap, y(below) + 28)
    return drawing.render(drawing.caution(line + 4, plan.cautions[:1]))


def pit_view(plan: PitPlan, marks: PitMarks) -> str:
    """The pit from above, to scale, with the spoil heap and the strip that carries no load."""
    order, (base, _) = plan.order, spoil_m(plan)
    out, back = order.slope * order.depth_m, marks.spoil_setback_m
    wide, high = order.length_m + 2 * (out + back), order.width_m + 2 * (out + back) + base
    title = f"Plan of the pit, floor {order.length_m:g} × {order.width_m:g} m"
    drawing = Drawing("pit-plan", title, f"{plan.verdict} Spoil heap {back:g} m from the edge, {base:.1f} m wide.")
    top = drawing.heading(title, plan.verdict) + 26
    per_m = min((WIDTH - 2 * EDGE - 60) / wide, 1.2 * TALLEST / high)
    x0 = (WIDTH - wide * per_m) / 2
    x, y = (
        Scale(-out - back, wide - out - back, x0, x0 + wide * per_m),
        Scale(-out - back, high, top, top + (high + out + back) * per_m),
    )
    rim_y = order.width_m + out
    drawing.box(x(-out - back), y(-out - back), wide * per_m, (order.width_m + 2 * (out + back)) * per_m, dash=DASH_DOT,
                round_=back * per_m, kind="no-load")  # fmt: skip
    drawing.box(x(-out), y(rim_y + back), (order.length_m + 2 * out) * per_m, base * per_m, fill="spoil", kind="spoil")
    if out:
        drawing.box(x(-out), y(-out), (order.length_m + 2 * out) * per_m, (order.width_m + 2 * out) * per_m,
                    fill="walls", kind="rim")  # fmt: skip
    drawing.box(x(0), y(0), order.length_m * per_m, order.width_m * per_m, weight=2, fill=PAPER, kind="floor")
    middle = x(order.length_m / 2)
    drawing.plate((middle, y(order.width_m / 2)), f"{order.depth_m:g} m deep", size=NORMAL, bold=True)
    drawing.plate((middle, y(rim_y + back + base / 2)), f"spoil heap, {plan.spoil_m3:.1f} m³ loose")
    drawing.measure((x(0), y(-out - back) - 12), (x(order.length_m), y(-out - back) - 12), f"{order.length_m:g} m",
                    kind="length")  # fmt: skip
    side = x(-out - back) - 26
    drawing.measure((side, y(0)), (side, y(order.width_m)), f"{order.width_m:g} m", kind="width")
    at = x(order.length_m * 0.85)
    drawing.measure((at, y(rim_y)), (at, y(rim_y + back)), f"{back:g} m", kind="setback", off=26)
    line = scale_bar(drawing, per_m, y(rim_y + back + base) + 28)
    line = drawing.swatch((EDGE, line), f"Within {back:g} m of the edge: no spoil, no vehicle, no stack of boxes.",
                          dash=DASH_DOT)  # fmt: skip
    if out:
        line = drawing.swatch((EDGE, line), f"Sloped walls, {order.slope:g} : 1.", fill="walls")
    line = drawing.paragraph(
        (EDGE, line), f"Where somebody enters, a way out is within {marks.exit_m:.1f} m. {_entry(plan)}."
    )
    return drawing.render(drawing.caution(line + 4, plan.cautions[:1]))


def scale_bar(drawing: Drawing, per_m: float, y: float) -> float:
    """A bar of round length at the left edge; returns the base line for what follows."""
    metres = round_length(160 / per_m)
    end = EDGE + metres * per_m
    drawing.path([(EDGE, y - 6), (EDGE, y), (end, y), (end, y - 6)], weight=1.6, kind="scale-bar")
    drawing.text((end + 8, y), f"{metres:g} m", size=SMALL, halo=False)
    return y + 22


def _used(plan: PitPlan, key: str) -> float:
    return next(value.value for value in plan.uses if value.key == key)


def _entry(plan: PitPlan) -> str:
    if not plan.order.entered:
        return "Nobody enters: filled and covered from outside"
    return f"Nobody goes deeper than {plan.entry_limit_m:g} m without supported walls"


def _layers(plan: PitPlan, residue: float) -> str:
    return f"From below: ash {residue:g} m, settled soil {plan.cover_m:g} m. Ground above."


def _ground(drawing: Drawing, plan: PitPlan, x: Scale, y: Scale, across: float, below: float) -> None:
    order = plan.order
    out = order.slope * order.depth_m
    outline = [(x.start, y(0)), (x(-out), y(0)), (x(0), y(order.depth_m)), (x(order.width_m), y(order.depth_m)),
               (x(order.width_m + out), y(0)), (x.end, y(0)), (x.end, y(below)), (x.start, y(below))]  # fmt: skip
    drawing.path(outline, closed=True, fill="ground", weight=0, kind="ground")
    for start, end in ((x.start, x(-out)), (x(order.width_m + out), x.end)):
        drawing.line((start, y(0)), (end, y(0)), weight=2)


def _fill(drawing: Drawing, plan: PitPlan, x: Scale, y: Scale, residue: float) -> None:
    """Ash and cover as they are to lie in the end."""
    order, depth = plan.order, plan.order.depth_m

    def layer(low: float, high: float, fill: str, kind: str) -> None:
        high = min(high, depth)
        left = [(x(-order.slope * h), y(depth - h)) for h in (low, high)]
        right = [(x(order.width_m + order.slope * h), y(depth - h)) for h in (high, low)]
        drawing.path([*left, *right], closed=True, fill=fill, kind=kind)

    layer(residue, residue + plan.cover_m, "soil", "cover")
    layer(0.0, residue, "ash", "ash")


def _depths(drawing: Drawing, plan: PitPlan, x: Scale, y: Scale) -> None:
    """Depth marks on the left, the depth of the pit, and the depth that nobody enters."""
    depth, limit = plan.order.depth_m, plan.entry_limit_m
    ruler = x.start - 8
    drawing.line((ruler, y(0)), (ruler, y(max(depth, limit))), weight=1)
    quarters = range(int(max(depth, limit) / 0.25 + 1e-9) + 1)
    for n in quarters:
        drawing.line((ruler - (6 if n % 2 == 0 else 3), y(n / 4)), (ruler, y(n / 4)))
        if n % 2 == 0:
            drawing.text((ruler - 9, y(n / 4) + 4), f"{n / 4:g}", size=SMALL, anchor="end")
    drawing.text((ruler - 9, y(0) - 12), "m", size=SMALL, anchor="end")
    at = x(-plan.order.slope * depth) - 16
    drawing.line((at - 5, y(depth)), (x(0), y(depth)), weight=0.7)
    drawing.measure((at, y(0)), (at, y(depth)), f"{depth:g} m", kind="depth")
    drawing.line((x.start, y(limit)), (x.end, y(limit)), weight=1.6, dash=DASH_DOT, kind="entry-limit")
    words = f"{limit:g} m: no deeper without supported walls"
    drawing.plate((x.end - 130, y(limit)), words)


def _legend(drawing: Drawing, plan: PitPlan, marks: PitMarks, residue: float, heap: float, line: float) -> float:
    load, at = plan.load, EDGE
    line = drawing.swatch((at, line), f"{load.frames} frames of loose comb before the fire: {heap:.2f} m high, "
                                      f"{load.comb_m3:.2f} m³.", dash=DASHED, weight=1.4)  # fmt: skip
    line = drawing.swatch((at, line), f"Ash, wire and char: {residue:g} m allowed.", fill="ash")
    line = drawing.swatch((at, line), f"Settled soil over the ash: {plan.cover_m:g} m, {plan.soil_m3:.2f} m³; put on "
                                      f"{plan.place_m3:.2f} m³ loose.", fill="soil")  # fmt: skip
    line = drawing.swatch((at, line), f"Spoil heap: {plan.spoil_m3:.2f} m³ loose, drawn {SPOIL_RUN:g} : 1, at least "
                                      f"{marks.spoil_setback_m:g} m from the edge.", fill="spoil")  # fmt: skip
    line = drawing.swatch((at, line), "Ground that stays as it is.", fill="ground")
    words = f"Honey, if all ran: {plan.liquid_mm:.0f} mm deep. Depth needed: {plan.needed_depth_m:.2f} m."
    return drawing.paragraph((at, line), words)
