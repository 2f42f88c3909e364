"""Trace in words: against a day-expanded graph of an outside library, and what becomes of every odd record."""

from __future__ import annotations

from datetime import date, timedelta

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.stories.vale import day, hives, record, vale

from ashcomb.kernel.errors import UserError
from ashcomb.plans.trace import trace
from ashcomb.records.case import CaseHead
from ashcomb.records.looks import Inspection
from ashcomb.records.movements import Cleaning, ExtractionLot, Move
from ashcomb.records.places import Apiary, Hive, Premises
from ashcomb.records.situation import situation_of

ZERO = date(2030, 6, 1)
YARDS = "ABCDE"


def move(mark, when, source, target, what="hives", **more):
    return record(Move, when, mark=mark, source=source, target=target, what=what, **more)


def small(*records, **head):
    places = [record(Apiary, "2025-01-01", mark=mark) for mark in YARDS]
    houses = [record(Premises, "2025-01-01", mark="HH", type="honey house")]
    case = record(CaseHead, "2031-01-01", **{"mark": "C", "timezone": "UTC", "index": "A",
                                             "infectious_from": "2030-06-01", **head})  # fmt: skip
    return situation_of([case, *places, *houses, *records])


def marks(places):
    return {place.mark for place in places}


_STEPS = st.lists(
    st.tuples(st.integers(0, 6), st.sampled_from(YARDS), st.sampled_from(YARDS)).filter(lambda t: t[1] != t[2]),
    max_size=8,
)


# Independent: reachability in a graph whose nodes are (place, day), built with an outside graph library.
@given(_STEPS)
def test_both_lists_agree_with_a_day_expanded_graph(steps):
    graph = nx.DiGraph()
    for yard in YARDS:
        nx.add_path(graph, [(yard, number) for number in range(8)])
    for number, source, target in steps:
        graph.add_edge((source, number), (target, number))
    moved = [move(f"m{i}", str(ZERO + timedelta(days=n)), a, b) for i, (n, a, b) in enumerate(steps)]
    found = trace(small(*moved, infectious_from="2030-06-03"))
    ahead = {yard for yard, _ in nx.descendants(graph, ("A", 2))} - {"A"}
    behind = {yard for yard, _ in nx.ancestors(graph, ("A", 2))} - {"A"}
    assert marks(found.forward.places) == ahead
    assert marks(found.back.places) == behind


def test_what_a_shed_handled_after_a_contaminated_lot_is_listed_apart():
    moved = [move("a", "2030-08-01", "A", "HH", "wet supers", lot="L1"),
             move("b", "2030-08-10", "HH", "B", "wet supers", lot="L2")]  # fmt: skip
    found = trace(small(*moved)).forward
    assert marks(found.places) == {"HH"}
    assert marks(found.carry_over) == {"B"}
    assert found.carry_over[0].chain == "a→b"
    cleaned = record(Cleaning, "2030-08-05", place="HH", method="hot soda")
    assert trace(small(*moved, cleaned)).forward.carry_over == ()


def test_supers_that_only_the_lot_names_count_and_are_asked_about():
    lot = record(ExtractionLot, "2030-08-01", mark="L1", house="HH", apiaries=("A", "B"))
    moved = [
        move("b", "2030-08-01", "B", "HH", "wet supers", lot="L1"),
        move("c", "2030-08-02", "HH", "C", "wet supers", lot="L1"),
    ]
    found = trace(small(lot, *moved))
    assert {place.mark: place.chain for place in found.forward.places} == {"HH": "lot L1", "C": "lot L1→c"}
    assert any("lot L1 names A, but no move is recorded" in question for question in found.ask)


def test_a_move_through_a_shed_without_a_lot_is_asked_about():
    found = trace(small(move("a", "2030-08-01", "A", "HH", "honey")))
    assert any("a names no extraction lot" in question for question in found.ask)


def test_somebody_unknown_joins_nothing():
    moved = [move("a", "2030-07-01", "A", "unknown"), move("b", "2030-08-01", "unknown", "B")]
    found = trace(small(*moved)).forward
    assert marks(found.places) == {"unknown receiver (a)"}


