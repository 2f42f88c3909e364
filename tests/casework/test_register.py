"""A register read as columns is the register read as records: corrected, withdrawn, unknown, in lots, still to come."""

from __future__ import annotations

import itertools
import tempfile
from collections import Counter
from datetime import date, timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from tests.conftest import NOTED, Maker

from ashcomb.casework.register import transfers_of
from ashcomb.kernel.time import day_number
from ashcomb.outbreak.contacts import Start, chain_sizes, earliest
from ashcomb.outbreak.transfers import Transfers
from ashcomb.plans.trace_columns import columns_of
from ashcomb.records.case import Settlement, Withdrawal
from ashcomb.records.columns import Record
from ashcomb.records.movements import Cleaning, ExtractionLot, Move
from ashcomb.records.places import Apiary, Keeper, Premises
from ashcomb.store.sqlite import Store

LAST = date(2031, 5, 8)  # NOTED is 7 May; whatever is dated later than the day after it does not count yet
PLACES = ("A", "B", "C", "K", "H", "G", "unknown")
DAY = st.one_of(st.integers(-9, 0), st.integers(1, 3)).map(lambda n: LAST + timedelta(days=n))
LOT = st.sampled_from(["", "", "L1", "L2", "L3"])


@st.composite
def registers(draw: st.DrawFn) -> list[Record]:
    """Moves and lots between apiaries, a keeper, honey houses known and unknown as such, and nobody known."""
    make = Maker()
    made: list[Record] = [make(Apiary, mark=mark) for mark in "ABC"] + [make(Keeper, mark="K", name="K")]
    houses = [make(Premises, mark=mark, type="honey house") for mark in draw(st.sets(st.sampled_from("HG")))]
    moves: list[Move] = []
    for number in range(draw(st.integers(0, 8))):
        first, hour = draw(DAY), draw(st.sampled_from(["", "", "T09:00", "T15:30"]))
        when = f"{first}/{first + timedelta(days=draw(st.integers(1, 3)))}" if draw(st.booleans()) else f"{first}{hour}"
        source, target = draw(st.permutations(PLACES))[:2]
        mark, evidence = (
            draw(st.sampled_from([f"m{number}", ""])),
            draw(st.sampled_from(["seen", "document", "memory"])),
        )
        what = draw(st.sampled_from(["hives", "wet supers", "tools"]))
        corrects = draw(st.sampled_from(["", "", *[m.id for m in moves]]))
        moves.append(make(Move, when, mark=mark, source=source, target=target, what=what, evidence=evidence,
                          lot=draw(LOT), corrects=corrects))  # fmt: skip
    lots = []
    for mark in draw(st.sets(st.sampled_from(["L1", "L2", "L3"]))):
        house = draw(st.sampled_from("HG"))
        apiaries = tuple(draw(st.sets(st.sampled_from("ABC"))))
        lots.append(make(ExtractionLot, str(draw(DAY)), mark=mark, house=house, apiaries=apiaries))
    cleaned = [make(Cleaning, str(draw(DAY)), place="H", method="steam") for _ in range(draw(st.integers(0, 1)))]
    made += [*houses, *moves, *lots, *cleaned]
    for record in draw(st.lists(st.sampled_from([*moves, *lots, *houses] or [None]), max_size=2)):
        if record is not None:
            made.append(make(Withdrawal, record=record.id, reason="never was"))
    if len(moves) > 1 and draw(st.booleans()):
        made.append(make(Settlement, holds=moves[0].id, against=(moves[1].id,), reason="seen"))
    return made


def rows(transfers: Transfers) -> Counter[tuple[object, ...]]:
    """Every transfer in words; whoever is unknown is only that, because each way names them as it can."""

    def name(place: int) -> str:
        mark = transfers.marks[place]
        return mark.split(" (")[0] if mark.startswith("unknown ") else mark

    lots: dict[int, set[tuple[object, ...]]] = {}
    plain = []
    for n in range(len(transfers)):
        place = name(int(transfers.source[n])), name(int(transfers.target[n]))
        shed = bool(transfers.shed[transfers.source[n]]), bool(transfers.shed[transfers.target[n]])
        plain.append((*place, *shed, int(transfers.first[n]), int(transfers.last[n]), int(transfers.minute[n]),
                      int(transfers.evidence[n]), transfers.kinds[int(transfers.what[n])]))  # fmt: skip
        if transfers.lot[n] >= 0:
            lots.setdefault(int(transfers.lot[n]), set()).add(plain[-1])
    groups = Counter(frozenset(group) for group in lots.values())
    return Counter(plain) + Counter({("lot", group): count for group, count in groups.items()})


def answers(transfers: Transfers) -> dict[str, object]:
    """Traces of every known place and its chain sizes; those of unknown ones by their numbers only."""
    found: dict[str, object] = {}
    begin = day_number(LAST) - 6
    ingoing, outgoing = chain_sizes(transfers, begin, begin + 8)
    known = {mark: n for n, mark in enumerate(transfers.marks) if not mark.startswith("unknown ")}
    for mark, number in known.items():
        for way, columns, day in (("ahead", transfers, begin), ("back", transfers.backwards(), -begin - 5)):
            for carry in (False, True):
                days, moves = earliest(columns, [Start(number, day)], carry_over=carry)
                reached = {m: (int(days[p]), int(moves[p])) for m, p in known.items() if moves[p] >= 0}
                nobody = sorted((int(days[p]), int(moves[p])) for p in range(len(moves))
                                if moves[p] >= 0 and p not in known.values())  # fmt: skip
                found[f"{mark} {way} {carry}"] = (reached, nobody)
        found[f"{mark} sizes"] = (int(ingoing[number]), int(outgoing[number]))
    return {name: answer for name, answer in found.items() if answer not in ((0, 0),)}


@settings(max_examples=80, deadline=None)
@given(registers())
def test_columns_and_records_make_the_same_transfers_and_answers(records: list[Record]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        store, count = Store.create(Path(folder) / "case.db"), itertools.count()
        for low in range(0, len(records), 5):
            store.append(records[low : low + 5], at=NOTED, by="EV", what="test", salt=lambda: f"{next(count):032x}")
        as_of = NOTED + 10_000
        told, read = columns_of(store.situation(as_of)).transfers, transfers_of(store, as_of)
        store.close()
    assert rows(told) == rows(read)
    one, other = answers(told), answers(read)
    assert {name: one[name] for name in one.keys() & other.keys()} == one  # columns may know marks without a transfer
