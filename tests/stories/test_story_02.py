"""Story 2: suspect on Tuesday, laboratory on Monday, two profiles, two dates, and the reason for the difference."""

from __future__ import annotations

from tests.stories.vale import ZONE, at, clock, milestone, profile, vale

from ashcomb.kernel.time import Span
from ashcomb.plans.clocks import clocks
from ashcomb.plans.profile_change import compare
from ashcomb.records.state import events

WORKING = profile("one-working-day", clock("notify", "confirmed", 1, "working days", title="Notify the authority"))
WEEK = profile("seven-days", clock("notify", "confirmed", 7, "days", title="Notify the authority"))
NOW = at("2031-05-12T16:00")
CASE = vale(milestone("suspected", "2031-05-06T10:40"), milestone("confirmed", "2031-05-12T15:00"))


def test_the_events_come_from_the_records():
    assert events(CASE)["suspected"] == Span.parse("2031-05-06T10:40")
    assert events(CASE)["confirmed"] == Span.parse("2031-05-12T15:00")


def test_one_working_day_and_seven_days():
    assert clocks(WORKING, events(CASE), ZONE, NOW).clocks[0].words == (
        "Notify the authority: due by end of Tue 13 May 2031."
    )
    assert clocks(WEEK, events(CASE), ZONE, NOW).clocks[0].words == (
        "Notify the authority: due by Mon 19 May 2031 15:00."
    )


def test_switching_the_profile_changes_the_paper_and_says_why():
    (change,) = compare(WORKING, WEEK, events(CASE), ZONE, NOW).changes
    assert "13 May" in change.before
    assert "19 May" in change.after
    assert "another number" in change.why
    assert "another unit" in change.why
    assert "1 working day from confirmed" in change.why
    assert "7 days from confirmed" in change.why
