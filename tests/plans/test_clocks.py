"""Clocks: counting against outside calendars, and every way in which a clock may stand."""

from __future__ import annotations

from datetime import date, timedelta

import holidays
import numpy as np
import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st
from tests.stories.vale import ZONE, at, clock, profile

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span
from ashcomb.plans.clocks import Clock, clocks
from ashcomb.plans.profile_change import compare
from ashcomb.plans.workdays import Calendar, calendar_of

DAYS = st.dates(date(2026, 1, 1), date(2040, 12, 31))
NOW = at("2031-05-20T12:00")


def one(text: str, events: dict[str, str], head: str = "", now: str = "2031-05-20T12:00", zone: str = ZONE) -> Clock:
    made = profile("P", f'[profile]\nname = "P"\n{head}\n{text}')
    return clocks(made, {name: Span.parse(day) for name, day in events.items()}, zone, at(now)).clocks[0]


# Independent: numpy's business-day calendar.
@given(DAYS, st.integers(1, 40), st.sets(st.integers(0, 6), max_size=5), st.sets(DAYS, max_size=5))
def test_working_days_agree_with_the_business_days_of_numpy(start, number, rest, own):
    week = [day not in rest for day in range(7)]
    expected = np.busday_offset(start, number, roll="backward", weekmask=week, holidays=sorted(own))
    assert Calendar(tuple(rest), "", frozenset(own)).count(start, number)[0] == expected.astype(date)


# Easter Monday 2031 is 14 April and Anzac Day 25 April (dates of Easter: the Gregorian computus, 13 April 2031).
def test_public_holidays_of_the_region_are_left_out_and_named():
    found = one(clock("notify", "confirmed", 1, "working days"), {"confirmed": "2031-04-10"}, 'holiday_region = "NZ"')
    assert found.at is not None
    assert found.at.day == date(2031, 4, 15)
    assert "Fri 11 Apr 2031 (Good Friday), Mon 14 Apr 2031 (Easter Monday)" in found.why


def test_a_region_may_name_a_part_of_the_country():
    own = holidays.country_holidays("US", subdiv="CA", years=2031)
    assert "Cesar" in own[date(2031, 3, 31)]
    assert calendar_of(profile("P", '[profile]\nname = "P"\nholiday_region = "US-CA"')).rest(date(2031, 3, 31))


def test_a_region_that_nobody_knows_is_refused_in_words():
    with pytest.raises(UserError, match="region “Q9”"):
        one(clock("notify", "confirmed", 1, "days"), {}, 'holiday_region = "Q9"')


def test_a_holiday_of_the_profile_and_another_week_are_kept():
    head = 'rest_days = [4, 5]\nholidays = ["2031-05-13"]'
    found = one(clock("notify", "confirmed", 2, "working days"), {"confirmed": "2031-05-12"}, head)
    assert found.at is not None
    assert found.at.day == date(2031, 5, 15)


# Independent: months of dateutil, which clamp to the month's end.
@given(DAYS, st.integers(0, 60))
def test_months_agree_with_dateutil(day, months):
    found = one(clock("release_earliest", "buried", months, "months", "earliest"), {"buried": str(day)})
    assert found.at is not None
    assert found.at.day == day + relativedelta(months=months)


@given(DAYS, st.integers(0, 400), st.sampled_from(["days", "weeks"]))
def test_days_and_weeks_are_plain_addition_and_never_slide(day, amount, unit):
    found = one(clock("destroy", "confirmed", amount, unit), {"confirmed": str(day)})
    assert found.at is not None
    assert found.at.day == day + timedelta(days=amount * (7 if unit == "weeks" else 1))


def test_a_date_slides_off_rest_days_only_when_the_profile_says_so():
    events = {"confirmed": "2031-05-10T15:00"}  # a Saturday, so is the day a week later
    stays = one(clock("notify", "confirmed", 7, "days"), events)
    slides = one(clock("notify", "confirmed", 7, "days", slides=True), events)
    assert "Sat 17 May 2031 15:00" in stays.words
    assert "end of Mon 19 May 2031" in slides.words
    assert "Moved off a rest day" in slides.why


def test_a_working_day_closes_when_the_profile_says():
    found = one(
        clock("notify", "confirmed", 1, "working days"), {"confirmed": "2031-05-12"}, 'working_day_ends = "17:00"'
    )
    assert "due by Tue 13 May 2031 17:00" in found.words


# Central European summer time began on 30 March 2031 at 02:00 (last Sunday of March; Directive 2000/84/EC).
def test_hours_pass_and_days_keep_the_hour_over_a_change_of_clocks():
    events = {"suspected": "2031-03-29T12:00"}
    hours = one(clock("notify", "suspected", 24, "hours"), events, zone="Europe/Berlin")
    days = one(clock("notify", "suspected", 1, "days"), events, zone="Europe/Berlin")
    assert "30 Mar 2031 13:00" in hours.words
    assert "30 Mar 2031 12:00" in days.words


