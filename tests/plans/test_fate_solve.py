"""The solver against an exhaustive search of the same exact cost, on 200 random small operations."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest

from ashcomb.plans.fate_problem import Choice, Group, Limits, Option, Problem, Route, cost_of
from ashcomb.plans.fate_solve import restricted, solve

METHODS = ("burn", "gamma", "wax_dip")


def operation(seed: int) -> Problem:
    """A random operation small enough to look at every choice: up to four groups of up to five pieces."""
    rng = Random(seed)
    groups = []
    for number in range(rng.randint(1, 4)):
        known = rng.sample(METHODS, rng.randint(1, 3))
        options = tuple(
            Option(method, rng.randint(0, 900), (rng.choice((200, 500, 1000)), rng.randint(0, 1500)),
                   litres=(rng.choice((0, 40)), rng.choice((0, 60))) if method != "burn" else (),
                   store_l=(rng.choice((0, 40)), rng.choice((0, 30))),
                   minutes=rng.randint(0, 9000), risk=rng.randint(0, 4000))
            for method in known
        )  # fmt: skip
        groups.append(Group(f"g{number}", rng.randint(1, 5), options, site=rng.choice(("A", "B"))))
    routes = {
        method: Route(method, rng.randint(2, 6), rng.randint(0, 300), rng.randint(0, 900), rng.randint(0, 400),
                      rng.choice((0, 0, 3, 6)), rng.randint(1, 3))
        for method in METHODS[1:]
    }  # fmt: skip
    limits = Limits(
        trip_l=100, trip_cents={"A": rng.randint(0, 900), "B": rng.randint(0, 900)},
        store_l=rng.choice((None, 120)), minutes=rng.choice((None, 50_000)), risk=rng.choice((None, 12_000)),
        cents_risk=rng.choice((0, 200_000)),
    )  # fmt: skip
    return Problem(tuple(groups), routes, limits)


def ways_to_share(count: int, options: int) -> list[tuple[int, ...]]:
    if options == 1:
        return [(count,)]
    return [(first, *rest) for first in range(count + 1) for rest in ways_to_share(count - first, options - 1)]


def least(problem: Problem) -> tuple[int, Choice] | None:
    """The least exact cost over every choice that keeps the limits."""
    shares = [ways_to_share(group.count, len(group.options)) for group in problem.groups]
    kept = [(bill.cents, choice) for choice in product(*shares) if not (bill := cost_of(problem, choice)).broken]
    return min(kept, default=None)


@pytest.mark.parametrize("start", range(0, 200, 25))
def test_the_solver_finds_the_least_of_all_choices(start: int):
    nothing = 0
    for seed in range(start, start + 25):
        problem = operation(seed)
        found, wanted = solve(problem), least(problem)
        if wanted is None:
            nothing += 1
            assert found is None, seed
            continue
        assert found is not None, seed
        # what the programme adds up in fractions of a cent for risk, the bill rounds up to a whole cent
        assert abs(found.bill.cents - wanted[0]) <= (1 if problem.limits.cents_risk else 0), seed
        assert found.bound <= wanted[0] <= found.bill.cents, seed
    assert nothing < 25


def test_a_lot_minimum_is_paid_and_can_tip_the_choice():
    options = (Option("burn", 1000), Option("gamma", 100, (1000,)))
    few = Problem((Group("g", 3, options),), {"gamma": Route("gamma", 42, 500, least=20)}, Limits())
    many = Problem((Group("g", 30, options),), {"gamma": Route("gamma", 42, 500, least=20)}, Limits())
    assert solve(few).choice == ((3, 0),)  # type: ignore[union-attr]
    assert solve(many).choice == ((0, 30),)  # type: ignore[union-attr]
    assert cost_of(few, ((0, 3),)).units == {"gamma": 20}


def test_slots_store_and_risk_bind():
    options = (Option("burn", 1000), Option("gamma", 0, (1000,), store_l=(50,), risk=10))
    routes = {"gamma": Route("gamma", 4, lots=2)}
    for limits, sent in ((Limits(), 8), (Limits(store_l=300), 6), (Limits(risk=50), 5)):
        assert solve(Problem((Group("g", 20, options),), routes, limits)).choice == ((20 - sent, sent),)  # type: ignore[union-attr]


def test_what_cannot_be_done_is_none_and_an_empty_operation_costs_nothing():
    only = Problem((Group("g", 9, (Option("gamma", 0, (1000,)),)),), {"gamma": Route("gamma", 4, lots=2)}, Limits())
    assert solve(only) is None
    assert solve(Problem((Group("g", 1, ()),), {}, Limits())) is None
    assert solve(Problem((), {}, Limits())).bill.cents == 0  # type: ignore[union-attr]


def test_a_choice_that_loses_a_piece_has_no_price():
    problem = Problem((Group("g", 3, (Option("burn", 1),)),), {}, Limits())
    with pytest.raises(ValueError, match="has 3 pieces"):
        cost_of(problem, ((2,),))


def test_a_restriction_never_makes_it_cheaper():
    for seed in range(40):
        problem = operation(seed)
        free, bound = solve(problem), solve(restricted(problem, lambda _, option: option.method == "burn"))
        if free and bound:
            assert free.bill.cents <= bound.bill.cents + 1
