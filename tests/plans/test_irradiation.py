"""Certificates and shipments: sent = received = returned, the least dose of each lot, limits of unit and pallet."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.stories import vale_night as vn
from tests.stories.vale import record

from ashcomb.kernel.errors import UserError
from ashcomb.plans.irradiation import LotResult, match_certificates
from ashcomb.plans.shipment import Parcel, ShipmentOrder, plan_shipment
from ashcomb.records.acts import Certificate, Consignment, Kill
from ashcomb.records.columns import Record
from ashcomb.records.situation import situation_of

DAY = "2031-06-02"
SENT = record(Consignment, DAY, mark="S1", lot="1", boxes=20, units=10)


def paper(**changed: Any) -> Record:
    given_ = {"consignment": "S1", "lot": "1", "run": "R1", "units_received": 10, "units_returned": 10,
              "min_dose_kgy": 15.0, "max_dose_kgy": 24.0, "signed": "Plant"}  # fmt: skip
    made: Record = record(Certificate, "2031-06-09", **{**given_, **changed})
    return made


def lot(*papers: Record) -> LotResult:
    return match_certificates(situation_of([SENT, *papers]), vn.ORROW).lot("1")


def test_a_good_certificate():
    assert lot(paper()).certified


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"min_dose_kgy": 14.99}, "does not meet"),
        ({"min_dose_kgy": None}, "No minimum dose"),  # the maximum alone, or a mean, never stands for it
        ({"min_dose_kgy": 0.0}, "no treatment"),
        ({"min_dose_kgy": 25.0}, "swapped"),
        ({"units_returned": 9}, "1 unaccounted"),
        ({"units_received": 9}, "the counts differ"),
        ({"units_received": 11, "units_returned": 11}, "more came back"),
        ({"units_returned": None}, "does not say how many"),
        ({"signed": ""}, "not signed"),
    ],
)
def test_each_fault_keeps_the_lot(changed: dict, words: str):
    found = lot(paper(**changed))
    assert not found.certified
    assert words in found.verdict


def test_without_certificate_the_lot_stays():
    assert lot().faults == ("No certificate has come.",)


def test_two_runs_of_one_lot_add_up_and_the_lower_minimum_counts():
    """The midpoint of 12 and 30 kGy is 21, well over 15; the least dose of the lot is 12 and fails."""
    halves = [paper(run="R1", units_received=5, units_returned=5, min_dose_kgy=30.0, max_dose_kgy=40.0),
              paper(run="R2", units_received=5, units_returned=5, min_dose_kgy=12.0)]  # fmt: skip
    found = lot(*halves)
    assert (found.returned, found.minimum_kgy) == (10, 12.0)
    assert not found.certified


def test_one_of_two_papers_without_minimum_keeps_the_lot():
    assert not lot(
        paper(units_received=5, units_returned=5),
        paper(run="R2", units_received=5, units_returned=5, min_dose_kgy=None),
    ).certified


def test_a_run_certified_twice_is_named():
    halves = [paper(units_received=5, units_returned=5), paper(units_received=5, units_returned=5)]
    assert "twice" in lot(*halves).verdict


def test_a_certificate_for_what_nobody_sent_is_named():
    found = match_certificates(situation_of([SENT, paper(), paper(lot="7")]), vn.ORROW)
    assert len(found.strays) == 1
    assert "lot 7" in found.strays[0]


def test_fifteen_kilogray_fail_where_law_asks_for_twenty():
    """Florida Administrative Code 5B-54.0175: at least 20 kGy."""
    values = {**vn.ORROW.values}
    values["irradiation.min_dose_kgy"] = replace(values["irradiation.min_dose_kgy"], value=20.0)
    found = match_certificates(situation_of([SENT, paper()]), replace(vn.ORROW, values=values))
    assert not found.lot("1").certified


@given(st.floats(0.1, 40), st.floats(0.1, 40))
def test_a_higher_minimum_never_takes_a_certificate_away(low: float, high: float):
    low, high = sorted((low, high))
    first, second = (lot(paper(min_dose_kgy=dose, max_dose_kgy=None)).certified for dose in (low, high))
    assert second >= first


def order(*parcels: Parcel, **changed: Any) -> ShipmentOrder:
    return ShipmentOrder(parcels=parcels, **{"length_mm": 514, "width_mm": 412, "height_mm": 250, **changed})


def test_what_was_killed_with_petrol_or_holds_honey_does_not_travel():
    dosed = record(Kill, "2031-05-14T21:10", hive="A07-01", step="dosed", agent="Petrol", amount_ml=250.0)
    parcels = [Parcel(mark="B1", hive="A07-01", mass_kg=12), Parcel(mark="B2", hive="A07-02", mass_kg=12),
               Parcel(mark="B3", hive="A07-02", mass_kg=24, honey=True)]  # fmt: skip
    found = plan_shipment(vn.night(dosed), vn.ORROW, order(*parcels))
    assert [mark for mark, _ in found.refused] == ["B1", "B3"]
    assert [box for unit in found.packing.chosen.units for box in unit.boxes] == ["B2"]


def test_the_load_stays_below_the_height():
    """Ten boxes of 185 mm on a deck of 150 are exactly 2,000 mm, which is not below it: nine."""
    found = plan_shipment(vn.night(), vn.ORROW, order(Parcel(mark="B", hive="X", mass_kg=10), height_mm=185))
    assert found.levels == 9


def test_a_box_too_heavy_alone_is_named():
    with pytest.raises(UserError, match="B9"):
        plan_shipment(vn.night(), vn.ORROW, order(Parcel(mark="B9", hive="X", mass_kg=25.5)))


def test_a_profile_without_limits_packs_nothing():
    bare = replace(vn.ORROW, values={k: v for k, v in vn.ORROW.values.items() if k != "irradiation.deck_mm"})
    with pytest.raises(UserError, match="deck_mm"):
        plan_shipment(vn.night(), bare, order(Parcel(mark="B", hive="X", mass_kg=10)))
