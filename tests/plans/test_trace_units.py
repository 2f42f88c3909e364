"""Traces from every kind of unit, what went along each chain, unknown sources, shared equipment, chain sizes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.outbreak.networks import columns, worlds
from tests.plans.test_trace import marks, move, small
from tests.stories.vale import day, record, vale
from verification.trace_twin import Move, World, played

from ashcomb.kernel.errors import UserError
from ashcomb.outbreak import contacts
from ashcomb.outbreak.contacts import Start, chain_sizes, trace_forward
from ashcomb.outbreak.register import Register
from ashcomb.plans.trace import trace
from ashcomb.plans.trace_columns import columns_of
from ashcomb.plans.trace_sizes import trace_sizes
from ashcomb.records.movements import ExtractionLot
from ashcomb.records.places import Apiary, Hive, Keeper, Premises


def test_each_entry_tells_hops_and_what_went():
    moved = [move("a", "2030-07-01", "A", "B", "brood frames", count_out=4, count_in=3, note="one broke"),
             move("b", "2030-08-01", "B", "C", "queens")]  # fmt: skip
    found = {place.mark: place for place in trace(small(*moved)).forward.places}
    assert (found["C"].hops, found["C"].objects) == (2, ("4 brood frames", "queens"))
    assert found["C"].words.endswith("went: 4 brood frames, then queens.")


# By hand: only lot L1 came into C; B got lot L2, and the house itself is not the start.
def test_from_an_extraction_lot():
    lots = [record(ExtractionLot, "2030-08-01", mark="L1", house="HH", apiaries=("A", "D")),
            move("b", "2030-08-03", "HH", "B", "wet supers", lot="L2"),
            move("c", "2030-08-03", "HH", "C", "wet supers", lot="L1")]  # fmt: skip
    found = trace(small(*lots), {"L1": day("2030-08-01")})
    assert marks(found.forward.places) == {"C"}
    assert marks(found.back.places) == {"A", "D"}
    assert found.exposed == {"HH": day("2030-08-01"), "C": day("2030-08-03")}


def test_from_a_hive_only_its_own_moves_make_the_narrow_list():
    stock = [record(Hive, "2030-03-01", mark=f"A-{n}", apiary="A") for n in (1, 2)]
    moved = [move("a", "2030-07-01", "A", "B", "brood frames", hives=("A-1",)),
             move("c", "2030-07-01", "A", "C", "brood frames", hives=("A-2",))]  # fmt: skip
    found = trace(small(*stock, *moved), {"A-1": day("2030-06-01")}).forward
    assert marks(found.places) == {"B", "C"}
    assert marks(found.by_hive) == {"B"}
    with pytest.raises(UserError, match="stood"):
        trace(small(*stock, *moved), {"A-1": day("2030-02-01")})


def test_from_a_keeper_all_places_of_the_keeper_are_starts():
    own = [record(Keeper, "2025-01-01", mark="K1", name="Ada Crome"),
           record(Apiary, "2025-01-01", mark="X1", keeper="K1"), record(Apiary, "2025-01-01", mark="X2", keeper="K1"),
           record(Premises, "2025-01-01", mark="XS", type="store", keeper="K1")]  # fmt: skip
    moved = [move("a", "2030-07-01", "X2", "B"), move("s", "2030-07-01", "XS", "C", "used boxes"),
             move("k", "2030-07-02", "K1", "D", "queens"), move("n", "2030-07-02", "A", "E")]  # fmt: skip
    found = trace(small(*own, *moved), {"K1": day("2030-06-01")})
    assert marks(found.forward.places) == {"B", "C", "D"}
    assert {mark for mark, _ in found.starts} == {"K1", "X1", "X2", "XS"}
    assert "k names only the keeper K1: from which place of theirs did it go?" in found.ask


def test_a_dealer_and_shared_equipment_pass_it_on_in_the_order_of_time():
    places = [record(Premises, "2025-01-01", mark="D9", type="dealer"),
              record(Premises, "2025-01-01", mark="T1", type="other", name="Loader of the valley")]  # fmt: skip
    moved = [move("t1", "2030-07-01", "T1", "B", "tools"), move("t2", "2030-07-02", "A", "T1", "tools"),
             move("t3", "2030-07-03", "T1", "C", "tools"), move("d1", "2030-07-04", "C", "D9", "used boxes"),
             move("d2", "2030-07-05", "D9", "E", "used boxes")]  # fmt: skip
    found = {place.mark: place.chain for place in trace(small(*places, *moved)).forward.places}
    assert found == {"T1": "t2", "C": "t2→t3", "D9": "t2→t3→d1", "E": "t2→t3→d1→d2"}


def test_an_unknown_source_is_listed_asked_about_and_joins_nothing():
    moved = [move("a", "2030-05-01", "unknown", "A"), move("b", "2030-04-01", "A", "unknown"),
             move("c", "2030-04-02", "unknown", "B")]  # fmt: skip
    found = trace(small(*moved))
    assert marks(found.back.places) == {"unknown source (a)"}
    assert "a came from somebody unknown: who gave it?" in found.ask


def test_an_unknown_unit_is_refused():
    with pytest.raises(UserError, match="Q7 is not a known place"):
        trace(vale(), {"Q7": day("2030-06-01")})


@settings(max_examples=60, deadline=None)
@given(worlds(), st.integers(0, 4))
def test_a_lot_alone_is_the_shed_with_only_that_lot(world: World, at: int):
    """The twin plays a world in which the lot came out of a place of its own, one move before everything else."""
    lots = sorted({m.lot for m in world.moves if m.lot})
    if not lots:
        return
    first = Move(99, "Z", "H", at, at, 0, lots[0])
    late = World(tuple(replace_day(m, at) for m in world.moves), world.sheds, world.cleanings)
    expected, _ = played(World((first, *late.moves), world.sheds, world.cleanings), "Z", at)
    data = columns(late, "ABCHK")
    start = [Start(data.places.index("H"), at, (), 0)]
    found = trace_forward(data.transfers, start)
    fast = Register(data.transfers).forward(start)
    assert dict(zip(fast.place.tolist(), fast.day.tolist(), strict=True)) == {
        data.places.index("H"): at, **{e.number: e.first_day for e in found.places}}  # fmt: skip
    assert {data.places[e.number]: e.first_day for e in found.places} == {p: d for p, d in expected.items() if p != "H"}


def replace_day(m, at: int):
    return replace(m, first=m.first + at + 1, last=m.last + at + 1)  # all after the lot was worked


# By hand: A→B on day 1, B→C on day 2, D→B on day 3: C is reached from A and B, B from A and D.
def test_chain_sizes_by_hand():
    moved = [move("a", "2030-07-01", "A", "B"), move("b", "2030-07-02", "B", "C"), move("d", "2030-07-03", "D", "B")]
    found = trace_sizes(columns_of(small(*moved)).transfers)
    sizes = {size.mark: (size.ingoing, size.outgoing) for size in found.sizes}
    assert {mark: sizes[mark] for mark in "ABCDE"} == {"A": (0, 2), "B": (2, 1), "C": (2, 0), "D": (0, 1), "E": (0, 0)}
    late = trace_sizes(columns_of(small(*moved)).transfers, ("A", "D"), day("2030-07-02"))
    assert [(size.mark, size.outgoing) for size in late.sizes] == [("D", 1), ("A", 0)]
    with pytest.raises(UserError, match="Q7"):
        trace_sizes(columns_of(small(*moved)).transfers, ("Q7",))
    with pytest.raises(UserError, match="before the first"):
        trace_sizes(columns_of(small(*moved)).transfers, (), day("2030-07-02"), day("2030-07-01"))


@settings(max_examples=40, deadline=None)
@given(worlds(), st.one_of(st.none(), st.integers(0, 4)), st.one_of(st.none(), st.integers(0, 6)))
def test_both_ways_to_the_sizes_give_the_same(world: World, first: int | None, last: int | None):
    data = columns(world, "ABCHK")
    few = chain_sizes(data.transfers, first, last)
    kept = contacts.COMPILED_FROM
    try:
        contacts.COMPILED_FROM = 0
        many = chain_sizes(data.transfers, first, last)
    finally:
        contacts.COMPILED_FROM = kept
    assert [column.tolist() for column in few] == [column.tolist() for column in many]
