"""What moves may have carried: donors, receivers and objects of each, through sheds and extraction lots."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field

from ashcomb.kernel.time import Span
from ashcomb.outbreak.rates import ROUTES
from ashcomb.outbreak.scene import Event
from ashcomb.plans.scene_ground import CARRIED, Ground, came_new, named
from ashcomb.plans.scene_notes import Notes
from ashcomb.records.movements import ExtractionLot, Move
from ashcomb.records.places import Apiary, Hive, Premises
from ashcomb.records.registry import UNKNOWN
from ashcomb.records.situation import Situation
from ashcomb.sources.library import value

WHOLE = ("hives", "nucleus", "package", "swarm")  # these make a colony of their own where they arrive
_GROUP = {"dry supers": "supers", "wet supers": "supers"}  # a shed mixes them
Gives = list[tuple[int, float, float | None]]


@dataclass(frozen=True, slots=True)
class Carried:
    """One event in words. move: its mark.  record: id of its record.  how: who may have given and got, in words."""

    move: str
    record: str
    what: str
    source: str
    target: str
    happened: Span
    evidence: str
    count: float
    how: str

    def words(self) -> str:
        """'m5: 4 brood frames A07 to A19, Mon 1 Jul 2030 (seen)'."""
        return (f"{self.move}: {self.count:g} {self.what} {self.source} to {self.target}, {self.happened.words()}"
                f" ({self.evidence})")  # fmt: skip


@dataclass(slots=True)
class _Stock:
    """What a shed or a lot holds. amount: objects.  outside: contaminated ones from outside.  gives: of each donor the
    objects, and when the first of them left it.
    """

    amount: float = 0.0
    outside: float = 0.0
    gives: dict[int, tuple[float, float]] = field(default_factory=dict)

    def add(self, amount: float, gives: Gives, outside: float, at: float) -> None:
        """Mixes in what came. gives: share of it by donor; a time that is None is `at`."""
        self.amount += amount
        self.outside += amount * outside
        for donor, share, left in gives:
            old = self.gives.get(donor, (0.0, at))
            self.gives[donor] = old[0] + share * amount, min(old[1], at if left is None else left)


@dataclass(frozen=True, slots=True)
class _Trip:
    move: Move
    count: float
    first: float
    last: float


def events_of(situation: Situation, ground: Ground, notes: Notes) -> tuple[list[Event], list[Carried]]:
    """The events of all moves, with each in words, in order of time. What cannot be placed goes into the notes.

    A known day counts as its noon or its hour; moves of one day without hours take the order in which more can spread.
    """
    return _Carrying(situation, ground, notes).run()


class _Carrying:
    def __init__(self, situation: Situation, ground: Ground, notes: Notes) -> None:
        self.ground, self.notes = ground, notes
        self.hives = situation.by_mark(Hive)
        self.apiaries = situation.by_mark(Apiary)
        self.moves = ground.moves
        self.lots = situation.rows(ExtractionLot)
        self.plants = {place.mark for place in situation.rows(Premises) if place.type == "irradiation plant"}
        self.outside = value("outbreak.outside_infected").value
        self.stock: dict[tuple[str, str], _Stock] = defaultdict(_Stock)
        self.new: dict[str, list[str]] = defaultdict(list)
        for mark, hive in sorted(self.hives.items()):
            self.new[hive.apiary].append(mark)
        self.taken: set[str] = set()

    def run(self) -> tuple[list[Event], list[Carried]]:
        events, told = [], []
        for trip in self._in_order(list(self._trips())):
            made = self._event(trip)
            if made:
                events.append(made[0])
                told.append(made[1])
        return events, told

    def _trips(self) -> Iterator[_Trip]:
        moved = {(move.lot, move.source) for move in self.moves if move.lot}
        for move in self.moves:
            count = move.count_in if move.count_in is not None else move.count_out
            if count is None:
                count = len(move.hives) or 1
                if not move.hives:
                    self.notes.guess("Moves without a count count as one object", named(move))
            yield from self._dated(move, float(count))
        sent = {move.lot for move in self.moves if move.target in self.apiaries}
        for lot in self.lots:
            if lot.mark not in sent:
                self.notes.out("Lots of which no way back is on record reach no hive", lot.mark)
            missing = [mark for mark in lot.apiaries if (lot.mark, mark) not in moved]
            each = (lot.supers or 1) / max(len(lot.apiaries), 1)
            for mark in missing:
                self.notes.guess("Supers that a lot names without a recorded move count as moved on its day",
                                 f"{mark} in {lot.mark}")  # fmt: skip
                yield from self._dated(_of_lot(lot, mark), each)

    def _dated(self, move: Move, count: float) -> Iterator[_Trip]:
        noon = 0.5 if move.happened.minute is None else move.happened.minute / 1440
        first, last = (self.ground.at(day) + noon for day in (move.happened.first, move.happened.last))
        if last < 0:
            self.notes.out(f"Moves before the history begins count only as “infected before”, since {self.ground.day0}",
                           named(move))  # fmt: skip
        elif first >= self.ground.horizon:
            self.notes.out("Moves still to come", named(move))
        elif count > 0:
            yield _Trip(move, count, max(first, 0.0), min(last, self.ground.horizon - 0.01))

    def _in_order(self, trips: list[_Trip]) -> list[_Trip]:
        """By time; on one day without hours what comes into a place before what leaves it, as far as that can be."""
        by_day: dict[int, list[_Trip]] = defaultdict(list)
        for trip in trips:
            by_day[int(trip.last)].append(trip)
        ordered: list[_Trip] = []
        for day in sorted(by_day):
            ordered += self._ties(sorted(by_day[day], key=lambda t: (t.last, named(t.move))))
        return ordered

    def _ties(self, trips: list[_Trip]) -> list[_Trip]:
        level = [0] * len(trips)
        for _ in trips:
            for k, trip in enumerate(trips):
                before = [level[i] + 1 for i, other in enumerate(trips) if _feeds(other, trip) and i != k]
                level[k] = min(max([level[k], *before]), len(trips))
        if not any(level):
            return trips
        placed = sorted(range(len(trips)), key=lambda k: (level[k], trips[k].last))
        found = []
        for k in placed:
            trip = trips[k]
            if level[k] and trip.first == trip.last and trip.move.happened.minute is None:
                later = trip.last + 0.2 * level[k] / (1 + max(level))
                trip = _Trip(trip.move, trip.count, later, later)
                self.notes.guess("Of moves on one day the order in which more can spread was taken", named(trip.move))
            found.append(trip)
        return found

    def _event(self, trip: _Trip) -> tuple[Event, Carried] | None:
        move = trip.move
        if move.id in self.ground.carried:
            return None
        if move.source in self.plants:
            self.notes.out("What came back from an irradiation plant is taken to carry nothing", named(move))
            return None
        gives, outside, given = self._donors(trip)
        if move.target not in self.apiaries:
            self._shelve(trip, gives, outside)
            return None
        if move.what not in (*ROUTES, "hives"):
            self.notes.out(f"No way of infection is modelled for {move.what}", named(move))
            return None
        takes, objects, got = self._receivers(trip)
        if not takes:
            self.notes.out("No hive is on record where these arrived", named(move))
            return None
        kind = ROUTES.index("whole colony" if move.what == "hives" else move.what)
        event = Event(kind, trip.first, trip.last, objects, gives, takes, outside)
        words = Carried(named(move), move.id, move.what, move.source, move.target, move.happened, move.evidence,
                        round(trip.count, 1), f"from {given}; to {got}")  # fmt: skip
        return event, words

    def _donors(self, trip: _Trip) -> tuple[Gives, float, str]:
        """(donor, share, time or None), share from outside, and both in words."""
        move = trip.move
        if move.source in self.apiaries:
            here = self.ground.standing(move.source, trip.last)
            if here and move.hives and move.what not in CARRIED:
                own = [self.ground.number[m] for m in move.hives if self.ground.number.get(m) in here]
                here = own or here
            if here:
                return [(j, 1 / len(here), None) for j in here], 0.0, f"any of {len(here)} hives at {move.source}"
            return [], self.outside, f"{move.source}, where no hive is on record"
        held = self._held(move)
        if held is None:
            return [], self.outside, f"{move.source}, whose sources are not on record"
        gives: Gives = [(j, amount / held.amount, min(at, trip.first)) for j, (amount, at) in held.gives.items()]
        lot = f", lot {move.lot}" if move.lot else ""
        return gives, held.outside / held.amount, f"what {len(gives)} hives gave to {move.source}{lot}"

    def _held(self, move: Move) -> _Stock | None:
        """What the lot holds in a shed, else what the shed holds of that kind."""
        keys = [(move.source, f"lot {move.lot}")] if move.lot else []
        keys.append((move.source, _GROUP.get(move.what, move.what)))
        return next((self.stock[key] for key in keys if key in self.stock), None)

    def _shelve(self, trip: _Trip, gives: Gives, outside: float) -> None:
        """Keeps what came to a shed, so that what leaves it later carries its mixture."""
        move = trip.move
        if move.target == UNKNOWN or move.target not in self.ground.place:
            self.notes.out("What went out of sight, to keepers or places without hives on record", named(move))
            return
        keys = [_GROUP.get(move.what, move.what), *([f"lot {move.lot}"] if move.lot else [])]
        for key in keys:
            self.stock[move.target, key].add(trip.count, gives, outside, trip.last)

    def _receivers(self, trip: _Trip) -> tuple[list[int], float, str]:
        """Receiving colonies, objects for each, and in words."""
        move = trip.move
        if move.what in WHOLE:
            fresh = self._arrived(trip)
            if fresh:
                each = min(trip.count / len(fresh), 1.0)
                return fresh, each, f"{len(fresh)} hives that the list begins there then"
        here = self.ground.standing(move.target, trip.last)
        here = [j for j in here if self.ground.colonies.first[j] <= trip.first < self.ground.colonies.dead[j]]
        own = [j for j in here if self.ground.hives[j] in move.hives]
        if own:
            return own, trip.count / len(own), "the hives named"
        if here and move.what in WHOLE:
            self.notes.guess("Colonies that arrived unnamed may be any hive of the place", named(move))
        return here, trip.count / max(len(here), 1), f"any of {len(here)} hives at {move.target}"

    def _arrived(self, trip: _Trip) -> list[int]:
        """Hives of the target that the list begins about then; from then on they live, and come from this move."""
        move, ground = trip.move, self.ground
        fresh = [mark for mark in self.new[move.target] if came_new(self.hives[mark], move) and mark not in self.taken]
        fresh = [mark for mark in fresh if mark in move.hives] or fresh
        if move.hives and not set(fresh) & set(move.hives):
            return []
        self.taken |= set(fresh) if len(fresh) <= trip.count else set()
        numbers = [ground.number[mark] for mark in fresh]
        for j in numbers:
            ground.colonies.first[j] = min(ground.colonies.first[j], float(int(trip.first)))
            ground.colonies.before[j] = 0.0
        return [j for j in numbers if ground.colonies.dead[j] > trip.last]


def _of_lot(lot: ExtractionLot, apiary: str) -> Move:
    """Supers that a lot names, as if their move had been recorded."""
    return Move(id=lot.id, happened=lot.happened, noted=lot.noted, received=lot.received, by=lot.by, device=lot.device,
                evidence=lot.evidence, corrects="", origin=lot.origin, mark=f"lot {lot.mark}", source=apiary,
                target=lot.house, what="wet supers", lot=lot.mark)  # fmt: skip


def _feeds(one: _Trip, other: _Trip) -> bool:
    """Whether the first brings something to the place that the second leaves, both on the same known day."""
    same = one.first == one.last and other.first == other.last and int(one.last) == int(other.last)
    hours = one.move.happened.minute is not None and other.move.happened.minute is not None
    return same and not hours and one.move.target == other.move.source
