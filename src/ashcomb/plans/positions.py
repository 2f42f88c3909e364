"""Where places lie to each other: plane on the local grid, geodesic on WGS84 for geographic positions."""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees, hypot

from pyproj import Geod

from ashcomb.records.case import CaseHead
from ashcomb.records.places import Apiary, Premises

WGS84 = Geod(ellps="WGS84")


@dataclass(frozen=True, slots=True)
class Position:
    """A usable position. grid: km east and north.  geographic: latitude and longitude in degrees.  One may lack.

    error_m: how far off it may be, as recorded; 0 when nothing is recorded.
    """

    grid: tuple[float, float] | None
    geographic: tuple[float, float] | None
    error_m: float = 0.0


def position_of(place: Apiary | Premises) -> Position | None:
    """The position of a place, or None when it has no complete one."""
    grid = None if place.x_km is None or place.y_km is None else (place.x_km, place.y_km)
    geographic = None if place.lat is None or place.lon is None else (place.lat, place.lon)
    return Position(grid, geographic, place.error_m or 0.0) if grid or geographic else None


def anchor_of(case: CaseHead | None) -> tuple[float, float] | None:
    """Latitude and longitude of the grid's zero, or None when the case does not give them."""
    if case is None or case.grid_lat is None or case.grid_lon is None:
        return None
    return case.grid_lat, case.grid_lon


def distance_m(a: Position, b: Position, anchor: tuple[float, float] | None = None) -> float | None:
    """Distance in metres, to the millimetre, or None when the positions are of two kinds and no anchor joins them.

    Two positions on the grid: plane. Otherwise geodesic on WGS84, where a position that is only on the grid is carried
    to its latitude and longitude from the anchor, grid north taken as true north. The millimetre keeps a place that
    lies exactly on the line (2.4 and 1.8 km make 3.0) on it, whatever binary fractions make of it.
    """
    if a.grid and b.grid:
        return round(1000 * hypot(a.grid[0] - b.grid[0], a.grid[1] - b.grid[1]), 3)
    here, there = geographic(a, anchor), geographic(b, anchor)
    if here is None or there is None:
        return None
    return round(float(WGS84.inv(here[1], here[0], there[1], there[0])[2]), 3)


def geographic(position: Position, anchor: tuple[float, float] | None) -> tuple[float, float] | None:
    """Latitude and longitude in degrees, carried from the grid where needed, or None when no anchor joins the two."""
    if position.geographic or position.grid is None or anchor is None:
        return position.geographic
    x, y = position.grid
    lon, lat, _ = WGS84.fwd(anchor[1], anchor[0], degrees(atan2(x, y)), 1000 * hypot(x, y))
    return float(lat), float(lon)
