"""The chosen pit is the least digging of all that fit, never deeper than the rule, and says so where there is none."""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.stories.vale_night import MARKS, night, parts

from ashcomb.plans.pit import PitOrder, pit_plan
from ashcomb.plans.pit_choice import choose_pit
from ashcomb.plans.pit_site import Site
from ashcomb.sources.profile import load_profile

SITUATION = night(*parts())
WISH = PitOrder(hives=MARKS, length_m=0.0, width_m=0.0, depth_m=0.0)
PROFILES = ("orrow-vale", "nz", "california")


@pytest.mark.parametrize("name", PROFILES)
def test_what_is_chosen_fits_and_no_finer_search_finds_less_digging(name: str) -> None:
    profile = load_profile(name)
    for shape, best in choose_pit(SITUATION, profile, WISH).plans:
        assert best.fits
        for tenths in range(3, 16):
            depth = tenths / 10
            for length in range(5, 120, 3):
                width = best.order.width_m if shape == "trench" else length / 10 / 1.5
                order = replace(WISH, length_m=length / 10, width_m=width, depth_m=depth)
                other = pit_plan(SITUATION, profile, order)
                # whole tenths cost a little against the finest search
                assert not other.fits or other.dug_m3 >= 0.8 * best.dug_m3, (shape, order)


def test_no_pit_is_shallower_than_ash_and_the_cover_of_the_place() -> None:
    for name, cover in (("orrow-vale", 0.30), ("california", 0.61)):
        for _, plan in choose_pit(SITUATION, load_profile(name), replace(WISH, fed=True)).plans:
            assert plan.cover_m == pytest.approx(cover, abs=0.005)  # California: 2 ft over the ash
            assert plan.order.depth_m >= cover + 0.15 - 1e-9


def test_walls_are_sloped_where_somebody_enters_and_never_below_the_entry_limit() -> None:
    # 29 CFR 1926 App. B, Table B-1: type B soil 1:1
    found = choose_pit(SITUATION, load_profile("orrow-vale"), replace(WISH, entered=True))
    for _, plan in found.plans:
        assert plan.order.slope == 1.0
        assert plan.order.depth_m <= plan.entry_limit_m


def test_high_water_leaves_no_pit_and_says_what_would_help() -> None:
    found = choose_pit(SITUATION, load_profile("orrow-vale"), replace(WISH, site=Site(dry_m=1.2)))
    assert not found.plans
    assert "higher ground" in found.none


def test_much_digging_goes_to_a_machine() -> None:
    alone = choose_pit(SITUATION, load_profile("california"), replace(WISH, people=1))
    assert alone.by[0].startswith("by machine")
    many = choose_pit(SITUATION, load_profile("orrow-vale"), replace(WISH, people=6, ground="soft"))
    assert many.by[0].startswith("by hand")
