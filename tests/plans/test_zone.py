"""Zone: distances against outside geodesy and plane geometry, and the places that must be confirmed."""

from __future__ import annotations

import json
import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Geod
from tests.stories.vale import day, profile, record, vale

from ashcomb.kernel.errors import UserError
from ashcomb.plans.positions import Position, distance_m
from ashcomb.plans.result import as_json
from ashcomb.plans.zone import zone
from ashcomb.records.case import CaseHead
from ashcomb.records.movements import Move
from ashcomb.records.places import Apiary
from ashcomb.records.situation import situation_of

GRID = st.integers(-30_000, 30_000).map(lambda metres: metres / 1000)
P = profile("invented")


def apiary(mark, **where):
    return record(Apiary, "2030-01-01", mark=mark, **where)


def head(**fields):
    return record(CaseHead, "2031-05-06", mark="C", timezone="UTC", index="A", **fields)


# Independent: distances of shapely's plane geometry.
@given(GRID, GRID, st.sampled_from([1.0, 2.0, 3.0, 5.0]))
def test_inside_agrees_with_plane_geometry(x, y, radius):
    found = zone(
        situation_of([head(), apiary("A", x_km=0.0, y_km=0.0), apiary("B", x_km=x, y_km=y)]), P, radii_km=(radius,)
    )
    expected = shapely.Point(0, 0).distance(shapely.Point(x, y))
    if abs(expected - radius) > 1e-9:
        assert (found.within(radius) == ("B",)) == (expected < radius)
    assert found.placed[0].distance_m == pytest.approx(1000 * expected, abs=0.001)


# Independent: exact squares. Every Pythagorean place on the circle is inside, on the line, at exactly the radius.
@pytest.mark.parametrize(
    ("x", "y", "r"), [(2.4, 1.8, 3.0), (0.3, 0.4, 0.5), (1.2, 1.6, 2.0), (1.4, 4.8, 5.0), (0.07, 0.24, 0.25)]
)
@pytest.mark.parametrize("shift", [0.0, 10.0, 12.4, 1234.567])
def test_a_place_exactly_on_the_line_is_inside_whatever_the_binary_fractions(x, y, r, shift):
    places = [head(), apiary("A", x_km=shift, y_km=shift), apiary("B", x_km=shift + x, y_km=shift - y)]
    found = zone(situation_of(places), P, radii_km=(r,))
    assert found.within(r) == ("B",)
    assert found.on_line(r) == ("B",)


# Quarter of a WGS84 meridian: 10 001 965.729 m (NIMA TR8350.2; from memory).
def test_the_quarter_meridian():
    found = distance_m(Position(None, (0.0, 30.0)), Position(None, (90.0, 30.0)))
    assert found == pytest.approx(10_001_965.729, abs=0.001)


# One degree of the equator on WGS84 is a · π/180 with a = 6 378 137 m (definition of the ellipsoid).
def test_one_degree_of_the_equator():
    found = distance_m(Position(None, (0.0, 66.0)), Position(None, (0.0, 67.0)))
    assert found == pytest.approx(6_378_137 * math.pi / 180, abs=0.001)


# Flinders Peak to Buninyong, 54 972.271 m on GRS80 (Geocentric Datum of Australia technical manual, worked example of
# Vincenty's formulae; from memory). GRS80 and WGS84 differ by 0.1 mm in the polar axis, which a millimetre hides.
def test_the_line_from_flinders_peak_to_buninyong():
    a = Position(None, (-(37 + 57 / 60 + 3.72030 / 3600), 144 + 25 / 60 + 29.52440 / 3600))
    b = Position(None, (-(37 + 39 / 60 + 10.15610 / 3600), 143 + 55 / 60 + 35.38390 / 3600))
    assert distance_m(a, b) == pytest.approx(54_972.271, abs=0.002)


def test_geographic_places_are_measured_on_the_ellipsoid():
    lon, lat, _ = Geod(ellps="WGS84").fwd(66.5, 46.0, 37.0, 2995.0)
    places = [head(), apiary("A", lat=46.0, lon=66.5), apiary("B", lat=lat, lon=lon)]
    found = zone(situation_of(places), P, radii_km=(3,))
    assert found.placed[0].distance_m == pytest.approx(2995.0, abs=0.001)
    assert found.within(3) == ("B",)
    assert found.on_line(3) == ("B",)


