"""Story 6: hives without signs after two looks, by the way in which they were exposed; the trial behind it is named."""

from __future__ import annotations

from tests.stories.vale import ZONE, at, day, hives, looks, profile, record, vale

from ashcomb.plans.clocks import clocks
from ashcomb.plans.exposures import exposures
from ashcomb.plans.followup import followup
from ashcomb.records.movements import Move
from ashcomb.records.state import events

P = profile("invented")
# Exposed on 22 August 2030; the looks lie two and five months later, 61 and 152 days.
CASE = vale(
    record(Move, "2030-08-22", mark="m3b", source="HH", target="A03", what="wet supers", hives=("A03-01",)),
    *hives("A03", 2),
    *looks("A03", 2, "2030-10-22"),
    *looks("A03", 2, "2031-01-21"),
)
NOW = at("2031-01-21T18:00")
EXPOSED = exposures(CASE, "A03", day("2030-08-22"), {"HH": day("2030-08-20")}, NOW.date())
PLAN = followup(CASE, P, EXPOSED, NOW.date(), clocks(P, events(CASE), ZONE, NOW))


def test_the_hive_with_wet_supers():
    (hive,) = [hive for hive in PLAN.hives if hive.hive == "A03-01"]
    assert "got wet supers (m3b)" in hive.words
    assert (
        "45.0 % at exposure; 31.4 % after the look of Tue 22 Oct 2030, 13.5 % after the look of Tue 21 Jan"
        in hive.words
    )


def test_the_hive_of_the_same_yard():
    (hive,) = [hive for hive in PLAN.hives if hive.hive == "A03-02"]
    assert (
        "20.0 % at exposure; 12.3 % after the look of Tue 22 Oct 2030, 4.6 % after the look of Tue 21 Jan" in hive.words
    )


def test_it_states_that_the_chances_come_from_one_trial():
    assert any("one trial" in sentence for sentence in PLAN.reasons)
    assert any("clear no hive" in sentence for sentence in PLAN.reasons)
