"""Story 4: who is inside the zone around A07, the edge included, and which positions must be confirmed."""

from __future__ import annotations

import pytest
from tests.stories.vale import profile, vale

from ashcomb.plans.zone import zone

PLAN = zone(vale(), profile("invented"), radii_km=(1, 2, 3, 5))


@pytest.mark.parametrize(
    ("radius", "inside"),
    [
        (1, {"N01"}),
        (2, {"N01", "A03", "A11"}),
        (3, {"N01", "A03", "A11", "A12", "H01"}),
        (5, {"N01", "A03", "A11", "A12", "H01", "A19"}),
    ],
)
def test_inside(radius, inside):
    assert set(PLAN.within(radius)) == inside


def test_distances_on_the_line_are_exact_and_flagged():
    found = {place.apiary: place for place in PLAN.placed}
    assert found["H01"].distance_m == 3000.0
    assert found["A19"].distance_m == 5000.0
    assert PLAN.on_line(3) == ("H01",)
    assert PLAN.on_line(5) == ("A19",)
    assert PLAN.on_line(1) == ("N01",)
    assert "on the line of 3 km: confirm position" in found["H01"].words


def test_a22_is_ten_kilometres_off_and_never_inside():
    (far,) = [place for place in PLAN.placed if place.apiary == "A22"]
    assert far.distance_m == 10_000.0
    assert far.inside == ()
    assert far.on_line == ()


def test_nothing_is_unplaced_and_the_index_is_no_neighbour_of_its_own():
    assert PLAN.unplaced == ()
    assert "A07" not in {place.apiary for place in PLAN.placed}
