"""Where the places of a case lie and in what state they are: the numbers for a map, on screen or on paper."""

from __future__ import annotations

from collections import Counter

from ashcomb.casework.case import Case
from ashcomb.casework.status import apiary_states, situation_day
from ashcomb.casework.zones import zone_of
from ashcomb.drawings.map import Move, Picture, Place, Ring
from ashcomb.kernel.errors import UserError
from ashcomb.plans.positions import anchor_of, geographic, position_of
from ashcomb.records.movements import Move as MoveRecord
from ashcomb.records.places import Apiary, Premises
from ashcomb.records.situation import Situation
from ashcomb.records.state import hive_places

HANDLERS = ("honey house", "dealer", "store")  # places where hives and their parts pass through other hands
Spot = tuple[float, float]


def map_of(case: Case) -> Picture:
    """Every apiary and place that handles hive parts with its state, the rings of the zone,
    and what left the index apiary or came to it.

    Metres on the local grid where every placed place has a grid position, else degrees of longitude and latitude.
    """
    situation = case.situation()
    houses = {mark: house for mark, house in situation.by_mark(Premises).items() if house.type in HANDLERS}
    places: dict[str, Apiary | Premises] = {**houses, **situation.by_mark(Apiary)}
    positions = [position_of(place) for place in places.values()]
    grid = all(position.grid for position in positions if position)
    spots = {mark: spot for mark, place in places.items() if (spot := _spot(case, place, grid))}
    return Picture(grid, _places(case, situation, places, spots), _rings(case, spots), _moves(case, situation, spots))


def _spot(case: Case, place: Apiary | Premises, grid: bool) -> Spot | None:
    position = position_of(place)
    if position is None:
        return None
    if grid and position.grid:
        return position.grid[0] * 1000, position.grid[1] * 1000
    found = geographic(position, anchor_of(case.head))
    return (found[1], found[0]) if found else None


def _places(
    case: Case, situation: Situation, places: dict[str, Apiary | Premises], spots: dict[str, Spot]
) -> tuple[Place, ...]:
    states = apiary_states(situation)
    hives = Counter(hive_places(situation, situation_day(situation)).values())
    found = []
    for mark, place in places.items():
        x, y = spots.get(mark, (None, None))
        kind = "apiary" if isinstance(place, Apiary) else place.type
        state = states.get(mark, "")
        if mark == case.head.index:
            state = f"index, {state}"
        words = [f"keeper {place.keeper}"] if place.keeper else []
        words += [f"{hives[mark]} hives"] if isinstance(place, Apiary) else []
        found.append(Place(mark, place.name, x, y, state, ", ".join(words), kind))
    return tuple(found)


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


def _moves(case: Case, situation: Situation, spots: dict[str, Spot]) -> tuple[Move, ...]:
    index, since = case.head.index, case.head.infectious_from
    return tuple(
        Move(spots[move.source], spots[move.target], _words(move))
        for move in situation.rows(MoveRecord)
        if index in (move.source, move.target) and {move.source, move.target} <= spots.keys()
        and str(move.happened.last) >= since
    )  # fmt: skip


def _words(move: MoveRecord) -> str:
    return f"{move.what}, {move.source} to {move.target}, {move.happened.words()}"
