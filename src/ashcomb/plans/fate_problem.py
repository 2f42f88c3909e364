"""The choice of fates as a small exact problem: whole pieces, whole cents, whole lots, whole trips.

`cost_of` is the definition of the cost; whatever a solver proposes is priced by it again, and the tests search it
through exhaustively.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ashcomb.kernel.words import several

MILLI = 1000


@dataclass(frozen=True, slots=True)
class Option:
    """One way for one piece. cents: all that it costs by the piece.  loads: what it takes of a lot, in thousandths of a
    unit, by measure (places of boxes, places of frames, mass); the fullest measure counts.  litres: to haul, and
    store_l: room in the hold store while it waits, by measure (boxes, frames: frames lie in boxes).  minutes: of work,
    in thousandths.  risk: of a new case, in millionths.
    """

    method: str
    cents: int
    loads: tuple[int, ...] = ()
    litres: tuple[int, ...] = ()
    store_l: tuple[int, ...] = ()
    minutes: int = 0
    risk: int = 0


@dataclass(frozen=True, slots=True)
class Group:
    """Pieces that are alike in all that matters. site: where they are fetched from.  label: for people."""

    key: str
    count: int
    options: tuple[Option, ...]
    site: str = ""
    label: str = ""


@dataclass(frozen=True, slots=True)
class Route:
    """A plant or bath that works in lots. cents_unit, cents_lot, cents_setup: fees.  size: units in a lot.

    least: units that are paid for whenever any is sent.  lots: most lots there are slots for.
    """

    method: str
    size: int
    cents_unit: int = 0
    cents_lot: int = 0
    cents_setup: int = 0
    least: int = 0
    lots: int = 1_000_000


@dataclass(frozen=True, slots=True)
class Limits:
    """What the whole operation must stay within; None is no limit. risk: in millionths of a new case.

    trip_l: litres a vehicle takes.  trip_cents: of one trip, by site.  cents_risk: price of one new case.
    """

    trip_l: int = 0
    trip_cents: Mapping[str, int] = field(default_factory=dict)
    store_l: int | None = None
    minutes: int | None = None
    risk: int | None = None
    cents_risk: int = 0


@dataclass(frozen=True, slots=True)
class Problem:
    """Groups, routes by method, limits."""

    groups: tuple[Group, ...]
    routes: Mapping[str, Route]
    limits: Limits


Choice = Sequence[Sequence[int]]  # for each group, pieces by option


@dataclass(frozen=True, slots=True)
class Bill:
    """What a choice costs, in cents, and what it takes. broken: limits that it does not keep, in words."""

    cents: int
    by_piece: int
    fees: int
    haul: int
    risk_cents: int
    risk: int
    minutes: int
    store_l: int
    units: Mapping[str, int]
    lots: Mapping[str, int]
    trips: Mapping[str, int]
    broken: tuple[str, ...]


def cost_of(problem: Problem, choice: Choice) -> Bill:
    """The exact cost of a choice. Raises ValueError if it gives a group more or fewer pieces than it has."""
    loads: dict[str, list[int]] = {}
    litres: dict[str, list[int]] = {}
    room: dict[str, list[int]] = {}
    pieces = risk = minutes = 0
    for group, parts in zip(problem.groups, choice, strict=True):
        if sum(parts) != group.count or min(parts, default=0) < 0:
            raise ValueError(f"{group.key} has {several(group.count, 'piece')}, the choice gives {sum(parts)}")
        for option, number in zip(group.options, parts, strict=True):
            pieces += option.cents * number
            risk += option.risk * number
            minutes += option.minutes * number
            if number:
                _sum(room, "", option.store_l, number)
                _sum(litres, group.site, option.litres, number)
                if option.method in problem.routes:
                    _sum(loads, option.method, option.loads, number)
    units = {method: _units(problem.routes[method], total) for method, total in loads.items()}
    lots = {method: -(-number // problem.routes[method].size) for method, number in units.items()}
    trip_l, store = problem.limits.trip_l, max(room.get("", [0]), default=0)
    trips = {site: -(-max(amounts) // trip_l) for site, amounts in litres.items() if any(amounts)} if trip_l else {}
    fees = sum(_fees(problem.routes[method], units[method], lots[method]) for method in units)
    haul = sum(number * problem.limits.trip_cents.get(site, 0) for site, number in trips.items())
    risk_cents = -(-risk * problem.limits.cents_risk // 1_000_000)
    broken = _broken(problem, lots, store, minutes, risk)
    return Bill(pieces + fees + haul + risk_cents, pieces, fees, haul, risk_cents, risk, minutes, store, units, lots,
                trips, broken)  # fmt: skip


def _sum(totals: dict[str, list[int]], key: str, loads: Sequence[int], number: int) -> None:
    if loads:
        total = totals.setdefault(key, [0] * len(loads))
        for at, load in enumerate(loads):
            total[at] += load * number


def _units(route: Route, loads: Sequence[int]) -> int:
    return max(route.least, -(-max(loads) // MILLI))


def _fees(route: Route, units: int, lots: int) -> int:
    return route.cents_setup + route.cents_unit * units + route.cents_lot * lots


def _broken(problem: Problem, lots: Mapping[str, int], store: int, minutes: int, risk: int) -> tuple[str, ...]:
    limits = problem.limits
    found = [f"{method}: {number} lots, {problem.routes[method].lots} slots" for method, number in lots.items()
             if number > problem.routes[method].lots]  # fmt: skip
    if limits.store_l is not None and store > limits.store_l:
        found.append(f"hold store: {store} L needed, {limits.store_l} L there")
    if limits.minutes is not None and minutes > limits.minutes:
        found.append(f"labour: {minutes / 60_000:.0f} h needed, {limits.minutes / 60_000:.0f} h there")
    if limits.risk is not None and risk > limits.risk:
        found.append(f"remaining risk: {risk / 1e6:.4f} new cases expected, {limits.risk / 1e6:.4f} accepted")
    return tuple(found)
