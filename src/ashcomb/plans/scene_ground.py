"""Where colonies stood and how long they lived: from the hive list, moves of whole hives and kills to stays."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from math import cos, radians, sin

import numpy as np

from ashcomb.outbreak.build import Colonies
from ashcomb.outbreak.scene import FOREVER, Floats, Ints, Stay
from ashcomb.plans.positions import WGS84, anchor_of, geographic, position_of
from ashcomb.plans.scene_notes import Notes
from ashcomb.records.movements import Move
from ashcomb.records.places import Apiary, Hive, Premises
from ashcomb.records.situation import Situation, sort_key
from ashcomb.records.state import kill_states
from ashcomb.sources.library import value

CARRIED = ("hives", "nucleus")  # moves in which a named hive goes itself


@dataclass(frozen=True)
class Ground:
    """Colonies and places by number. hives, places: their marks.  xy_km: (places, 2), NaN where unplaced.

    moves: all, a keeper's only apiary in the keeper's place.  carried: ids of moves of whole hives that are told by
    stays alone.
    """

    day0: date
    horizon: int
    hives: tuple[str, ...]
    places: tuple[str, ...]
    xy_km: Floats
    colonies: Colonies
    stays: tuple[Stay, ...]
    moves: tuple[Move, ...]
    carried: frozenset[str]

    def at(self, day: date) -> float:
        """Days from day 0 to the beginning of a day."""
        return float((day - self.day0).days)

    @cached_property
    def number(self) -> dict[str, int]:
        """Number of each hive."""
        return {mark: j for j, mark in enumerate(self.hives)}

    @cached_property
    def place(self) -> dict[str, int]:
        """Number of each place."""
        return {mark: a for a, mark in enumerate(self.places)}

    @cached_property
    def _at_place(self) -> dict[int, Floats]:
        rows: dict[int, list[tuple[float, float, int]]] = defaultdict(list)
        for stay in self.stays:
            rows[stay.place].append((stay.first, stay.last, stay.colony))
        return {place: np.array(each) for place, each in rows.items()}

    @cached_property
    def _of_colony(self) -> dict[int, list[Stay]]:
        rows: dict[int, list[Stay]] = defaultdict(list)
        for stay in self.stays:
            rows[stay.colony].append(stay)
        return rows

    def standing(self, mark: str, at: float) -> list[int]:
        """Colonies, living or dead-outs, that stand at a place at a time and are not destroyed."""
        rows = self._at_place.get(self.place.get(mark, -1))
        if rows is None:
            return []
        here = rows[(rows[:, 0] <= at) & (at < rows[:, 1]), 2].astype(np.int64)
        return [int(j) for j in here if self.colonies.first[j] <= at < self.colonies.gone[j]]

    def place_at(self, colony: int, at: float) -> str:
        """Mark of the place where a colony stands at a time, or ''."""
        found = [stay.place for stay in self._of_colony[colony] if stay.first <= at < stay.last]
        return self.places[found[0]] if found else ""


def ground_of(situation: Situation, day0: date, horizon: int, notes: Notes) -> Ground:
    """Colonies, places and stays from day 0 until the horizon (days). What cannot be placed goes into the notes.

    A hive lives from the first day on which the list may mean it, until it is confirmed dead or leaves for a place that
    is no apiary or premises on record. A hive that the list begins where and when hives arrived from an apiary stood
    there before. A move of a hive with an open date counts from its last possible day.
    """
    known = situation.by_mark(Hive)
    hives = tuple(sorted(known))
    kept: dict[str, Apiary | Premises] = {**situation.by_mark(Premises), **situation.by_mark(Apiary)}
    places = tuple(kept)
    number, place = {m: j for j, m in enumerate(hives)}, {m: a for a, m in enumerate(places)}
    colonies = _colonies(situation, [known[mark] for mark in hives], day0, horizon)
    stays: list[Stay] = []
    moves = moves_of(situation, notes)
    trips = _trips(moves, known, notes)
    came = _came(moves, known, set(situation.by_mark(Apiary)), notes)
    for mark in hives:
        j, home = number[mark], known[mark].apiary
        if home not in place:
            notes.out("Hives whose apiary is not on record stand nowhere", mark)
        ways = trips.get(mark, [])
        if mark in came:
            home, ways = came[mark].source, [came[mark], *ways]
            colonies.first[j] = min(colonies.first[j], max((kept[home].happened.first - day0).days, 0))
        stops = [(float(colonies.first[j]), home), *[(float((m.happened.last - day0).days), m.target) for m in ways]]
        for k, (begin, where) in enumerate(stops):
            end = stops[k + 1][0] if k + 1 < len(stops) else FOREVER
            if where in place and end > max(begin, 0.0):
                stays.append(Stay(j, place[where], max(begin, 0.0), end))
        if stops[-1][1] not in place:
            colonies.gone[j] = min(colonies.gone[j], max(stops[-1][0], colonies.first[j]))
    whole = [*came.values(), *(move for moves in trips.values() for move in moves)]
    told = frozenset(move.id for move in whole if not _open(move, known, came))
    return Ground(day0, horizon, hives, places, _plane(situation, kept, notes), colonies, tuple(stays), moves, told)


def _colonies(situation: Situation, hives: list[Hive], day0: date, horizon: int) -> Colonies:
    n = len(hives)
    found = Colonies.plain(n, value("outbreak.infected_before").value)
    found.first[:] = [max((hive.happened.first - day0).days, 0) for hive in hives]
    found.first[:] = np.minimum(found.first, horizon)
    for j, hive in enumerate(hives):
        if hive.holds == "dead-out":
            found.dead[j] = found.first[j] + 1.0
            found.before[j] = value("outbreak.dead_out_infected").value
    number = {hive.mark: j for j, hive in enumerate(hives)}
    for mark, kill in kill_states(situation).items():
        if kill.state == "dead confirmed" and kill.since is not None and mark in number:
            j = number[mark]
            found.gone[j] = max((kill.since.last - day0).days + 1.0, found.first[j])
    found.touching[:] = _touching(hives)
    return found


def moves_of(situation: Situation, notes: Notes) -> tuple[Move, ...]:
    """All moves; an end that is a keeper with one apiary on record becomes that apiary."""
    own: dict[str, list[str]] = defaultdict(list)
    for mark, apiary in situation.by_mark(Apiary).items():
        own[apiary.keeper].append(mark)
    only = {keeper: marks[0] for keeper, marks in own.items() if keeper and len(marks) == 1}
    only = {keeper: mark for keeper, mark in only.items() if keeper not in situation.by_mark(Apiary)}
    found = []
    for move in situation.rows(Move):
        source, target = only.get(move.source, move.source), only.get(move.target, move.target)
        if (source, target) != (move.source, move.target):
            notes.guess("A keeper with one apiary on record is taken to have used that one", named(move))
            move = replace(move, source=source, target=target)
        found.append(move)
    return tuple(found)


def _trips(moves: Sequence[Move], known: dict[str, Hive], notes: Notes) -> dict[str, list[Move]]:
    """The moves in which each hive on the list went itself, in order of their last possible day."""
    found: dict[str, list[Move]] = defaultdict(list)
    for move in sorted(moves, key=lambda m: (m.happened.last, *sort_key(m))):
        if move.what not in CARRIED:
            continue
        for mark in move.hives:
            if mark not in known:
                notes.out("Moves name hives that are not on the list", f"{named(move)} ({mark})")
            elif not came_new(known[mark], move):
                found[mark].append(move)
                if not move.happened.certain:
                    notes.guess("A named hive that moved on an open date counts as moved on its last day", named(move))
    return found


def _came(moves: Sequence[Move], known: dict[str, Hive], apiaries: set[str], notes: Notes) -> dict[str, Move]:
    """The hives that the list begins where and when hives arrived from an apiary, each with the move that brought it.

    Only where no more hives begin there then than arrived; else any of them may be one that arrived.
    """
    begun: dict[str, list[Hive]] = defaultdict(list)
    for _, hive in sorted(known.items()):
        begun[hive.apiary].append(hive)
    found: dict[str, Move] = {}
    for move in moves:
        if move.what != "hives" or move.source not in apiaries:
            continue
        fresh = [h.mark for h in begun[move.target] if came_new(h, move) and h.mark not in found]
        fresh = [mark for mark in fresh if mark in move.hives] if move.hives else fresh
        count = move.count_in if move.count_in is not None else move.count_out
        if 0 < len(fresh) <= (count or len(move.hives)):
            found |= dict.fromkeys(fresh, move)
            notes.guess("Hives that the list begins where hives arrived unnamed stood where these came from",
                        f"{', '.join(fresh)} ({named(move)})")  # fmt: skip
    return found


def _open(move: Move, known: dict[str, Hive], came: dict[str, Move]) -> bool:
    """Whether a move names a hive that began with it and of which no earlier stand is known: then an event too."""
    return any(mark in known and mark not in came and came_new(known[mark], move) for mark in move.hives)


def came_new(hive: Hive, move: Move) -> bool:
    """Whether the list begins this hive at the move's target about when it arrived: then the move brought it."""
    slack = value("assess.arrival_slack_days").value
    late = (hive.happened.first - move.happened.last).days
    early = (move.happened.first - hive.happened.last).days
    return hive.apiary == move.target and max(late, early) <= slack


