"""From records to the columns that tracing works on: places, moves, extraction lots, cleanings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ashcomb.kernel.time import Span, day_number
from ashcomb.outbreak.transfers import EVIDENCE, UNKNOWN, Cleanings, Ragged, Transfers
from ashcomb.records.movements import MOVED, Cleaning, ExtractionLot, Move
from ashcomb.records.places import Apiary, Hive, Keeper, Premises
from ashcomb.records.registry import UNKNOWN as NOBODY
from ashcomb.records.situation import Situation
from ashcomb.records.state import hive_places


@dataclass(frozen=True, slots=True)
class Shift:
    """One transfer in words: a recorded move, or supers that a lot names although no move was recorded.

    count: how many things went, None unknown.
    """

    mark: str
    source: str
    target: str
    what: str
    happened: Span
    evidence: str
    lot: str
    hives: tuple[str, ...]
    noted: bool
    count: int | None = None

    @property
    def objects(self) -> str:
        """What went, with its number where that is known: '4 brood frames'."""
        return self.what if self.count is None else f"{self.count} {self.what}"

    def words(self) -> str:
        """'m5: brood frames A07 to A19, Mon 1 Jul 2030, document'."""
        return f"{self.mark}: {self.what} {self.source} to {self.target}, {self.happened.words()}, {self.evidence}"


@dataclass(frozen=True)
class Columns:
    """The transfers of a situation. shifts: one for each transfer, in their order.  hives, lots: marks by number."""

    transfers: Transfers
    shifts: tuple[Shift, ...]
    hives: tuple[str, ...]
    lots: tuple[str, ...] = ()

    @cached_property
    def place(self) -> dict[str, int]:
        """Number of each place by its mark."""
        return {mark: number for number, mark in enumerate(self.transfers.marks)}


def columns_of(situation: Situation) -> Columns:
    """The transfers of a situation, the supers of extraction lots without a recorded move among them."""
    shifts = tuple(sorted([*_moves(situation), *_lots(situation)], key=lambda s: (s.happened, s.mark)))
    kinds = (*situation.by_mark(Apiary), *situation.by_mark(Premises), *situation.by_mark(Keeper))
    cleanings = situation.rows(Cleaning)
    ends = (mark for shift in shifts for mark in (shift.source, shift.target))
    marks = tuple(dict.fromkeys([*kinds, *ends, *(done.place for done in cleanings)]))
    place = {mark: number for number, mark in enumerate(marks)}
    lot = {mark: number for number, mark in enumerate(dict.fromkeys(shift.lot for shift in shifts if shift.lot))}
    hives = tuple(dict.fromkeys([*situation.by_mark(Hive), *(hive for shift in shifts for hive in shift.hives)]))
    sides = [_sides(situation, shift) for shift in shifts]
    number = {mark: index for index, mark in enumerate(hives)}
    sheds = sheds_of(situation)
    transfers = Transfers(
        marks=marks,
        shed=np.array([mark in sheds for mark in marks], dtype=np.bool_),
        source=_ints([place[shift.source] for shift in shifts]),
        target=_ints([place[shift.target] for shift in shifts]),
        first=_ints([day_number(shift.happened.first) for shift in shifts]),
        last=_ints([day_number(shift.happened.last) for shift in shifts]),
        minute=_ints([UNKNOWN if shift.happened.minute is None else shift.happened.minute for shift in shifts]),
        evidence=_ints([EVIDENCE.index(shift.evidence) for shift in shifts]),
        what=_ints([MOVED.index(shift.what) for shift in shifts]),
        record=_ints(range(len(shifts))),
        lot=_ints([lot.get(shift.lot, UNKNOWN) for shift in shifts]),
        hives_from=Ragged.of([[number[hive] for hive in left] for left, _ in sides]),
        hives_to=Ragged.of([[number[hive] for hive in got] for _, got in sides]),
        kinds=MOVED,
        cleanings=Cleanings(
            _ints([place[done.place] for done in cleanings]),
            _ints([day_number(done.happened.first) for done in cleanings]),
            _ints([day_number(done.happened.last) for done in cleanings]),
        ),
    )
    return Columns(transfers, shifts, hives, tuple(lot))


def _moves(situation: Situation) -> list[Shift]:
    """The recorded moves. An unknown source is a place of its own in every move, so that it joins nothing."""
    return [_shift(move) for move in situation.rows(Move)]


def _shift(move: Move) -> Shift:
    mark = move.mark or f"move of {move.happened.words()} {move.source} to {move.target}"
    source = nobody("source", mark) if move.source == NOBODY else move.source
    target = nobody("target", mark) if move.target == NOBODY else move.target
    count = move.count_out if move.count_out is not None else move.count_in
    return Shift(mark, source, target, move.what, move.happened, move.evidence, move.lot, move.hives, True, count)


def nobody(end: str, move: str) -> str:
    """Name of the unknown source or receiver of a move."""
    return f"{NOBODY} {'source' if end == 'source' else 'receiver'} ({move})"


def _lots(situation: Situation) -> list[Shift]:
    """Supers that an extraction lot names, where no move of that lot from that apiary was recorded."""
    moved = {(move.lot, move.source) for move in situation.rows(Move) if move.lot}
    return [
        Shift(f"lot {lot.mark}", apiary, lot.house, "wet supers", lot.happened, lot.evidence, lot.mark, (), noted=False)
        for lot in situation.rows(ExtractionLot)
        for apiary in lot.apiaries
        if (lot.mark, apiary) not in moved
    ]


def sheds_of(situation: Situation) -> set[str]:
    """Places that handle extraction lots."""
    houses = {place.mark for place in situation.rows(Premises) if place.type == "honey house"}
    return houses | {lot.house for lot in situation.rows(ExtractionLot)}


def _sides(situation: Situation, shift: Shift) -> tuple[Sequence[str], Sequence[str]]:
    """Which of the hives that a move names were left, and which received; a hive that was itself moved is in both.

    A hive that stood at neither end is in neither, so that the rule by place holds and no list grows shorter.
    """
    if not shift.hives:
        return (), ()
    if shift.what == "hives":
        return shift.hives, shift.hives
    where = hive_places(situation, shift.happened.first)
    left, got = ([hive for hive in shift.hives if where.get(hive) == end] for end in (shift.source, shift.target))
    return left, got


def _ints(numbers: Sequence[int] | range) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    return np.array(numbers, dtype=np.int64)
