"""A national register as transfers: moves from columns of whole numbers, everything else from the situation.

The rules are those of `trace_columns`, for registers whose moves are too many to be objects. Hives are left out: this
serves the list by place.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ashcomb.kernel.time import day_number
from ashcomb.outbreak.transfers import EVIDENCE, UNKNOWN, Flags, Ints, Transfers
from ashcomb.plans.trace_columns import Columns, columns_of, nobody, sheds_of
from ashcomb.records.movements import MOVED
from ashcomb.records.registry import UNKNOWN as NOBODY
from ashcomb.records.situation import Situation

NUMBERS = ("day_first", "day_last", "minute")
WORDS = ("source", "target", "what", "evidence", "lot")
BESIDES = ("apiary", "premises", "keeper", "lot", "cleaning")  # kinds that the situation must hold


def register_columns(
    marks: Sequence[str], numbers: Mapping[str, Ints], words: Mapping[str, Ints], situation: Situation
) -> Columns:
    """The transfers of a register, without words; those of lots without a recorded move come after the moves.

    marks, numbers, words: columns NUMBERS and WORDS of the moves that hold, words as numbers of marks.  situation: with
    the kinds BESIDES, without moves.
    """
    if situation.last_day is not None:  # what is still to come does not count yet
        happened = numbers["day_first"] <= day_number(situation.last_day)
        numbers, words = _of(numbers, happened), _of(words, happened)
    rest = columns_of(situation)
    place, lots = dict(rest.place), dict[str, int]()
    source, target = (_places(words[end], end, marks, place) for end in ("source", "target"))
    lot = _numbered(words["lot"], marks, lots, "")
    rest_lot = [lots.setdefault(shift.lot, len(lots)) for shift in rest.shifts]
    named = (lot != UNKNOWN) & bool(rest_lot)
    moved = set(zip(lot[named].tolist(), source[named].tolist(), strict=True))
    more = rest.transfers
    kept = [at for at, pair in enumerate(zip(rest_lot, more.source.tolist(), strict=True)) if pair not in moved]
    first = numbers["day_first"]
    one_day = first == numbers["day_last"]
    sheds = sheds_of(situation)
    shed = np.array([mark in sheds for mark in place], dtype=np.bool_)

    def both(moves: Ints, others: Ints) -> Ints:
        return np.concatenate([moves, others[kept]]) if kept else moves

    transfers = Transfers(
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
    return Columns(transfers, (), (), tuple(lots))


def _of(columns: Mapping[str, Ints], which: Flags) -> dict[str, Ints]:
    return {name: column if which.all() else column[which] for name, column in columns.items()}


def _numbered(words: Ints, marks: Sequence[str], number: dict[str, int], nothing: str) -> Ints:
    """The numbers of words, -1 for the word that says nothing; those that are new get the next ones."""
    table = np.full(len(marks), UNKNOWN)
    for word in np.flatnonzero(np.bincount(words, minlength=len(marks))).tolist():
        if marks[word] != nothing:
            table[word] = number.setdefault(marks[word], len(number))
    return table[words]


def _places(words: Ints, end: str, marks: Sequence[str], place: dict[str, int]) -> Ints:
    """The numbers of places; an unknown source is a place of its own in every move, so that it joins nothing."""
    found = _numbered(words, marks, place, NOBODY)
    for row in np.flatnonzero(found == UNKNOWN).tolist():
        found[row] = place.setdefault(nobody(end, f"move {row + 1}"), len(place))
    return found


def _coded(words: Ints, marks: Sequence[str], options: Sequence[str]) -> Ints:
    table = np.array([options.index(mark) if mark in options else UNKNOWN for mark in marks], dtype=np.int64)
    return table[words]
