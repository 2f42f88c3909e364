"""The hold store: book, ages, looks that are due, robbing risk, and the stock-take against the book."""

from __future__ import annotations

from datetime import date
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from tests.stories import vale_night as vn
from tests.stories.vale import record

from ashcomb.plans.hold_store import HoldStore, book, hold_store
from ashcomb.records.columns import Record
from ashcomb.records.places import Component
from ashcomb.records.situation import situation_of
from ashcomb.records.storage import Hold, StockTake, StoreCheck

DAY = date(2031, 5, 30)


def hold(direction: str, count: int, when: str = "2031-05-15", **more: Any) -> Record:
    given_ = {"hive": "K1", "component": "frame", "store": "HS", **more}
    made: Record = record(Hold, when, direction=direction, count=count, **given_)
    return made


def state(*rows: Record, day: date = DAY) -> HoldStore:
    return hold_store(situation_of(rows), vn.ORROW, day)


def test_age_is_that_of_what_is_still_there():
    (store,) = state(hold("in", 5, "2031-05-01"), hold("in", 3, "2031-05-20"), hold("out", 6, "2031-05-22")).stores
    (line,) = store.lines
    assert (line.count, line.days, line.since) == (2, 10, date(2031, 5, 20))


def test_a_look_is_due_the_day_after_the_last_and_then_overdue():
    seen = record(StoreCheck, "2031-05-22", store="HS", bee_proof=True)
    assert state(hold("in", 5), seen, day=date(2031, 5, 23)).gates[0].met
    assert not state(hold("in", 5), seen, day=date(2031, 5, 24)).gates[0].met
    assert "since Fri 23 May 2031" in state(hold("in", 5), seen).gates[0].why


def test_robbing_risk_has_its_reasons():
    unseen = state(hold("in", 5)).stores[0]
    assert unseen.risk == "high"
    assert "Nobody has recorded that it is bee-proof." in unseen.reasons
    tight = record(StoreCheck, "2031-05-29", store="HS", bee_proof=True, robbers=False)
    calm = state(hold("in", 5, wrap="two layers", bee_proof=True), tight).stores[0]
    assert (calm.risk, calm.reasons) == ("low", ("Nothing recorded speaks of it.",))
    honey = record(Component, "2031-05-13", hive="K1", component="frame", count=5, honey_kg=12.0)
    assert state(hold("in", 5, wrap="two layers"), tight, honey).stores[0].risk == "raised"
    robbed = record(StoreCheck, "2031-05-30", store="HS", bee_proof=True, robbers=True)
    assert state(hold("in", 5), tight, robbed).stores[0].risk == "high"
    loose = record(StoreCheck, "2031-05-30", store="HS", bee_proof=False)
    assert not state(hold("in", 5), tight, loose).gates[1].met


def test_a_stock_take_is_compared_line_by_line_with_the_book_of_its_day():
    rows = [
        hold("in", 9), hold("in", 2, component="box"), hold("in", 4, hive="K2"),
        record(StockTake, "2031-05-20", store="HS", hive="K1", component="frame", count=7),
        record(StockTake, "2031-05-20", store="HS", hive="K2", component="frame", count=6),
        hold("out", 9, "2031-05-21"),
    ]  # fmt: skip
    store = state(*rows).stores[0]
    assert store.stock_day == date(2031, 5, 20)
    assert store.differences == (
        "K1: 2 boxes in the book were not counted.",
        "K1: 7 counted, 9 in the book: 2 frames missing.",
        "K2: 6 counted, 4 in the book: 2 frames too many.",
    )


@given(st.lists(st.tuples(st.booleans(), st.integers(0, 9), st.integers(1, 28)), max_size=12))
def test_the_book_holds_what_came_in_less_what_left(moves: list[tuple[bool, int, int]]):
    rows = [hold("in" if inward else "out", n, f"2031-05-{day:02d}") for inward, n, day in moves]
    found = book(situation_of(rows), "HS", DAY)
    there = sum(count for parts in found.values() for _, count, _ in parts)
    came, left = (sum(n for inward, n, _ in moves if inward is way) for way in (True, False))
    assert there == max(0, came - left)
