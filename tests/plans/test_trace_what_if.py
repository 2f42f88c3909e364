"""What a moved date changes: by hand, and against the whole trace of a situation in which the record is moved."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from tests.plans.test_trace import ZERO, move, small
from tests.stories.vale import day, record, vale

from ashcomb.kernel.time import Span, add_months
from ashcomb.plans.trace import TracePlan, trace
from ashcomb.plans.trace_what_if import AHEAD_SHED, BACK, BACK_SHED, FORWARD, MEMORY, Effect, what_if
from ashcomb.records.movements import Cleaning, ExtractionLot
from ashcomb.records.places import Premises


def effect(found, name: str, months: int) -> Effect | None:
    return next((e for e in found.effects if e.record == name and e.months == months), None)


def said(changes) -> list[tuple[str, str]]:
    return [(change.mark, change.way) for change in changes]


# By hand: A07 is infectious from 10 April 2030. m11 left it in June or July; in May or June it counts as well, from
# 1 May. m8 came on 10 April: seen from 10 March it came too late, so neither A26 nor D1 behind it can be the source.
def test_orrow_vale_by_hand():
    found = what_if(vale())
    assert found.doubted == 1
    earlier = effect(found, "m11", -1)
    assert earlier is not None
    assert (earlier.enters, earlier.leaves, earlier.why) == ((), (), MEMORY)
    assert [change.words for change in earlier.shifts] == ["A09 forward from Wed 1 May 2030 instead of Sat 1 Jun 2030"]
    start = effect(found, "start", -1)
    assert start is not None
    assert said(start.leaves) == [("A26", BACK), ("D1", BACK)]
    assert effect(found, "start", 1) is None
    assert [used.key for used in found.uses] == ["plans.trace_back_months", "trace.memory_wrong_months"]


# By hand: b left B on 15 July. a reached B on 20 July, too late; a month earlier it came on 20 June, so C is reached.
def test_a_memory_lets_a_place_enter_or_leave():
    moved = [move("a", "2030-07-20", "A", "B", evidence="memory"), move("b", "2030-07-15", "B", "C")]
    found = what_if(small(*moved))
    earlier = effect(found, "a", -1)
    assert earlier is not None
    assert said(earlier.enters) == [("C", FORWARD)]
    assert earlier.enters[0].words == "C enters forward, Mon 15 Jul 2030"
    back = what_if(small(*moved), {"C": day("2030-08-01")})
    assert said(effect(back, "a", -1).enters) == [("A", BACK)]
    assert effect(back, "a", 1) is None
    kept = what_if(small(moved[0], move("b", "2030-07-25", "B", "C")))
    assert said(effect(kept, "a", 1).leaves) == [("C", FORWARD)]
    seen = what_if(small(move("a", "2030-07-20", "A", "B"), moved[1]))
    assert (seen.doubted, [e.record for e in seen.effects if e.record != "start"]) == (0, [])


# By hand: the shed worked lot L1 of A on 1 August and lot L2 for B on 10 August; a cleaning in between parts them, and
# moved out of between it does not.
def test_a_cleaning_from_memory_counts_too():
    moved = [move("a", "2030-08-01", "A", "HH", "wet supers", lot="L1"),
             move("b", "2030-08-10", "HH", "B", "wet supers", lot="L2"),
             record(Cleaning, "2030-08-05", place="HH", method="hot soda", evidence="memory")]  # fmt: skip
    found = what_if(small(*moved))
    assert [said(effect(found, "cleaning of HH", n).enters) for n in (-1, 1)] == [[("B", AHEAD_SHED)]] * 2


def test_all_supers_of_a_lot_move_together():
    lot = record(ExtractionLot, "2030-05-20", mark="L1", house="HH", apiaries=("B", "A"), evidence="memory")
    found = what_if(small(lot, move("c", "2030-07-30", "HH", "C", "wet supers", lot="L1")))
    later = effect(found, "lot L1", 1)
    assert said(later.enters) == [("C", FORWARD), ("HH", FORWARD)]
    assert later.moved_to == "Thu 20 Jun 2030"
    assert effect(found, "lot L1", -1) is None


def test_what_changes_nothing_is_named():
    found = what_if(small(move("far", "2030-07-01", "D", "E", evidence="memory")))
    assert (found.doubted, found.quiet, found.effects) == (1, ("far",), ())


def lists(plan: TracePlan) -> dict[str, dict[str, date]]:
    ways = {FORWARD: (plan.forward.places, "first"), AHEAD_SHED: (plan.forward.carry_over, "first"),
            BACK: (plan.back.places, "last"), BACK_SHED: (plan.back.carry_over, "last")}  # fmt: skip
    return {way: {place.mark: getattr(place, end) for place in found} for way, (found, end) in ways.items()}


PLACES = ["A", "B", "C", "HH", "H2"]
ROW = st.tuples(
    st.integers(0, 80), st.sampled_from([0, 0, 0, 9, 30]), st.permutations(PLACES).map(lambda p: (p[0], p[1])),
    st.sampled_from(["seen", "document", "memory"]), st.sampled_from(["", "L1", "L2"]),
)  # fmt: skip


@settings(max_examples=80, deadline=None)
@example(
    [
        *([(0, 0, ("A", "B"), "seen", "")] * 3),
        (0, 0, ("A", "H2"), "seen", "L1"),
        (0, 0, ("HH", "A"), "seen", "L1"),
        (0, 9, ("B", "H2"), "seen", ""),
    ],
    0,
    0,
    None,
)  # a shed is passed through that no list names
@given(st.lists(ROW, min_size=1, max_size=7), st.integers(0, 80), st.integers(0, 2), st.sampled_from([None, 70]))
def test_every_effect_is_the_whole_trace_of_the_moved_record(rows, cleaned: int, doubt: int, until: int | None):
    """The twin: the record itself is moved, a new situation made and traced with chains and grades."""
    made = []
    for number, (start, length, (source, target), evidence, lot) in enumerate(rows):
        span = f"{ZERO + timedelta(days=start)}/{ZERO + timedelta(days=start + length)}" if length else str(
            ZERO + timedelta(days=start))  # fmt: skip
        what = "wet supers" if {source, target} & {"HH", "H2"} else "hives"
        more = {"lot": lot} if what == "wet supers" else {}
        made.append(move(f"m{number}", span, source, target, what, evidence=evidence, **more))
    when = str(ZERO + timedelta(days=cleaned))
    made.append(record(Cleaning, when, place="HH", method="soda", evidence=("seen", "memory", "memory")[doubt]))
    made.append(record(Premises, "2025-01-01", mark="H2", type="honey house"))
    window = {"since": day("2030-05-20"), "until": None if until is None else ZERO + timedelta(days=until)}
    start = {"A": ZERO + timedelta(days=30)}
    base = small(*made)
    found = what_if(base, start, **window)
    before = lists(trace(base, start, **window))
    doubted = [(n, r) for n, r in enumerate(made[:-1]) if r.evidence == "memory" or not r.happened.certain]
    assert found.doubted == len(doubted)
    for number, old in doubted:
        for months in (-1, 1):
            span = Span(add_months(old.happened.first, months), add_months(old.happened.last, months))
            new = [*made[:number], replace(old, happened=span), *made[number + 1 :]]
            after = lists(trace(small(*new), start, **window))
            name = old.mark if number < len(rows) else "cleaning of HH"
            told = effect(found, name, months)
            changes = (
                {(c.mark, c.way): (c.was, c.now) for c in (*told.enters, *told.leaves, *told.shifts)} if told else {}
            )
            expected = {}
            for way in before:
                for mark in {*before[way], *after[way]}:
                    pair = before[way].get(mark), after[way].get(mark)
                    if pair[0] != pair[1]:
                        expected[mark, way] = pair
            assert changes == expected


@pytest.mark.parametrize("months", [2, 3])
def test_the_month_is_a_value_that_may_be_replaced(months: int):
    found = what_if(small(move("a", "2030-09-20", "A", "B", evidence="memory"), move("b", "2030-07-25", "B", "C")),
                    months=months)  # fmt: skip
    assert (effect(found, "a", -months) is not None) == (months >= 2)
    assert found.months == months
    assert "trace.memory_wrong_months" not in [used.key for used in found.uses]
