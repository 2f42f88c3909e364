"""Pit volumes against geometry by another route and the worked case of fourteen hives."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from ashcomb.science.pit import (
    battered_pit_m3,
    cone_pit_m3,
    cover_m3,
    dig_hours,
    honey_l,
    layer_mm,
    loose_comb_m3,
    needed_depth_m,
    round_pit_m3,
    spoil_m3,
    steepest_slope,
    trench_m3,
)
from ashcomb.sources.library import value


def test_shapes():
    # Computed by another hand.
    assert float(round_pit_m3(1.0, 1.0)) == pytest.approx(0.785, abs=5e-4)
    assert float(cone_pit_m3(0.5, 1.0, 1.0)) == pytest.approx(1.833, abs=5e-4)
    assert float(battered_pit_m3(1.0, 1.0, 1.0, 1.0)) == pytest.approx(4.333, abs=5e-4)
    assert float(trench_m3(2.0, 0.8, 1.0, 1.0)) == pytest.approx(3.60)


@pytest.mark.parametrize(("length", "width", "depth", "slope"), [(3.0, 1.5, 1.2, 0.75), (2.0, 2.0, 0.5, 1.5)])
def test_battered_pit_by_slices(length, width, depth, slope):
    slices = quad(lambda z: (length + 2 * slope * z) * (width + 2 * slope * z), 0, depth)[0]
    assert float(battered_pit_m3(length, width, depth, slope)) == pytest.approx(slices)


def test_cone_by_slices():
    slices = quad(lambda z: np.pi * (0.5 + 0.4 * z / 0.8) ** 2, 0, 0.8)[0]
    assert float(cone_pit_m3(0.5, 0.9, 0.8)) == pytest.approx(slices)


def test_fourteen_hives():
    """The worked case: 33 boxes with 297 frames, 240 kg of honey, floor 3.0 x 1.5 m."""
    names = ("frame_length", "frame_depth", "frame_spacing", "packing")
    heap = loose_comb_m3(297, *(value(f"pit.{name}").value for name in names))
    assert float(heap) == pytest.approx(1.63, abs=0.005)
    honey = float(honey_l(240.0))
    assert honey == pytest.approx(169, abs=0.5)
    floor = 3.0 * 1.5
    assert float(layer_mm(honey, floor)) == pytest.approx(38, abs=0.5)
    assert float(cover_m3(floor, 0.30)) == pytest.approx(1.35)
    assert float(cover_m3(floor, 0.61)) == pytest.approx(2.745)


def test_depth_holds_the_heap_or_the_cover_whichever_is_more():
    assert float(needed_depth_m(1.63, 4.5, 0.61, 0.15)) == pytest.approx(0.76)
    assert float(needed_depth_m(9.0, 4.5, 0.61, 0.15)) == pytest.approx(2.0)


def test_spoil_and_settling():
    assert float(spoil_m3(4.0, 0.25)) == pytest.approx(5.0)
    assert float(cover_m3(4.5, 0.30, 0.15)) == pytest.approx(1.5525)


def test_digging_by_two_at_night():
    # 4 m3, firm soil 0.2 m3/h a person, two people, pace 0.7: 4 / (0.2 x 2 x 0.7) = 14.3 h.
    assert float(dig_hours(4.0, value("pit.dig_firm").value, 2, value("pit.night_pace").value)) == pytest.approx(
        14.29, abs=0.01
    )


@pytest.mark.parametrize(("soil", "degrees"), [("A", 53), ("B", 45), ("C", 34), ("", 34)])
def test_slopes_of_the_us_rule(soil, degrees):
    # 29 CFR 1926 subpart P, appendix B, table B-1 prints run to rise and the angle.
    assert np.degrees(np.arctan(1 / steepest_slope(soil))) == pytest.approx(degrees, abs=0.5)
