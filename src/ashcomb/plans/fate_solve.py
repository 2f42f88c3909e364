"""Solves the choice of fates as a mixed-integer linear programme with HiGHS, and says how far from the least it may be.

Variables: pieces by group and option; for each route units, lots and whether it is used; trips by site. Alike groups
are one group, so the size is that of the kinds and sites of an operation, not of its pieces.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import floor
from typing import Any

import numpy as np
import numpy.typing as npt

from ashcomb.kernel.errors import FaultError
from ashcomb.plans.fate_problem import MILLI, Bill, Group, Option, Problem, cost_of

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Solved:
    """A choice with its bill. bound: cents below which no choice can go.  gap: how far the bill may lie above it, as a
    share of the bill; 0 is proven least."""

    choice: tuple[tuple[int, ...], ...]
    bill: Bill
    bound: int
    gap: float


def solve(problem: Problem, gap: float = 0.0, seconds: float = 60.0) -> Solved | None:
    """The cheapest choice within the limits, or None if no choice keeps them.

    gap: accepted distance from the least as a share.  seconds: after which the best found so far is returned with its
    gap. Raises FaultError if the solver stops without an answer, or its answer does not hold.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    if not problem.groups:
        return Solved((), cost_of(problem, ()), 0, 0.0)
    if any(not group.options for group in problem.groups):
        return None
    rows = _Rows(problem)
    found = milp(
        rows.cost, integrality=np.ones(len(rows.cost), dtype=np.int64), bounds=Bounds(0, rows.upper),
        constraints=LinearConstraint(rows.matrix(), rows.low, rows.high),
        options={"mip_rel_gap": gap, "time_limit": seconds, "presolve": True},
    )  # fmt: skip
    if found.status == 2:
        return None
    if found.x is None:
        raise FaultError(f"The solver found no answer in {seconds:g} s: {found.message}", "Give it more time.")
    choice = rows.read(found.x)
    bill = cost_of(problem, choice)
    if bill.broken:
        raise FaultError(f"The solver's answer does not keep: {'; '.join(bill.broken)}.", "Please send in the case.")
    bound = floor(float(found.mip_dual_bound) + 1e-6) if found.mip_dual_bound is not None else 0
    bound = min(max(bound, 0), bill.cents)
    return Solved(choice, bill, bound, (bill.cents - bound) / bill.cents if bill.cents else 0.0)


def restricted(problem: Problem, keep: Callable[[Group, Option], bool]) -> Problem:
    """The same problem with only those options; a group of which none is left keeps all of its own."""
    groups = tuple(
        replace(group, options=tuple(o for o in group.options if keep(group, o)) or group.options)
        for group in problem.groups
    )
    return replace(problem, groups=groups)


class _Rows:
    """The programme in numbers: cost, bounds and one row a condition."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.starts: list[int] = []
        cost: list[float] = []
        upper: list[float] = []
        for group in problem.groups:
            self.starts.append(len(cost))
            for option in group.options:
                cost.append(option.cents + option.risk * problem.limits.cents_risk / 1e6)
                upper.append(group.count)
        self.routes = {method: len(cost) + 3 * at for at, method in enumerate(problem.routes)}
        for route in problem.routes.values():  # units, lots, used
            cost += [route.cents_unit, route.cents_lot, route.cents_setup]
            upper += [route.lots * route.size, route.lots, 1]
        sites = sorted(
            {g.site for g in problem.groups if problem.limits.trip_l and any(any(o.litres) for o in g.options)}
        )
        self.sites = {site: len(cost) + at for at, site in enumerate(sites)}
        cost += [problem.limits.trip_cents.get(site, 0) for site in sites]
        upper += [np.inf] * len(sites)
        self.cost, self.upper = np.array(cost), np.array(upper)
        self.low: list[float] = []
        self.high: list[float] = []
        self._at: tuple[list[int], list[int], list[float]] = ([], [], [])
        self._state()

    def matrix(self) -> Any:
        """The rows as a sparse matrix."""
        from scipy.sparse import csr_array

        row, column, value = self._at
        return csr_array((value, (row, column)), shape=(len(self.low), len(self.cost)))

    def read(self, x: Array) -> tuple[tuple[int, ...], ...]:
        """Whole pieces by group and option."""
        parts = np.rint(x).astype(int).tolist()
        return tuple(
            tuple(parts[at : at + len(g.options)]) for at, g in zip(self.starts, self.problem.groups, strict=True)
        )

    def _state(self) -> None:
        limits = self.problem.limits
        loads: dict[tuple[str, int], dict[int, float]] = {}
        litres: dict[tuple[str, int], dict[int, float]] = {}
        room: dict[int, dict[int, float]] = {}
        sums: dict[str, dict[int, float]] = {"minutes": {}, "risk": {}}
        for start, group in zip(self.starts, self.problem.groups, strict=True):
            self._row({start + at: 1.0 for at in range(len(group.options))}, group.count, group.count)
            for at, option in enumerate(group.options, start):
                if option.method in self.routes:
                    for measure, load in enumerate(option.loads):
                        loads.setdefault((option.method, measure), {})[at] = load / MILLI
                for measure, amount in enumerate(option.litres):
                    litres.setdefault((group.site, measure), {})[at] = amount
                for measure, amount in enumerate(option.store_l):
                    room.setdefault(measure, {})[at] = amount
                for name, parts in sums.items():
                    parts[at] = getattr(option, name)
        self._lots(loads)
        for (site, _), parts in litres.items():
            if site in self.sites:
                self._row({**parts, self.sites[site]: -float(limits.trip_l)}, -np.inf, 0)
        for parts in room.values() if limits.store_l is not None else ():
            self._row(parts, -np.inf, limits.store_l or 0)
        for name, parts in sums.items():
            most = getattr(limits, name)
            if most is not None:
                self._row({at: value for at, value in parts.items() if value}, -np.inf, most)

    def _lots(self, loads: dict[tuple[str, int], dict[int, float]]) -> None:
        for method, at in self.routes.items():
            route = self.problem.routes[method]
            measured = [parts for (name, _), parts in loads.items() if name == method]
            users = {column for parts in measured for column in parts}
            for parts in measured:
                self._row({**parts, at: -1.0}, -np.inf, 0)
            self._row({at: 1.0, at + 1: -float(route.size)}, -np.inf, 0)
            self._row({at: 1.0, at + 2: -float(route.least)}, 0, np.inf)
            most = float(sum(self.upper[column] for column in users))
            if users:
                self._row({**dict.fromkeys(users, 1.0), at + 2: -most}, -np.inf, 0)

    def _row(self, parts: dict[int, float], low: float, high: float) -> None:
        row, column, value = self._at
        row += [len(self.low)] * len(parts)
        column += parts.keys()
        value += parts.values()
        self.low.append(low)
        self.high.append(high)
