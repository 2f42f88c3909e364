"""The freedom curve: steps on the days of looks, figures that do not touch, no line where signs were seen."""

from __future__ import annotations

import itertools
import re
from datetime import date
from xml.etree.ElementTree import fromstring

from ashcomb.drawings.freedom import CLOSE, FreedomCurve, draw_freedom

PAST = ((date(2031, 4, 1), 0.5), (date(2031, 6, 1), 0.7))
PLANNED = ((date(2031, 7, 1), 0.9), (date(2031, 7, 22), 0.93), (date(2032, 4, 15), 0.96))
SVG = "{http://www.w3.org/2000/svg}"


def drawn(past=PAST, planned=PLANNED):
    return fromstring(draw_freedom(FreedomCurve("A03 & <others>", past, planned, 0.95)))


def texts(tree) -> dict[str, tuple[float, float]]:
    return {"".join(each.itertext()): (float(each.get("x")), float(each.get("y"))) for each in tree.iter(f"{SVG}text")}


def test_it_says_what_it_shows_and_clears_nothing():
    words = " ".join("".join(each.itertext()) for each in drawn().iter(f"{SVG}text"))
    assert "A03 & <others>" in words
    assert "target 95%" in words
    assert "clears no hive" in words
    assert len(list(drawn().iter(f"{SVG}circle"))) == 1 + len(PLANNED)


def test_a_look_lifts_the_curve_on_its_day_and_not_before():
    heights = [re.findall(r"-?\d+\.?\d*", each.get("d", "")) for each in drawn().iter(f"{SVG}path")]
    steps = [[(float(x), float(y)) for x, y in zip(each[::2], each[1::2], strict=True)] for each in heights]
    course = max(steps, key=len)
    for a, b in itertools.pairwise(course):
        assert a[0] == b[0] or a[1] == b[1]  # upright or level, never slanting


def test_figures_next_to_each_other_stand_one_below_the_other():
    found = texts(drawn())
    near, far = found["90%"], found["93%"]
    assert far[0] - near[0] < CLOSE
    assert far[1] - near[1] > 10


def test_without_a_past_there_is_no_curve():
    words = "".join(drawn((), ()).itertext())
    assert "there is no freedom to draw" in words
