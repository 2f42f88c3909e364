"""Story 3: eleven moves, forward and back from A07 infectious since 10 April 2030, each entry with its chain."""

from __future__ import annotations

from tests.stories.vale import vale

from ashcomb.plans.trace import trace

PLAN = trace(vale())
AHEAD = {place.mark: place for place in PLAN.forward.places}
BEHIND = {place.mark: place for place in PLAN.back.places}


def test_forward():
    assert set(AHEAD) == {"HH", "A15", "A03", "A20", "A19", "H01", "A09"}
    assert "A22" not in AHEAD  # its hives left A19 before the frames came
    assert PLAN.forward.carry_over == ()


def test_back():
    assert set(BEHIND) == {"A26", "D1"}
    assert "A28" not in BEHIND  # its hive came to A26 after A26 had sent hives on


def test_each_entry_shows_its_chain():
    assert {mark: place.chain for mark, place in AHEAD.items()} == {
        "HH": "m1", "A03": "m1→m3", "A15": "m1→m2", "A20": "m1→m2→m4", "A19": "m5", "H01": "m5→m7", "A09": "m11",
    }  # fmt: skip
    assert {mark: place.chain for mark, place in BEHIND.items()} == {"A26": "m8", "D1": "m9→m8"}
    assert AHEAD["H01"].words.startswith("H01 (AC): m5→m7, Tue 10 Sep 2030;")


def test_a09_is_graded_as_memory_and_asked_about():
    assert AHEAD["A09"].evidence == "memory"
    assert {place.evidence for mark, place in AHEAD.items() if mark != "A09"} == {"document"}
    assert "m11 is told from memory: is there a paper, or somebody who saw it?" in PLAN.ask
