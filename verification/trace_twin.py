"""Slow, readable twins of the trace: one plays every date and every order of a day, one writes out every chain."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import permutations, product

MOVE, CLEANING = "move", "cleaning"


@dataclass(frozen=True)
class Move:
    """One transfer in plain words. lot, minute: None unknown.  left, got: hives named on either side."""

    number: int
    source: str
    target: str
    first: int
    last: int
    minute: int | None = None
    lot: str | None = None
    evidence: int = 0
    left: frozenset[str] = frozenset()
    got: frozenset[str] = frozenset()


@dataclass(frozen=True)
class World:
    """Everything a trace knows. cleanings: (shed, first, last)."""

    moves: tuple[Move, ...]
    sheds: frozenset[str] = frozenset()
    cleanings: tuple[tuple[str, int, int], ...] = ()


@dataclass
class State:
    """What is contaminated: places, things without a name at a place, lots, hives, shed surfaces."""

    anything: set[str] = field(default_factory=set)
    unnamed: set[str] = field(default_factory=set)
    lots: set[str] = field(default_factory=set)
    hives: set[str] = field(default_factory=set)
    surfaces: set[str] = field(default_factory=set)


def histories(world: World) -> Iterator[list[tuple[int, str, int]]]:
    """Every history that the records allow: lists of (day, kind, index) in the order in which things happened."""
    spans = [range(m.first, m.last + 1) for m in world.moves] + [range(a, b + 1) for _, a, b in world.cleanings]
    labels = [(MOVE, i) for i in range(len(world.moves))] + [(CLEANING, i) for i in range(len(world.cleanings))]
    for days in product(*spans):
        by_day: dict[int, list[tuple[str, int]]] = {}
        for day, label in zip(days, labels, strict=True):
            by_day.setdefault(day, []).append(label)
        orders = [list(_orders(world, by_day[day])) for day in sorted(by_day)]
        for chosen in product(*orders):
            yield [(day, *label) for day, order in zip(sorted(by_day), chosen, strict=True) for label in order]


def _orders(world: World, labels: list[tuple[str, int]]) -> Iterator[tuple[tuple[str, int], ...]]:
    for order in permutations(labels):
        minutes = [world.moves[i].minute for kind, i in order if kind == MOVE and world.moves[i].minute is not None]
        if minutes == sorted(minutes):
            yield order


def played(
    world: World,
    start: str,
    day: int,
    *,
    last_day: int | None = None,
    carry_over: bool = False,
    narrow: bool = False,
    hives: frozenset[str] = frozenset(),
) -> tuple[dict[str, int], dict[str, int]]:
    """Earliest day for every place and every hive that is contaminated in some history."""
    places: dict[str, int] = {}
    reached_hives: dict[str, int] = {}
    for history in histories(world):
        state = State({start}, set() if narrow and hives else {start}, set(), set(hives) if narrow else set())
        for when, kind, index in history:
            if when < day or (last_day is not None and when > last_day):
                continue
            if kind == CLEANING:
                state.surfaces.discard(world.cleanings[index][0])
                continue
            _apply(world, state, world.moves[index], carry_over, narrow)
            for found, names in ((places, state.anything - {start}), (reached_hives, state.hives - hives)):
                for name in names:
                    found[name] = min(when, found.get(name, when))
    return places, reached_hives


def _apply(world: World, state: State, move: Move, carry_over: bool, narrow: bool) -> None:
    from_shed, to_shed = move.source in world.sheds, move.target in world.sheds
    left = move.left if narrow and not from_shed else frozenset()
    got = move.got if narrow and not to_shed else frozenset()
    lot_out = move.lot if from_shed else None
    if lot_out is not None:
        wet = lot_out in state.lots or move.source in state.unnamed
    elif left:
        wet = bool(left & state.hives) or move.source in state.unnamed
    else:
        wet = move.source in state.anything
    of_any = wet and not (left and move.source not in state.unnamed)  # not from known hives alone
    givers = left & state.hives - got
    touched_out = carry_over and from_shed and (wet or move.source in state.surfaces)
    touched_in = carry_over and to_shed and (
        wet or touched_out or move.target in state.surfaces or (move.lot is not None and move.lot in state.lots)
    )  # fmt: skip
    loaded = wet or touched_out
    if touched_out:
        state.surfaces.add(move.source)
        if move.lot is not None:
            state.lots.add(move.lot)
    if touched_in:
        state.surfaces.add(move.target)
    if not (loaded or touched_in):
        return
    state.anything.add(move.target)
    if to_shed:
        if move.lot is not None:
            state.lots.add(move.lot)
        else:
            state.unnamed.add(move.target)
        return
    if of_any or touched_out:
        state.hives |= got
        if not got:
            state.unnamed.add(move.target)
    if givers:
        receivers = got - left
        state.hives |= receivers
        if not receivers:
            state.unnamed.add(move.target)


@dataclass(frozen=True)
class PlainChain:
    """One chain with its grades, from counting all dates."""

    moves: tuple[int, ...]
    evidence: int
    order: str
    share: Fraction

    def rank(self) -> tuple[int, int, Fraction, int]:
        """Best first: evidence, order, share, number of moves."""
        return (self.evidence, ("certain", "tie", "share").index(self.order), -self.share, len(self.moves))


def chains(world: World, start: str, day: int, last_day: int | None = None) -> dict[str, list[PlainChain]]:
    """Every possible chain to every place (by place, no carry-over), each place visited once, best first."""
    found: dict[str, list[PlainChain]] = {}

    def extend(sequence: tuple[Move, ...]) -> None:
        for move in world.moves:
            if move in sequence or not _follows(world, sequence, move, start):
                continue
            longer = (*sequence, move)
            graded = _graded(longer, day, last_day)
            if graded:
                if move.target != start:
                    found.setdefault(move.target, []).append(graded)
                extend(longer)

    extend(())
    return {place: sorted(several, key=PlainChain.rank) for place, several in found.items()}


def _follows(world: World, sequence: tuple[Move, ...], move: Move, start: str) -> bool:
    """Whether what the last move brought may be in this one; a lot keeps its content wherever a shed handles it."""
    if not sequence:
        return move.source == start
    came = sequence[-1]
    if came.target in world.sheds and move.source in world.sheds and None not in (came.lot, move.lot):
        return came.lot == move.lot
    return move.source == came.target


def _graded(sequence: tuple[Move, ...], day: int, last_day: int | None) -> PlainChain | None:
    dates = list(product(*(range(move.first, move.last + 1) for move in sequence)))
    verdicts = [_verdict(sequence, days, day, last_day) for days in dates]
    good = [verdict for verdict in verdicts if verdict != "no"]
    if not good:
        return None
    share = Fraction(len(good), len(dates))
    order = "share" if share < 1 else "tie" if "tie" in good else "certain"
    return PlainChain(tuple(m.number for m in sequence), max(m.evidence for m in sequence), order, share)


def _verdict(sequence: tuple[Move, ...], days: tuple[int, ...], day: int, last_day: int | None) -> str:
    """'no', 'tie' or 'certain' for one choice of dates."""
    if days[0] < day or list(days) != sorted(days) or (last_day is not None and days[-1] > last_day):
        return "no"
    known = [(d, m.minute) for d, m in zip(days, sequence, strict=True) if m.minute is not None and m.first == m.last]
    if known != sorted(known):
        return "no"
    verdict = "certain"
    for (d, m), (e, n) in zip(
        list(zip(days, sequence, strict=True)), list(zip(days, sequence, strict=True))[1:], strict=False
    ):
        if d == e and (m.minute is None or n.minute is None or m.minute >= n.minute):
            verdict = "tie"
    return verdict
