"""Columns of whole numbers say the same as the records, however they are cut into blocks."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from tests.conftest import NOTED, Maker

from ashcomb.casework.register import transfers_of
from ashcomb.outbreak.contacts import Start, earliest
from ashcomb.plans.trace_columns import columns_of
from ashcomb.records.case import Settlement, Withdrawal
from ashcomb.records.columns import Record
from ashcomb.records.movements import Cleaning, ExtractionLot, Move
from ashcomb.records.places import Apiary, Premises
from ashcomb.store import columns
from ashcomb.store.sqlite import Store

LATER = NOTED + 10**9
NUMBERS, WORDS = ("day_first", "day_last", "minute", "count_out"), ("source", "target", "what", "lot", "note")


def put(store: Store, records: list[Record]) -> None:
    count = itertools.count()
    store.append(records, at=NOTED, by="EV", what="test", salt=lambda: f"{next(count):032x}")


def moves(make: Maker, n: int) -> list[Record]:
    days = ("2030-06-01", "2030-06-01T14:30", "2030-06-03/2030-07-02")
    what = ("hives", "wet supers", "queens")
    return [
        make(Move, days[i % 3], mark=f"m{i}", source=f"A{i % 7}", target=f"A{(i * 3 + 1) % 7 + 7}", what=what[i % 3],
             count_out=i if i % 2 else None, lot=f"L{i % 4}" if i % 5 else "", evidence=("seen", "memory")[i % 2],
             note="Ōtara\\x1f – Łódź" if i == 4 else "")
        for i in range(n)
    ]  # fmt: skip


@pytest.fixture
def store(tmp_path: Path, make: Maker) -> Store:
    store = Store.create(tmp_path / "case.db")
    put(store, [make(Apiary, mark=f"A{n}") for n in range(14)])
    some = moves(make, 41)
    for low, high in itertools.pairwise((0, 1, 2, 3, 20, 21, 41)):
        put(store, some[low:high])
    put(store, [make(Move, "2030-06-09", mark="m5", source="A1", target="A2", what="hives", corrects=some[5].id)])
    put(store, [make(Withdrawal, record=some[6].id, reason="never was")])
    put(store, [make(Settlement, holds=some[7].id, against=(some[8].id, some[9].id), reason="seen")])
    return store


@pytest.mark.parametrize("block", [1, 2, 3, 7, 20, 1000])
@pytest.mark.parametrize("as_of", [LATER, NOTED + 30, 0])
def test_columns_are_the_records_that_hold(store: Store, monkeypatch, block: int, as_of: int) -> None:
    monkeypatch.setattr(columns, "_BLOCK", block)
    found = store.columns(Move, NUMBERS, WORDS, as_of)
    situation = store.situation(as_of)
    table = situation.table(Move)
    holding = [at for at, key in enumerate(table.columns["id"]) if key not in situation.superseded]
    for name in NUMBERS:
        assert found.numbers[name].tolist() == table.whole(name)[holding].tolist()
    for name in WORDS:
        assert [found.marks[n] for n in found.words[name].tolist()] == [table.columns[name][at] for at in holding]
    assert len(set(found.marks)) == len(found.marks)
    assert as_of != LATER or len(holding) == 38


def test_the_separator_itself_may_stand_in_a_cell(store: Store, make: Maker) -> None:
    put(
        store,
        [make(Move, mark="x\x1fy", source="A1", target="A2\x1eA3", what="hives", note="a\x1e\x1fb\x1ec", lot="q")],
    )
    found = store.columns(Move, NUMBERS, WORDS, LATER)
    assert [found.marks[found.words[name][-1]] for name in WORDS] == ["A1", "A2\x1eA3", "hives", "q", "a\x1e\x1fb\x1ec"]


def test_a_register_from_the_store_traces_like_the_records(store: Store, make: Maker) -> None:
    more = [make(Premises, mark="H1", type="honey house"), make(Premises, mark="H2", type="honey house")]
    more += [make(ExtractionLot, "2030-06-02", mark=f"L{n}", house="H1", apiaries=("A1", "A9")) for n in (0, 9)]
    more += [make(Move, "2030-06-01", mark="n0", source="A1", target="H1", what="wet supers", lot="L0"),
             make(Move, "2030-06-05", mark="n1", source="H1", target="A8", what="wet supers", lot="L0"),
             make(Move, "2030-06-05", mark="n2", source="H1", target="A12", what="wet supers", lot="L9"),
             make(Move, "2030-06-01", mark="u1", source="unknown", target="A1", what="hives"),
             make(Move, "2030-06-01", mark="u2", source="A2", target="unknown", what="hives"),
             make(Move, "2030-06-06", mark="u3", source="unknown", target="A3", what="hives"),
             make(Cleaning, "2030-06-03", place="H1", method="steam")]  # fmt: skip
    put(store, more)
    told, read = columns_of(store.situation(LATER)).transfers, transfers_of(store, LATER)
    assert len(told) == len(read) == 38 + 6 + 3  # two lots of two apiaries, one of them moved as recorded
    assert int(told.shed.sum()) == int(read.shed.sum()) == 2
    known = [mark for mark in told.marks if mark in read.marks]
    assert len(told.marks) - len(known) == 3  # somebody unknown has another name in each move
    for start in known:
        days = {}
        for name, transfers in (("told", told), ("read", read)):
            first, hops = earliest(transfers, [Start(transfers.marks.index(start), 22065)])
            where = [transfers.marks.index(mark) for mark in known]
            days[name] = [(int(first[p]), int(hops[p])) if hops[p] >= 0 else None for p in where]
        assert days["told"] == days["read"]


def test_a_situation_of_some_kinds_only(store: Store) -> None:
    assert set(store.situation(LATER, ("apiary",)).tables) == {"apiary", "withdrawal", "settlement"}
