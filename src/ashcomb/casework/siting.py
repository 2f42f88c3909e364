"""Where the places of a case lie and in what state they are: the numbers for a map, on screen or on paper."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from ashcomb.casework.case import Case
from ashcomb.casework.status import apiary_states, situation_day
from ashcomb.casework.tracing import trace_of
from ashcomb.casework.zones import zone_of
from ashcomb.drawings.map import Move, Picture, Place, Ring
from ashcomb.kernel.errors import UserError
from ashcomb.plans.positions import anchor_of, geographic, position_of
from ashcomb.records.movements import Move as MoveRecord
from ashcomb.records.places import Apiary, Premises
from ashcomb.records.situation import Situation
from ashcomb.records.state import hive_places

HANDLERS = ("honey house", "dealer", "store")  # places where hives and their parts pass through other hands
ARROW = "→"  # between the moves of a chain
Spot = tuple[float, float]


@dataclass(frozen=True, slots=True)
class _Traced:
    """What the trace adds to the map: places that it reaches, and the moves of its chains."""

    exposed: frozenset[str] = frozenset()
    moves: frozenset[str] = frozenset()


def map_of(case: Case) -> Picture:
    """Every apiary and place that handles hive parts with its state, the rings of the zone, the moves of the trace.

    Metres on the local grid where every placed place has a grid position, else degrees of longitude and latitude.
    """
    situation = case.situation()
    houses = {mark: house for mark, house in situation.by_mark(Premises).items() if house.type in HANDLERS}
    places: dict[str, Apiary | Premises] = {**houses, **situation.by_mark(Apiary)}
    positions = [position_of(place) for place in places.values()]
    grid = all(position.grid for position in positions if position)
    spots = {mark: spot for mark, place in places.items() if (spot := _spot(case, place, grid))}
    traced = _traced(case)
    states = _states(case, situation, traced)
    hives = Counter(hive_places(situation, situation_day(situation)).values())
    shown = tuple(_place(place, spots.get(mark), states.get(mark, ""), hives[mark]) for mark, place in places.items())
    return Picture(grid, shown, _rings(case, spots), _moves(situation, traced, spots))


def _spot(case: Case, place: Apiary | Premises, grid: bool) -> Spot | None:
    position = position_of(place)
    if position is None:
        return None
    if grid and position.grid:
        return position.grid[0] * 1000, position.grid[1] * 1000
    found = geographic(position, anchor_of(case.head))
    return (found[1], found[0]) if found else None


def _traced(case: Case) -> _Traced:
    try:
        plan = trace_of(case)
    except UserError:  # no index apiary or no first day: the page of the trace says which
        return _Traced()
    entries = (*plan.forward.places, *plan.back.places)
    moves = frozenset(move.strip() for entry in entries for move in entry.chain.split(ARROW))
    return _Traced(frozenset(plan.exposed), moves)


def _states(case: Case, situation: Situation, traced: _Traced) -> dict[str, str]:
    found = apiary_states(situation)
    for mark, state in found.items():
        if mark == case.head.index:
            found[mark] = f"index, {state}"
        elif state == "free-running" and mark in traced.exposed:
            found[mark] = "exposed, by the trace"
    return found


def _place(place: Apiary | Premises, spot: Spot | None, state: str, hives: int) -> Place:
    kind = "apiary" if isinstance(place, Apiary) else place.type
    words = [f"keeper {place.keeper}"] if place.keeper else []
    words += [f"{hives} hives"] if isinstance(place, Apiary) else []
    x, y = spot or (None, None)
    return Place(place.mark, place.name, x, y, state, ", ".join(words), kind)


def _rings(case: Case, spots: dict[str, Spot]) -> tuple[Ring, ...]:
    try:
        zone = zone_of(case)
    except UserError:  # no centre or no radius: the page of the zone says which
        return ()
    return tuple(
        Ring(*spots[centre], radius * 1000, f"{radius:g} km")
        for centre in zone.centres if centre in spots
        for radius in zone.radii_km
    )  # fmt: skip


def _moves(situation: Situation, traced: _Traced, spots: dict[str, Spot]) -> tuple[Move, ...]:
    return tuple(
        Move(spots[move.source], spots[move.target], _words(move))
        for move in situation.rows(MoveRecord)
        if move.mark in traced.moves and {move.source, move.target} <= spots.keys()
    )


def _words(move: MoveRecord) -> str:
    return f"{move.mark}: {move.what}, {move.source} to {move.target}, {move.happened.words()}"
