"""A national register straight from the store, made ready to trace: no object is made for any move."""

from __future__ import annotations

from ashcomb.outbreak.transfers import Transfers
from ashcomb.plans.trace_columns import Columns
from ashcomb.plans.trace_register import BESIDES, NUMBERS, WORDS, register_columns
from ashcomb.records.movements import Move
from ashcomb.records.situation import Situation
from ashcomb.sources.library import value
from ashcomb.store.sqlite import Store


def is_national(store: Store) -> bool:
    """Whether the store holds so many records that its moves are read as columns."""
    return store.size() > value("trace.records_as_objects").value


def register_of(store: Store, as_of: int) -> tuple[Columns, Situation]:
    """Moves and lots received until `as_of` (UTC milliseconds), by place, without hives, and what lies beside."""
    read = store.columns(Move, NUMBERS, WORDS, as_of)
    situation = store.situation(as_of, (*BESIDES, "case"))
    return register_columns(read.marks, read.numbers, read.words, situation), situation


def transfers_of(store: Store, as_of: int) -> Transfers:
    """The transfers alone."""
    return register_of(store, as_of)[0].transfers
