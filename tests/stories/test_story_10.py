"""Story 10: the mass balance of 14 burned hives. 33 boxes + 297 frames + 14 lids + 14 floors + 14 excluders = 372."""

from __future__ import annotations

from collections.abc import Iterable

from tests.stories import vale_night as vn

from ashcomb.plans.balance import Balance, balance
from ashcomb.records.columns import Record

SHORT = {"A07-03": 2, "A07-11": 1}  # three frames that the tally does not show: 294 of 297
FRAMES = {mark: boxes * vn.FRAMES_A_BOX for mark, boxes in vn.BOXES.items()}


def tally(short: dict[str, int]) -> list[Record]:
    found = vn.burned("frame", {mark: count - short.get(mark, 0) for mark, count in FRAMES.items()})
    found += vn.burned("box", vn.BOXES)
    for kind in ("lid", "floor", "excluder"):
        found += vn.burned(kind, dict.fromkeys(vn.MARKS, 1))
    return found


def balanced(records: Iterable[Record]) -> Balance:
    return balance(vn.night(*records), vn.ORROW, vn.MARKS)


def test_every_piece_is_counted():
    result = balanced([])
    numbers = {line.component: line.counted for line in result.totals}
    assert numbers == {"box": 33, "frame": 297, "lid": 14, "floor": 14, "excluder": 14}
    assert sum(numbers.values()) == 372


def test_three_frames_are_missing_with_their_hives():
    result = balanced(tally(SHORT))
    assert result.total("frame").burned == 294
    assert {line.owner: line.missing for line in result.lines if line.missing} == SHORT
    assert not result.closes
    (gate,) = [gate for gate in result.gates if not gate.met]
    assert "2 frames of A07-03 (last seen: counted on Wed 14 May 2031 at A07)" in gate.why
    assert "A07-11" in gate.why


def test_found_in_a_nuc_box_and_burned_closes_it():
    result = balanced([*tally(SHORT), *vn.burned("frame", SHORT, found_in="nuc box by the gate")])
    assert result.missing == 0
    assert result.closes


def test_three_frames_too_many_elsewhere_close_nothing():
    result = balanced([*tally(SHORT), *vn.burned("frame", {"A07-01": 3})])
    assert result.total("frame").burned == 297
    assert not result.closes
    assert {gate.name for gate in result.gates if not gate.met} == {"nothing missing", "nothing in surplus"}


def test_a_feeder_in_the_records_counts_too():
    result = balance(vn.night(*vn.parts(feeders=["A07-05"])[-1:], *tally({})), vn.ORROW, vn.MARKS)
    assert [(line.owner, line.component) for line in result.lines if line.missing] == [("A07-05", "feeder")]
    assert not result.closes
