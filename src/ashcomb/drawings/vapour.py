"""Petrol vapour against time in the slowest hive: gas in the shut hive, and what is left in it and in open comb."""

from __future__ import annotations

from collections.abc import Sequence

from ashcomb.drawings.axes import Scale
from ashcomb.drawings.svg import (
    DASH_DOT,
    DASHED,
    DOTTED,
    EDGE,
    LONG,
    SMALL,
    WIDTH,
    Drawing,
    Point,
)
from ashcomb.plans.hive_vapour import Curve
from ashcomb.plans.waiting import WaitingPlan

LEFT, RIGHT = EDGE + 46, WIDTH - EDGE
HIGH_GAS, HIGH_LEFT = 270.0, 150.0
THINNEST = 0.01  # vol% at the foot of the scale


def vapour_curve(plan: WaitingPlan) -> str:
    """Two panels over one logarithmic axis of hours; the least wait and the limits are lines in both."""
    hive = plan.slowest
    title = f"Vapour after {hive.dose_ml:.0f} mL petrol, hive {hive.hive}"
    below = (
        f"{hive.air.air_l:.0f} L of free air, {plan.temperature_c:g} °C. Calculated, never measured: it clears nothing."
    )
    drawing = Drawing("vapour", title, f"{plan.verdict} {' '.join(plan.reading)}")
    top = drawing.heading(title, below) + 12
    hours = plan.closed[0].hours
    x = Scale(hours[0], hours[-1], LEFT, RIGHT, log=True)
    gas = Scale(THINNEST, 100.0, top + HIGH_GAS, top, log=True)
    low = gas.start + 34
    left = Scale(0.0, 100.0, low + HIGH_LEFT, low)
    _gas(drawing, plan, x, gas)
    _left(drawing, plan, x, left)
    _floor(drawing, plan, x, (top, left.start))
    _axis(drawing, x, left.start)
    line = _legend(drawing, plan, left.start + 54)
    return drawing.render(drawing.caution(line + 4, plan.cautions[:1]))


def _gas(drawing: Drawing, plan: WaitingPlan, x: Scale, y: Scale) -> None:
    swift, usual, slow = plan.closed
    edge = [*_points(swift, swift.vol_pct, x, y), *reversed(_points(slow, slow.vol_pct, x, y))]
    burns = y(plan.lel_vol_pct) - y(plan.uel_vol_pct)
    drawing.path(edge, closed=True, fill="leak", weight=0, kind="leak-band")
    drawing.box(LEFT, y(plan.uel_vol_pct), RIGHT - LEFT, burns, fill="band", weight=0.8, kind="flammable")
    for curve, dash in ((swift, DASHED), (usual, ""), (slow, LONG)):
        drawing.path(_points(curve, curve.vol_pct, x, y), weight=2, dash=dash, kind="gas")
    drawing.line((LEFT, y(plan.clearance_vol_pct)), (RIGHT, y(plan.clearance_vol_pct)), weight=1.6, dash=DASH_DOT,
                 kind="clearance")  # fmt: skip
    for tick in y.ticks():
        drawing.line((LEFT - 4, y(tick)), (LEFT, y(tick)))
        drawing.text((LEFT - 7, y(tick) + 4), f"{tick:g}", size=SMALL, anchor="end")
    drawing.box(LEFT, y.end, RIGHT - LEFT, y.start - y.end)
    drawing.plate((RIGHT - 104, (y(plan.lel_vol_pct) + y(plan.uel_vol_pct)) / 2),
                  f"burns: {plan.lel_vol_pct:g} to {plan.uel_vol_pct:g} vol%", bold=True)  # fmt: skip
    words = f"{_share(plan)} % of the lower limit: {plan.clearance_vol_pct:g} vol%"
    drawing.text((LEFT + 6, y(plan.clearance_vol_pct) + 15), words, size=SMALL)
    drawing.text((LEFT, y.end - 6), "Gas in the shut hive, vol% of its air", size=SMALL)


