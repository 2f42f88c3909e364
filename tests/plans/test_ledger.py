"""No sequence of counts, splits, joins, burns, storings, losses and corrections makes or loses a piece."""

from __future__ import annotations

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule
from tests.stories import vale_night as vn
from tests.stories.vale import record

from ashcomb.plans.balance import balance
from ashcomb.records.acts import Burn, Treatment
from ashcomb.records.case import Withdrawal
from ashcomb.records.codec import check
from ashcomb.records.columns import Record
from ashcomb.records.pieces import Loss, Split, Tag, tag_check, tag_fits
from ashcomb.records.places import Component
from ashcomb.records.situation import situation_of
from ashcomb.records.storage import Hold

DAY = "2031-05-15"
HIVES = ("K1", "K2")
OWNERS = (*HIVES, "P1", "P2", "P3")
hive, owner, lot = st.sampled_from(HIVES), st.sampled_from(OWNERS), st.sampled_from(OWNERS[2:])
count = st.integers(0, 6)


def owned(mark: str) -> dict[str, str]:
    return {"hive": mark} if mark in HIVES else {"lot": mark}


class Pieces(RuleBasedStateMachine):
    """Keeps its own book of pieces by owner, as a list of entries that can be struck out, and compares it."""

    def __init__(self) -> None:
        super().__init__()
        self.records: list[Record] = []
        self.counted: dict[str, dict[str, int]] = {}  # by record id: what it adds to the count of each owner
        self.ended: dict[str, dict[str, int]] = {}

    def write(self, made: Record, counted: dict[str, int], ended: dict[str, int]) -> None:
        self.records.append(made)
        self.counted[made.id], self.ended[made.id] = counted, ended

    @rule(mark=hive, n=count)
    def counts(self, mark: str, n: int) -> None:
        self.write(record(Component, DAY, hive=mark, component="frame", count=n), {mark: n}, {})

    @rule(source=owner, into=lot, n=count)
    def splits(self, source: str, into: str, n: int) -> None:
        if source == into:
            return
        made = record(Split, DAY, target=into, component="frame", count=n, **owned(source))
        self.write(made, {source: -n, into: n}, {})

    @rule(mark=owner, n=count)
    def burns(self, mark: str, n: int) -> None:
        self.write(record(Burn, DAY, component="frame", count=n, **owned(mark)), {}, {mark: n})

    @rule(mark=owner, n=count)
    def is_lost(self, mark: str, n: int) -> None:
        made = record(Loss, DAY, component="frame", count=n, last_seen="shed", **owned(mark))
        self.write(made, {}, {mark: n})

    @rule(mark=owner, n=count)
    def goes_in(self, mark: str, n: int) -> None:
        self.write(record(Hold, DAY, component="frame", count=n, direction="in", **owned(mark)), {}, {mark: n})

    @rule(mark=owner, n=count)
    def is_sent(self, mark: str, n: int) -> None:
        made = record(Treatment, DAY, component="frame", count=n, method="irradiated", consignment="S1", **owned(mark))
        self.write(made, {}, {mark: n})

    @rule(which=st.integers(0, 99))
    def is_withdrawn(self, which: int) -> None:
        if self.records:
            gone = self.records[which % len(self.records)].id
            self.write(record(Withdrawal, DAY, record=gone, reason="written twice"), {}, {})
            self.counted[gone], self.ended[gone] = {}, {}

    @rule(which=st.integers(0, 99), n=count)
    def is_corrected(self, which: int, n: int) -> None:
        burns = [r for r in self.records if isinstance(r, Burn)]
        if burns:
            old = burns[which % len(burns)]
            made = record(Burn, DAY, component="frame", count=n, corrects=old.id, **owned(old.owner))
            self.ended[old.id] = {}
            self.write(made, {}, {old.owner: n})

    @invariant()
    def nothing_is_made_or_lost(self) -> None:
        found = balance(situation_of(self.records), vn.ORROW, HIVES)
        whole = sum(sum(parts.values()) for parts in self.counted.values())
        joined = {line.owner for line in found.lines}
        assert sum(line.counted for line in found.lines) == whole - sum(
            n for parts in self.counted.values() for mark, n in parts.items() if mark not in joined
        )
        for line in found.lines:
            said = sum(parts.get(line.owner, 0) for parts in self.ended.values())
            assert line.burned + line.held + line.certified + line.treated + line.pending + line.lost == said
            assert line.counted == sum(parts.get(line.owner, 0) for parts in self.counted.values())
            assert line.counted == said + line.missing - line.surplus


TestPieces = Pieces.TestCase
TestPieces.settings = settings(max_examples=60, stateful_step_count=25, deadline=None)


def test_a_lot_taken_out_before_the_kill_stays_in_the_balance_of_its_hive():
    rows = [
        record(Component, DAY, hive="K1", component="frame", count=18),
        record(Split, DAY, hive="K1", component="frame", count=9, target="K1-S", place="HS"),
        record(Split, DAY, lot="K1-S", component="frame", count=4, target="S-ALL"),
        record(Burn, DAY, hive="K1", component="frame", count=9),
        record(Burn, DAY, lot="K1-S", component="frame", count=5),
    ]  # fmt: skip
    found = balance(situation_of(rows), vn.ORROW, ("K1",))
    assert {line.owner: (line.counted, line.missing) for line in found.lines} == {
        "K1": (9, 0), "K1-S": (5, 0), "S-ALL": (4, 4)}  # fmt: skip
    gone = record(Loss, DAY, lot="S-ALL", component="frame", count=4, last_seen="hold store, shelf 2, 15 May")
    closed = balance(situation_of([*rows, gone]), vn.ORROW, ("K1",))
    assert closed.closes
    assert "4 named missing" in closed.verdict


def test_more_split_off_than_there_was_does_not_close():
    rows = [
        record(Component, DAY, hive="K1", component="lid", count=1),
        record(Split, DAY, hive="K1", component="lid", count=2, target="L"),
        record(Burn, DAY, lot="L", component="lid", count=2),
    ]
    found = balance(situation_of(rows), vn.ORROW, ("K1",))
    assert {gate.name for gate in found.gates if not gate.met} == {"nothing in surplus", "splits agree"}


def test_the_tags_of_missing_pieces_are_named():
    tags = [f"A07-03-X{n}-{tag_check(f'A07-03-X{n}')}" for n in (1, 2, 3)]
    rows = [
        record(Component, DAY, hive="A07-03", component="box", count=3),
        *(record(Tag, DAY, mark=tag, hive="A07-03", component="box") for tag in tags),
        record(Burn, DAY, hive="A07-03", component="box", count=2, tags=(tags[0], tags[2])),
    ]
    (line,) = balance(situation_of(rows), vn.ORROW, ("A07-03",)).lines
    assert line.missing == 1
    assert line.last_seen.endswith(f"tags not accounted for: {tags[1]}")


@pytest.mark.parametrize("slip", ["A07-04-X1", "A70-03-X1", "A07-03-X2", "A07-03-1X"])
def test_a_misread_tag_is_refused(slip: str):
    good = f"A07-03-X1-{tag_check('A07-03-X1')}"
    assert tag_fits(good)
    assert not check(record(Tag, DAY, mark=good, hive="A07-03", component="box"))
    assert check(record(Tag, DAY, mark=f"{slip}-{good[-1]}", hive="A07-03", component="box"))
