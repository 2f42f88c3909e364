"""A consignment: units with labels, pallets that can be drawn, the chain of custody, what must hold first."""

from __future__ import annotations

from random import Random
from xml.etree.ElementTree import fromstring

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.stories import vale_night as vn
from tests.stories.vale import record, vale

from ashcomb.drawings.pallet import Block, Loaded, draw_pallet, qr_svg
from ashcomb.kernel.errors import UserError
from ashcomb.plans.consignment import ConsignmentPlan, Sending, custody, plan_consignment
from ashcomb.plans.holdings import holdings
from ashcomb.records.acts import Consignment
from ashcomb.records.pieces import tag_fits
from ashcomb.records.places import Component
from ashcomb.records.storage import Handover, Unit
from ashcomb.science.packing import Box, UnitSpec, pack
from ashcomb.science.pallet import PalletSpec, stack_places, stacks_on_pallet

DAY = "2031-05-13"
LOOSE = {"place": "HH", "material": "wood", "use": "super", "pattern": "Langstroth 10 deep"}


def loose() -> list:
    """62 boxes of 4.6 kg with nine combs of 0.7 kg, and 30 with nine of 0.9 kg: 10.9 and 12.7 kg each."""
    return [
        record(Component, DAY, mark="L-A", component="box", count=62, mass_kg=4.6, **LOOSE),
        record(Component, DAY, mark="L-A", component="frame", count=558, mass_kg=0.7, **LOOSE),
        record(Component, DAY, mark="L-B", component="box", count=30, mass_kg=4.6, **LOOSE),
        record(Component, DAY, mark="L-B", component="frame", count=270, mass_kg=0.9, **LOOSE),
    ]


def planned(records: list, mark: str = "S1") -> ConsignmentPlan:
    situation = vale(*records)
    found = holdings(situation, vn.ORROW, (), ("HH",))
    return plan_consignment(situation, vn.ORROW, Sending(mark=mark, items=found.items))


def test_every_box_is_in_one_unit_and_every_label_checks_itself():
    found = planned(loose())
    boxes = [box for unit in found.units for box in unit.boxes]
    assert len(boxes) == len(set(boxes)) == found.boxes == 92
    assert all(tag_fits(box) for box in boxes)
    assert all(tag_fits(unit.mark) for unit in found.units)
    assert len({unit.mark for unit in found.units}) == len(found.units)
    assert max(unit.mass_kg for unit in found.units) <= 25.0
    assert found.shipment.mass_kg == pytest.approx(62 * 10.9 + 30 * 12.7)
    assert found.shipment.pallets == 3  # six stacks of seven are 42 boxes a pallet, as in the story of the 92 boxes


def test_units_of_a_stack_stand_on_each_other_and_stay_below_the_limit():
    stacks: dict[tuple[int, int], list] = {}
    for unit in planned(loose()).units:
        stacks.setdefault((unit.pallet, unit.stack), []).append(unit)
    for units in stacks.values():
        at = 0
        for unit in units:
            assert unit.base_mm == at
            at += unit.height_mm
        assert 150 + at < 2000


def test_fuel_wet_and_forbidden_parts_stay_and_are_named():
    wet = record(Component, DAY, mark="W", component="box", count=2, fuel_wet=True, **LOOSE)
    found = planned([*loose(), wet])
    assert ("2 super box, wood, fuel-wet of W", "Irradiation is forbidden for it.") in found.left
    with pytest.raises(UserError, match="Nothing of this may travel"):
        planned([wet])


def test_nothing_leaves_before_it_is_entered_looked_at_and_sealed():
    assert {gate.name for gate in planned(loose()).gates if not gate.met} == {"entered", "looked at", "sealed"}
    sent = record(Consignment, DAY, mark="S1", lot="1", boxes=92, units=1)
    unit = {"mark": "S1-01", "consignment": "S1", "boxes": 1}
    bare = record(Unit, DAY, **unit)
    done = record(Unit, DAY, **unit, honey_free=True, seal_no="0417")
    assert {gate.name for gate in planned([*loose(), sent, bare]).gates if not gate.met} == {"looked at", "sealed"}
    assert all(gate.met for gate in planned([*loose(), sent, done]).gates)


def test_the_chain_of_custody_names_each_break():
    sent = record(Consignment, DAY, mark="S1", lot="1", boxes=92, units=61)

    def step(giver: str, taker: str, units: int = 61, intact: bool = True):
        return record(Handover, DAY, consignment="S1", from_whom=giver, to_whom=taker, units=units, seals_intact=intact)

    assert custody(vale(sent, step("NV", "driver"), step("Driver ", "plant")), "S1").whole
    assert not custody(vale(sent), "S1").whole
    broken = custody(vale(sent, step("NV", "driver"), step("shed", "plant", 60, False)), "S1")
    assert len(broken.breaks) == 3
    assert "60 of 61 units" in " ".join(broken.breaks)


@given(st.integers(50, 900), st.integers(50, 900), st.integers(600, 1300), st.integers(600, 1300))
def test_stacks_stand_apart_and_on_the_pallet(a: int, b: int, length: int, width: int):
    places = stack_places(a, b, length, width)
    assert len(places) == stacks_on_pallet(a, b, length, width).number
    for n, (x, y, wide, deep) in enumerate(places):
        assert {wide, deep} == {a, b}
        assert x >= 0
        assert y >= 0
        assert x + wide <= length
        assert y + deep <= width
        for u, v, w, d in places[n + 1 :]:
            assert x + wide <= u or u + w <= x or y + deep <= v or v + d <= y


def test_two_thousand_boxes_come_within_one_pallet_of_the_bound():
    rng = Random(7)
    boxes = [Box(str(n), round(rng.uniform(8, 24), 1), rng.choice((250, 170))) for n in range(2000)]
    chosen = pack(boxes, UnitSpec(25), PalletSpec(6, 1849, 1000)).chosen
    assert len(chosen.pallets) <= chosen.bound + 1
    assert sorted(box for unit in chosen.units for box in unit.boxes) == sorted(box.mark for box in boxes)
    for pallet in chosen.pallets:
        assert len(pallet) <= 6
        assert sum(unit.grams for stack in pallet for unit in stack) <= 1_000_000
        assert all(sum(unit.height_mm for unit in stack) <= 1849 for stack in pallet)


def test_the_drawing_shows_every_unit_once_and_escapes_words():
    blocks = tuple(Block(f"<{n}>", 1 + n % 2, 250 * (n // 2), 250) for n in range(6))
    drawn = draw_pallet(Loaded("a & b", 1240, 1200, 150, 2000, stack_places(514, 412, 1240, 1200), blocks))
    words = [part.text for part in fromstring(drawn).iter() if part.text]
    assert [word for word in words if word.startswith("<")] == [f"<{n}>" for n in (0, 2, 4, 1, 3, 5)]


def test_a_qr_code_has_the_three_finders_of_its_standard():
    """ISO/IEC 18004: 7 by 7 modules, dark rim, light ring, dark 3 by 3, in three corners, inside a quiet zone of 4."""
    drawn = fromstring(qr_svg("AFB UNIT S1-01-K"))
    size = int(drawn.attrib["viewBox"].split()[2])
    dark = {tuple(map(int, part.split("h")[0].split())) for part in drawn[1].attrib["d"].split("M")[1:]}
    for left, top in ((4, 4), (size - 11, 4), (4, size - 11)):
        for x in range(7):
            for y in range(7):
                ring = max(abs(x - 3), abs(y - 3))
                assert ((left + x, top + y) in dark) == (ring != 2)
    assert min(min(spot) for spot in dark) == 4
