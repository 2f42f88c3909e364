"""Story 7: "Are we free?" at A03, answered with the confidence and with what would raise it."""

from __future__ import annotations

from tests.stories.vale import profile

from ashcomb.plans.freedom import freedom
from ashcomb.science.exact import percent

PLAN = freedom(profile("invented"), hives=40, inspected=30, design=2, sensitivity=0.85)


def test_thirty_of_forty():
    assert percent(PLAN.confidence) == "87.2 %"
    assert not PLAN.reached


def test_the_least_number_and_all_of_them():
    assert PLAN.least.number == 37
    assert percent(PLAN.least.confidence) == "95.6 %"
    assert percent(PLAN.all_hives) == "97.8 %"


def test_the_answer_in_words():
    assert PLAN.answer[0].startswith("Nobody can say yes. 30 of 40 hives")
    assert "87.2 %" in PLAN.answer[0]
    assert "Look at 7 more hives, 37 in all: 95.6 %." in PLAN.raise_it
    assert "All 40 hives: 97.8 %." in PLAN.raise_it
