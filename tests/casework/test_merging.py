"""Two phones, any order of merging, conflicts shown and settled by a named person; hand-over files that were hurt."""

from __future__ import annotations

import itertools
import json
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from tests.conftest import Maker

from ashcomb.casework.case import Case, new_case, open_case
from ashcomb.casework.hand import Hand
from ashcomb.casework.keeping import back_up, restore, verify_case
from ashcomb.casework.merging import hand_over, merge, settle, settle_by_record, write_handover
from ashcomb.kernel.errors import FaultError, UserError
from ashcomb.kernel.time import Span
from ashcomb.records.acts import Kill
from ashcomb.records.places import Hive
from ashcomb.records.state import conflicts, kill_states

START = round(datetime(2031, 5, 14, 15, tzinfo=UTC).timestamp() * 1000)


def hand(name: str = "NV", device: str = "office", shift: timedelta = timedelta()) -> Hand:
    ticks = itertools.count(START + round(shift.total_seconds() * 1000))
    return Hand(name, device, lambda: next(ticks))


@pytest.fixture
def case(tmp_path: Path) -> Iterator[Case]:
    head = {"mark": "T-1", "timezone": "Etc/GMT-5", "profile": "orrow-vale", "index": "A07"}
    with new_case(tmp_path / "case", hand(), **head) as case:
        case.record("apiary", Span.parse("2029-04-01"), mark="A07")
        case.record("hive", Span.parse("2029-04-01"), mark="31", apiary="A07")
        yield case


@pytest.fixture
def phones(tmp_path: Path, make: Maker) -> tuple[Path, Path]:
    a = make(Kill, "2031-05-14T22:07", hive="31", step="dead confirmed", by="A", device="phone A")
    b = make(Kill, "2031-05-14T22:09", hive="31", step="listened: buzzing", by="B", device="phone B")
    for name, record in (("a", a), ("b", b)):
        write_handover([record], tmp_path / f"{name}.jsonl", f"phone {name}")
    return tmp_path / "a.jsonl", tmp_path / "b.jsonl"


def _copy(case: Case, folder: Path) -> Case:
    back_up(case, folder.with_suffix(".db"))
    restore(folder.with_suffix(".db"), folder)
    return open_case(folder, hand(), write=True)


def test_the_order_of_merging_changes_nothing(case: Case, phones: tuple[Path, Path], tmp_path: Path) -> None:
    outcomes = []
    for number, order in enumerate([phones, phones[::-1]]):
        twin = _copy(case, tmp_path / f"twin{number}")
        for file in order:
            result = merge(twin, [file])
        outcomes.append((kill_states(twin.situation()), [c.question() for c in result.conflicts]))
        assert verify_case(twin).faults == ()
    assert [state["31"].state for state, _ in outcomes] == ["disputed", "disputed"]
    assert outcomes[0][1] == outcomes[1][1] != []
    assert "22:07" in outcomes[0][1][0]
    assert "22:09" in outcomes[0][1][0]


def test_merging_twice_takes_nothing_more(case: Case, phones: tuple[Path, Path]) -> None:
    assert merge(case, phones).taken == 2
    before = case.store.head()
    again = merge(case, phones)
    assert (again.taken, again.already_there) == (0, 2)
    assert case.store.head() == before


def test_a_named_person_settles(case: Case, phones: tuple[Path, Path]) -> None:
    conflict = merge(case, phones).conflicts[0]
    with pytest.raises(UserError, match="naming the record"):
        settle(case, conflict, "no such record", "because")
    settle_by_record(case, conflict.records[0].id, "B had listened at hive 32")
    assert not conflicts(case.situation())
    assert kill_states(case.situation())["31"].state == "dead confirmed"
    with pytest.raises(UserError, match="no open conflict"):
        settle_by_record(case, conflict.records[0].id, "again")


def test_the_same_id_with_other_words_is_refused_and_named(case: Case, phones: tuple[Path, Path]) -> None:
    merge(case, phones)
    lines = phones[0].read_text("utf-8").splitlines()
    body = json.loads(lines[1])
    body["step"] = "sealed"
    phones[0].write_text("\n".join([lines[0], json.dumps(body)]), "utf-8")
    result = merge(case, phones)
    assert result.taken == 0
    assert "says something else" in result.problems[0].what
    assert result.problems[0].row == 2


def test_a_hurt_line_is_named_and_the_others_are_taken(case: Case, phones: tuple[Path, Path]) -> None:
    lines = phones[0].read_text("utf-8").splitlines()
    whole = phones[1].read_text("utf-8").splitlines()[1]
    bad = ["{half", '{"kind": "kill"}', '{"kind": "ghost"}', "[1]", lines[1].replace("dead confirmed", "asleep")]
    phones[0].write_text("\n".join([lines[0], *bad, whole]), "utf-8")
    result = merge(case, [phones[0]])
    assert result.taken == 1
    assert sorted({problem.row for problem in result.problems}) == [2, 3, 4, 5, 6]


@pytest.mark.parametrize("text", ["", "not json", '{"format": "other"}', "[]"])
def test_what_is_no_handover_file_is_refused(case: Case, tmp_path: Path, text: str) -> None:
    (tmp_path / "x").write_text(text)
    with pytest.raises(UserError, match="no hand-over file"):
        merge(case, [tmp_path / "x"])


def test_hand_over_and_merge_carry_a_whole_case(case: Case, tmp_path: Path) -> None:
    count = hand_over(case, tmp_path / "all.jsonl")
    with new_case(tmp_path / "other", hand("B", "b"), mark="T-2", timezone="Etc/GMT-5", profile="nz") as other:
        assert merge(other, [tmp_path / "all.jsonl"]).taken == count


def test_a_clock_far_behind_hides_no_record(case: Case) -> None:
    case.hand = hand(shift=timedelta(days=-3650))
    case.record("hive", Span.parse("2029-04-01"), mark="32", apiary="A07")
    assert len(case.situation().table(Kill)) == 0
    assert set(case.situation().by_mark(Hive)) == {"31", "32"}


def test_a_restore_never_overwrites_and_a_hurt_backup_is_refused(case: Case, tmp_path: Path) -> None:
    done = back_up(case, tmp_path)
    assert done.verification.faults == ()
    with pytest.raises(UserError, match="never overwrites"):
        restore(done.file, case.folder)
    data = done.file.read_bytes()
    done.file.write_bytes(data[: len(data) // 3])
    with pytest.raises(FaultError):
        restore(done.file, tmp_path / "new")
    assert not (tmp_path / "new" / "case.db").exists()
