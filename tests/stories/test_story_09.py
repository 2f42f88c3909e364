"""Story 9: the pit for 33 boxes of comb, checked against figures worked out by hand.

By hand: 297 frames x 0.483 x 0.232 x 0.035 m x 1.4 = 1.631 m³; 240 kg / 1.42 kg/L = 169.0 L; on 4.5 m² = 37.6 mm;
4.5 m² x 0.30 m = 1.35 m³; 4.5 m² x 0.61 m = 2.745 m³.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from tests.stories import vale_night as vn
from tests.stories.vale import ZONE, at, record

from ashcomb.kernel.time import utc_ms
from ashcomb.plans.hold import BurnOrder, burn_day
from ashcomb.plans.pit import PitOrder, pit_plan
from ashcomb.records.acts import Kill, Weather

ORDER = PitOrder(hives=vn.MARKS, length_m=3.0, width_m=1.5, depth_m=1.0)


def test_load_and_liquid():
    plan = pit_plan(vn.night(), vn.ORROW, ORDER)
    assert plan.load.boxes == 33
    assert plan.load.comb_m3 == pytest.approx(1.63, abs=0.005)
    assert plan.load.honey_kg == pytest.approx(240)
    assert plan.load.honey_l == pytest.approx(169, abs=0.5)
    assert plan.liquid_mm == pytest.approx(38, abs=0.5)


def test_soil_for_0_30_m():
    plan = pit_plan(vn.night(), vn.ORROW, ORDER)
    assert plan.cover_m == 0.30
    assert plan.soil_m3 == pytest.approx(1.35)


def test_soil_for_2_ft():
    """California, Food and Agricultural Code 29207: ashes at least 2 ft below the ground."""
    values = {**vn.ORROW.values}
    for key in ("pit.cover_m", "pit.ash_depth_m"):
        values[key] = replace(values[key], value=0.61)
    plan = pit_plan(vn.night(), replace(vn.ORROW, values=values), ORDER)
    assert plan.soil_m3 == pytest.approx(2.745)


@pytest.mark.parametrize("said", [{"rain_mm": 1.5}, {"fire_ban": True}])
def test_rain_or_a_fire_ban_puts_the_store_in_place_of_the_fire(said: dict):
    begins = at("2031-05-15T09:00")
    fine = {"forecast": True, "rh_percent": 55.0, "wind_kmh": 8.0, "gust_kmh": 14.0, "rain_mm": 0.0, "storm": False,
            "fire_ban": False, "rating": "Low", "place": "A07", "noted": utc_ms(at("2031-05-15T07:00"))}  # fmt: skip
    dead = [record(Kill, "2031-05-14T22:20", hive=mark, step="dead confirmed") for mark in vn.MARKS]
    order = BurnOrder(apiary="A07", hives=vn.MARKS, now=at("2031-05-15T08:00"), begins=begins,
                      ends=at("2031-05-15T12:00"), zone=ZONE, lat=46.0, lon=66.5)  # fmt: skip

    def decided(**changed):
        rows = [record(Weather, f"2031-05-15T{hour}:00", **{**fine, **changed}) for hour in ("09", "12")]
        return burn_day(vn.night(*dead, *rows), vn.ORROW, order)

    assert (decided().decision, decided().hold) == ("go", None)
    found = decided(**said)
    assert found.decision == "no-go"
    assert found.hold is not None
    assert sum(count for _, _, count in found.hold.pieces) == 372
