"""Night plan: laws of the timeline, readiness, curfew past midnight, nights without dusk."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from fractions import Fraction
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.stories import vale_night as vn
from tests.stories.vale import record

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.night import night_plan
from ashcomb.plans.night_gates import over_minutes
from ashcomb.plans.night_timeline import Pace, crew_minutes, later, shared_out, team_night
from ashcomb.plans.night_window import curfew_moment, window
from ashcomb.plans.result import as_json
from ashcomb.records.acts import Duty, Kill, Notice, Weather
from ashcomb.records.case import ProfileConfirmed
from ashcomb.records.places import Component
from ashcomb.records.situation import situation_of
from ashcomb.sources.profile import load_profile

START = datetime(2031, 5, 14, 20, 32, tzinfo=ZoneInfo("Etc/GMT-5"))
minutes = st.fractions(Fraction(0), Fraction(60), max_denominator=4)
paces = st.builds(Pace, seal=minutes, pour=minutes, wait=minutes, listen=minutes, topup=minutes,
                  share=st.fractions(Fraction(0), Fraction(1), max_denominator=20))  # fmt: skip
counts, crews = st.integers(1, 60), st.integers(1, 8)
SMALL = vn.MARKS[:13]


def unmet(*records, order=None, profile=vn.ORROW, without=()) -> set[str]:
    kept = [r for r in (*vn.yard(), *vn.parts(), *vn.papers(), *vn.crew()) if not isinstance(r, tuple(without))]
    plan = night_plan(situation_of([*kept, *records]), profile, order or vn.order(hives=SMALL))
    assert plan.ready == (not plan.unmet)
    return {gate.name for gate in plan.unmet}


@given(paces, counts, crews)
def test_one_hive_more_never_ends_earlier(pace: Pace, hives: int, teams: int):
    assert crew_minutes(hives + 1, teams, pace) >= crew_minutes(hives, teams, pace)


@given(paces, counts, crews)
def test_one_team_more_never_ends_later(pace: Pace, hives: int, teams: int):
    assert crew_minutes(hives, teams + 1, pace) <= crew_minutes(hives, teams, pace)


@given(counts, crews)
def test_every_hive_goes_to_one_team_in_order(hives: int, teams: int):
    marks = [f"H{n}" for n in range(hives)]
    runs = shared_out(marks, teams)
    assert [mark for run in runs for mark in run] == marks
    assert max(map(len, runs)) - min(map(len, runs)) <= 1
    assert min(map(len, runs)) > 0


@given(paces, counts, crews)
def test_rows_and_sum_tell_the_same_finish(pace: Pace, hives: int, teams: int):
    runs = shared_out([f"H{n}" for n in range(hives)], teams)
    nights = [team_night(n, run, START, pace) for n, run in enumerate(runs)]
    assert max(night.finish for night in nights) == later(START, crew_minutes(hives, teams, pace))
    for night in nights:
        assert all(row.listen >= row.may_listen for row in night.rows)
        assert all(again.listen >= again.may_listen for again in night.topups)
        assert all(
            a.sealed <= b.sealed and a.poured <= b.poured for a, b in zip(night.rows, night.rows[1:], strict=False)
        )


def test_all_in_order_is_ready():
    assert unmet() == set()


def test_each_missing_paper_or_person_is_named():
    assert unmet(without=[ProfileConfirmed]) == {"profile confirmed"}
    assert unmet(without=[Notice]) == {"landowner"}
    assert unmet(without=[Duty]) == {"roles filled", "smoker keeper is not pourer", "scribe is not pourer"}
    assert unmet(without=[Component]) == set()  # the hive sheets still tell the boxes


def test_a_profile_that_changed_must_be_confirmed_again():
    assert unmet(profile=replace(vn.ORROW, digest="0" * 64)) == {"profile confirmed"}


def test_no_agent_is_ever_chosen():
    order = vn.order(hives=SMALL, agent="")
    assert unmet(order=order) == {"agent"}
    assert night_plan(vn.night(*vn.crew()), vn.ORROW, order).fuel is None


def test_an_agent_that_needs_leave_is_met_by_the_order_that_names_it():
    order = vn.order(hives=SMALL, agent="sulphur dioxide")
    assert unmet(order=order) == {"agent"}
    leave = record(Notice, "2031-05-13", mark="P-2", type="permit", apiary="A07", text="Sulphur dioxide by strip.")
    assert unmet(leave, order=order) == set()
    over = record(Notice, "2031-05-01", mark="P-3", type="permit", apiary="A07", until="2031-05-13",
                  text="Sulphur dioxide by strip.")  # fmt: skip
    assert unmet(over, order=order) == {"agent"}


def test_a_hive_that_is_dead_or_elsewhere_is_named():
    dead = record(Kill, "2031-05-13T22:00", hive="A07-02", step="dead confirmed")
    assert unmet(dead) == {"hives"}
    twice = vn.order(hives=("A07-01", "A07-01"))
    assert "hives" in unmet(order=twice)


def test_boxes_that_the_profile_gives_no_dose_for_stop_the_fuel():
    tall = record(Component, vn.NIGHT, hive="A07-14", component="box", count=3)  # six boxes in all
    plan = night_plan(vn.night(*vn.crew(), tall), vn.ORROW, vn.order())
    assert plan.fuel is not None
    assert plan.fuel.undosed == ("A07-14",)
    assert "fuel within the limits" in {gate.name for gate in plan.unmet}
    assert any("A07-14" in words for words in plan.assumptions)


def test_fuel_over_the_site_limit_is_refused():
    site = {**vn.ORROW.values, "fuel.site_max_l": replace(vn.ORROW.values["fuel.site_max_l"], value=4.0, low=4.0)}
    assert unmet(profile=replace(vn.ORROW, values=site)) == {"fuel within the limits"}


def test_somebody_in_two_teams_is_named():
    first = [record(Duty, vn.NIGHT, person="JM", role=role, team=1, apiary="A07") for role in ("sealer", "pourer")]
    second = [record(Duty, vn.NIGHT, person="JM", role="sealer", team=2, apiary="A07")]
    plan = night_plan(vn.night(*vn.crew(), *first, *second), vn.ORROW, vn.order(teams=2))
    (gate,) = [gate for gate in plan.gates if gate.name == "people suited"]
    assert not gate.met
    assert "JM is in teams 1 and 2" in gate.why


def test_a_curfew_before_noon_belongs_to_the_next_morning():
    assert curfew_moment(date(2031, 5, 14), "00:30", "Etc/GMT-5").isoformat() == "2031-05-15T00:30:00+05:00"
    assert curfew_moment(date(2031, 5, 14), "22:30", "Etc/GMT-5").isoformat() == "2031-05-14T22:30:00+05:00"


def test_half_a_minute_too_late_is_a_minute():
    assert over_minutes(later(START, 0.5), START) == 1
    assert over_minutes(START, START) == 0


def test_without_dark_no_time_is_invented():
    """Tromsø on 21 June has midnight sun; on 1 May sunset but no civil dusk (published check rows of twilight)."""
    for day in (date(2025, 6, 21), date(2025, 5, 1)):
        found = window(69.6492, 18.9553, "Europe/Oslo", day, Figures(vn.ORROW))
        assert (found.begins, found.ends, found.dusk) == (None, None, None)
    order = replace(vn.order(), lat=69.6492, lon=18.9553, zone="Europe/Oslo", day=date(2025, 6, 21))
    situation = vn.night(*vn.crew())
    plan = night_plan(situation, vn.ORROW, order)
    assert (plan.finish, plan.teams, plan.alternatives, plan.recheck) == (None, (), (), None)
    assert {"dark enough", "fits the night"} <= {gate.name for gate in plan.unmet}


def test_dusk_past_midnight_belongs_to_the_night_before():
    """Oslo, 21 June 2025: civil dusk 00:27:59 on the next day, by three independent ephemerides."""
    found = window(59.9139, 10.7522, "Europe/Oslo", date(2025, 6, 21), Figures(vn.ORROW))
    assert f"{found.dusk:%d %H:%M}" == "22 00:27"


def test_where_twilight_is_short_half_an_hour_from_sunset_counts():
    """Nairobi, 20 March 2025: sunset 18:43:20, civil dusk 19:04:00, by three independent ephemerides."""
    found = window(-1.2921, 36.8219, "Africa/Nairobi", date(2025, 3, 20), Figures(vn.ORROW))
    assert f"{found.dusk:%H:%M}" == "19:04"
    assert f"{found.begins:%H:%M}" == "19:13"


def test_the_default_margin_moves_the_start_by_half_an_hour():
    bare = replace(vn.ORROW, values={k: v for k, v in vn.ORROW.values.items() if k != "night.margin_min"})
    plan = night_plan(vn.night(*vn.crew()), bare, vn.order())
    assert f"{plan.window.begins:%H:%M}" == "21:02"
    assert "night.dusk_margin" in {value.key for value in plan.uses}


def test_cold_at_dusk_is_said():
    cold = record(Weather, "2031-05-14T20:30", place="A07", temperature_c=6.0)
    plan = night_plan(vn.night(*vn.crew(), cold), vn.ORROW, vn.order())
    assert any("Lengthen the wait" in note for note in plan.notes)
    assert not any("Lengthen" in note for note in night_plan(vn.night(), vn.ORROW, vn.order()).notes)


def test_rain_and_what_was_not_recorded_are_said():
    wet = record(Weather, "2031-05-14T20:30", place="A07", temperature_c=16.0, rain_mm=1.2)
    notes = " ".join(night_plan(vn.night(*vn.crew(), wet), vn.ORROW, vn.order()).notes)
    assert "Rain at dusk, 1.2 mm" in notes
    assert "Not recorded for dusk: wind, fire ban, thunderstorm or front." in notes


def test_every_event_of_sun_and_moon_is_told():
    """Edinburgh, 21 June 2025: sunset 22:02:53, civil dusk 23:05:22, no nautical dusk, by three ephemerides."""
    sky = window(55.9533, -3.1883, "Europe/London", date(2025, 6, 21), Figures(vn.ORROW)).sky
    assert "Sunset 22:02, civil dusk 23:05, nautical dusk none; nautical dawn none" in sky[0]
    assert sky[1].startswith("Moon: ")
    assert len(sky) == 2


def test_a_bright_moon_counts_in_the_tropics_only():
    """Full moon on 14 March 2025, 06:55 UT (the total eclipse of that day); by a half moon bees may fly there."""
    for latitude, told in ((-1.2921, True), (46.0, False)):
        sky = window(latitude, 36.8219, "Africa/Nairobi", date(2025, 3, 13), Figures(vn.ORROW)).sky
        assert any("half moon" in words for words in sky) is told
    thin = window(-1.2921, 36.8219, "Africa/Nairobi", date(2025, 3, 29), Figures(vn.ORROW)).sky
    assert not any("half moon" in words for words in thin)


@pytest.mark.parametrize(
    "order", [vn.order(hives=()), vn.order(hives=("A99-01",)), vn.order(teams=0), vn.order(agent="calcium cyanide")]
)
def test_what_cannot_be_planned_is_refused(order):
    with pytest.raises(UserError):
        night_plan(vn.night(), vn.ORROW, order)


def test_an_unknown_apiary_is_refused():
    with pytest.raises(UserError, match="A98"):
        night_plan(vn.night(), vn.ORROW, replace(vn.order(), apiary="A98"))


def test_the_plan_has_a_json_form_and_carries_its_sources():
    plan = night_plan(vn.night(*vn.crew()), load_profile("nz"), vn.order())
    assert as_json(plan)["minutes"] == 123
    assert {"kill.petrol_ml.b2", "night.seal_minutes"} <= {value.key for value in plan.uses}
    assert plan.cautions
