"""Pages of crews and proof: what they say on the demo, and slips of the pen that name their field."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient


def test_a_survey_page(demo: TestClient):
    text = demo.get("/survey?infected=2&hives=2&method=culture").text
    assert "Cannon and Roe 1982" in text
    assert "In two stages" in text
    assert "confirmed before it counts" in text


def test_a_calendar_of_two_nights_shows_what_a_day_off_moves(demo: TestClient):
    text = demo.get("/calendar?split=A07%3D7%2B7&no_fire=2031-05-17&every_day=yes").text
    assert "10 of 10 jobs have their place" in text
    assert "What moved" in text
    assert "override them" in text


def test_visits_of_one_small_keeper(demo: TestClient):
    text = demo.get("/visits?days=1&apiaries=H01").text
    assert "A look that finds nothing clears no hive." in text
    assert "No plan can be better" in text


def test_a_new_case_moves_the_rounds_too(demo: TestClient):
    text = demo.get("/rounds?new_case=2031-07-01").text
    assert "round 1 of looks" in text


@pytest.mark.parametrize(("path", "label"), [
    ("/calendar?split=A07%3D7%2Bx", "Nights"), ("/calendar?off=JP", "Who is off"),
    ("/calendar?no_fire=soon", "No fire on"),
    ("/survey?method=magic", "Method"), ("/survey?infected=900", "infected hives in each"),
    ("/proof?introduction=2", "New introductions"), ("/methods?infected=99", "99 infected hives do not fit"),
])  # fmt: skip
def test_a_slip_is_named_with_its_field(demo: TestClient, path: str, label: str):
    answer = demo.get(path)
    assert answer.status_code == 422
    assert label in answer.text
    assert "What to do" in answer.text
