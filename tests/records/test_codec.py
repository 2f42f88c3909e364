"""Every record kind survives its three forms, and every fault is named; the definitions are whole."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.conftest import Maker

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span, utc_ms
from ashcomb.records.acts import Kill, Notice, Weather
from ashcomb.records.all import KINDS, ORDER
from ashcomb.records.case import Settlement, Withdrawal
from ashcomb.records.codec import build, check, fingerprint, from_json, from_row, to_json, to_row
from ashcomb.records.columns import Column, Kind, Record, Type
from ashcomb.records.looks import Inspection
from ashcomb.records.movements import Move
from ashcomb.records.places import Apiary, Hive
from ashcomb.records.registry import Registry
from ashcomb.records.schema import json_schema, kinds_page
from ashcomb.records.situation import situation_of
from ashcomb.records.state import cases, conflicts, hive_places, kill_states

TEXT = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc"), exclude_characters=";"), min_size=1, max_size=20
)
SPANS = st.builds(lambda a, b: Span(min(a, b), max(a, b)), st.dates(), st.dates())


def _values(column: Column) -> st.SearchStrategy[Any]:
    low, high = column.low, column.high
    found: st.SearchStrategy[Any] = {
        Type.WHOLE: st.integers(int(low or 0), int(high or 10**9)),
        Type.NUMBER: st.floats(low if low is not None else -1e9, high if high is not None else 1e9, allow_nan=False),
        Type.FLAG: st.booleans(), Type.CHOICE: st.sampled_from(column.options or ("",)),
        Type.MARKS: st.lists(TEXT, min_size=1, max_size=4).map(tuple),
        Type.CLOCK: st.times().map(lambda t: f"{t:%H:%M}"),
    }.get(column.type, TEXT)  # fmt: skip
    empty: Any = (
        () if column.type is Type.MARKS else ("" if column.type in (Type.TEXT, Type.MARK, Type.CHOICE) else None)
    )
    return found if column.required else st.one_of(st.just(empty), found)


@st.composite
def records(draw: st.DrawFn) -> Record:
    kind = KINDS[draw(st.sampled_from(ORDER))]
    fields = {name: draw(_values(column)) for name, column in kind.columns.items()}
    evidence = draw(st.sampled_from(("seen", "document", "memory")))
    envelope = {"id": draw(st.uuids(version=4)).hex, "happened": draw(SPANS), "noted": draw(st.integers(0, 1 << 45)),
                "received": 7, "by": draw(TEXT), "evidence": evidence}  # fmt: skip
    return kind.cls(**envelope, **fields)


@given(records())
def test_a_record_survives_row_and_json(record: Record) -> None:
    kind = next(k for k in KINDS.values() if k.cls is type(record))
    assert from_row(kind, to_row(record)) == record
    if not check(record):
        assert from_json(to_json(record), 7) == record


@given(records())
def test_the_fingerprint_forgets_who_noted_it_but_nothing_it_says(record: Record) -> None:
    kind = next(k for k in KINDS.values() if k.cls is type(record))
    twin = kind.cls(**{**_fields(record, kind), "id": "other", "noted": 1, "by": "other", "origin": "other"})
    assert fingerprint(twin) == fingerprint(record)
    later = kind.cls(**{**_fields(record, kind), "happened": Span.parse("1066-10-14")})
    assert fingerprint(later) != fingerprint(record)


def _fields(record: Record, kind: Kind) -> dict[str, Any]:
    names = (*kind.columns, "id", "happened", "noted", "received", "by", "device", "evidence", "corrects", "origin")
    return {name: getattr(record, name) for name in names}


def test_every_kind_is_in_the_order_and_has_words() -> None:
    assert sorted(ORDER) == sorted(KINDS)
    for kind in KINDS.values():
        assert kind.meaning.endswith(".")
        assert all(column.title and column.meaning for column in kind.columns.values())
        assert all(column.options for column in kind.columns.values() if column.type is Type.CHOICE)
        assert {ref for column in kind.columns.values() for ref in column.refers} <= set(KINDS)


def test_headings_of_a_kind_never_mean_two_columns() -> None:
    for kind in KINDS.values():
        words = [word.lower() for column in kind.columns.values() for word in (column.title, *column.also)]
        words += [word.lower() for word in (kind.happened, *kind.happened_also)]
        twice = {word for word in words if words.count(word) > 1}
        assert not twice, (kind.name, twice)


def test_schema_and_page_name_every_column() -> None:
    page = kinds_page()
    for kind in KINDS.values():
        schema = json_schema(kind)
        assert set(kind.columns) <= set(schema["properties"])
        assert all(f"| {column.title} |" in page for column in kind.columns.values())


def test_faults_name_the_column_and_what_to_do(make: Maker) -> None:
    move = make(Move, source="A", target="A", what="bees", count_out=-1, count_in=4)
    columns = {problem.column: problem.what for problem in check(move)}
    assert set(columns) == {"What", "Left", "Arrived", "To"}
    assert all(problem.do for problem in check(move))


def test_a_record_that_lacks_a_required_field_is_refused() -> None:
    with pytest.raises(UserError, match="Give every required field"):
        build(KINDS["hive"], {"mark": "1"}, id="x", happened=Span.parse("2031-01-01"), noted=0, received=0, by="me")


def test_registry_names_unknown_marks_early_days_and_double_use(make: Maker) -> None:
    known = Registry([make(Apiary, "2030-01-01", mark="A1"), make(Hive, "2030-02-01", mark="H1", apiary="A1")])
    assert "already used" in known.faults(make(Apiary, mark="A1"))[0].what
    assert "not a known apiary" in known.faults(make(Hive, mark="H2", apiary="A9"))[0].what
    early = known.faults(make(Hive, "2029-12-31", mark="H2", apiary="A1"))[0]
    assert "before A1 existed" in early.what
    assert early.column == "In use since"
    assert not known.faults(make(Hive, mark="H2", apiary="A1"))
    assert not known.faults(make(Move, source="unknown", target="A1", what="hives"))


def test_a_second_death_needs_a_sign_of_life_in_between(make: Maker) -> None:
    hive, apiary = make(Hive, mark="H1", apiary="A1"), make(Apiary, mark="A1")
    dead = make(Kill, "2031-05-14T22:07", hive="H1", step="dead confirmed")
    known = Registry([apiary, hive, dead])
    again = make(Kill, "2031-05-14T22:30", hive="H1", step="dead confirmed")
    assert "already recorded dead" in known.faults(again)[0].what
    known.add(make(Kill, "2031-05-14T22:15", hive="H1", step="listened: buzzing"))
    assert not known.faults(again)


def test_corrections_and_withdrawals_replace_what_they_name(make: Maker) -> None:
    first = make(Hive, mark="H1", apiary="A1", boxes=2)
    better = make(Hive, mark="H1", apiary="A1", boxes=3, corrects=first.id)
    assert situation_of([first, better]).by_mark(Hive)["H1"].boxes == 3
    assert situation_of([first, make(Withdrawal, record=first.id, reason="no such hive")]).rows(Hive) == ()


def test_dead_and_still_buzzing_is_a_conflict_in_any_order_until_it_is_settled(make: Maker) -> None:
    dead = make(Kill, "2031-05-14T22:07", hive="31", step="dead confirmed", person="A")
    buzz = make(Kill, "2031-05-14T22:09", hive="31", step="listened: buzzing", person="B")
    for order in itertools.permutations([dead, buzz]):
        situation = situation_of(order)
        assert kill_states(situation)["31"].state == "disputed"
        assert [r.id for r in conflicts(situation)[0].records] == [dead.id, buzz.id]
        assert "Which one holds?" in conflicts(situation)[0].question()
    settled = situation_of([dead, buzz, make(Settlement, holds=dead.id, against=(buzz.id,), reason="heard next hive")])
    assert kill_states(settled)["31"].state == "dead confirmed"
    assert not conflicts(settled)
    redosed = make(Kill, "2031-05-14T22:40", hive="31", step="dead confirmed")
    assert kill_states(situation_of([dead, buzz, redosed]))["31"].state == "dead confirmed"


def test_two_corrections_of_one_record_are_a_conflict(make: Maker) -> None:
    first = make(Notice, mark="N1", type="standstill")
    rivals = [make(Notice, mark="N1", type=t, corrects=first.id) for t in ("permit", "zone order")]
    assert len(conflicts(situation_of([first, *rivals]))) == 1


def test_hives_stand_where_the_last_move_that_names_them_took_them(make: Maker) -> None:
    hive = make(Hive, "2030-01-01", mark="H1", apiary="A1")
    away = make(Move, "2030-06-01/2030-07-31", source="A1", target="A2", what="hives", hives=("H1",))
    situation = situation_of([hive, away])
    assert hive_places(situation, Span.parse("2030-07-30").first) == {"H1": "A1"}
    assert hive_places(situation, Span.parse("2030-07-31").first) == {"H1": "A2"}


def test_what_is_still_to_come_is_refused_and_counts_only_when_its_day_has_come(make: Maker) -> None:
    apiary, hive = make(Apiary, "2030-01-01", mark="A1"), make(Hive, "2030-01-01", mark="H1", apiary="A1")
    typo = make(Inspection, "2099-01-01", hive="H1", signs="clinical")
    known = Registry([apiary, hive], Span.parse("2031-05-14").first)
    assert "still to come" in known.faults(typo)[0].what
    assert not known.faults(make(Weather, "2031-05-16T12:00", place="A1", forecast=True))
    moment = utc_ms(datetime(2031, 5, 14, 12, tzinfo=UTC))
    assert situation_of([apiary, hive, typo], moment).rows(Inspection) == ()
    assert cases(situation_of([apiary, hive, typo], moment)) == {}
    later = utc_ms(datetime(2099, 1, 1, tzinfo=UTC))
    assert set(cases(situation_of([apiary, hive, typo], later))) == {"H1"}
