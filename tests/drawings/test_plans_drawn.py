"""Drawings of plans: valid, escaped, the same bytes each time, to scale, and black on white."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from xml.etree.ElementTree import Element, fromstring

import pytest
from tests.papers import yard
from tests.stories import vale_night as vn
from tests.stories.vale import PLACE

from ashcomb.casework.nights import NightAsk
from ashcomb.casework.sites import DrawAsk, FireSiteAsk, Ground, WaitingAsk, drawing, drawing_names, waiting
from ashcomb.drawings.night import night_line
from ashcomb.drawings.pit import PitMarks, pit_section, pit_view, spoil_m
from ashcomb.drawings.site import site_plan
from ashcomb.drawings.svg import WIDTH, Drawing
from ashcomb.drawings.vapour import vapour_curve
from ashcomb.kernel.errors import UserError
from ashcomb.plans.fire_site import FireOrder, fire_site_plan
from ashcomb.plans.night import night_plan
from ashcomb.plans.pit import PitOrder, pit_plan
from ashcomb.plans.waiting import WaitingOrder, waiting_plan

SVG = "{http://www.w3.org/2000/svg}"
NOW = datetime(2031, 5, 14, 16, tzinfo=PLACE)
NIGHT = vn.night()
MARKS = PitMarks(0.6, 7.62)
HOSTILE = """Ü<script>alert("x")</script> & 'q' ]]> \x00\x1b\u202e"""
A5_TEXT_MM, LEAST_MM = 130.0, 2.0  # width of an A5 page without margins; smallest letter height that is read


def pit(**changed):
    order = PitOrder(hives=vn.MARKS, length_m=3.0, width_m=1.5, depth_m=1.0)
    return pit_plan(NIGHT, vn.ORROW, replace(order, **changed))


def fire(**changed):
    order = FireOrder(apiary="A07", hives=vn.MARKS, now=NOW, length_m=3.0, width_m=1.5, depth_m=1.2)
    return fire_site_plan(NIGHT, vn.ORROW, replace(order, **changed))


def wait(**changed):
    order = WaitingOrder(apiary="A07", hives=("A07-01",), now=NOW, temperature_c=15.0)
    return waiting_plan(NIGHT, vn.ORROW, replace(order, **changed))


GROUND = Ground(building_m=40, bare_m=20, room_m=40, hives_m=30, pit_is="above", wind_from_deg=290, hives_deg=200,
                access_deg=100, building_deg=60, downhill_deg=190)  # fmt: skip
PICTURES = {
    "pit-section": lambda: pit_section(pit(), MARKS),
    "pit-section sloped": lambda: pit_section(pit(slope=1.0, depth_m=1.5, entered=True), MARKS),
    "pit-section overfull": lambda: pit_section(pit(length_m=1.0, width_m=1.0, depth_m=0.4), MARKS),
    "pit-plan": lambda: pit_view(pit(), MARKS),
    "pit-plan sloped": lambda: pit_view(pit(slope=1.5), MARKS),
    "site": lambda: site_plan(fire()),
    "site measured": lambda: site_plan(fire(ground=GROUND)),
    "vapour": lambda: vapour_curve(wait()),
    "night": lambda: night_line(night_plan(NIGHT, vn.ORROW, vn.order())),
    "night two teams": lambda: night_line(night_plan(NIGHT, vn.ORROW, vn.order(teams=2))),
}


def parts(svg: str, kind: str) -> list[Element]:
    return [element for element in fromstring(svg).iter() if element.get("class") == kind]


def box(element: Element) -> tuple[float, float, float, float]:
    return tuple(float(element.get(name, "nan")) for name in ("x", "y", "width", "height"))


def points(element: Element) -> list[tuple[float, float]]:
    found = [tuple(map(float, step.split())) for step in re.split(r"[ML]", (element.get("d") or "").rstrip("Z"))[1:]]
    return [(x, y) for x, y in found]


def span(element: Element) -> float:
    """Length of a straight line."""
    (x1, y1), (x2, y2) = points(element)
    return ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5


def words(svg: str) -> str:
    return " ".join("".join(element.itertext()) for element in fromstring(svg).iter(f"{SVG}text"))


@pytest.mark.parametrize("name", PICTURES)
def test_every_drawing_is_whole_plain_and_the_same_again(name: str):
    svg = PICTURES[name]()
    root = fromstring(svg)
    assert root.tag == f"{SVG}svg"
    assert [child.tag for child in root][:2] == [f"{SVG}title", f"{SVG}desc"]
    assert all((child.text or "").strip() for child in list(root)[:2])
    assert root.get("role") == "img"
    assert root.get("font-family") == "sans-serif"
    assert PICTURES[name]() == svg
    assert not list(root.iter(f"{SVG}script"))
    assert not re.search(r"href|@import|<image|<style|on\w+=", svg)
    assert svg.count("://") == 1  # the name of SVG itself
    used = set(re.findall(r"url\(#(.*?)\)", svg))
    assert used == {pattern.get("id") for pattern in root.iter(f"{SVG}pattern")}


@pytest.mark.parametrize("name", PICTURES)
def test_no_colour_but_black_white_and_greys(name: str):
    for element in fromstring(PICTURES[name]()).iter():
        for look in ("fill", "stroke"):
            shade = element.get(look, "none")
            grey = re.fullmatch(r"#([0-9a-f])\1\1", shade)
            assert shade == "none" or shade.startswith("url(#") or grey, (element.tag, look, shade)


@pytest.mark.parametrize("name", PICTURES)
def test_letters_are_large_enough_on_a5(name: str):
    root = fromstring(PICTURES[name]())
    wide, high = (float(root.get(side, "0")) for side in ("width", "height"))
    assert wide == WIDTH
    for element in root.iter(f"{SVG}text"):
        size = float(element.get("font-size", "0"))
        assert size * A5_TEXT_MM / WIDTH >= LEAST_MM, element.text
        assert 0 <= float(element.get("y", "-1")) <= high


@pytest.mark.parametrize("name", PICTURES)
def test_the_caution_is_on_the_drawing(name: str):
    said = words(PICTURES[name]())
    assert "licensed practice" in said
    assert "override" in said


def test_the_section_is_to_scale():
    plan = pit(slope=0.5)
    svg = pit_section(plan, MARKS)
    per_m = span(parts(svg, "depth")[0]) / plan.order.depth_m
    assert span(parts(svg, "width")[0]) / per_m == pytest.approx(plan.order.width_m, abs=0.01)
    assert span(parts(svg, "setback")[0]) / per_m == pytest.approx(0.6, abs=0.01)
    walls = points(parts(svg, "walls")[0])
    assert (walls[-1][0] - walls[0][0]) / per_m == pytest.approx(1.5 + 2 * 0.5 * 1.0, abs=0.01)
    ground = walls[0][1]
    assert (points(parts(svg, "entry-limit")[0])[0][1] - ground) / per_m == pytest.approx(plan.entry_limit_m, abs=0.01)
    floor = walls[1][1]
    assert (floor - points(parts(svg, "heap")[0])[0][1]) / per_m == pytest.approx(
        1.631 / 4.5, abs=0.01
    )  # story of the pit
    cover = [y for _, y in points(parts(svg, "cover")[0])]
    assert (max(cover) - min(cover)) / per_m == pytest.approx(plan.cover_m, abs=0.01)
    left, top, right = points(parts(svg, "spoil")[0])
    base, high = spoil_m(plan)
    area = (right[0] - left[0]) * (left[1] - top[1]) / 2 / per_m**2
    assert area == pytest.approx(base * high / 2, rel=0.01)
    assert area * (3.0 + 2 * 0.5) == pytest.approx(plan.spoil_m3, rel=0.01)  # along the rim of the pit


def test_the_plan_of_the_pit_is_to_scale():
    plan = pit()
    svg = pit_view(plan, MARKS)
    _, y, wide, high = box(parts(svg, "floor")[0])
    per_m = wide / 3.0
    assert high / per_m == pytest.approx(1.5, abs=0.01)
    assert span(parts(svg, "length")[0]) / per_m == pytest.approx(3.0, abs=0.01)
    assert (box(parts(svg, "spoil")[0])[1] - y - high) / per_m == pytest.approx(0.6, abs=0.01)
    bar = points(parts(svg, "scale-bar")[0])
    metres = 2.0
    assert "2 m" in words(svg)
    assert (bar[2][0] - bar[1][0]) / per_m == pytest.approx(metres, abs=0.01)
    assert f"{plan.spoil_m3:.1f} m³" in words(svg)


def test_the_rings_of_the_site_are_the_plans_distances():
    plan = fire(ground=GROUND)
    svg = site_plan(plan)
    x, y, wide, high = box(parts(svg, "pit")[0])
    per_m = wide / 3.0
    for kind, metres in (("people", plan.stage.people.distance_m), ("bare-earth", plan.stage.bare_earth.distance_m),
                         ("buildings", plan.stage.buildings.distance_m)):  # fmt: skip
        left, top, _, _ = box(parts(svg, kind)[0])
        assert (x - left) / per_m == pytest.approx(metres, abs=0.02), kind
        assert (y - top) / per_m == pytest.approx(metres, abs=0.02), kind
        assert f"{metres:.1f} m" in words(svg)
    bar = points(parts(svg, "scale-bar")[0])
    assert (bar[2][0] - bar[1][0]) / per_m == pytest.approx(20, abs=0.02)
    assert "20 m" in words(svg)
    hives = [box(hive) for hive in parts(svg, "hive")]
    assert len(hives) == 14
    left, top, right, low = (min(h[0] for h in hives), min(h[1] for h in hives),
                             max(h[0] + h[2] for h in hives), max(h[1] + h[3] for h in hives))  # fmt: skip
    ring = box(parts(svg, "ignition")[0])
    assert (left - ring[0]) / per_m == pytest.approx(plan.exclusion.distance_m, abs=0.05)
    assert (ring[1] + ring[3] - low) / per_m == pytest.approx(plan.exclusion.distance_m, abs=0.05)
    near = (max(x - right, left - x - wide, 0) ** 2 + max(y - low, top - y - high, 0) ** 2) ** 0.5
    assert near / per_m == pytest.approx(30, rel=0.05)  # the hives stand as far from the rim as was measured


def test_the_smoker_keeper_stands_upwind_outside_the_distance_or_nowhere():
    svg = site_plan(fire(ground=GROUND))
    keeper = parts(svg, "keeper")[0]
    at = float(keeper.get("cx", "0")), float(keeper.get("cy", "0"))
    ring = box(parts(svg, "ignition")[0])
    per_m = box(parts(svg, "pit")[0])[2] / 3.0
    middle = ring[0] + ring[2] / 2, ring[1] + ring[3] / 2
    assert at[0] < middle[0]  # wind from 290 degrees: west
    assert at[1] < middle[1]  # and a little north
    hive_half = ring[2] / 2 - 20 * per_m, ring[3] / 2 - 20 * per_m
    away = [max(abs(at[n] - middle[n]) - hive_half[n], 0) / per_m for n in (0, 1)]
    assert (away[0] ** 2 + away[1] ** 2) ** 0.5 >= 20
    assert not parts(site_plan(fire()), "keeper")
    assert "not said" in words(site_plan(fire()))
    assert "place not measured" in words(site_plan(fire()))


def test_the_curve_stands_on_its_axis():
    plan = wait()
    svg = vapour_curve(plan)
    band = box(parts(svg, "flammable")[0])
    floor, clearance = parts(svg, "floor")[0], points(parts(svg, "clearance")[0])[0][1]
    per_decade = band[3] / 0.73463  # log10(7.6 / 1.4)
    low = band[1] + band[3]
    assert (clearance - low) / per_decade == pytest.approx(1.0, abs=0.01)  # 10 % of the limit lies one decade below it
    left, wide = band[0], band[2]
    assert (points(floor)[0][0] - left) / wide == pytest.approx((0.90309 + 1) / 4, abs=0.002)  # 8 h on 0.1 to 1000 h
    gas = [points(curve) for curve in parts(svg, "gas")]
    assert len(gas) == 3
    for line, curve in zip(gas, plan.closed, strict=True):
        first = (low - line[0][1]) / per_decade
        assert 10**first * 1.4 == pytest.approx(curve.vol_pct[0], rel=0.01)
    assert "0.14 vol%" in words(svg)
    assert "clears nothing" in words(svg)


def test_the_night_stands_on_its_clock():
    plan = night_plan(NIGHT, vn.ORROW, vn.order())
    svg = night_line(plan)
    seals, pours = (parts(svg, kind) for kind in ("seal", "pour"))
    assert len(seals) == len(pours) == 14
    per_minute = box(seals[0])[2] / 3  # 3 min to seal
    assert box(pours[0])[2] / per_minute == pytest.approx(2, abs=0.02)
    row = plan.teams[0].rows[0]
    gap = (row.pour_from - row.seal_from) / timedelta(minutes=1)
    assert (box(pours[0])[0] - box(seals[0])[0]) / per_minute == pytest.approx(gap, abs=0.1)
    curfew, sunset = (points(parts(svg, kind)[0])[0][0] for kind in ("landowner's", "sunset"))
    assert (curfew - sunset) / per_minute == pytest.approx(153, abs=0.3)  # 19:57 to 22:30
    assert "does not fit by 5 min" in words(svg)


def test_without_a_dark_night_no_hour_is_invented():
    polar = replace(vn.order(), lat=69.65, lon=18.96, zone="Europe/Oslo", day=datetime(2031, 6, 21).date())
    svg = night_line(night_plan(NIGHT, vn.ORROW, polar))
    assert "No dark night" in words(svg)
    assert not parts(svg, "seal")


def test_all_text_is_escaped():
    drawn = Drawing("x", HOSTILE, HOSTILE)
    drawn.text((10, 10), HOSTILE)
    drawn.plate((10, 10), HOSTILE)
    drawn.swatch((10, 30), HOSTILE, fill="ash")
    root = fromstring(drawn.render(100))
    assert not [element for element in root.iter() if "script" in element.tag]
    assert 'alert("x")' in "".join(root.itertext())
    assert "\x00" not in "".join(root.itertext())


def test_hostile_marks_reach_the_drawing_as_text():
    hostile = replace(vn.order(), apiary="A07")
    plan = night_plan(NIGHT, vn.ORROW, hostile)
    bad = replace(plan, order=replace(plan.order, apiary=HOSTILE), verdict=HOSTILE)
    assert fromstring(night_line(bad)) is not None
    assert "<script>" not in night_line(bad)


def test_drawings_of_a_case(tmp_path: Path):
    with yard.case_of(tmp_path / "case", yard.night_records(*yard.finds())) as case:
        site = FireSiteAsk(hives=("A07-01",), ground=GROUND)
        ask = DrawAsk(
            site=site, waiting=WaitingAsk(hives=("A07-01",), temperature_c=12.0), night=NightAsk(agent="petrol")
        )
        drawn = {name: drawing(case, name, ask) for name in drawing_names()}
        assert drawn == {name: drawing(case, name, ask) for name in drawing_names()}
        assert "1.2 m deep" in words(drawn["pit-section"])  # the recorded pit P1
        assert set(drawn) == {"pit-section", "pit-plan", "site", "vapour", "night"}
        assert waiting(case, ask.waiting).slowest.hive in words(drawn["vapour"])
        with pytest.raises(UserError, match="no drawing"):
            drawing(case, "spaceship")
