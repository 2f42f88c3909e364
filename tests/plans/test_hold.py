"""Burn day: every reason against a fire, missing and stale weather, the meter, and the store plan instead.

Limits are those of the invented profile (wind 20 and gust 30 km/h, humidity 30 %, forecast no older than 6 h).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.stories import vale_night as vn
from tests.stories.vale import ZONE, at, milestone, record

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import utc_ms
from ashcomb.plans.hold import BurnDecision, BurnOrder, MeterReading, burn_day
from ashcomb.records.acts import Burn, Kill, Notice, Weather
from ashcomb.records.columns import Record
from ashcomb.records.situation import situation_of
from ashcomb.sources.profile import read_profile

NOW, BEGINS, ENDS = at("2031-05-15T08:00"), at("2031-05-15T09:00"), at("2031-05-15T12:00")
FINE = {"forecast": True, "temperature_c": 18.0, "rh_percent": 55.0, "wind_kmh": 8.0, "gust_kmh": 14.0, "rain_mm": 0.0,
        "storm": False, "fire_ban": False, "rating": "Low", "place": "A07"}  # fmt: skip
DEAD = [record(Kill, "2031-05-14T22:20", hive=mark, step="dead confirmed") for mark in vn.MARKS]
ORDER = BurnOrder(apiary="A07", hives=vn.MARKS, now=NOW, begins=BEGINS, ends=ENDS, zone=ZONE, lat=46.0, lon=66.5)


def hours(noted: datetime = at("2031-05-15T06:00"), **changed) -> list[Record]:
    return [
        record(Weather, f"2031-05-15T{hour:02d}:00", noted=utc_ms(noted), **{**FINE, **changed})
        for hour in (9, 10, 11, 12)
    ]


def decide(*records: Record, order: BurnOrder = ORDER, dead: list[Record] = DEAD) -> BurnDecision:
    return burn_day(vn.night(*dead, *records), vn.ORROW, order)


def test_a_fine_morning_has_nothing_against_it_and_is_no_leave_to_light():
    found = decide(*hours())
    assert (found.decision, found.reasons, found.hold) == ("go", (), None)
    assert "not leave to light" in found.verdict
    assert not found.clearance.met


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"fire_ban": True}, "fire ban"),
        ({"fire_ban": None}, "whether fires are banned"),
        ({"rain_mm": 0.2}, "Rain"),
        ({"storm": True}, "thunderstorm"),
        ({"storm": None}, "thunderstorm"),
        ({"rating": "High"}, "High"),
        ({"rating": "purple"}, "not a known word"),
        ({"rating": ""}, "rating is missing"),
        ({"wind_kmh": 20.1}, "Wind 20.1"),
        ({"gust_kmh": 31.0}, "Gusts 31"),
        ({"rh_percent": 29.0}, "Humidity 29"),
        ({"wind_kmh": None}, "wind of at least one hour is missing"),
        ({"gust_kmh": None}, "gusts of at least one hour are missing"),
        ({"rh_percent": None}, "humidity of at least one hour is missing"),
        ({"rain_mm": None}, "rain of at least one hour is missing"),
        ({"drought_factor": 10.0, "temperature_c": 40.0, "rh_percent": 30.0}, "danger index"),
    ],
)
def test_one_reason_is_enough_for_the_store(changed: dict, words: str):
    found = decide(*hours()[:3], *hours(**changed)[3:])
    if changed.get("fire_ban", 1) is None or changed.get("storm", 1) is None or changed.get("rating") == "":
        found = decide(*hours(**changed))  # the official word counts for the day: it must be missing in every hour
    assert found.decision == "no-go"
    assert [words in reason.text for reason in found.reasons if reason.level == "no-go"] == [True]
    assert found.hold is not None


@pytest.mark.parametrize(
    "changed", [{"wind_kmh": 15.0}, {"wind_kmh": 2.0}, {"rh_percent": 35.0}, {"rating": "moderate"}]
)
def test_care(changed: dict):
    found = decide(*hours(**changed))
    assert found.decision == "caution"
    assert len(found.reasons) == 1


def test_exactly_the_limits_are_allowed_with_care():
    assert decide(*hours(wind_kmh=20.0, gust_kmh=30.0, rh_percent=30.0)).decision == "caution"


def test_no_weather_is_never_go():
    assert decide().decision == "no-go"
    assert "missing" in decide().verdict


def test_stale_weather_is_never_go():
    assert decide(*hours(noted=NOW - timedelta(hours=6))).decision == "go"
    stale = decide(*hours(noted=NOW - timedelta(hours=6, minutes=1)))
    assert stale.decision == "no-go"
    assert "older than 6 h" in stale.verdict


def test_weather_of_another_place_or_written_after_now_does_not_count():
    assert decide(*hours(place="A22")).decision == "no-go"
    assert decide(*hours(noted=NOW + timedelta(minutes=5))).decision == "no-go"


def test_a_hole_in_the_forecast_is_never_go():
    long = replace(ORDER, ends=at("2031-05-15T16:00"))
    found = decide(*hours(), order=long)
    assert found.decision == "no-go"
    assert "No weather from Thu 15 May 2031 12:00 to Thu 15 May 2031 16:00" in found.verdict


@given(
    st.sets(
        st.sampled_from(["rh_percent", "wind_kmh", "gust_kmh", "rain_mm", "storm", "fire_ban", "rating"]), min_size=1
    )
)
def test_whatever_is_missing_the_answer_is_never_go(gone: set[str]):
    blank = {name: "" if name == "rating" else None for name in gone}
    assert decide(*hours(**blank)).decision == "no-go"


def test_without_permit_no_fire():
    situation_without = [r for r in (*vn.yard(), *vn.parts(), *vn.papers(), *DEAD, *hours())
                         if not (isinstance(r, Notice) and r.type == "fire permit")]  # fmt: skip
    found = burn_day(situation_of(situation_without), vn.ORROW, ORDER)
    assert found.decision == "no-go"
    assert "fire permit" in found.verdict


def test_a_hive_that_is_not_confirmed_dead_stops_the_fire():
    found = decide(*hours(), dead=DEAD[1:])
    assert found.decision == "no-go"
    assert "A07-01" in found.verdict
    again = record(Kill, "2031-05-14T22:25", hive="A07-02", step="listened: buzzing")
    assert "A07-02" in decide(*hours(), again).verdict


def test_a_fire_in_the_dark_gets_the_rule_of_the_place():
    late = replace(ORDER, now=at("2031-05-15T19:00"), begins=at("2031-05-15T19:30"), ends=at("2031-05-15T21:00"))
    rows = [record(Weather, f"2031-05-15T{h}:00", noted=utc_ms(at("2031-05-15T18:00")), **FINE) for h in (19, 20, 21)]
    found = decide(*rows, order=late)
    assert found.decision == "caution"
    assert "landowner's consent" in found.reasons[0].text


def meter(**changed) -> MeterReading:
    given = {"percent_lel": 4.0, "at": NOW - timedelta(minutes=5), "read_by": "B. Tarn", "witness": "J. Marr"}
    return MeterReading(**{**given, **changed})


def test_the_meter_clears_with_two_names_and_a_fresh_reading():
    """Below 10 % of the lower explosive limit: common practice, no source."""
    found = decide(*hours(), order=replace(ORDER, meter=meter()))
    assert found.clearance.met
    assert "Read again before lighting" in found.clearance.why


@pytest.mark.parametrize(
    "wrong",
    [
        {"percent_lel": 10.0},
        {"percent_lel": -1.0},
        {"witness": ""},
        {"witness": " b. tarn"},
        {"at": NOW - timedelta(minutes=16)},
        {"at": NOW + timedelta(minutes=1)},
    ],
)
def test_the_meter_does_not_clear(wrong: dict):
    assert not decide(*hours(), order=replace(ORDER, meter=meter(**wrong))).clearance.met


@pytest.mark.parametrize(("theirs", "counts"), [(0.05, 5.0), (0.5, 10.0)])
def test_a_profile_may_ask_for_a_lower_reading_but_never_for_a_higher_one(theirs: float, counts: float):
    """10 % of the lower explosive limit: common practice, no source."""
    line = (f'[profile]\nname = "Ours"\n[values]\nclearance.lel_share = {{ value = {theirs}, low = 0.01, '
            'high = 0.6, unit = "1", status = "project choice", reason = "Ours." }\n')  # fmt: skip
    profile = read_profile(line, "ours")
    for percent, met in ((counts - 0.1, True), (counts, False)):
        order = replace(ORDER, meter=meter(percent_lel=percent))
        assert burn_day(vn.night(*DEAD, *hours()), profile, order).clearance.met is met


def test_indices_are_shown_when_nothing_is_wrong_and_say_what_they_lack():
    found = {index.name: index for index in decide(*hours(curing_percent=50.0)).indices}
    assert found["Grass fire danger index"].value is not None
    assert "drought factor" in found["Forest fire danger index"].words
    assert found["Smoke ventilation"].value is None
    assert not decide().indices


def test_no_answer_says_that_it_is_safe():
    for found in (decide(*hours()), decide(), decide(*hours(), order=replace(ORDER, meter=meter()))):
        said = f"{found.verdict} {found.clearance.why} {' '.join(found.cautions)}".casefold()
        assert "safe to light" not in said.replace("never says that it is safe to light", "")
        assert found.cautions


def test_the_store_plan_names_what_until_when_and_when_to_look():
    """Confirmed Mon 12 May 15:00 and 7 days: Mon 19 May 15:00. Looked at daily from Fri 16 May."""
    known = milestone("confirmed", "2031-05-12T15:00")
    lids = [record(Burn, "2031-05-15", hive=mark, component="lid", count=1) for mark in vn.MARKS]
    hold = decide(known, *lids, *hours(fire_ban=True)).hold
    assert hold is not None
    assert sum(count for _, _, count in hold.pieces) == 372 - 14
    assert not [piece for piece in hold.pieces if piece[1] == "lid"]
    assert "Mon 19 May 2031 15:00" in hold.latest
    assert [f"{day:%d}" for day in hold.checks] == ["16", "17", "18", "19"]
    assert any("bees cannot enter" in step for step in hold.steps)
    assert any("bee-proof store" in step for step in hold.steps)  # the profile's own rule


def test_what_is_no_fire_is_refused():
    with pytest.raises(UserError):
        decide(*hours(), order=replace(ORDER, hives=()))
    with pytest.raises(UserError, match="Z9 is not a known hive"):
        decide(*hours(), order=replace(ORDER, hives=("Z9",)))
    with pytest.raises(ValueError, match="ends after"):
        decide(*hours(), order=replace(ORDER, ends=BEGINS))