def test_a_move_without_a_number_is_named_by_day_and_places():
    found = trace(small(move("", "2030-07-01", "A", "B"))).forward
    assert found.places[0].chain == "move of Mon 1 Jul 2030 A to B"


def test_same_day_moves_take_the_worse_order_unless_the_hours_exclude_it():
    tie = trace(small(move("a", "2030-07-01", "A", "B"), move("b", "2030-07-01", "B", "C"))).forward
    assert marks(tie.places) == {"B", "C"}
    assert "worse order" in {place.mark: place.order for place in tie.places}["C"]
    hours = [move("a", "2030-07-01T15:00", "A", "B"), move("b", "2030-07-01T09:00", "B", "C")]
    assert marks(trace(small(*hours)).forward.places) == {"B"}


# By hand: B left on 1 July; of the 61 days of June and July, arriving on 1 June to 1 July is in time: 31 / 61 = 51 %.
def test_an_uncertain_date_is_graded_by_the_share_of_days_that_fit():
    moved = [move("a", "2030-06-01/2030-07-31", "A", "B"), move("b", "2030-07-01", "B", "C")]
    found = {place.mark: place for place in trace(small(*moved)).forward.places}
    assert found["C"].order == "order possible for 51 % of the dates"
    assert found["B"].order == "order certain"


def test_the_window_bounds_and_names_what_goes_on_beyond_it():
    moved = [move("a", "2029-05-01", "B", "A"), move("b", "2029-04-01", "C", "B"), move("c", "2031-03-01", "A", "D")]
    found = trace(small(*moved), since=day("2029-04-15"), until=day("2031-02-01"))
    assert marks(found.back.places) == {"B"}
    assert found.back.beyond == ("goes on beyond the window by b: hives C to B, Sun 1 Apr 2029, seen",)
    assert found.forward.places == ()
    assert "by c: hives A to D" in found.forward.beyond[0]


def test_the_window_back_is_the_programs_own_where_nobody_says():
    moved = [move("a", "2029-05-31", "B", "A"), move("b", "2029-06-01", "C", "A")]
    found = trace(small(*moved))
    assert marks(found.back.places) == {"C"}
    assert [used.key for used in found.uses] == ["plans.trace_back_months"]


def test_the_narrower_list_goes_by_the_hives_that_moves_name():
    stock = [record(Hive, "2030-03-01", mark=f"{yard}-1", apiary=yard) for yard in "ABC"]
    more = [record(Hive, "2030-03-01", mark=f"{yard}-2", apiary=yard) for yard in "AB"]
    sick = record(Inspection, "2031-05-01", hive="A-1", signs="clinical")
    moved = [move("a", "2030-07-01", "A", "B", "brood frames", hives=("A-1", "B-1")),
             move("b", "2030-08-01", "B", "C", "brood frames", hives=("B-2", "C-1"))]  # fmt: skip
    found = trace(small(*stock, *more, sick, *moved)).forward
    assert marks(found.places) == {"B", "C"}
    assert found.by_hive is not None
    assert found.hives is not None
    assert marks(found.by_hive) == {"B"}
    assert "B-1" in marks(found.hives)
    assert "C-1" not in marks(found.hives)


def test_the_start_may_be_given_and_must_be_known():
    assert marks(trace(vale(), {"A19": day("2030-06-01")}).forward.places) == {"A22", "H01"}
    assert trace(vale()).exposed["A07"] == day("2030-04-10")
    assert trace(vale()).exposed["H01"] == day("2030-09-10")
    with pytest.raises(UserError, match="Q7"):
        trace(vale(), {"Q7": day("2030-06-01")})
    with pytest.raises(UserError, match="infectious"):
        trace(small(infectious_from=""))


def test_the_rulings_are_printed():
    found = trace(vale(*hives("A07", 2)))
    assert any("worse order" in sentence for sentence in found.assumptions)
    assert any("gap in the records" in sentence for sentence in found.assumptions)
