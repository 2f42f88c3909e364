"""The freedom curve: how sure everything so far makes us, day by day, and what planned rounds would add."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from ashcomb.drawings.axes import Scale
from ashcomb.drawings.svg import DASHED, DOTTED, EDGE, SMALL, WIDTH, Drawing

LEFT, TOP, HIGH = 70.0, 84.0, 250.0
CLOSE = 34.0  # figures nearer to each other than this would touch
DISCLAIMER = (
    "A curve above the line clears no hive: the law's dates, and every gate of the release, stand beside it.",
)
Course = Sequence[tuple[date, float]]


@dataclass(frozen=True, slots=True)
class FreedomCurve:
    """What is drawn. past: (day, probability of freedom) until now.  planned: after each planned round without signs.

    target: probability that is asked for.  name: of the group.
    """

    name: str
    past: tuple[tuple[date, float], ...]
    planned: tuple[tuple[date, float], ...]
    target: float


def draw_freedom(curve: FreedomCurve) -> str:
    """The curve as SVG; without a past (signs were seen) it says so instead of drawing a line."""
    words = f"Probability that {curve.name} is free, if nothing is found. Dashed: the target, {curve.target:.0%}."
    drawing = Drawing("freedom", f"Freedom of {curve.name}", words)
    drawing.heading(f"Freedom of {curve.name}", words)
    days = [day for day, _ in (*curve.past, *curve.planned)]
    if not days:
        drawing.text((EDGE, TOP + 40), "Signs or a positive test: there is no freedom to draw.")
        return drawing.render(drawing.caution(TOP + 70, DISCLAIMER))
    first, last = min(days), max(max(days), min(days) + timedelta(days=30))
    across = Scale(first.toordinal(), last.toordinal(), LEFT, WIDTH - EDGE - 10)
    up = Scale(0.0, 1.0, TOP + HIGH, TOP)
    _ground(drawing, across, up, first, last)
    drawing.line((LEFT, up(curve.target)), (across.end, up(curve.target)), dash=DASHED, weight=1.2)
    drawing.text((LEFT + 5, up(curve.target) - 5), f"target {curve.target:.0%}", size=SMALL)
    _course(drawing, across, up, curve.past, "")
    if curve.planned:
        start = curve.past[-1:] or curve.planned[:1]
        _course(drawing, across, up, (*start, *curve.planned), DOTTED)
        before, below = -CLOSE, 0.0
        for day, share in curve.planned:
            x = across(day.toordinal())
            y = max(up(share) + 20, below + 14 if x - before < CLOSE else 0.0)  # neighbours: one below the other
            drawing.circle((x, up(share)), 4.5)
            drawing.text((x, y), f"{share:.0%}", size=SMALL, anchor="middle")
            before, below = x, y
    if curve.past:
        day, share = curve.past[-1]
        drawing.circle((across(day.toordinal()), up(share)), 4.5, fill="#000")
        drawing.text((across(day.toordinal()) - 8, up(share) - 8), f"now {share:.0%}", anchor="end", bold=True)
    y = TOP + HIGH + 52
    y = drawing.swatch((EDGE, y), "worked out from what was looked at and tested", weight=1.8)
    if curve.planned:
        y = drawing.swatch((EDGE, y), "with the planned rounds, if none finds signs (rings)", dash=DOTTED, weight=1.8)
    return drawing.render(drawing.caution(y + 6, DISCLAIMER) + 4)


def _ground(drawing: Drawing, across: Scale, up: Scale, first: date, last: date) -> None:
    for share in up.ticks(5):
        drawing.path([(LEFT, up(share)), (across.end, up(share))], weight=0.3, dash=DOTTED)
        drawing.text((LEFT - 8, up(share) + 4), f"{share:.0%}", size=SMALL, anchor="end", halo=False)
    for day in _months(first, last):
        x = across(day.toordinal())
        drawing.path([(x, TOP), (x, TOP + HIGH)], weight=0.3, dash=DOTTED)
        drawing.text((x, TOP + HIGH + 18), f"{day:%b}", size=SMALL, anchor="middle", halo=False)
        if day.month <= 2 or day == _months(first, last)[0]:
            drawing.text((x, TOP + HIGH + 33), f"{day:%Y}", size=SMALL, anchor="middle", halo=False)
    drawing.path([(LEFT, TOP), (LEFT, TOP + HIGH), (across.end, TOP + HIGH)], weight=1.0)


def _course(drawing: Drawing, across: Scale, up: Scale, course: Course, dash: str) -> None:
    """Steps: what is known holds until the next day on which something was found out or could have come in."""
    if len(course) > 1:
        points = [(across(course[0][0].toordinal()), up(course[0][1]))]
        for (_, held), (day, share) in pairwise(course):
            points += [(across(day.toordinal()), up(held)), (across(day.toordinal()), up(share))]
        drawing.path(points, weight=1.8, dash=dash)


def _months(first: date, last: date) -> list[date]:
    """First days of months, no more than about twelve of them."""
    months = (last.year - first.year) * 12 + last.month - first.month
    step = next(step for step in (1, 2, 3, 6, 12, 120) if months / step <= 12)
    found, day = [], date(first.year + first.month // 12, first.month % 12 + 1, 1)
    while day <= last:
        found.append(day)
        index = day.month - 1 + step
        day = date(day.year + index // 12, index % 12 + 1, 1)
    return found or [first]
