"""Story 11: packing for irradiation, certificates, and a wax log in degrees Fahrenheit.

By hand: 62 boxes of 11.5 kg make 31 pairs of 23 kg; two of 14.0 kg are 28 kg, over 25, so 30 go single: 61 units,
62 x 11.5 + 30 x 14 = 1,133 kg, two pallets of 1,000 kg by weight; 1240 / 412 = 3 by 1200 / 514 = 2 stacks, and
(2,000 - 150) / 250 = 7 high: 42 boxes a pallet, three pallets for 92. 302 °F = 150 °C.
"""

from __future__ import annotations

import pytest
from tests.stories import vale_night as vn
from tests.stories.vale import record

from ashcomb.plans.irradiation import match_certificates
from ashcomb.plans.shipment import Parcel, Shipment, ShipmentOrder, plan_shipment
from ashcomb.plans.treatment import check_treatment
from ashcomb.records.acts import Certificate, Consignment, Treatment


@pytest.fixture
def shipment() -> Shipment:
    light = [Parcel(mark=f"L{n}", hive="A03-01", mass_kg=11.5) for n in range(62)]
    heavy = [Parcel(mark=f"H{n}", hive="A03-02", mass_kg=14.0) for n in range(30)]
    order = ShipmentOrder(parcels=(*light, *heavy), length_mm=514, width_mm=412, height_mm=250)
    return plan_shipment(vn.night(), vn.ORROW, order)


def test_units_and_mass(shipment: Shipment):
    assert shipment.units == 61
    assert shipment.mass_kg == 1133.0
    assert sorted({len(unit.boxes) for unit in shipment.packing.chosen.units}) == [1, 2]
    assert max(unit.mass_kg for unit in shipment.packing.chosen.units) == 23.0


def test_pallets(shipment: Shipment):
    assert shipment.by_weight == 2
    assert (shipment.stacks, shipment.levels) == (6, 7)
    assert shipment.pallets == 3


def sent() -> list:
    day = "2031-06-02"
    return [
        record(Consignment, day, mark="S1", lot="1", boxes=62, units=31, mass_kg=713.0),
        record(Consignment, day, mark="S2", lot="2", boxes=30, units=30, mass_kg=420.0),
    ]


def certificate(mark: str, lot: str, units: int, dose: float):
    return record(Certificate, "2031-06-09", consignment=mark, lot=lot, run=f"R{lot}", units_received=units,
                  units_returned=units, min_dose_kgy=dose, max_dose_kgy=24.0, signed="Plant")  # fmt: skip


def test_one_unit_is_unaccounted_and_lot_2_stays_held():
    papers = [certificate("S1", "1", 31, 15.8), certificate("S2", "2", 29, 14.6)]
    result = match_certificates(vn.night(*sent(), *papers), vn.ORROW)
    assert (result.sent, result.returned, result.unaccounted) == (61, 60, 1)
    assert result.lot("1").certified
    assert not result.lot("2").certified
    said = " ".join(result.lot("2").faults)
    assert "14.6 kGy against 15 kGy" in said
    assert "1 unaccounted" in said


def test_exactly_the_asked_dose_and_all_units_certify():
    papers = [certificate("S1", "1", 31, 15.0), certificate("S2", "2", 30, 15.0)]
    assert match_certificates(vn.night(*sent(), *papers), vn.ORROW).unaccounted == 0
    assert all(lot.certified for lot in match_certificates(vn.night(*sent(), *papers), vn.ORROW).lots)


def test_wax_log_in_fahrenheit_is_refused():
    """302 °F is 150 °C, below 160 °C: one published page equates 160 °C with 302 °F and is wrong."""
    dip = record(Treatment, "2031-06-20", hive="A07-01", component="box", count=2, method="wax dipped",
                 as_written="302 °F, 10 min")  # fmt: skip
    result = check_treatment(vn.night(), vn.ORROW, dip)
    assert not result.accepted
    assert result.temperature_c == pytest.approx(150.0)
    assert result.faults == ("150 °C is below the required 160 °C.",)
