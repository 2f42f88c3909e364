"""The trace of Orrow Vale (invented), and each ruling of the trace by a case small enough to see."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from fractions import Fraction

import pytest
from tests.outbreak.networks import columns
from tests.stories.vale import MOVES, record
from verification.trace_twin import Move as Plain
from verification.trace_twin import World

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_number
from ashcomb.outbreak.contacts import Beyond, Start, Trace, trace_back, trace_forward
from ashcomb.outbreak.grading import Entry
from ashcomb.outbreak.transfers import EVIDENCE
from ashcomb.plans.trace_columns import Columns, columns_of
from ashcomb.records.movements import Cleaning, ExtractionLot, Move
from ashcomb.records.places import Premises
from ashcomb.records.situation import situation_of


def day(text: str) -> int:
    return day_number(date.fromisoformat(text))


INFECTIOUS = day("2030-04-10")


def vale(*more) -> Columns:
    moves = [
        record(Move, when, mark=mark, source=source, target=target, what=what, lot=lot, evidence=evidence)
        for mark, when, source, target, what, lot, evidence in MOVES
    ]
    house = record(Premises, "2025-03-01", mark="HH", type="honey house")
    return columns_of(situation_of([house, *moves, *more]))


def names(register: Columns, moves: Iterable[int]) -> tuple[str, ...]:
    return tuple(register.shifts[move].mark for move in moves)


def chains(register: Columns, entries: tuple[Entry, ...]) -> dict[str, str]:
    return {register.transfers.marks[e.number]: "→".join(names(register, e.best.moves)) for e in entries}


def entry(register: Columns, trace: Trace, mark: str) -> Entry:
    return next(e for e in trace.places if e.number == register.place[mark])


def test_forward_from_the_index_apiary():
    register = vale()
    trace = trace_forward(register.transfers, [Start(register.place["A07"], INFECTIOUS)])
    assert chains(register, trace.places) == {
        "HH": "m1", "A15": "m1→m2", "A03": "m1→m3", "A20": "m1→m2→m4", "A19": "m5", "H01": "m5→m7", "A09": "m11",
    }  # fmt: skip
    assert trace.carry_over == ()
    grades = {register.transfers.marks[e.number]: (e.best.evidence_word, e.best.order) for e in trace.places}
    assert grades.pop("A09") == ("memory", "certain")
    assert set(grades.values()) == {("document", "certain")}
    assert entry(register, trace, "A09").first_day == day("2030-06-01")
    assert entry(register, trace, "A09").last_day == day("2030-07-31")


@pytest.mark.parametrize("until", ["2030-04-10", "2031-05-06"])
def test_back_from_the_index_apiary(until: str):
    register = vale()
    trace = trace_back(register.transfers, [Start(register.place["A07"], day(until))])
    assert chains(register, trace.places) == {"A26": "m8", "D1": "m9→m8"}
    assert entry(register, trace, "D1").first_day == entry(register, trace, "D1").last_day == day("2030-03-02")


def test_the_window_bounds_every_move_and_what_goes_on_is_named():
    register = vale()
    start = [Start(register.place["A07"], day("2031-05-06"))]
    within = trace_back(register.transfers, start, day("2030-04-01"))
    assert chains(register, within.places) == {"A26": "m8"}
    assert [(names(register, [b.move]), register.transfers.marks[b.place]) for b in within.beyond] == [(("m9",), "D1")]
    assert [names(register, [b.move]) for b in trace_back(register.transfers, start, day("2030-05-06")).beyond] == [
        ("m8",)
    ]
    ahead = trace_forward(register.transfers, [Start(register.place["A07"], INFECTIOUS)], day("2030-08-31"))
    assert set(chains(register, ahead.places)) == {"HH", "A15", "A03", "A19", "A09"}
    assert {names(register, [b.move])[0] for b in ahead.beyond} == {"m4", "m7"}


def test_the_shed_may_have_carried_it_to_another_lot():
    more = [
        record(Move, "2030-08-21", mark="m20", source="A11", target="HH", what="wet supers", lot="L2"),
        record(Move, "2030-08-25", mark="m21", source="HH", target="A12", what="wet supers", lot="L2"),
        record(Move, "2030-09-02", mark="m22", source="HH", target="A28", what="wet supers", lot="L3"),
    ]
    register = vale(*more)
    start = [Start(register.place["A07"], INFECTIOUS)]
    trace = trace_forward(register.transfers, start)
    assert not {"A12", "A28"} & set(chains(register, trace.places))
    possible = chains(register, trace.carry_over)
    assert set(possible) == {"A12", "A28"}
    assert possible["A28"] == "m1→m22"

    cleaned = vale(*more, record(Cleaning, "2030-08-30", place="HH", method="steam"))
    assert set(chains(cleaned, trace_forward(cleaned.transfers, start).carry_over)) == {"A12"}
    same_day = vale(*more, record(Cleaning, "2030-09-02", place="HH", method="steam"))
    assert set(chains(same_day, trace_forward(same_day.transfers, start).carry_over)) == {"A12", "A28"}
    within = vale(*more, record(Cleaning, "2030-08-26/2030-08-30", place="HH", method="steam"))
    assert set(chains(within, trace_forward(within.transfers, start).carry_over)) == {"A12"}
    # cleaned perhaps on the 23rd: then L2, touched on the 21st, soiled the shed again when it left on the 25th
    unsure = vale(*more, record(Cleaning, "2030-08-23/2030-08-30", place="HH", method="steam"))
    assert set(chains(unsure, trace_forward(unsure.transfers, start).carry_over)) == {"A12", "A28"}


def test_a_move_that_names_no_lot_is_taken_by_place():
    more = record(Move, "2030-08-25", mark="m20", source="HH", target="A12", what="wet supers")
    register = vale(more)
    trace = trace_forward(register.transfers, [Start(register.place["A07"], INFECTIOUS)])
    assert chains(register, trace.places)["A12"] == "m1→m20"


def test_a_lot_record_stands_for_a_move_that_nobody_wrote_down():
    more = [
        record(ExtractionLot, "2030-08-24", mark="L9", house="HH", apiaries=("A07",)),
        record(Move, "2030-08-26", mark="m20", source="HH", target="A12", what="wet supers", lot="L9"),
    ]
    register = vale(*more)
    trace = trace_forward(register.transfers, [Start(register.place["A07"], INFECTIOUS)])
    assert chains(register, trace.places)["A12"] == "lot L9→m20"


def small(*moves: Plain, start_day: int = 0) -> Trace:
    data = columns(World(moves))
    return trace_forward(data.transfers, [Start(data.places.index("A"), start_day)])


@pytest.mark.parametrize(
    ("came", "left", "order"),
    [
        (None, None, "tie"),
        (600, None, "tie"),  # one blank hour is possible
        (None, 600, "tie"),
        (600, 600, "tie"),
        (540, 600, "certain"),
        (600, 540, None),  # both hours known and they exclude it
    ],
)
def test_moves_of_one_day(came: int | None, left: int | None, order: str | None):
    trace = small(Plain(0, "A", "B", 5, 5, came), Plain(1, "B", "C", 5, 5, left))
    assert [e.best.order for e in trace.places if e.number == 2] == ([order] if order else [])


def test_hours_bind_across_a_move_without_hour():
    # 10:00, then no hour, then 09:00: each neighbouring pair could be, the three together cannot
    trace = small(Plain(0, "A", "B", 5, 5, 600), Plain(1, "B", "C", 5, 5), Plain(2, "C", "D", 5, 5, 540))
    assert [e.number for e in trace.places] == [1, 2]


def test_the_start_day_counts_and_the_day_before_does_not():
    assert [e.best.order for e in small(Plain(0, "A", "B", 5, 5), start_day=5).places] == ["certain"]
    assert small(Plain(0, "A", "B", 4, 4), start_day=5).places == ()


def test_share_of_an_interval():
    # By hand: 1 June to 31 July has 61 days, of which 31 are in July
    june, july = day("2030-06-01"), day("2030-07-31")
    found = small(Plain(0, "A", "B", june, july, evidence=2), start_day=day("2030-07-01")).places[0]
    assert (found.best.order, found.best.share) == ("share", Fraction(31, 61))


def test_best_by_evidence_and_best_by_order_are_both_shown():
    trace = small(Plain(0, "A", "B", 0, 9, evidence=0), Plain(1, "A", "B", 8, 8, evidence=2), start_day=8)
    first, second = trace.places[0].chains
    assert (first.moves, EVIDENCE[first.evidence], first.share) == ((0,), "seen", Fraction(1, 5))
    assert (second.moves, EVIDENCE[second.evidence], second.order) == ((1,), "memory", "certain")


def test_named_hives_make_a_narrower_list_beside():
    moved = (
        Plain(0, "A", "B", 1, 1, left=frozenset({"a1"}), got=frozenset({"a1"})),
        Plain(1, "B", "C", 2, 2, left=frozenset({"b1"}), got=frozenset({"b1"})),
        Plain(2, "B", "D", 3, 3, left=frozenset({"a1"}), got=frozenset({"a1"})),
    )
    data = columns(World(moved))
    trace = trace_forward(data.transfers, [Start(0, 0)])
    assert [data.places[e.number] for e in trace.places] == ["B", "C", "D"]
    assert trace.hive_places is not None
    assert trace.hives is not None
    assert [data.places[e.number] for e in trace.hive_places] == ["B", "D"]
    assert [data.hives[e.number] for e in trace.hives] == ["a1"]


def test_a_hive_that_leaves_a_place_it_never_came_to_is_not_lost():
    stray = Plain(0, "B", "C", 5, 5, left=frozenset({"a1"}), got=frozenset({"a1"}))
    data = columns(World((stray,)), "A")
    trace = trace_forward(data.transfers, [Start(0, 0, hives=(0,))])
    assert trace.places == ()
    assert [data.places[e.number] for e in trace.unexplained] == ["C"]


def test_hives_given_to_are_known_by_where_they_stand():
    from ashcomb.records.places import Hive

    more = [record(Hive, "2029-01-01", mark=mark, apiary="A19") for mark in ("190", "191")]
    frames = record(Move, "2030-07-01", mark="f", source="A07", target="A19", what="brood frames", hives=("190",))
    gone = [
        record(Move, "2030-09-01", mark=f"n{hive}", source="A19", target=to, what="hives", hives=(hive,))
        for hive, to in (("190", "A12"), ("191", "A11"))
    ]
    register = columns_of(situation_of([*more, frames, *gone]))
    trace = trace_forward(register.transfers, [Start(register.place["A07"], INFECTIOUS)])
    assert set(chains(register, trace.places)) == {"A19", "A11", "A12"}
    assert set(chains(register, trace.hive_places or ())) == {"A19", "A12"}
    assert {register.hives[e.number] for e in trace.hives or ()} == {"190"}


def test_several_starts_and_no_moves():
    data = columns(World((Plain(0, "A", "C", 5, 5), Plain(1, "B", "D", 5, 5))))
    trace = trace_forward(data.transfers, [Start(0, 4), Start(1, 6)])
    assert [data.places[e.number] for e in trace.places] == ["C"]
    empty = columns(World(()), "A")
    assert trace_forward(empty.transfers, [Start(0, 0)]).places == ()
    assert trace_back(empty.transfers, [Start(0, 0)], -5).beyond == ()


def test_columns_that_do_not_fit_are_refused():
    with pytest.raises(UserError):
        columns(World((Plain(0, "A", "B", 5, 4),)))
    assert Beyond(1, 2).place == 2
