"""Volumes of a pit, of what goes into it, of the soil over it, and the digging."""

from __future__ import annotations

from typing import Literal

import numpy as np

from ashcomb.science.arrays import Numbers, array
from ashcomb.science.cautions import DIGGING
from ashcomb.science.formula import Quantity, formula
from ashcomb.sources.library import value

_LENGTH = Quantity("m", 0.0, 200.0)
_DEPTH = Quantity("m", 0.0, 10.0)
_SLOPE = Quantity("1", 0.0, 5.0, "horizontal run to one of rise")
_AREA = Quantity("m2", 0.01, 1e4, "of the floor")
_VOLUME = Quantity("m3", 0.0, 1e5)

Soil = Literal["A", "B", "C", ""]


@formula(
    returns="volume [m3]",
    source="geometry",
    place="cylinder",
    status="derived",
    caution=DIGGING,
    diameter_m=_LENGTH,
    depth_m=_DEPTH,
)
def round_pit_m3(diameter_m: Numbers, depth_m: Numbers) -> Numbers:
    """Volume of a round pit with upright walls. Inputs broadcast."""
    return np.pi / 4 * array(diameter_m) ** 2 * array(depth_m)


@formula(
    returns="volume [m3]",
    source="geometry",
    place="frustum of a cone",
    status="derived",
    caution=DIGGING,
    floor_radius_m=_LENGTH,
    rim_radius_m=_LENGTH,
    depth_m=_DEPTH,
)
def cone_pit_m3(floor_radius_m: Numbers, rim_radius_m: Numbers, depth_m: Numbers) -> Numbers:
    """Volume of a round pit whose walls lean out. Inputs broadcast."""
    floor, rim = array(floor_radius_m), array(rim_radius_m)
    return np.pi * array(depth_m) * (floor**2 + floor * rim + rim**2) / 3


@formula(
    returns="volume [m3]",
    source="geometry",
    place="prismatoid",
    status="derived",
    caution=DIGGING,
    length_m=_LENGTH,
    width_m=_LENGTH,
    depth_m=_DEPTH,
    slope=_SLOPE,
)
def battered_pit_m3(length_m: Numbers, width_m: Numbers, depth_m: Numbers, slope: Numbers) -> Numbers:
    """Volume of a pit with a rectangular floor and all four walls sloped. Inputs broadcast; slope 0 is upright."""
    long, wide, deep = (array(each) for each in (length_m, width_m, depth_m))
    out = array(slope) * deep
    rim = (long + 2 * out) * (wide + 2 * out)
    return deep / 6 * (long * wide + rim + 4 * (long + out) * (wide + out))


@formula(
    returns="volume [m3]",
    source="geometry",
    place="prism of a trapezium",
    status="derived",
    caution=DIGGING,
    length_m=_LENGTH,
    width_m=_LENGTH,
    depth_m=_DEPTH,
    slope=_SLOPE,
)
def trench_m3(length_m: Numbers, width_m: Numbers, depth_m: Numbers, slope: Numbers) -> Numbers:
    """Volume of a trench with upright ends and both sides sloped. Inputs broadcast."""
    long, wide, deep = (array(each) for each in (length_m, width_m, depth_m))
    return (wide + array(slope) * deep) * deep * long


@formula(
    returns="volume [m3]",
    source="langstroth-sizes",
    place="length, depth and spacing of a frame",
    status="derived",
    frames=Quantity("1", 0.0, 1e6),
    length_m=Quantity("m", 0.1, 1.0, "of one frame"),
    depth_m=Quantity("m", 0.05, 0.6, "of one frame"),
    spacing_m=Quantity("m", 0.02, 0.06, "centre to centre of the combs"),
    packing=Quantity("1", 0.3, 3.0, "heap over frames"),
)
def loose_comb_m3(
    frames: Numbers, length_m: Numbers, depth_m: Numbers, spacing_m: Numbers, packing: Numbers
) -> Numbers:
    """Heap that frames of comb make when they are thrown in. Inputs broadcast."""
    one = array(length_m) * array(depth_m) * array(spacing_m)
    return array(packing) * array(frames) * one


