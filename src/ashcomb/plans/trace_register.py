"""A national register as transfers: moves from columns of whole numbers, everything else from the situation.

The rules are those of `trace_columns`, for registers whose moves are too many to be objects. Hives are left out: this
serves the list by place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ashcomb.outbreak.transfers import EVIDENCE, UNKNOWN, Ints, Transfers
from ashcomb.plans.trace_columns import columns_of
from ashcomb.records.movements import MOVED
from ashcomb.records.registry import UNKNOWN as NOBODY
from ashcomb.records.situation import Situation

NUMBERS = ("day_first", "day_last", "minute")
WORDS = ("source", "target", "what", "evidence", "lot")
BESIDES = ("apiary", "premises", "keeper", "lot", "cleaning")  # kinds that the situation must hold


def register_transfers(
    marks: Sequence[str], numbers: Mapping[str, Ints], words: Mapping[str, Ints], situation: Situation
) -> Transfers:
    """The transfers of a register; those of lots without a recorded move come after the moves.

    marks, numbers, words: columns NUMBERS and WORDS of the moves that hold, words as numbers of marks.  situation: with
    the kinds BESIDES, without moves.
    """
    rest = columns_of(situation)
    place, lots = dict(rest.place), dict[str, int]()
    source, target = (_places(words[end], end, marks, place) for end in ("source", "target"))
    lot = _lots(words["lot"], marks, lots)
    rest_lot = [lots.setdefault(shift.lot, len(lots)) for shift in rest.shifts]
    named = (lot != UNKNOWN) & bool(rest_lot)
    moved = set(zip(lot[named].tolist(), source[named].tolist(), strict=True))
    more = rest.transfers
    kept = [at for at, pair in enumerate(zip(rest_lot, more.source.tolist(), strict=True)) if pair not in moved]
    first = numbers["day_first"]
    one_day = first == numbers["day_last"]
    shed = np.zeros(len(place), dtype=np.bool_)
    shed[: len(more.shed)] = more.shed

    def both(moves: Ints, others: Ints) -> Ints:
        return np.concatenate([moves, others[kept]])

    return Transfers(
        marks=tuple(place),
        shed=shed,
        source=both(source, more.source),
        target=both(target, more.target),
        first=both(first, more.first),
        last=both(numbers["day_last"], more.last),
        minute=both(np.where(one_day, numbers["minute"], UNKNOWN), more.minute),
        evidence=both(_coded(words["evidence"], marks, EVIDENCE), more.evidence),
        what=both(_coded(words["what"], marks, MOVED), more.what),
        record=np.arange(len(source) + len(kept)),
        lot=both(lot, np.array(rest_lot, dtype=np.int64)),
        kinds=MOVED,
        cleanings=more.cleanings,
    )


def _numbered(words: Ints, marks: Sequence[str], number: dict[str, int]) -> Ints:
    """The numbers of words; those that are new get the next ones."""
    table = np.full(len(marks), UNKNOWN)
    for word in np.flatnonzero(np.bincount(words, minlength=len(marks))).tolist():
        table[word] = number.setdefault(marks[word], len(number))
    return table[words]


def _places(words: Ints, end: str, marks: Sequence[str], place: dict[str, int]) -> Ints:
    """The numbers of places; somebody unknown is a place of their own in every move, so that they join nothing."""
    nobody = np.array([mark == NOBODY for mark in marks], dtype=np.bool_)[words]
    found = np.full(len(words), UNKNOWN)
    found[~nobody] = _numbered(words[~nobody], marks, place)
    for row in np.flatnonzero(nobody).tolist():
        found[row] = place.setdefault(f"{NOBODY} ({end} of move {row + 1})", len(place))
    return found


def _lots(words: Ints, marks: Sequence[str], lots: dict[str, int]) -> Ints:
    """The numbers of lots, -1 where a move names none."""
    none = np.array([not mark for mark in marks], dtype=np.bool_)[words]
    found = np.full(len(words), UNKNOWN)
    found[~none] = _numbered(words[~none], marks, lots)
    return found


def _coded(words: Ints, marks: Sequence[str], options: Sequence[str]) -> Ints:
    table = np.array([options.index(mark) if mark in options else UNKNOWN for mark in marks], dtype=np.int64)
    return table[words]
