"""The store keeps what it took, refuses change, and finds every kind of tampering."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from pathlib import Path

import apsw
import pytest
from tests.conftest import NOTED, Maker

from ashcomb.kernel.errors import FaultError, UserError
from ashcomb.records.acts import Kill
from ashcomb.records.case import Withdrawal
from ashcomb.records.columns import Record
from ashcomb.records.movements import Move
from ashcomb.records.places import Apiary, Keeper
from ashcomb.store.sqlite import Store, linked_sqlite
from ashcomb.store.verify import verify

LATER = NOTED + 10**9


def salts() -> Callable[[], str]:
    count = itertools.count()
    return lambda: f"{next(count):032x}"


def put(store: Store, records: list[Record], what: str = "test") -> str:
    return store.append(records, at=NOTED, by="EV", what=what, salt=salts()).seal


@pytest.fixture
def store(tmp_path: Path, make: Maker) -> Store:
    store = Store.create(tmp_path / "case.db")
    put(store, [make(Apiary, mark=f"A{n:02d}", name="Ōtara – Łódź") for n in range(3)], "apiaries")
    put(store, [make(Move, "2030-06-01/2030-07-31", source="A00", target="A01", what="hives", count_out=3)], "move")
    put(store, [make(Keeper, mark="K1", name="Ada Crome", phone="555")], "keeper")
    return store


def test_reads_back_what_it_took(store: Store, make: Maker) -> None:
    situation = store.situation(LATER)
    assert [a.mark for a in situation.rows(Apiary)] == ["A00", "A01", "A02"]
    assert str(situation.rows(Move)[0].happened) == "2030-06-01/2030-07-31"
    assert situation.rows(Keeper)[0].name == "Ada Crome"
    assert situation.seal == store.head().seal  # type: ignore[union-attr]
    assert verify(store).faults == ()


def test_a_situation_as_of_an_earlier_moment_knows_only_what_was_received(store: Store, make: Maker) -> None:
    moment = store.situation(LATER).rows(Apiary)[1].received
    assert len(store.situation(moment).rows(Apiary)) == 2


def test_withdrawn_and_corrected_records_hold_no_more_but_stay(store: Store, make: Maker) -> None:
    first = store.situation(LATER).rows(Apiary)[0]
    put(store, [make(Withdrawal, record=first.id, reason="never existed")])
    situation = store.situation(LATER)
    assert first not in situation.rows(Apiary)
    assert len(situation.table(Apiary)) == 3
    assert verify(store).faults == ()


@pytest.mark.parametrize("sql", [
    "UPDATE r_move SET count_out = 9", "DELETE FROM r_move", "UPDATE seal SET by_whom = 'x'", "DELETE FROM seal",
    "INSERT OR REPLACE INTO r_move SELECT * FROM r_move", "INSERT OR IGNORE INTO r_move SELECT * FROM r_move",
    "REPLACE INTO seal SELECT * FROM seal",
])  # fmt: skip
def test_the_database_itself_refuses_change(store: Store, sql: str) -> None:
    other = apsw.Connection(str(store.path))  # any program that opens the file, without our settings
    with pytest.raises(apsw.ConstraintError, match="append-only"):
        other.execute(sql)
    other.close()
    assert verify(store).faults == ()


TAMPER = {
    "altered": "UPDATE r_move SET count_out = 9",
    "altered hash too": "UPDATE r_move SET count_out = 9, chain_leaf = 'f' || substr(chain_leaf, 2)",
    "removed": "DELETE FROM r_apiary WHERE chain_pos = 1",
    "put in": "INSERT INTO r_apiary SELECT chain_n, 7, chain_leaf, id || 'x', day_first, day_last, minute, noted,"
    " received, by_whom, device, evidence, corrects, origin, lat, lon, x_km, y_km, error_m, access, mark, name, keeper,"
    " state, landowner, landowner_phone, curfew FROM r_apiary WHERE chain_pos = 0",
    "swapped": "UPDATE r_apiary SET chain_pos = CASE chain_pos WHEN 0 THEN 10 WHEN 1 THEN 11 ELSE chain_pos END;"
    "UPDATE r_apiary SET chain_pos = CASE chain_pos WHEN 10 THEN 1 WHEN 11 THEN 0 ELSE chain_pos END",
    "unreadable": "UPDATE r_move SET day_first = 99999",
    "seal removed": "DELETE FROM r_move; DELETE FROM seal WHERE n = 2",
    "seal altered": "UPDATE seal SET by_whom = 'somebody'",
    "personal value": "UPDATE personal SET value = 'Eve' WHERE field = 'name'",
}


@pytest.mark.parametrize("sql", TAMPER.values(), ids=TAMPER.keys())
def test_tampering_is_found(store: Store, sql: str) -> None:
    other = apsw.Connection(str(store.path))
    for (name,) in other.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        other.execute(f'DROP TRIGGER "{name}"')
    other.pragma("foreign_keys", False)
    other.execute(sql)
    other.close()
    assert verify(store).faults != ()


def test_a_chain_cut_at_its_end_is_found_by_a_seal_printed_on_a_paper(store: Store) -> None:
    printed = store.head()
    assert printed is not None
    other = apsw.Connection(str(store.path))
    for (name,) in other.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
        other.execute(f'DROP TRIGGER "{name}"')
    other.execute("DELETE FROM personal; DELETE FROM r_keeper; DELETE FROM seal WHERE n = 3")
    other.close()
    assert verify(store).faults == ()  # the chain alone cannot know
    assert "not in this chain" in verify(store, printed.short).faults[0]


def test_redaction_of_a_personal_value_leaves_the_chain_valid(store: Store) -> None:
    other = apsw.Connection(str(store.path))
    other.execute("DELETE FROM personal")
    other.close()
    assert verify(store).faults == ()
    assert store.situation(LATER).rows(Keeper)[0].name == "(redacted)"


def test_an_id_that_is_there_already_is_refused_and_nothing_of_the_step_is_kept(store: Store, make: Maker) -> None:
    again = store.situation(LATER).rows(Apiary)[0]
    before = store.head()
    with pytest.raises(FaultError, match="there already"):
        put(store, [make(Apiary, mark="A99"), again])
    assert store.head() == before
    assert len(store.situation(LATER).rows(Apiary)) == 3


def test_backup_while_another_connection_writes(store: Store, tmp_path: Path, make: Maker) -> None:
    writer = Store.open(store.path, write=True)
    for n in range(20):
        put(writer, [make(Kill, "2031-05-14T21:42", hive="A07-01", step="dosed", amount_ml=250.0)])
        if n == 10:
            store.backup(tmp_path / "backup.db")
    copy = Store.open(tmp_path / "backup.db")
    assert verify(copy).faults == ()
    assert len(copy.situation(LATER).rows(Kill)) == 11
    with pytest.raises(UserError, match="exists already"):
        store.backup(tmp_path / "backup.db")


def test_two_writers_never_build_on_the_same_head(store: Store, make: Maker) -> None:
    other = Store.open(store.path, write=True)
    for _ in range(5):
        put(store, [make(Kill, hive="a", step="sealed")])
        put(other, [make(Kill, hive="b", step="sealed")])
    assert [seal.n for seal in store.seals()] == list(range(1, 14))
    assert verify(other).faults == ()


def test_files_that_are_no_store(tmp_path: Path, store: Store) -> None:
    with pytest.raises(UserError, match="no case here"):
        Store.open(tmp_path / "nothing.db")
    (tmp_path / "text.db").write_text("hello " * 1000)
    with pytest.raises(FaultError, match="damaged"):
        Store.open(tmp_path / "text.db")
    apsw.Connection(str(tmp_path / "other.db")).execute("CREATE TABLE t(x)")
    with pytest.raises(FaultError, match="no case store"):
        Store.open(tmp_path / "other.db")
    with pytest.raises(UserError, match="already"):
        Store.create(store.path)


def test_a_half_written_file_is_reported(tmp_path: Path, store: Store) -> None:
    store.backup(tmp_path / "whole.db")
    whole = (tmp_path / "whole.db").read_bytes()
    (tmp_path / "half.db").write_bytes(whole[: len(whole) // 2])
    with pytest.raises(FaultError, match="damaged"), Store.open(tmp_path / "half.db") as half:
        assert verify(half).faults == ()


def test_a_newer_store_is_left_alone(store: Store) -> None:
    other = apsw.Connection(str(store.path))
    other.pragma("user_version", 99)
    other.close()
    with pytest.raises(UserError, match="newer version"):
        Store.open(store.path)


def test_a_store_of_a_trial_version_is_named(store: Store) -> None:
    other = apsw.Connection(str(store.path))
    other.pragma("user_version", 1)
    other.close()
    with pytest.raises(UserError, match="trial version"):
        Store.open(store.path)


def test_an_older_store_grows_and_keeps_its_seals(store: Store, make: Maker) -> None:
    put(store, [make(Kill, "2031-05-14T21:42", hive="A07-01", step="dosed", amount_ml=250.0)])
    store.close()
    other = apsw.Connection(str(store.path))
    other.execute('DROP TABLE "r_crew"')
    other.execute('ALTER TABLE "r_kill" DROP COLUMN "person"')
    other.execute('ALTER TABLE "r_move" DROP COLUMN "note"')
    other.close()
    with Store.open(store.path, write=True) as grown:
        assert verify(grown).faults == ()
        assert grown.situation(LATER).rows(Kill)[0].person == ""
        put(grown, [make(Kill, "2031-05-14T21:59", hive="A07-01", step="listened: quiet", person="IV")])
        assert grown.situation(LATER).rows(Kill)[1].person == "IV"
        assert verify(grown).faults == ()


def test_the_linked_sqlite_is_free_of_the_wal_reset_defect() -> None:
    # SQLite 3.7.0 to 3.51.2 are affected (sqlite.org/wal.html, "WAL-reset bug"); the *linked* version counts.
    assert tuple(map(int, linked_sqlite().split("."))) >= (3, 51, 3)


def test_full_durability_is_on(store: Store) -> None:
    assert store._db.pragma("synchronous") == 2
    assert store._db.pragma("journal_mode") == "wal"
    assert store._db.pragma("foreign_keys") == 1
