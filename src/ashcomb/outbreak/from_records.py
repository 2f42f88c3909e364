"""The transfers that the records of a case tell of, as columns for the trace."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from ashcomb.kernel.time import Span, day_number
from ashcomb.outbreak.transfers import EVIDENCE, UNKNOWN, Cleanings, Flags, Ints, Ragged, Transfers
from ashcomb.records.movements import MOVED, Cleaning, ExtractionLot, Move
from ashcomb.records.places import Apiary, Hive, Keeper, Premises
from ashcomb.records.situation import Situation

_TRAVELLING = ("hives", "nucleus", "swarm")
_HOUSE = "honey house"


@dataclass(frozen=True)
class Register:
    """Transfers with the names behind their numbers. places, hives: marks.  records: the move or lot of each."""

    transfers: Transfers
    places: tuple[str, ...]
    hives: tuple[str, ...]
    records: tuple[Move | ExtractionLot, ...]

    def place(self, mark: str) -> int:
        """Number of a place; raises ValueError for an unknown mark."""
        return self.places.index(mark)

    def names(self, moves: Iterable[int]) -> tuple[str, ...]:
        """Marks of transfers, in order: the move's own mark, or 'lot' with its mark."""
        return tuple(self._name(self.records[int(self.transfers.record[move])]) for move in moves)

    @staticmethod
    def _name(record: Move | ExtractionLot) -> str:
        return record.mark if isinstance(record, Move) else f"lot {record.mark}"


@dataclass(frozen=True)
class _Line:
    source: str
    target: str
    what: str
    lot: str
    left: Sequence[str]
    got: Sequence[str]
    record: Move | ExtractionLot

    @property
    def span(self) -> Span:
        return self.record.happened


def register_of(situation: Situation) -> Register:
    """All holding moves, and for lots whose record names an apiary that no move brings to them, that arrival too.

    Hives of a move of hives travel; hives named with other things belong to the side where they are known to stand, and
    where that is not known the name is left out, which makes the narrower list wider, never the other way.
    """
    lines = [*_moves(situation), *_unmoved(situation)]
    keepers = {r.mark for r in situation.rows(Keeper)} & {m for line in lines for m in (line.source, line.target)}
    known = [*(r.mark for r in situation.rows(Apiary)), *(r.mark for r in situation.rows(Premises))]
    known += [mark for line in lines for mark in (line.source, line.target)] + sorted(keepers)
    known += [cleaning.place for cleaning in situation.rows(Cleaning)]
    places, hives = _numbers(known), _numbers(h for line in lines for h in (*line.left, *line.got))
    lots, kinds = _numbers(line.lot for line in lines if line.lot), _numbers(MOVED)
    spans = [line.span for line in lines]
    transfers = Transfers(
        marks=tuple(places),
        shed=_sheds(situation, places),
        source=_ints(places[line.source] for line in lines),
        target=_ints(places[line.target] for line in lines),
        first=_ints(day_number(span.first) for span in spans),
        last=_ints(day_number(span.last) for span in spans),
        minute=_ints(UNKNOWN if span.minute is None else span.minute for span in spans),
        evidence=_ints(EVIDENCE.index(line.record.evidence) for line in lines),
        what=_ints(kinds[line.what] for line in lines),
        record=_ints(range(len(lines))),
        lot=_ints(lots.get(line.lot, UNKNOWN) for line in lines),
        hives_from=Ragged.of([[hives[h] for h in line.left] for line in lines]),
        hives_to=Ragged.of([[hives[h] for h in line.got] for line in lines]),
        kinds=MOVED,
        cleanings=_cleanings(situation, places),
    )
    return Register(transfers, tuple(places), tuple(hives), tuple(line.record for line in lines))


def _moves(situation: Situation) -> list[_Line]:
    stands = {hive.mark: hive.apiary for hive in situation.rows(Hive)}
    found = []
    for move in situation.rows(Move):
        travelling = move.what in _TRAVELLING
        left = [h for h in move.hives if travelling or stands.get(h) == move.source]
        got = [h for h in move.hives if travelling or stands.get(h) == move.target]
        known = travelling or len(left) + len(got) == len(move.hives)
        found.append(
            _Line(move.source, move.target, move.what, move.lot, left if known else (), got if known else (), move)
        )
    return found


def _unmoved(situation: Situation) -> list[_Line]:
    told = {(move.source, move.target, move.lot) for move in situation.rows(Move)}
    return [
        _Line(apiary, lot.house, "wet supers", lot.mark, (), (), lot)
        for lot in situation.rows(ExtractionLot)
        for apiary in lot.apiaries
        if (apiary, lot.house, lot.mark) not in told and apiary != lot.house
    ]


def _sheds(situation: Situation, places: dict[str, int]) -> Flags:
    houses = {place.mark for place in situation.rows(Premises) if place.type == _HOUSE}
    houses |= {lot.house for lot in situation.rows(ExtractionLot)}
    return np.array([mark in houses for mark in places], dtype=np.bool_)


def _cleanings(situation: Situation, places: dict[str, int]) -> Cleanings:
    done = situation.rows(Cleaning)
    first, last = (_ints(day_number(getattr(c.happened, end)) for c in done) for end in ("first", "last"))
    return Cleanings(_ints(places[c.place] for c in done), first, last)


def _numbers(names: Iterable[str]) -> dict[str, int]:
    return {name: number for number, name in enumerate(dict.fromkeys(names))}


def _ints(values: Iterable[int]) -> Ints:
    return np.array(list(values), dtype=np.int64)
