"""Positions; degrees, minutes and seconds against ephem, the length of a minute against pyproj (both independent)."""

from __future__ import annotations

import math
from pathlib import Path

import ephem
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pyproj import Geod
from tests.casework.importing.workbooks import noted, read, whats, xlsx

from ashcomb.casework.importing.positions import METRES_PER_MINUTE, read_angle, read_position
from ashcomb.casework.importing.result import UnreadableError
from ashcomb.records.places import Apiary


@pytest.mark.parametrize(
    ("text", "lat", "lon", "error"),
    [
        ("46.0123 N 66.5000 E", 46.0123, 66.5, None),
        ("46.0123, 66.5000", 46.0123, 66.5, None),
        ("46,0123; 66,5000", 46.0123, 66.5, None),
        ("-33.9249 18.4241", -33.9249, 18.4241, None),
        ("46°00.5'N 66°30.0'E", 46 + 0.5 / 60, 66.5, 185.2),
        ("46° 00,5′ N, 66° 30,0′ E", 46 + 0.5 / 60, 66.5, 185.2),
        ("N46 00.50 E66 30.00", 46 + 0.5 / 60, 66.5, 18.5),
        ("66°30'E 46°00'N", 46.0, 66.5, 1852.0),
        ("46°00′30″N 66°30′00″W", 46 + 30 / 3600, -66.5, 30.9),
        ("S 33°30'30.5\" E 18°01'00.0\"", -(33.5 + 30.5 / 3600), 18 + 1 / 60, 3.1),
    ],
)
def test_degrees(text: str, lat: float, lon: float, error: float | None):
    found = read_position(text)
    assert found["lat"] == pytest.approx(lat, abs=1e-8)
    assert found["lon"] == pytest.approx(lon, abs=1e-8)
    assert found.get("error_m") == error


@pytest.mark.parametrize(
    "text", ["grid 11.2 10.9", "11.2 / 10.9 km", "x 11.2 y 10.9", "Grid: 11,2; 10,9", "X=11.2, Y=10.9"]
)
def test_local_grid(text: str):
    assert read_position(text) == {"x_km": 11.2, "y_km": 10.9}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("10.0 12.1", "degrees or kilometres"),
        ("46°60.5'N 66°30'E", "60 or more"),
        ("46.5°30'N 66°30'E", "only the last part"),
        ("46 N 47 N", "two latitudes"),
        ("-46.0000 N 66.0000 E", "sign and a letter"),
        ("behind the barn", "not a"),
        ("46.0123", "not a position"),
    ],
)
def test_what_is_refused(text: str, says: str):
    with pytest.raises(UnreadableError) as fault:
        read_position(text)
    assert says in fault.value.what


@given(st.integers(0, 89), st.integers(0, 59), st.integers(0, 599))
def test_degrees_minutes_seconds_agree_with_ephem(degrees: int, minutes: int, tenths: int):
    seconds = f"{tenths / 10:.1f}"
    expected = math.degrees(ephem.degrees(f"{degrees}:{minutes}:{seconds}"))
    assert read_angle(f"{degrees}°{minutes}'{seconds}\"N", "lat").degrees == pytest.approx(expected, abs=1e-7)


def test_a_minute_of_arc_is_about_a_nautical_mile():
    for latitude in (0.0, 46.0, 80.0):  # 1,843 m at the equator to 1,861 m near the pole on WGS84
        _, _, metres = Geod(ellps="WGS84").inv(66.5, latitude, 66.5, latitude + 1 / 60)
        assert metres == pytest.approx(METRES_PER_MINUTE, rel=0.006)


def test_columns_of_a_sheet(tmp_path: Path):
    rows = [
        ["Yard", "Since", "GPS", "Accuracy m"],
        ["A1", "2020", "46°00.5'N 66°30.0'E", ""],
        ["A2", "2020", "46°00.5'N 66°30.0'E", 10],
        ["A3", "2020", "10.0 12.1", ""],
        ["A4", "2020", "grid 10.0 12.1", ""],
        ["A5", "2020", "46.0123, 66.5000", 300],
        ["A6", "2020", "", ""],
    ]
    result = read(xlsx(tmp_path / "a.xlsx", {"Yards": rows}))
    found = {r.mark: r for r in result.records if isinstance(r, Apiary)}
    assert [found[mark].error_m for mark in ("A1", "A2", "A4", "A5")] == [185.2, 185.2, None, 300.0]
    assert (found["A4"].x_km, found["A4"].lat) == (10.0, None)
    assert not found["A6"].placed
    assert [(row, column) for _, row, column, _ in whats(result)] == [(4, "GPS")]
    assert noted(result, "last digit written counts as the error of the position: 2 cells")
    assert noted(result, "latitude, then longitude: 1 cell")


def test_two_columns(tmp_path: Path):
    rows = [["Yard", "Since", "Lat", "Long"], ["A1", "2020", "46°00.5'N", "66°30.25'E"], ["A2", "2020", 46.5, 66.5],
            ["A3", "2020", "46.5 E", 66.5], ["A4", "2020", 96.5, 66.5]]  # fmt: skip
    result = read(xlsx(tmp_path / "a.xlsx", {"Yards": rows}))
    first = result.records[0]
    assert isinstance(first, Apiary)
    assert (first.lon, first.error_m) == (pytest.approx(66 + 30.25 / 60), 185.2)
    assert [(row, column) for _, row, column, _ in whats(result)] == [(4, "Lat"), (5, "Lat")]


def test_a_grid_heading_needs_no_word_in_the_cells(tmp_path: Path):
    result = read(
        xlsx(tmp_path / "a.xlsx", {"Yards": [["Yard", "Since", "Grid position"], ["A1", "2020", "10.0 12.1"]]})
    )
    assert result.records[0].y_km == 12.1  # type: ignore[attr-defined]


def test_the_larger_error_counts_in_any_order_of_columns(tmp_path: Path):
    for error, expected in ((10, 185.2), (500, 500.0), (0, 185.2)):
        for head, row in ((["Lat", "Lon", "Accuracy"], ["46°00.5'N", "66°30.2'E", error]),
                          (["Accuracy", "Lon", "Lat"], [error, "66°30.2'E", "46°00.5'N"])):  # fmt: skip
            rows = [["Yard", "Since", *head], ["A1", "2020", *row]]
            assert read(xlsx(tmp_path / "a.xlsx", {"Yards": rows})).records[0].error_m == expected  # type: ignore[attr-defined]