def test_grid_and_geographic_meet_through_the_anchor_of_the_case():
    lon, lat, _ = Geod(ellps="WGS84").fwd(66.5, 46.0, math.degrees(math.atan2(11.2, 4.9)), 1000 * math.hypot(11.2, 4.9))
    places = [apiary("A", x_km=10.0, y_km=4.0), apiary("B", lat=lat, lon=lon)]
    anchored = zone(situation_of([head(grid_lat=46.0, grid_lon=66.5), *places]), P, radii_km=(2,))
    assert anchored.within(2) == ("B",)
    assert anchored.placed[0].distance_m == pytest.approx(1500.0, abs=0.5)
    blind = zone(situation_of([head(), *places]), P, radii_km=(2,))
    assert blind.placed == ()
    assert blind.unplaced[0][0] == "B"
    assert "confirm" in blind.unplaced[0][1]


def test_a_place_without_position_is_unplaced_and_never_outside():
    places = [head(), apiary("A", x_km=0.0, y_km=0.0), apiary("B"), apiary("C", x_km=1.0)]
    found = zone(situation_of(places), P, radii_km=(3,))
    assert [mark for mark, _ in found.unplaced] == ["B", "C"]
    assert any("not outside" in sentence for sentence in found.reasons)


@pytest.mark.parametrize(
    ("x", "error", "inside", "flagged"),
    [(3.009, None, False, True), (3.011, None, False, False), (2.989, None, True, False), (3.2, 250.0, False, True),
     (3.009, 1.0, False, True)],
)  # fmt: skip
def test_the_line_is_as_wide_as_the_larger_error(x, error, inside, flagged):
    places = [head(), apiary("A", x_km=0.0, y_km=0.0), apiary("B", x_km=x, y_km=0.0, error_m=error)]
    found = zone(situation_of(places), P, radii_km=(3,))
    assert (found.within(3) == ("B",)) is inside
    assert (found.on_line(3) == ("B",)) is flagged


def test_the_error_of_the_centre_counts_too():
    places = [head(), apiary("A", x_km=0.0, y_km=0.0, error_m=100.0), apiary("B", x_km=3.05, y_km=0.0)]
    assert zone(situation_of(places), P, radii_km=(3,)).on_line(3) == ("B",)


def test_two_centres_and_a_place_well_inside_one_of_them():
    places = [head(), apiary("A", x_km=0.0, y_km=0.0), apiary("B", x_km=4.0, y_km=0.0), apiary("C", x_km=3.0, y_km=0.0)]
    found = zone(situation_of(places), P, centres=("A", "B"), radii_km=(3,))
    assert found.within(3) == ("C",)
    assert found.on_line(3) == ()
    assert found.placed[0].centre == "B"


def test_former_sites_of_moved_hives_are_centres_when_asked_for():
    found = zone(vale(), P, radii_km=(3,), former_since=day("2030-01-01"))
    assert found.former == ("A26",)
    assert zone(vale(), P, radii_km=(3,), former_since=day("2030-05-01")).former == ()
    near = vale(apiary("Z1", x_km=30.0, y_km=18.0))
    assert "Z1" in zone(near, P, radii_km=(3,), former_since=day("2030-01-01")).within(3)
    assert "Z1" not in zone(near, P, radii_km=(3,)).within(3)


def test_a_former_site_without_position_is_named():
    moved = record(Move, "2030-06-01", mark="x", source="Q", target="A07", what="hives")
    found = zone(vale(moved), P, radii_km=(3,), former_since=day("2030-05-30"))
    assert ("Q", "former site without position: confirm") in found.unplaced


def test_the_radii_of_the_profile_are_taken_and_named():
    number = 'value = 3, low = 1, high = 5, unit = "km", status = "project choice", reason = "invented"'
    rows = f"[values]\nzone.radius_km = {{ {number} }}\n"
    found = zone(
        vale(), profile("r", rows + '[rules]\nzone_shape = { text = "Circles.", status = "project choice" }\n')
    )
    assert found.radii_km == (3.0,)
    assert [used.key for used in found.uses] == ["zone.radius_km", "plans.line_m"]
    assert [rule.text for rule in found.rules] == ["Circles."]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ({}, "sets no radius"),
        ({"radii_km": (0,)}, "above 0"),
        ({"radii_km": (3,), "centres": ("X",)}, "not a known apiary"),
    ],
)
def test_what_cannot_be_drawn_is_refused_in_words(arguments, said):
    with pytest.raises(UserError, match=said):
        zone(vale(), P, **arguments)


def test_a_centre_without_position_is_refused():
    with pytest.raises(UserError, match="no position"):
        zone(situation_of([head(), apiary("A")]), P, radii_km=(3,))


def test_the_plan_can_be_printed_as_json():
    assert json.loads(json.dumps(as_json(zone(vale(), P, radii_km=(3,)))))["radii_km"] == [3]
