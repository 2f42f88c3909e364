"""A national register straight from the store, made ready to trace: no object is made for any move."""

from __future__ import annotations

from ashcomb.outbreak.transfers import Transfers
from ashcomb.plans.trace_register import BESIDES, NUMBERS, WORDS, register_transfers
from ashcomb.records.movements import Move
from ashcomb.store.sqlite import Store


def transfers_of(store: Store, as_of: int) -> Transfers:
    """The transfers of all moves and lots received until `as_of` (UTC milliseconds), by place, without hives."""
    read = store.columns(Move, NUMBERS, WORDS, as_of)
    return register_transfers(read.marks, read.numbers, read.words, store.situation(as_of, BESIDES))
