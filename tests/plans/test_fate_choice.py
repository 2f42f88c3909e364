"""The fates of an operation: rules kept, locks kept, combs out before the kill, and what stands beside the choice."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from tests.stories import vale_night as vn
from tests.stories.vale import record, vale

from ashcomb.kernel.errors import UserError
from ashcomb.plans.fate_build import FateAsk, build, compressed
from ashcomb.plans.fate_choice import FateChoice, choose
from ashcomb.plans.fate_operation import loose_places, operation_of
from ashcomb.plans.fate_prices import price_list
from ashcomb.plans.figures import Figures
from ashcomb.records.acts import Kill
from ashcomb.records.columns import Record
from ashcomb.records.pieces import Decision
from ashcomb.records.places import Component, Hive, Premises
from ashcomb.records.situation import Situation
from ashcomb.records.storage import Hold, Price

DAY = "2031-05-13"


def parts(hive: str = "A07-01", **more: Any) -> list[Record]:
    def row(component: str, count: int, **fields: Any) -> Record:
        made: Record = record(Component, DAY, hive=hive, component=component, count=count, **fields)
        return made

    return [
        row("box", 2, material="wood", use="brood"), row("frame", 18, material="wood", use="brood", **more),
        row("box", 1, material="wood", use="super"), row("frame", 9, material="wood", use="super"),
        row("lid", 1, material="wood"), row("floor", 1, material="wood"),
    ]  # fmt: skip


def situation(*more: Record) -> Situation:
    store = record(Premises, "2025-01-01", mark="HS", type="store", x_km=20.3, y_km=13.7)
    return vale(record(Hive, "2030-04-10", mark="A07-01", apiary="A07", boxes=3), store, *more)


def chosen(records: list[Record], ask: FateAsk | None = None, **more: Any) -> FateChoice:
    found = situation(*records)
    ask = ask or FateAsk(least_boxes=0)
    operation, held = operation_of(found, vn.ORROW, ("A07-01",), loose_places(found), ask)
    return choose(operation, vn.ORROW, price_list(found, date(2031, 5, 13)), ask, doubts=held.doubts, **more)


def fates(found: FateChoice) -> dict[str, int]:
    count: dict[str, int] = {}
    for line in found.lines:
        key = f"{line.words}: {line.method}"
        count[key] = count.get(key, 0) + line.count
    return count


def test_before_a_kill_with_petrol_only_supers_and_loose_parts_can_be_saved():
    near = [
        record(Price, DAY, item=item, amount=0.0, currency="EUR") for item in ("gamma lot", "wax dip day", "vehicle km")
    ]
    found = chosen([*parts(), *near])
    assert fates(found)["brood box, wood: burn"] == 2
    assert fates(found)["floor, wood: burn"] == 1
    assert {line.words for line in found.prepare} <= {"super box, wood", "super frame, wood"}
    assert found.prepare
    assert all(line.method not in ("burn", "bury") for line in found.prepare)


def test_after_the_dose_everything_left_in_the_hive_burns():
    dose = record(Kill, "2031-05-14T21:00", hive="A07-01", step="dosed", agent="petrol", amount_ml=250)
    found = chosen([*parts(), dose])
    assert {line.method for line in found.lines} == {"burn"}
    assert not found.prepare
    assert all("Fuel-wet parts go to the fire" in line.reason for line in found.lines)


def test_killed_by_cold_nothing_must_be_prepared_and_boxes_may_be_saved():
    found = chosen(parts(), FateAsk(agent="freezing", least_boxes=0))
    assert not found.prepare
    assert "brood box, wood: burn" not in fates(found)


def test_a_locked_decision_holds_and_costs_what_it_costs():
    cold = FateAsk(agent="freezing", least_boxes=0)
    free = chosen(parts(), cold)
    lock = record(Decision, DAY, hive="A07-01", component="lid", count=1, method="burn", locked=True, reason="cracked")
    held = chosen([*parts(), lock], cold)
    assert fates(held)["lid, wood: burn"] == 1
    assert held.bill.cents >= free.bill.cents


@pytest.mark.parametrize(("component", "method"), [("frame", "wax_dip"), ("floor", "wax_dip")])
def test_a_lock_against_the_rules_or_the_kill_is_named(component: str, method: str):
    lock = record(Decision, DAY, hive="A07-01", component=component, count=1, method=method, locked=True, reason="x")
    with pytest.raises(UserError, match="decided and locked"):
        chosen([*parts(), lock])


def test_what_lies_in_the_store_already_need_not_come_out():
    near = [record(Price, DAY, item=item, amount=0.0, currency="EUR") for item in ("gamma lot", "vehicle km")]
    kept = record(Hold, DAY, hive="A07-01", component="excluder", count=2, direction="in", store="HS")
    metal = record(Component, DAY, hive="A07-01", component="excluder", count=3, material="metal")
    found = chosen([metal, kept, *near])
    assert [(line.place, line.count, line.prepare) for line in found.lines] == [("HS", 2, False), ("A07", 1, True)]


def test_a_cap_on_remaining_risk_is_kept():
    loose = chosen(parts(), FateAsk(agent="freezing", least_boxes=0, risk_price=0))
    tight = chosen(parts(), FateAsk(agent="freezing", least_boxes=0, risk_price=0, risk_cap=loose.bill.risk / 2e6))
    assert tight.bill.risk <= loose.bill.risk // 2
    assert tight.bill.cents >= loose.bill.cents


def test_limits_that_cannot_be_kept_end_in_words():
    with pytest.raises(UserError, match="cannot all be dealt with"):
        chosen(parts(), FateAsk(labour_h=0.0))


def test_all_pieces_get_a_fate_and_the_other_ways_are_dearer():
    found = chosen(parts(honey_kg=12.0))
    assert sum(line.count for line in found.lines) == 32
    assert {line.name for line in found.beside} >= {"burn everything that may burn", "irradiate everything that may be"}
    assert all(line.cents is None or line.cents >= found.bound for line in found.beside[:3])
    assert found.gap <= 0.01
    assert len(found.swings) == 3
    assert all(kind.extra is None or kind.extra >= 0 for kind in found.kinds)


def test_one_holding_for_each_group_builds_the_same_problem():
    lock = record(Decision, DAY, hive="A07-01", component="lid", count=1, method="burn", locked=True, reason="cracked")
    found = situation(*parts(honey_kg=7.3), lock)
    ask, prices = FateAsk(least_boxes=0), price_list(found, date(2031, 5, 13))
    operation, _ = operation_of(found, vn.ORROW, ("A07-01",), (), ask)
    built = build(operation, vn.ORROW, prices, ask, Figures(vn.ORROW))
    again = build(compressed(operation, built), vn.ORROW, prices, ask, Figures(vn.ORROW))
    assert again.problem == built.problem


def test_plastic_that_petrol_ran_over_has_no_way_open():
    dose = record(Kill, "2031-05-14T21:00", hive="A07-01", step="dosed", agent="petrol", amount_ml=250)
    plastic = record(Component, DAY, hive="A07-01", component="frame", count=4, material="plastic", use="super")
    found = chosen([plastic, dose])
    assert [(line.count, line.words) for line in found.stuck] == [(4, "super frame, plastic, fuel-wet")]
    assert "ask the officer" in found.verdict


def test_recorded_prices_go_before_orders_of_magnitude_and_keep_one_currency():
    cheap = record(Price, "2031-01-01", item="box", amount=1.0, currency="EUR", document="list 7")
    later = record(Price, "2031-06-01", item="box", amount=99.0, currency="EUR")
    prices = price_list(situation(cheap, later), date(2031, 5, 13))
    assert (prices["box"], prices.currency) == (1.0, "EUR")
    assert prices.words["box"] == "list 7, valid from Wed 1 Jan 2031"
    assert "box" not in prices.guessed
    with pytest.raises(UserError, match="EUR and GBP"):
        price_list(
            situation(cheap, record(Price, "2031-01-02", item="lid", amount=2.0, currency="GBP")), date(2031, 5, 1)
        )