def _left(drawing: Drawing, plan: WaitingPlan, x: Scale, y: Scale) -> None:
    swift, usual, slow = plan.closed
    shares = [[(x(h), y(100 * s)) for h, s in zip(c.hours, c.left_share, strict=True)] for c in (swift, slow)]
    drawing.path([*shares[0], *reversed(shares[1])], closed=True, fill="leak", weight=0)
    for curve, dash in ((swift, DASHED), (usual, ""), (slow, LONG)):
        drawing.path(_points(curve, _percent(curve), x, y), weight=2, dash=dash, kind="left-closed")
    for curve in plan.open_comb:
        drawing.path(_points(curve, _percent(curve), x, y), weight=2.2, dash=DOTTED, kind="left-open")
    for tick in y.ticks(4):
        drawing.line((LEFT - 4, y(tick)), (LEFT, y(tick)))
        drawing.text((LEFT - 7, y(tick) + 4), f"{tick:g}", size=SMALL, anchor="end")
    drawing.box(LEFT, y.end, RIGHT - LEFT, y.start - y.end)
    drawing.text((LEFT, y.end - 6), "Petrol left, % of the dose by mass", size=SMALL)


def _floor(drawing: Drawing, plan: WaitingPlan, x: Scale, ends: Point) -> None:
    at = x(plan.floor.hours)
    drawing.line((at, ends[0]), (at, ends[1]), weight=2.4, kind="floor")
    drawing.plate((at, ends[0] + 14), f"least wait {plan.floor.hours:g} h", bold=True)


def _axis(drawing: Drawing, x: Scale, y: float) -> None:
    for tick in x.ticks():
        drawing.line((x(tick), y), (x(tick), y + 5))
        drawing.text((x(tick), y + 18), f"{tick:g}", size=SMALL, anchor="middle")
        for n in range(2, 10):
            if n * tick < x.high:
                drawing.line((x(n * tick), y), (x(n * tick), y + 3), weight=0.6)
    drawing.text((RIGHT, y + 34), "hours since the dose", size=SMALL, anchor="end")


def _legend(drawing: Drawing, plan: WaitingPlan, line: float) -> float:
    swift, usual, slow = plan.closed
    words = f"Shut hive, air leaking at {swift.name}; dotted: between the leaks, which nobody has measured."
    line = drawing.swatch((EDGE, line), words, dash=DASHED, weight=2)
    line = drawing.swatch((EDGE, line), f"Shut hive, {usual.name}.", weight=2)
    line = drawing.swatch((EDGE, line), f"Shut hive, {slow.name}.", dash=LONG, weight=2)
    names = " and ".join(curve.name for curve in plan.open_comb)
    line = drawing.swatch((EDGE, line), f"Comb laid open, {names}.", dash=DOTTED, weight=2.2)
    line = drawing.swatch((EDGE, line), f"Least wait, {plan.floor.hours:g} h: {plan.floor.why}.", weight=2.4)
    words = (f"Clearance is a calibrated meter below {_share(plan)} % of the lower limit, hour and two names, and the "
             "second check of death. Leaks always pass through the band that burns.")  # fmt: skip
    return drawing.paragraph((EDGE, line), words)


def _share(plan: WaitingPlan) -> str:
    return f"{100 * plan.clearance_vol_pct / plan.lel_vol_pct:g}"


def _percent(curve: Curve) -> list[float]:
    return [100 * share for share in curve.left_share]


def _points(curve: Curve, heights: Sequence[float], x: Scale, y: Scale) -> list[Point]:
    """The curve as points; what lies below the foot of the scale is left out after the first such point."""
    found: list[Point] = []
    for hour, height in zip(curve.hours, heights, strict=True):
        found.append((x(hour), y(height)))
        if height < y.low or (not y.log and height <= 0.01):
            break
    return found
