"""The drawn map: the same shapes as in the browser, true distances, north up, text that stays text."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

from ashcomb.drawings.map import Move, Picture, Place, Ring, draw_map
from ashcomb.drawings.shapes import SHAPES, state_name

TWIN = Path(__file__).parents[2] / "frontend/map/shapes.ts"
SVG = "{http://www.w3.org/2000/svg}"


def place(mark: str, x: float | None, y: float | None, state: str = "free-running") -> Place:
    return Place(mark, "", x, y, state, "", "apiary")


def test_states_and_shapes_are_those_of_the_browser_module():
    """Both tables are read as text: the order of states, every path and every circle must agree."""
    source = TWIN.read_text("utf-8")
    body = source[source.index("const SHAPES") : source.index("const HOUSE")]
    for name in ("SQUARE", "DIAMOND", "TRIANGLE"):
        value = re.search(rf'const {name} = "([^"]+)"', source)
        assert value
        body = body.replace(f"path({name},", f'path("{value[1]}",')
    found: dict[str, list[str]] = {}
    for state, parts in re.findall(r'\["([a-z -]+)", \[(.+)\]\],?\n', body):
        found[state] = re.findall(r'path\("([^"]+)"|circle\((\d+)', parts)
    ours = {
        state: [(part.get("d", ""), part.get("r", "")) for _, part in parts] for state, parts in SHAPES.items()
    }  # fmt: skip
    assert list(found) == list(ours)
    assert found == ours


def test_a_state_with_a_number_stands_under_its_name():
    assert state_name("Follow-up 2", "apiary") == "follow-up"
    assert state_name("index, case", "apiary") == "index"
    assert state_name("", "honey house") == "honey house"


def test_the_scale_bar_measures_the_ring():
    """A ring of 3,000 m is 6,000 m wide on the same drawing as the bar (geometry)."""
    picture = Picture(
        True, (place("A07", 10_000, 10_000), place("A26", 30_000, 17_000)), (Ring(10_000, 10_000, 3000, "3 km"),)
    )
    root = ElementTree.fromstring(draw_map(picture, "map"))
    ring = next(circle for circle in root.findall(f"{SVG}circle"))
    bar = next(path.get("d", "") for path in root.findall(f"{SVG}path"))
    left, right = re.match(r"M([\d.]+) .*H([\d.]+)V", bar).groups()  # type: ignore[union-attr]
    words = next(text.text for text in root.iter(f"{SVG}text") if text.text and "north" in text.text)
    metres = float(words.split()[0]) * (1000 if " km" in words else 1)
    assert 2 * float(ring.get("r", "")) / (float(right) - float(left)) == pytest.approx(6000 / metres, rel=0.01)


def test_degrees_are_drawn_true_to_north():
    """At 60° N a degree of longitude is half as long as one of latitude (cos 60° = 0.5)."""
    picture = Picture(False, (place("P", 66, 59.5), place("E", 67, 59.5), place("N", 66, 60.5)))
    root = ElementTree.fromstring(draw_map(picture, "map"))
    spots = [
        re.match(r"translate\(([\d.-]+) ([\d.-]+)\)", g.get("transform", "")).groups() for g in root.findall(f"{SVG}g")
    ]  # type: ignore[union-attr]
    (px, py), (ex, _), (_, ny) = [(float(x), float(y)) for x, y in spots[:3]]
    assert ny < py, "north is up"
    assert (py - ny) / (ex - px) == pytest.approx(2.0, rel=0.02)


def test_what_cannot_be_placed_is_named_and_left_out():
    picture = Picture(True, (place("A1", 0, 0), place("A2", None, None)))
    assert picture.unplaced == ("A2",)
    assert "A2" not in draw_map(picture, "map")


def test_the_close_up_holds_the_edge_and_only_moves_inside():
    inside = Move((0, 0), (3, 4), "m1")
    outside = Move((0, 0), (90, 0), "m2")
    places = (place("I", 0, 0, "index"), place("EDGE", 3, 4), place("FAR", 90, 0))
    near = Picture(True, places, (Ring(0, 0, 5, "5 m"),), (inside, outside)).close_up
    assert near
    assert [found.mark for found in near.places] == ["I", "EDGE"]
    assert near.moves == (inside,)
    assert Picture(True, places).close_up is None


def test_text_of_people_is_escaped_and_an_empty_picture_is_drawn():
    svg = draw_map(Picture(True, (place("<script>", 0, 0),)), 'a"><script>')
    assert "<script" not in svg
    ElementTree.fromstring(svg)
    ElementTree.fromstring(draw_map(Picture(True), "empty"))
