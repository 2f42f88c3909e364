"""Treatments as they were written down: units, settings, what may not be treated so, and what is no proof."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.stories.vale import record
from tests.stories.vale_night import ORROW

from ashcomb.kernel.errors import UserError
from ashcomb.plans.treatment import TreatmentResult, check_treatment, read_log
from ashcomb.records.acts import Notice, Treatment
from ashcomb.records.places import Component
from ashcomb.records.situation import situation_of

DAY = "2031-06-20"


def check(*more: Any, **fields: Any) -> TreatmentResult:
    given_ = {"hive": "A07-01", "component": "box", "count": 2, "method": "wax dipped", **fields}
    return check_treatment(situation_of(more), ORROW, record(Treatment, DAY, **given_))


@pytest.mark.parametrize(
    ("text", "temperature", "minutes"),
    [
        ("302 °F, 10 min", 150.0, 10.0),
        ("320 °F for 10 min", 160.0, 10.0),
        ("356 F, 12 min", 180.0, 12.0),
        ("160 °C; 0.25 h", 160.0, 15.0),
        ("160,5 °C, 10 min", 160.5, 10.0),
        ("10 min", None, 10.0),
    ],
)
def test_reading_a_log(text: str, temperature: float | None, minutes: float):
    """160 °C is 320 °F, 302 °F is 150 °C, 356 °F is 180 °C: arithmetic of the two scales."""
    found = read_log(text)
    assert found.temperature_c == (None if temperature is None else pytest.approx(temperature))
    assert found.minutes == pytest.approx(minutes)


@pytest.mark.parametrize("text", ["hot, 10 min", "160 °C, ten", "302 °X"])
def test_what_cannot_be_read_is_refused(text: str):
    with pytest.raises(UserError):
        read_log(text)
    assert not check(as_written=text, temperature_c=165.0, minutes=12.0).accepted


@pytest.mark.parametrize(
    ("fields", "accepted"),
    [
        ({"temperature_c": 160.0, "minutes": 10.0}, True),
        ({"temperature_c": 159.0, "minutes": 60.0}, False),  # longer does not make up for cooler
        ({"temperature_c": 160.0, "minutes": 9.5}, False),
        ({"temperature_c": 160.0}, False),
        ({"minutes": 10.0}, False),
        ({"as_written": "320 °F, 10 min"}, True),
        ({"as_written": "302 °F, 10 min"}, False),
        ({"as_written": "302 °F, 10 min", "temperature_c": 160.0, "minutes": 10.0}, False),  # log and entry differ
        ({"as_written": "302 °F, 10 min", "temperature_c": 302.0, "minutes": 10.0}, False),
        ({"as_written": "320 °F, 10 min", "temperature_c": 320.0, "minutes": 10.0}, False),
        ({"as_written": "320 °F, 10 min", "temperature_c": 160.0, "minutes": 10.0}, True),
        ({"temperature_c": 165.0, "minutes": 12.0, "component": "frame"}, False),  # frames may not be dipped
    ],
)
def test_wax_dip(fields: dict, accepted: bool):
    """160 °C for 10 min: Western Australia, hot wax dipping."""
    assert check(**fields).accepted is accepted


def test_a_bath_at_the_alarm_is_accepted_and_warned():
    found = check(temperature_c=171.0, minutes=10.0)
    assert found.accepted
    assert "171 °C reaches the alarm" in found.alarms[0]


@pytest.mark.parametrize(
    ("percent", "minutes", "accepted"), [(0.5, 20.0, True), (0.5, 15.0, False), (0.4, 30.0, False), (None, 20.0, False)]
)
def test_bleach_on_metal(percent: float | None, minutes: float, accepted: bool):
    """0.5 % for 20 min: New Zealand agency and National Bee Unit."""
    metal = record(Component, DAY, hive="A07-01", component="excluder", count=2, material="metal")
    found = check(metal, component="excluder", method="hypochlorite", percent=percent, minutes=minutes)
    assert found.accepted is accepted


def test_bleach_on_wood_is_forbidden():
    found = check(method="hypochlorite", percent=5.0, minutes=60.0)
    assert not found.accepted
    assert "Wooden box may not be hypochlorite" in found.verdict


def test_scorching_is_forbidden_here():
    assert not check(method="scorched").accepted


def test_rendering_needs_leave_until_a_permit_names_it():
    assert not check(component="feeder", method="wax dipped", temperature_c=165.0, minutes=12.0).accepted
    leave = record(Notice, "2031-06-01", mark="P-9", type="permit", text="Feeders may be wax dipped.")
    assert check(leave, component="feeder", method="wax dipped", temperature_c=165.0, minutes=12.0).accepted


def test_irradiation_is_never_proved_by_calculation():
    found = check(method="irradiated", as_written="")
    assert not found.accepted
    assert "D10 proves nothing" in found.verdict


@given(st.floats(100, 200), st.floats(1, 60))
def test_fahrenheit_and_celsius_agree(celsius: float, minutes: float):
    celsius, minutes = round(celsius), round(minutes)
    warm = check(as_written=f"{celsius} °C, {minutes} min")
    same = check(as_written=f"{celsius * 9 / 5 + 32:.1f} °F, {minutes} min")
    assert warm.accepted is same.accepted is (celsius >= 160 and minutes >= 10)
