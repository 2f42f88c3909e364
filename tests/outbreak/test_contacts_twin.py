"""The trace against twins that play every history and write out every chain."""

from __future__ import annotations

import networkx as nx
import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.outbreak.networks import columns, worlds
from verification.trace_twin import World, chains, played

from ashcomb.outbreak.contacts import Start, Trace, earliest, trace_back, trace_forward
from ashcomb.outbreak.network import by_place
from ashcomb.outbreak.order import share_of

START = st.integers(0, 3)
BOUND = st.one_of(st.none(), st.integers(2, 6))
many = settings(max_examples=300, deadline=None)


def days(world: World, entries, names) -> dict[str, int]:
    return {names[entry.number]: entry.first_day for entry in entries}


def forward(world: World, day: int, bound: int | None, hives: tuple[str, ...] = ()) -> tuple[Trace, tuple, tuple]:
    data = columns(world, "ABCHK")
    numbers = tuple(data.hives.index(h) for h in hives if h in data.hives)
    trace = trace_forward(data.transfers, [Start(data.places.index("A"), day, numbers)], bound)
    return trace, data.places, data.hives


@many
@given(worlds(), START, BOUND)
def test_places_and_days_of_every_history(world: World, day: int, bound: int | None):
    trace, places, _ = forward(world, day, bound)
    expected, _ = played(world, "A", day, last_day=bound)
    assert days(world, trace.places, places) == expected


@many
@given(worlds(most=4), START, BOUND)
def test_carry_over_of_every_history(world: World, day: int, bound: int | None):
    trace, places, _ = forward(world, day, bound)
    expected, _ = played(world, "A", day, last_day=bound, carry_over=True)
    sure, _ = played(world, "A", day, last_day=bound)
    found, possible = days(world, trace.carry_over, places), {p: d for p, d in expected.items() if p not in sure}
    if any({m.source, m.target} <= world.sheds and m.lot for m in world.moves):
        # a lot moved from shed to shed: the list may hold a place too many, never one too few
        assert all(found[place] <= day for place, day in possible.items())
    else:
        assert found == possible


@many
@given(worlds(named=True, most=4), START, BOUND, st.sampled_from([(), ("p",), ("p", "q")]))
def test_narrower_list_of_every_history(world: World, day: int, bound: int | None, hives: tuple[str, ...]):
    trace, places, names = forward(world, day, bound, hives)
    if trace.hives is None:
        return
    known = frozenset(hives) & set(names)
    expected, expected_hives = played(world, "A", day, last_day=bound, narrow=True, hives=known)
    assert days(world, trace.hive_places, places) == expected
    assert days(world, trace.hives, names) == expected_hives
    beyond = {e.number for e in trace.hive_places} - {e.number for e in trace.places}
    assert {e.number for e in trace.unexplained} == beyond


@many
@given(worlds(), START, BOUND)
def test_grades_of_every_chain(world: World, day: int, bound: int | None):
    trace, places, _ = forward(world, day, bound)
    expected = chains(world, "A", day, bound)
    assert {places[entry.number] for entry in trace.places} == set(expected)
    for entry in trace.places:
        all_chains = expected[places[entry.number]]
        best = all_chains[0]
        assert (entry.best.evidence, entry.best.order, entry.best.share) == (best.evidence, best.order, best.share)
        assert entry.best.hops == len(best.moves)
        surest = min(all_chains, key=lambda chain: chain.rank()[1:3])
        shown = entry.chains[-1]
        assert (shown.order, shown.share) == (surest.order, surest.share)
        written = {(c.moves, c.evidence, c.order, c.share) for c in all_chains}
        assert all((c.moves, c.evidence, c.order, c.share) in written for c in entry.chains)


@many
@given(worlds(), st.integers(0, 6), st.sampled_from("BCHK"))
def test_back_is_forward_seen_from_the_other_end(world: World, day: int, other: str):
    data = columns(world, "ABCHK")
    end = data.places.index("A")
    back = trace_back(data.transfers, [Start(end, day)])
    ahead = trace_forward(data.transfers, [Start(data.places.index(other), -10)], day)
    number = data.places.index(other)
    assert (number in {e.number for e in back.places}) == (end in {e.number for e in ahead.places})
    possible = {e.number for e in (*back.places, *back.carry_over)}
    assert (number in possible) == (end in {e.number for e in (*ahead.places, *ahead.carry_over)})
    for mine in (e for e in back.places if e.number == number):
        theirs = next(e for e in ahead.places if e.number == end)
        assert (mine.best.evidence, mine.best.order, mine.best.share, mine.best.hops) == (
            theirs.best.evidence, theirs.best.order, theirs.best.share, theirs.best.hops)  # fmt: skip


@many
@given(worlds(), START)
def test_known_days_without_sheds_against_a_time_expanded_graph(world: World, day: int):
    """An independent library: vertices are (place, day); waiting goes on, a move keeps its day."""
    fixed = World(tuple(m for m in world.moves if m.first == m.last and m.minute is None))
    data = columns(fixed, "ABCHK")
    graph = nx.DiGraph()
    for place in data.places:
        nx.add_path(graph, [(place, d) for d in range(8)])
    graph.add_edges_from(((m.source, m.first), (m.target, m.first)) for m in fixed.moves)
    found = nx.descendants(graph, ("A", day))
    trace = trace_forward(data.transfers, [Start(data.places.index("A"), day)])
    expected = {p: min(d for q, d in found if q == p) for p in {q for q, _ in found} - {"A"}}
    assert days(fixed, trace.places, data.places) == expected
    first, moves = earliest(data.transfers, [Start(data.places.index("A"), day)])
    assert {data.places[i]: int(first[i]) for i in np.flatnonzero(moves > 0)} == expected


@many
@given(worlds(), START)
def test_share_is_one_exactly_when_the_order_does_not_hang_on_dates(world: World, day: int):
    trace, _, _ = forward(world, day, None)
    for entry in trace.places:
        for chain in entry.chains:
            assert (chain.share == 1) == (chain.order != "share")
            assert 0 < chain.share <= 1


def test_joint_share_is_no_product():
    # By hand: three moves, each on one of two days 0 and 1; of eight choices four are in order
    from verification.trace_twin import Move

    world = World(tuple(Move(i, s, t, 0, 1) for i, (s, t) in enumerate([("A", "B"), ("B", "C"), ("C", "D")])))
    data = columns(world)
    network = by_place(data.transfers)
    assert share_of(range(3), 0, network, data.transfers) == 1 / 2
    trace = trace_forward(data.transfers, [Start(0, 0)])
    assert trace.places[-1].best.share == 1 / 2
