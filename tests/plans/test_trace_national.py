"""The trace of a register read as columns lists what the trace of its records lists."""

from __future__ import annotations

import itertools
import tempfile
from datetime import timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.casework.test_register import LAST, registers
from tests.conftest import NOTED

from ashcomb.casework.register import register_of
from ashcomb.plans.trace import Direction, trace
from ashcomb.plans.trace_national import national_trace
from ashcomb.records.columns import Record
from ashcomb.store.sqlite import Store


def listed(found: Direction) -> list[object]:
    """Places by list with days, grades and moves of the chain; unknown ones under one name, as each way names them."""

    def name(mark: str) -> str:
        return mark.split(" (")[0] if mark.startswith("unknown ") else mark

    lists: list[object] = [
        sorted((name(p.mark), p.first, p.last, p.hops, p.evidence, p.order, bool(p.surer)) for p in places)
        for places in (found.places, found.carry_over)
    ]
    return [*lists, len(found.beyond)]


@settings(max_examples=60, deadline=None)
@given(registers(), st.sampled_from("ABCK"), st.integers(0, 6), st.integers(0, 8))
def test_the_same_lists_as_from_records(records: list[Record], unit: str, ago: int, window: int) -> None:
    start = {unit: LAST - timedelta(days=ago)}
    since, until = LAST - timedelta(days=ago + window), LAST - timedelta(days=ago) + timedelta(days=window)
    with tempfile.TemporaryDirectory() as folder:
        store, count = Store.create(Path(folder) / "case.db"), itertools.count()
        store.append(records, at=NOTED, by="EV", what="test", salt=lambda: f"{next(count):032x}")
        columns, beside = register_of(store, NOTED + 10_000)
        whole = store.situation(NOTED + 10_000)
        store.close()
    told, read = trace(whole, start, since, until), national_trace(columns, beside, start, since, until)
    assert listed(told.forward) == listed(read.forward)
    assert listed(told.back) == listed(read.back)
