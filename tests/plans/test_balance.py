"""Mass balance: laws that hold for any records, and the ways in which a case stays open."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.stories import vale_night as vn
from tests.stories.vale import record

from ashcomb.kernel.errors import UserError
from ashcomb.plans.balance import Balance, balance
from ashcomb.records.acts import Burn, Certificate, Consignment, Treatment
from ashcomb.records.case import Withdrawal
from ashcomb.records.columns import Record
from ashcomb.records.movements import Move
from ashcomb.records.places import Component, Hive
from ashcomb.records.situation import situation_of
from ashcomb.records.storage import Hold

HIVES, DAY = ("K1", "K2"), "2031-05-14"
KINDS = ("box", "frame", "feeder")
small = st.integers(0, 12)
piece = {"hive": st.sampled_from(HIVES), "component": st.sampled_from(KINDS), "count": small}
acts = st.one_of(
    st.fixed_dictionaries({"kind": st.just(Component), **piece}),
    st.fixed_dictionaries({"kind": st.just(Burn), **piece}),
    st.fixed_dictionaries({"kind": st.just(Hold), "direction": st.sampled_from(["in", "out"]), **piece}),
    st.fixed_dictionaries(
        {"kind": st.just(Treatment), "method": st.sampled_from(["irradiated", "wax dipped"]), **piece}
    ),
)


def made(given_: dict[str, Any], day: str = DAY, **more: Any) -> Record:
    fields = {name: value for name, value in given_.items() if name != "kind"}
    result: Record = record(given_["kind"], day, **fields, **more)
    return result


def balanced(*records: Record) -> Balance:
    hives = [record(Hive, "2030-03-01", mark=mark, apiary="A07") for mark in HIVES]
    return balance(situation_of([*hives, *records]), vn.ORROW, HIVES)


def parts(**counts: int) -> list[Record]:
    return [record(Component, DAY, hive=h, component=c, count=n) for h in HIVES for c, n in counts.items()]


def unmet(result: Balance) -> set[str]:
    return {gate.name for gate in result.gates if not gate.met}


@given(st.lists(acts, max_size=25))
def test_no_piece_appears_or_vanishes(given_: list[dict[str, Any]]):
    result = balanced(*[made(act) for act in given_])
    for line in result.lines:
        found = line.burned + line.held + line.certified + line.treated + line.pending
        assert line.counted == found + line.missing - line.surplus
        assert min(line.missing, line.surplus) == 0
        rows = [a for a in given_ if (a["hive"], a["component"]) == (line.owner, line.component)]
        assert line.counted == sum(a["count"] for a in rows if a["kind"] is Component)
        assert line.burned == sum(a["count"] for a in rows if a["kind"] is Burn)
    assert result.missing == sum(line.missing for line in result.lines)
    if result.closes:
        assert all(line.counted == line.burned + line.certified + line.treated for line in result.lines)


@given(st.lists(acts, max_size=12), st.integers(0, 11), small)
def test_a_correction_counts_once_and_a_withdrawal_not_at_all(given_: list[dict[str, Any]], which: int, count: int):
    acts_, which = [made(act) for act in given_], which % max(1, len(given_))
    if not acts_:
        return
    old = acts_[which]
    corrected = made({**given_[which], "count": count}, corrects=old.id)
    instead = balanced(*acts_[:which], corrected, *acts_[which + 1 :])
    assert balanced(*acts_, corrected).lines == instead.lines
    withdrawn = balanced(*acts_, record(Withdrawal, DAY, record=old.id, reason="never happened"))
    assert withdrawn.lines == balanced(*acts_[:which], *acts_[which + 1 :]).lines


@given(st.lists(acts, max_size=12), st.randoms())
def test_the_order_of_records_changes_nothing(given_: list[dict[str, Any]], random: Any):
    acts_ = [made(act) for act in given_]
    shuffled = random.sample(acts_, len(acts_))
    assert balanced(*acts_) == balanced(*shuffled)


def test_surplus_in_one_hive_does_not_close_a_loss_in_another():
    burned = [
        record(Burn, DAY, hive="K1", component="frame", count=9),
        record(Burn, DAY, hive="K2", component="frame", count=11),
    ]
    result = balanced(*parts(frame=10), *burned)
    assert result.missing == 1
    assert unmet(result) == {"nothing missing", "nothing in surplus"}


def test_surplus_of_one_kind_does_not_close_a_loss_of_another():
    burned = [record(Burn, DAY, hive=h, component=c, count=n) for h in HIVES for c, n in (("box", 3), ("frame", 9))]
    assert balanced(*parts(box=2, frame=10), *burned).missing == 2


def test_held_pieces_are_not_missing_and_keep_the_case_open():
    result = balanced(
        *parts(box=2), *[record(Hold, DAY, hive=h, component="box", count=2, direction="in") for h in HIVES]
    )
    assert result.missing == 0
    assert unmet(result) == {"nothing in the store"}


def test_out_of_the_store_and_burned_closes():
    steps = [record(Hold, DAY, hive=h, component="box", count=2, direction=way) for h in HIVES for way in ("in", "out")]
    result = balanced(*parts(box=2), *steps, *[record(Burn, DAY, hive=h, component="box", count=2) for h in HIVES])
    assert result.closes


def test_out_of_the_store_to_nowhere_is_missing_and_says_where_it_was_last():
    into = record(Hold, "2031-05-15", hive="K1", component="box", count=2, direction="in", store="S1")
    out = record(
        Hold, "2031-05-20", hive="K1", component="box", count=2, direction="out", store="S1", purpose="to the pit"
    )
    result = balanced(*parts(box=2), into, out, record(Burn, DAY, hive="K2", component="box", count=2))
    (line,) = [line for line in result.lines if line.missing]
    assert line.last_seen == "2 out of store S1 on Tue 20 May 2031 (to the pit)"


def test_more_out_of_the_store_than_in_is_a_fault():
    out = record(Hold, DAY, hive="K1", component="box", count=1, direction="out")
    assert "store book agrees" in unmet(balanced(*parts(box=1), out))


def test_a_hive_that_moved_after_the_count_is_last_seen_there():
    move = record(Move, "2031-05-18", source="A07", target="A09", what="hives", hives=("K1",))
    (line,) = [x for x in balanced(*parts(box=1), move).lines if x.owner == "K1"]
    assert line.last_seen == "hive moved to A09 on Sun 18 May 2031"


def test_a_hive_without_parts_list_keeps_the_case_open():
    one = [
        record(Component, DAY, hive="K1", component="lid", count=1),
        record(Burn, DAY, hive="K1", component="lid", count=1),
    ]
    result = balanced(*one)
    assert unmet(result) == {"every hive counted"}
    assert "K2" in result.gates[0].why


def test_counting_again_loses_no_piece():
    again = record(Component, "2031-05-16", hive="K1", component="frame", count=9)
    burned = [
        record(Burn, DAY, hive="K1", component="frame", count=9),
        record(Burn, DAY, hive="K2", component="frame", count=10),
    ]
    result = balanced(*parts(frame=10), again, *burned)
    assert result.missing == 1
    assert unmet(result) == {"nothing missing", "counts agree"}


def test_irradiated_pieces_close_only_under_a_certificate_that_meets_the_profile():
    sent = record(Consignment, DAY, mark="S1", lot="1", boxes=4, units=2)
    dose = [
        record(Treatment, DAY, hive=h, component="box", count=2, method="irradiated", consignment="S1") for h in HIVES
    ]
    waiting = balanced(*parts(box=2), sent, *dose)
    assert unmet(waiting) == {"nothing waiting for proof"}

    def paper(kilogray: float) -> Record:
        made_: Record = record(Certificate, DAY, consignment="S1", lot="1", units_received=2, units_returned=2,
                               min_dose_kgy=kilogray, signed="Plant")  # fmt: skip
        return made_

    assert balanced(*parts(box=2), sent, *dose, paper(15.0)).closes
    assert unmet(balanced(*parts(box=2), sent, *dose, paper(14.9))) == {"nothing waiting for proof"}


def test_more_boxes_listed_than_sent_is_a_fault():
    sent = record(Consignment, DAY, mark="S1", lot="1", boxes=3, units=2)
    dose = [
        record(Treatment, DAY, hive=h, component="box", count=2, method="irradiated", consignment="S1") for h in HIVES
    ]
    assert "sendings agree" in unmet(balanced(*parts(box=2), sent, *dose))


def test_an_accepted_dip_closes_and_a_cool_one_does_not():
    def dips(log: str) -> list[Record]:
        return [
            record(Treatment, DAY, hive=h, component="box", count=2, method="wax dipped", as_written=log) for h in HIVES
        ]

    assert balanced(*parts(box=2), *dips("160 °C, 10 min")).closes
    assert not balanced(*parts(box=2), *dips("302 °F, 10 min")).closes


def test_a_balance_of_nothing_is_refused():
    with pytest.raises(UserError):
        balance(situation_of([]), vn.ORROW, ())