def test_hours_from_an_unknown_hour_take_the_worse_end_of_the_day():
    limit = one(clock("notify", "suspected", 24, "hours"), {"suspected": "2031-05-06"})
    earliest = one(clock("residue_check", "suspected", 24, "hours", "earliest"), {"suspected": "2031-05-06"})
    assert limit.at is not None
    assert earliest.at is not None
    assert limit.at.at == at("2031-05-07T00:00")
    assert earliest.at.at == at("2031-05-08T00:00")
    assert "worse end of the day" in limit.why


def test_an_uncertain_day_counts_against_the_user():
    events = {"confirmed": "2031-05-01/2031-05-05"}
    limit = one(clock("destroy", "confirmed", 10, "days"), events)
    earliest = one(clock("release_earliest", "confirmed", 10, "days", "earliest"), events)
    assert limit.at is not None
    assert earliest.at is not None
    assert (limit.at.day, earliest.at.day) == (date(2031, 5, 11), date(2031, 5, 15))


def test_a_clock_waits_for_its_event():
    found = one(clock("notify", "confirmed", 1, "days"), {})
    assert found.state == "not started"
    assert found.at is None
    assert "confirmed" in found.words


@pytest.mark.parametrize(
    ("events", "now", "state"),
    [
        ({"confirmed": "2031-05-12T15:00"}, "2031-05-13T23:59", "running"),
        ({"confirmed": "2031-05-12T15:00"}, "2031-05-14T00:01", "passed"),
        ({"confirmed": "2031-05-12T15:00", "notified": "2031-05-13T23:00"}, "2031-06-01T00:00", "done"),
        ({"confirmed": "2031-05-12T15:00", "notified": "2031-05-14"}, "2031-06-01T00:00", "done late"),
        ({"confirmed": "2031-05-12T15:00", "notified": "2031-04-01"}, "2031-06-01T00:00", "passed"),
    ],
)
def test_the_state_of_a_limit(events, now, state):
    assert one(clock("notify", "confirmed", 1, "working days"), events, now=now).state == state


@pytest.mark.parametrize(
    ("now", "state"), [("2031-07-13T12:00", "waiting"), ("2031-07-14T00:00", "open"), ("2032-02-15T00:01", "closed")]
)
def test_the_state_of_a_window(now, state):
    text = clock("reinspect", "killed", 2, "months", "earliest", until=9)
    assert one(text, {"killed": "2031-05-14"}, now=now).state == state


def test_a_newer_case_stops_the_clocks_of_the_old_burial():
    text = clock("release_earliest", "buried", 60, "days", "earliest")
    found = one(text, {"buried": "2031-05-16", "last case": "2031-07-01"})
    assert found.state == "not started"
    assert found.best is not None
    assert found.best.day == date(2031, 8, 30)
    assert one(text, {"buried": "2031-07-03", "last case": "2031-07-01"}).state == "waiting"


def test_at_once_is_said_as_such():
    found = one(clock("notify", "suspected", 0, "days"), {"suspected": "2031-05-06T10:40"})
    assert found.words == "Notify: at once, Tue 6 May 2031 10:40."


def test_every_clock_names_event_rule_and_assumptions():
    made = profile("P", clock("notify", "confirmed", 1, "working days"))
    found = clocks(made, {"confirmed": Span.parse("2031-05-12")}, ZONE, NOW)
    assert "1 working day from confirmed" in found.clocks[0].why
    assert "12 May 2031" in found.clocks[0].why
    assert [rule.key for rule in found.rules] == ["notify"]
    assert any("no region of public holidays" in sentence for sentence in found.assumptions)


def test_a_naive_moment_is_refused():
    with pytest.raises(ValueError, match="time zone"):
        clocks(profile("P"), {}, ZONE, at("2031-05-20").replace(tzinfo=None))


def test_a_change_of_profile_says_what_changed_and_keeps_quiet_about_the_rest():
    same = clock("watch", "buried", 18, "months", "earliest")
    old = profile(
        "OLD", clock("notify", "confirmed", 1, "working days") + clock("destroy", "confirmed", 7, "days") + same
    )
    new = profile(
        "NEW",
        '[profile]\nname = "N"\nholidays = ["2031-05-13"]\n' + clock("notify", "confirmed", 1, "working days") + same,
    )
    found = {
        change.key: change for change in compare(old, new, {"confirmed": Span.parse("2031-05-12")}, ZONE, NOW).changes
    }
    assert set(found) == {"notify", "destroy"}
    assert "other rest days" in found["notify"].why
    assert found["destroy"].after == ""
    assert "“NEW” sets no such time limit" in found["destroy"].why
