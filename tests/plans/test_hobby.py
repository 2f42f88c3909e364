"""The small keeper's plan: Ada Crome's two hives, one sick."""

from __future__ import annotations

import pytest
from tests.stories.vale import ZONE, at, day, hives, milestone, record, vale

from ashcomb.kernel.errors import UserError
from ashcomb.plans.clocks import clocks
from ashcomb.plans.exposures import exposures
from ashcomb.plans.followup import followup
from ashcomb.plans.hobby import hobby
from ashcomb.records.acts import Kill
from ashcomb.records.looks import Inspection
from ashcomb.records.state import events
from ashcomb.sources.profile import load_profile

NOW = at("2031-05-13T09:00")
TODAY = NOW.date()
CODE = load_profile("orrow-vale")
SICK = record(Inspection, "2031-05-10", hive="H01-01", signs="clinical", brood_frames=6, frames_seen=6, frames_shaken=6)
CASE = (*hives("H01", 2), SICK, milestone("confirmed", "2031-05-12T15:00"))


def plan(*more, follow=True):
    case = vale(*CASE, *more)
    dates = clocks(CODE, events(case), ZONE, NOW)
    exposed = exposures(case, "H01", day("2030-09-10"), {"A19": day("2030-07-01")}, TODAY)
    other = [exposure for exposure in exposed if exposure.hive == "H01-02"]
    return hobby(case, CODE, "H01", TODAY, dates, followup(case, CODE, other, TODAY, dates) if follow else None)


def test_the_sick_and_the_other_hive_are_named_apart():
    found = plan()
    assert (found.sick, found.other, found.keeper) == (("H01-01",), ("H01-02",), "AC")
    assert found.other_hive[0].startswith("H01-02: it stays")
    assert "before H01-01, never after" in found.other_hive[2]


def test_today_begins_with_the_limit_of_the_notification():
    assert "due by end of Tue 13 May 2031" in plan().today[1]
    assert plan(milestone("notified", "2031-05-12T17:00")).today[1] == "The authority has been told."


def test_dates_come_in_order_and_what_has_not_started_stands_last():
    found = plan().dates
    assert found[0].startswith("Notify the district office")
    assert found[1].startswith("Destroy the cases: due by Mon 19 May 2031 15:00")
    assert all("not started" in words for words in found[2:])


def test_a_limit_that_has_passed_says_so():
    case = vale(*CASE)
    late = at("2031-05-14T09:00")
    found = hobby(case, CODE, "H01", late.date(), clocks(CODE, events(case), ZONE, late))
    assert "has passed: ring today" in found.dates[0]


def test_what_is_left_of_the_suspicion_is_printed_with_its_origin():
    found = plan()
    assert "20.0 % at exposure" in found.follow[0]
    assert any("one trial" in sentence for sentence in found.follow)
    assert "disease.prior_same_apiary" in {used.key for used in found.uses}
    assert plan(follow=False).follow == ()


def test_it_defers_to_the_order_and_calls_nothing_safe_or_free():
    found = plan()
    assert "order's decision" in found.other_hive[-1]
    assert "override this paper" in found.cautions[0]
    assert "Nothing here says" in found.cautions[1]


def test_it_stays_short_enough_for_two_pages():
    found = plan()
    parts = (found.today, found.other_hive, found.dates, found.follow, found.cautions)
    words = sum(len(sentence.split()) for part in parts for sentence in part)
    assert words < 800  # a printed A4 page in large type holds about 400 words (common practice, no source)


def test_without_another_hive_it_says_so_and_without_any_it_refuses():
    dead = [record(Kill, "2031-05-12", hive=f"H01-0{n}", step="dead confirmed") for n in (1, 2)]
    assert plan(dead[1], follow=False).other_hive == ("No other living hive stands here.",)
    with pytest.raises(UserError, match="No living hive"):
        plan(*dead, follow=False)
    with pytest.raises(UserError, match="not a known apiary"):
        hobby(vale(), CODE, "X", TODAY, clocks(CODE, {}, ZONE, NOW))


def test_without_signs_nobody_is_told_to_mark_a_hive():
    case = vale(*hives("H01", 2))
    found = hobby(case, CODE, "H01", TODAY, clocks(CODE, events(case), ZONE, NOW), None)
    assert found.sick == ()
    assert found.today[0].startswith("No signs and no positive test are on record here.")