def named(move: Move) -> str:
    """A move by its mark, else by its day and ends."""
    return move.mark or f"{move.what} {move.source} to {move.target}, {move.happened.words()}"


def _touching(hives: list[Hive]) -> Ints:
    """The neighbours in the same row, by the two whole numbers of 'row 3, number 5'; -1 where there is none."""
    found = np.full((len(hives), 2), -1, dtype=np.int64)
    stand: dict[tuple[str, int, int], int] = {}
    for j, hive in enumerate(hives):
        where = stand_of(hive)
        if where:
            stand[(hive.apiary, *where)] = j
    for (apiary, row, spot), j in stand.items():
        found[j] = [stand.get((apiary, row, spot + step), -1) for step in (-1, 1)]
    return found


def stand_of(hive: Hive) -> tuple[int, int] | None:
    """Row and number in the row, if its place names just these two."""
    parts = re.findall(r"\d+", hive.place)
    return (int(parts[0]), int(parts[1])) if len(parts) == 2 else None


def _plane(situation: Situation, kept: dict[str, Apiary | Premises], notes: Notes) -> Floats:
    """Positions in km on a plane: the local grid, or geodesic distance and bearing from a middle place."""
    positions = {mark: position_of(place) for mark, place in kept.items()}
    xy = np.full((len(kept), 2), np.nan)
    if all(p.grid for p in positions.values() if p):
        for a, p in enumerate(positions.values()):
            if p and p.grid:
                xy[a] = p.grid
    else:
        anchor = anchor_of(situation.case)
        found = [geographic(p, anchor) if p else None for p in positions.values()]
        there = [p for p in found if p]
        middle = np.mean(there, axis=0) if there else np.zeros(2)
        for a, point in enumerate(found):
            if point:
                bearing, _, metres = WGS84.inv(middle[1], middle[0], point[1], point[0])
                xy[a] = metres / 1000 * sin(radians(bearing)), metres / 1000 * cos(radians(bearing))
    for mark, where in zip(kept, xy, strict=True):
        if np.isnan(where).any() and isinstance(kept[mark], Apiary):
            notes.out("Apiaries without a usable position are near none by robbing", mark)
    return xy
