"""The compiled trace against twins on every unit: same-day chains and cycles, hours, intervals of days, lots."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.outbreak.networks import columns, worlds
from verification.trace_twin import World, played

from ashcomb.kernel.errors import UserError
from ashcomb.outbreak import moments
from ashcomb.outbreak.contacts import Start, earliest
from ashcomb.outbreak.register import Cone, Register
from ashcomb.outbreak.transfers import Transfers

few = settings(max_examples=150, deadline=None)
COSTS = st.sampled_from([0.0, 1.0, 96.0, np.inf])  # only the walk, both, both, only the pass


def made(rows: list[tuple[int, int, int, int]], places: int) -> Transfers:
    """From (source, target, first, last)."""
    source, target, first, last = np.array(rows, dtype=np.int64).reshape(-1, 4).T.copy()
    none, zero = np.full(len(rows), -1), np.zeros(len(rows), dtype=np.int64)
    marks, shed = tuple(f"P{n}" for n in range(places)), np.zeros(places, dtype=np.bool_)
    return Transfers(marks, shed, source, target, first, last, none, zero, zero, zero, none)


def brute(rows: list[tuple[int, int, int, int]], start: int, day: int, last: int) -> dict[int, tuple[int, int]]:
    """Place to (earliest day, fewest moves): every state (place, day, moves) written out until none is new."""
    states, fresh = {(start, day, 0)}, [(start, day, 0)]
    while fresh:
        place, today, hops = fresh.pop()
        for source, target, a, b in rows:
            for when in range(max(a, today), min(b, last) + 1):
                state = (target, when, hops + 1)
                if source == place and hops < len(rows) and state not in states:
                    states.add(state)
                    fresh.append(state)
    return {p: (min(d for q, d, _ in states if q == p), min(h for q, _, h in states if q == p)) for p, _, _ in states}


def answer(cone: Cone) -> dict[int, tuple[int, int]]:
    assert len(set(cone.place.tolist())) == len(cone)
    return {p: (d, m) for p, d, m in zip(cone.place.tolist(), cone.day.tolist(), cone.moves.tolist(), strict=True)}


def listed(places: int, days: int, most: int, longest: int = 0) -> st.SearchStrategy[list[tuple[int, int, int, int]]]:
    end, day = st.integers(0, places - 1), st.integers(0, days - 1)
    row = st.tuples(end, end, day, st.integers(0, longest)).map(lambda r: (r[0], r[1], r[2], r[2] + r[3]))
    return st.lists(row.filter(lambda r: r[0] != r[1]), max_size=most)


@few
@given(listed(5, 3, 12), st.integers(-1, 3), st.integers(-1, 3), COSTS)
def test_every_place_of_known_days(rows, day: int, last: int, cost: float):
    """Five places and three days make same-day chains and cycles the rule."""
    register = Register(made(rows, 5))
    register.walk_cost = cost
    turned = [(b, a, -d, -c) for a, b, c, d in rows]
    for start in range(5):
        assert answer(register.forward([Start(start, day)], last)) == brute(rows, start, day, last)
        back = brute(turned, start, -last, -day)
        assert answer(register.back([Start(start, last)], day)) == {p: (-d, m) for p, (d, m) in back.items()}


@few
@given(listed(5, 6, 7, longest=3), st.integers(-1, 8), st.integers(-1, 8), COSTS)
def test_every_place_of_intervals(rows, day: int, last: int, cost: float):
    register = Register(made(rows, 5))
    register.walk_cost = cost
    turned = [(b, a, -d, -c) for a, b, c, d in rows]
    for start in range(5):
        assert answer(register.forward([Start(start, day)], last)) == brute(rows, start, day, last)
        back = brute(turned, start, -last, -day)
        assert answer(register.back([Start(start, last)], day)) == {p: (-d, m) for p, (d, m) in back.items()}


@few
@given(listed(6, 5, 10, longest=2), st.integers(-1, 7), st.integers(-1, 7))
def test_chain_sizes_of_every_place(rows, first: int, last: int):
    sizes = Register(made(rows, 6)).sizes(first, last)
    reached = {start: set(brute(rows, start, first, last)) - {start} for start in range(6)}
    assert sizes.outgoing.tolist() == [len(reached[start]) for start in range(6)]
    assert sizes.ingoing.tolist() == [sum(p in others for others in reached.values()) for p in range(6)]


@few
@given(worlds(), st.integers(0, 3), st.one_of(st.none(), st.integers(2, 6)), COSTS)
def test_hours_intervals_and_lots_of_every_history(world: World, day: int, bound: int | None, cost: float):
    data = columns(world, "ABCHK")
    register = Register(data.transfers)
    register.walk_cost = cost
    start = [Start(data.places.index("A"), day)]
    cone = register.forward(start, bound)
    expected, _ = played(world, "A", day, last_day=bound)
    found = {data.places[p]: d for p, (d, _) in answer(cone).items()}
    assert found == {**expected, "A": day}
    days, moves = earliest(data.transfers, start, bound)
    assert answer(cone) == {int(p): (int(days[p]), int(moves[p])) for p in np.flatnonzero(moves >= 0)}


@few
@given(worlds(), st.integers(0, 6))
def test_back_is_forward_seen_from_the_other_end(world: World, day: int):
    data = columns(world, "ABCHK")
    register, end = Register(data.transfers), data.places.index("A")
    back = answer(register.back([Start(end, day)]))
    for other in range(len(data.places)):
        ahead = answer(register.forward([Start(other, -10)], day))
        assert (other in back) == (end in ahead)
        if other in back and other != end:
            assert back[other][1] == ahead[end][1]
            assert end in answer(register.forward([Start(other, back[other][0])], day))
            assert end not in answer(register.forward([Start(other, back[other][0] + 1)], day))


@few
@given(worlds(), st.integers(0, 6), st.integers(0, 6))
def test_chain_sizes_are_the_traces_of_all_places(world: World, first: int, last: int):
    data = columns(world, "ABCHK")
    register = Register(data.transfers)
    sizes, places = register.sizes(first, last), range(len(data.places))
    ahead = [set(answer(register.forward([Start(p, first)], last))) - {p} for p in places]
    assert sizes.outgoing.tolist() == [len(reached) for reached in ahead]
    assert sizes.ingoing.tolist() == [sum(p in reached for reached in ahead) for p in places]


@few
@given(listed(5, 4, 10, longest=1), st.integers(0, 4), st.integers(0, 4))
def test_several_starts_are_the_best_of_each(rows, one: int, other: int):
    register = Register(made(rows, 5))
    both = answer(register.forward([Start(0, one), Start(1, other)]))
    singly = [answer(register.forward([start])) for start in (Start(0, one), Start(1, other))]
    for place in set(singly[0]) | set(singly[1]):
        each = [found[place] for found in singly if place in found]
        assert both[place] == (min(d for d, _ in each), min(m for _, m in each))


def random_rows(seed: int, places: int, days: int, count: int) -> list[tuple[int, int, int, int]]:
    draw = np.random.default_rng(seed)
    source = draw.integers(0, places, count)
    target = (source + 1 + draw.integers(0, places - 1, count)) % places
    day = draw.integers(0, days, count)
    return list(zip(source.tolist(), target.tolist(), day.tolist(), day.tolist(), strict=True))


@pytest.mark.parametrize(("places", "count", "days"), [(300, 3000, 20), (300, 6000, 3), (2000, 3000, 30)])
def test_every_place_of_larger_registers(places: int, count: int, days: int):
    """One day after another, moves repeated until nothing changes; more than 1,024 starts for the sizes."""
    rows = random_rows(7, places, days, count)
    source, target, day, _ = np.array(rows).T
    register = Register(made(rows, places), workers=3)
    sizes, reaches, reached = register.sizes(1, days - 2), [], np.zeros(places, dtype=np.int64)
    for start in range(0, places, 1 if places < 1000 else 40):
        first, moves = np.full(places, 99), np.full(places, 9999)
        first[start], moves[start] = 1, 0
        for today in range(1, days - 1):
            here, before = day == today, None
            while before is None or not np.array_equal(before, moves):
                before = moves.copy()
                np.minimum.at(moves, target[here], moves[source[here]] + 1)
                first[(moves < 9999) & (first == 99)] = today
        expected = {int(p): (int(first[p]), int(moves[p])) for p in np.flatnonzero(moves < 9999)}
        for cost in (0.0, 3.0, 96.0, np.inf):
            register.walk_cost = cost
            assert answer(register.forward([Start(start, 1)], days - 2)) == expected
        reaches.append(len(expected) - 1)
        reached[list(expected)] += 1
        assert sizes.outgoing[start] == reaches[-1]
    if places < 1000:
        assert sizes.ingoing.tolist() == (reached - 1).tolist()
    assert sizes.ingoing.sum() == sizes.outgoing.sum()


def test_a_chain_longer_than_one_byte_counts():
    rows = [(n, n + 1, n, n) for n in range(600)]
    for cost, start in product((0.0, np.inf), (0, 10)):
        register = Register(made(rows, 601))
        register.walk_cost = cost
        assert answer(register.forward([Start(start, 0)]))[600] == (599, 600 - start)
        assert answer(register.back([Start(600, 700)]))[0] == (0, 600)


def test_a_long_chain_that_may_have_happened_at_once():
    rows = [(n, n + 1, 0, 900) for n in range(400)]
    for cost in (0.0, np.inf):
        register = Register(made(rows, 401))
        register.walk_cost = cost
        assert answer(register.forward([Start(0, 5)], 50))[400] == (5, 400)
        assert answer(register.back([Start(400, 7)]))[0] == (7, 400)


def test_a_long_cycle_within_one_day():
    """The order of the rows is against the chain, so that one pass does not find it."""
    rows = [((n + 1) % 400, n, 5, 5) for n in range(400)]
    register = Register(made(rows, 400))
    for cost in (0.0, np.inf):
        register.walk_cost = cost
        assert answer(register.forward([Start(0, 0)])) == {n: (5 if n else 0, -n % 400) for n in range(400)}
        assert answer(register.back([Start(0, 9)])) == {n: (5 if n else 9, n) for n in range(400)}
    assert set(register.sizes().ingoing.tolist()) == {399}


def test_no_transfers():
    register = Register(made([], 3))
    assert answer(register.forward([Start(1, 5)])) == {1: (5, 0)}
    assert register.sizes().ingoing.tolist() == [0, 0, 0]


def test_too_many_uncertain_days_are_refused(monkeypatch):
    monkeypatch.setattr(moments, "_SPARE", 0)
    monkeypatch.setattr(moments, "_ROOM", 1)
    rows = [(0, 1, 0, 30), (1, 2, 0, 30), *((2, 0, day, day) for day in range(30)), (1, 0, 9, 9), (2, 1, 3, 3)]
    rows += [(n % 3, (n + 1) % 3, n % 30, 60) for n in range(60)]
    with pytest.raises(UserError, match="uncertain days"):
        Register(made(rows, 3))
