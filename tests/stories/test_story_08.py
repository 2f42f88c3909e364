"""Story 8: the night of Wed 14 May 2031 at A07, checked against figures worked out by hand.

By hand: 14 hives x (3 min seal + 2 min pour) = 70, wait 15, listen 14, top up 3 hives (20 % of 14, rounded up) x 2 = 6,
wait 15, listen 3: together 123 min. Seven hives a team: 35 + 15 + 7 + 2 x 2 + 15 + 2 = 78. Thirteen: 65 + 15 + 13 + 6
+ 15 + 3 = 117. Times of the sun for 46.000 N 66.500 E, UTC+5 are the story's, to a minute.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from tests.stories import vale_night as vn

from ashcomb.plans.night import NightPlan, night_plan
from ashcomb.sources.profile import load_profile


def clock(moment: datetime | None) -> str:
    assert moment is not None
    return f"{moment:%H:%M}"


@pytest.fixture
def plan() -> NightPlan:
    return night_plan(vn.night(*vn.crew()), vn.ORROW, vn.order())


def test_sunset_and_dusk(plan: NightPlan):
    assert clock(plan.window.sunset) == "19:57"
    assert clock(plan.window.dusk) == "20:32"
    assert clock(plan.window.begins) == "20:32"


def test_one_team_is_five_minutes_too_late(plan: NightPlan):
    assert plan.minutes == 123
    assert clock(plan.finish) == "22:35"
    assert plan.over_min == 5
    assert plan.verdict.endswith("does not fit by 5 min.")
    assert not plan.ready
    assert [gate.name for gate in plan.unmet] == ["fits the night"]


def test_what_would_fit(plan: NightPlan):
    two, fewer = plan.alternatives
    assert (two.teams, two.hives, two.minutes, clock(two.finish)) == (2, 14, 78, "21:50")
    assert (fewer.teams, fewer.hives, clock(fewer.finish)) == (1, 13, "22:29")
    assert "poor" in fewer.warning
    assert two.warning == ""


def test_two_teams_of_seven():
    plan = night_plan(vn.night(*vn.crew()), vn.ORROW, vn.order(teams=2))
    assert [len(team.rows) for team in plan.teams] == [7, 7]
    assert [len(team.topups) for team in plan.teams] == [2, 2]
    assert plan.minutes == 78
    assert clock(plan.finish) == "21:50"
    assert plan.alternatives == ()


def test_thirteen_hives_with_one_team_are_ready():
    plan = night_plan(vn.night(*vn.crew()), vn.ORROW, vn.order(hives=vn.MARKS[:13]))
    assert clock(plan.finish) == "22:29"
    assert [gate.why for gate in plan.unmet] == []
    assert plan.ready


def test_every_hive_has_its_clock_times(plan: NightPlan):
    first, last = plan.teams[0].rows[0], plan.teams[0].rows[-1]
    assert (clock(first.sealed), clock(first.poured), clock(first.may_listen)) == ("20:35", "21:16", "21:31")
    assert (clock(last.sealed), clock(last.poured), clock(last.may_listen)) == ("21:14", "21:42", "21:57")
    assert (clock(first.listen), clock(last.listen)) == ("21:57", "22:10")
    assert [clock(again.listen) for again in plan.teams[0].topups] == ["22:32", "22:33", "22:34"]
    for row in plan.teams[0].rows:
        assert row.listen >= row.may_listen == row.poured + timedelta(minutes=15)


def test_fuel_at_250_ml(plan: NightPlan):
    assert plan.fuel is not None
    assert float(plan.fuel.needed_l) == 4.375
    assert float(plan.fuel.carry_l) == 4.5


def test_fuel_at_half_a_litre_and_a_litre():
    """500 mL for one or two boxes, 1 L for three or four: the dose published in New Zealand."""
    values = {**vn.ORROW.values}
    for boxes, dose in ((1, 500), (2, 500), (3, 1000), (4, 1000)):
        key = f"kill.petrol_ml.b{boxes}"
        values[key] = replace(values[key], value=dose, low=dose, high=dose)
    plan = night_plan(vn.night(*vn.crew()), replace(vn.ORROW, values=values), vn.order())
    assert plan.fuel is not None
    assert float(plan.fuel.doses_l) == 9.5
    assert float(plan.fuel.needed_l) == 11.875
    assert float(plan.fuel.carry_l) == 12.0


def test_the_new_zealand_profile_gives_the_same_fuel():
    plan = night_plan(vn.night(*vn.crew()), load_profile("nz"), vn.order())
    assert plan.fuel is not None
    assert float(plan.fuel.carry_l) == 12.0


@pytest.mark.parametrize("keeper", ["JM", ""])
def test_without_a_smoker_keeper_of_its_own_it_is_not_ready(keeper: str):
    crew = (
        vn.crew(smoker_keeper=keeper) if keeper else [r for r in vn.crew() if getattr(r, "role", "") != "smoker keeper"]
    )
    plan = night_plan(vn.night(*crew), vn.ORROW, vn.order(hives=vn.MARKS[:13]))
    assert not plan.ready
    assert "smoker keeper is not pourer" in [gate.name for gate in plan.unmet]