@formula(
    returns="volume [L]",
    source="geometry",
    place="mass over density",
    status="derived",
    honey_kg=Quantity("kg", 0.0, 1e6),
)
def honey_l(honey_kg: Numbers) -> Numbers:
    """Litres of honey that may run out of burning comb."""
    return array(honey_kg) / value("pit.honey_density").value


@formula(
    returns="depth [mm]",
    source="geometry",
    place="volume over area",
    status="derived",
    volume_l=Quantity("L", 0.0, 1e6),
    area_m2=_AREA,
)
def layer_mm(volume_l: Numbers, area_m2: Numbers) -> Numbers:
    """Depth of liquid on a level floor if all of it ran: litres on square metres are millimetres. Inputs broadcast."""
    return array(volume_l) / array(area_m2)


@formula(
    returns="volume [m3]",
    source="geometry",
    place="area times depth",
    status="derived",
    caution=DIGGING,
    area_m2=_AREA,
    cover_m=Quantity("m", 0.0, 5.0, "over the ash, as it is to lie in the end"),
    settle=Quantity("1", 0.0, 0.5, "part by which loose cover sinks; 0 gives the settled volume"),
)
def cover_m3(area_m2: Numbers, cover_m: Numbers, settle: Numbers = 0.0) -> Numbers:
    """Soil to put over the ash. Inputs broadcast."""
    return array(area_m2) * array(cover_m) * (1 + array(settle))


@formula(
    returns="depth [m]",
    source="geometry",
    place="layers one on another",
    status="project choice",
    caution=DIGGING,
    heap_m3=_VOLUME,
    area_m2=_AREA,
    cover_m=Quantity("m", 0.0, 5.0, "over the ash"),
    residue_m=Quantity("m", 0.0, 1.0, "ash, wire, char"),
)
def needed_depth_m(heap_m3: Numbers, area_m2: Numbers, cover_m: Numbers, residue_m: Numbers) -> Numbers:
    """Depth that holds the heap before the fire, and ash with cover after it: the greater of the two."""
    heap = array(heap_m3) / array(area_m2)
    return np.maximum(heap, array(cover_m) + array(residue_m))


@formula(
    returns="volume [m3]",
    source="swell-tables",
    place="loose over solid",
    status="published",
    caution=DIGGING,
    dug_m3=_VOLUME,
    swell=Quantity("1", 0.0, 0.7, "growth of dug soil"),
)
def spoil_m3(dug_m3: Numbers, swell: Numbers) -> Numbers:
    """Loose heap beside a pit. Inputs broadcast."""
    return array(dug_m3) * (1 + array(swell))


@formula(
    returns="time [h]",
    source="ilo-asist-2-1998",
    place="productivity norms",
    status="from memory",
    caution=DIGGING,
    dug_m3=_VOLUME,
    rate_m3_h=Quantity("m3/h", 0.02, 100.0, "one person or machine"),
    people=Quantity("1", 1.0, 50.0),
    pace=Quantity("1", 0.1, 1.0, "1 by day, pit.night_pace in the dark"),
)
def dig_hours(dug_m3: Numbers, rate_m3_h: Numbers, people: Numbers, pace: Numbers = 1.0) -> Numbers:
    """Hours to dig a pit by hand or machine. Inputs broadcast."""
    return array(dug_m3) / (array(rate_m3_h) * array(people) * array(pace))


@formula(
    returns="horizontal run to one of rise [1]",
    source="cfr-1926-652",
    place="(b)(1) and Appendix B, Table B-1",
    status="published",
    caution=DIGGING,
)
def steepest_slope(soil: Soil = "") -> float:
    """Steepest wall allowed in a US soil class; soil that nobody has classified counts as the weakest, C."""
    return value(f"pit.slope_{(soil or 'C').lower()}").value
