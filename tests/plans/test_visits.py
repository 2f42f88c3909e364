"""The plan of visits: chances by Bayes' rule, windows, roads, parts, and what is printed."""

from __future__ import annotations

from datetime import date
from fractions import Fraction

import numpy as np
import pytest
from scipy.stats import gamma
from tests.stories.vale import ZONE, profile, record, vale

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span
from ashcomb.plans.assessed import Chance, any_infected, completed, expected_finds, from_exposures
from ashcomb.plans.evidence import Evidence
from ashcomb.plans.exposures import Exposure
from ashcomb.plans.figures import Figures
from ashcomb.plans.positions import Position
from ashcomb.plans.result import as_json
from ashcomb.plans.roads import read_table, roads_between
from ashcomb.plans.season import Season
from ashcomb.plans.visit_job import Crew
from ashcomb.plans.visit_solve import Search
from ashcomb.plans.visit_stops import Pace, Yard, stops_of
from ashcomb.plans.visit_windows import Allowed, Openings
from ashcomb.plans.visits import VisitAsk, visits
from ashcomb.records.acts import Weather

P = profile("invented")
F = Figures(P)
SEASON = Season(3, 10)
TODAY, SINCE = date(2031, 7, 1), date(2031, 4, 1)
QUICK = Search(rounds=8, labels=200, most=500, steps=10, effort=1.0)


# By hand with scipy's gamma: prior 0.45, one look of 0.9 after 61 days, today after 91 days.
def test_chances_after_a_look_that_found_nothing():
    shown = [gamma(1.58, scale=1.81).cdf(days / 30.4375) for days in (61, 91)]
    hidden = 1 - 0.9 * shown[0]
    whole = 0.45 * hidden + 0.55
    visible = 0.45 * (shown[0] * 0.1 + shown[1] - shown[0]) / whole
    found = from_exposures([Exposure("A03-01", Span.day(SINCE), Fraction(9, 20), "got wet supers")],
                           {"A03-01": (Evidence(date(2031, 6, 1), "look", 0.9, 0.0),)}, SEASON, TODAY)  # fmt: skip
    assert found["A03-01"].infected == pytest.approx(0.45 * hidden / whole, abs=1e-12)
    assert found["A03-01"].visible == pytest.approx(visible, abs=1e-12)


def test_chances_of_several_hives():
    some = completed({"a": Chance(0.5, 0.4), "b": Chance(0.2, 0.1)}, ["a", "b", "c"], 0.001)
    assert expected_finds(some, "abc", 0.9) == pytest.approx(0.9 * (0.4 + 0.1 + 0.0005))
    assert any_infected(some, "ab") == pytest.approx(1 - 0.5 * 0.8)
    left_a, left_b = (0.5 - 0.36) / (1 - 0.36), (0.2 - 0.09) / (1 - 0.09)  # Bayes' rule for each hive
    assert any_infected(some, "ab", 0.9) == pytest.approx(1 - (1 - left_a) * (1 - left_b))
    with pytest.raises(UserError, match="does not fit"):
        Chance(0.2, 0.3)


def test_an_apiary_is_cut_with_its_likeliest_hives_first():
    hives = tuple(f"h{n:02d}" for n in range(25))
    chances = {hive: Chance(0.5, n / 100) for n, hive in enumerate(hives)}
    yard = Yard(mark="A03", hives=hives, place=1, risk=2, windows=(((480, 900),), ()))
    stops = stops_of([yard], chances, Pace(8, 20, 120, 0.9), 600)
    assert [(s.mark, len(s.hives), s.minutes, s.part) for s in stops] == [
        ("A03 1/3", 9, 92, 0), ("A03 2/3", 9, 92, 1), ("A03 3/3", 7, 76, 2)]  # fmt: skip
    assert set(stops[0].hives) == set(hives[-9:])
    assert stops[0].value == pytest.approx(0.9 * sum(n / 100 for n in range(16, 25)))
    assert sorted(hive for stop in stops for hive in stop.hives) == list(hives)


# Sun of 14 May 2031 at 46.000 N 66.500 E, UTC+5: sunset 19:57 (story of the house), sunrise by the same almanac 05:08.
def test_daylight_hours_keep_an_hour_from_the_sun():
    opened = Openings(vale(), F, SEASON, ZONE).of("A07", date(2031, 5, 14), 46.0, 66.5)
    ((begin, end),) = opened.windows
    assert end == pytest.approx(19 * 60 + 57 - 60, abs=1)
    assert begin == pytest.approx(5 * 60 + 8 + 60, abs=8)


def test_landowners_weather_and_brood_close_hours():
    cold = record(Weather, "2031-05-14T09:00", temperature_c=8.0)
    wet = record(Weather, "2031-05-14T11:00", place="A03", temperature_c=18.0, rain_mm=2.0)
    hours = (Allowed("A07", None, 480, 720), Allowed("A07", date(2031, 5, 15), 900, 960))
    openings = Openings(vale(cold, wet), F, SEASON, ZONE, hours)
    assert openings.of("A07", date(2031, 5, 14), 46.0, 66.5).windows == ((480, 510), (570, 630), (690, 720))
    assert (900, 960) in openings.of("A07", date(2031, 5, 15), 46.0, 66.5).windows
    near = openings.of("A03", date(2031, 5, 14), 46.0, 66.5).windows
    assert [w for w in near if w[0] == 690 or w[1] == 630] == [near[0], near[1]]  # its own rain, not the cold elsewhere
    winter = openings.of("A07", date(2031, 1, 14), 46.0, 66.5)
    assert (winter.windows, winter.why[:8]) == ((), "no brood")


def test_roads_from_lines_and_from_a_table():
    places = {"A": Position((0, 0), None), "B": Position((30, 40), None), "C": Position((0, 9), None)}
    guessed = roads_between(places, None, F)
    assert guessed.km[0, 1] == pytest.approx(50 * 1.3)
    assert guessed.minutes[0, 1] == np.ceil(50 * 1.3 / 45 * 60)
    table = read_table([["", "A", "B"], ["A", "0", "61"], ["B", "58", ""]], "roads.csv")
    assert table == {("A", "B"): 61.0, ("B", "A"): 58.0}
    given = roads_between(places, None, F, table)
    assert (given.minutes[0, 1], given.minutes[1, 0], given.guessed) == (61, 58, 2)
    assert read_table([["From", "To", "Minutes"], ["A", "B", "12,5"]], "x") == {("A", "B"): 12.5}


@pytest.mark.parametrize(("rows", "words"), [
    ([], "is empty"), ([["from", "to", "minutes"], ["A", "B", "far"]], "no number of minutes"),
    ([["from", "to", "minutes"], ["A", "B", "-3"]], "cannot be a drive"),
])  # fmt: skip
def test_a_faulty_table_is_refused_with_its_row(rows, words):
    with pytest.raises(UserError, match=words):
        read_table(rows, "roads.csv")


def ask(days: int = 2, windows=((480, 1020),)) -> VisitAsk:
    places = {"HH": Position((0, 0), None), "A03": Position((5, 0), None), "A07": Position((5, 4), None)}
    roads = roads_between(places, None, F)
    yards = tuple(Yard(mark=mark, hives=tuple(f"{mark}-{n}" for n in range(10)), place=row, risk=risk,
                       windows=(windows,) * days) for mark, row, risk in (("A03", 1, 1), ("A07", 2, 3)))  # fmt: skip
    crew = Crew(mark="Crew 1", people=("RF", "OD"), skills=frozenset({"leader"}), base=0, leaves=(480,) * days,
                home=(1020,) * days, cleanings=1)  # fmt: skip
    return VisitAsk(days=(date(2031, 5, 15), date(2031, 5, 16))[:days], yards=yards, crews=(crew,), roads=roads)


def test_a_plan_says_when_what_and_what_it_would_settle():
    chances = {hive: Chance(0.3, 0.2) for yard in ask().yards for hive in yard.hives}
    plan = visits(P, ask(), chances, (), QUICK)
    (day,) = plan.days
    assert [visit.apiary for visit in day.visits] == ["A03", "A07"]  # the dirty one last, no disinfection needed
    assert not any(visit.cleaned for visit in day.visits)
    assert day.visits[0].begins == 480 + 9  # 5 km × 1.3 at 45 km/h is 8.7 min, rounded up
    assert day.driven_km == pytest.approx(1.3 * (5 + 4 + 41**0.5))
    assert "finds something with 86.3 %" in day.visits[0].settles  # by hand: 1 - (1 - 0.2 × 0.9)^10 = 0.8626
    assert as_json(plan)["days"][0]["crew"] == "Crew 1"


def test_what_has_no_day_is_named_with_its_reason():
    chances = {hive: Chance(0.3, 0.2) for yard in ask().yards for hive in yard.hives}
    plan = visits(P, ask(windows=()), chances, (), QUICK)
    assert {why for _, why in plan.left_out} == {"no day on which it can be looked at"}
    short = visits(P, ask(windows=((480, 500),)), chances, (), QUICK)
    assert {why for _, why in short.left_out} == {"too far or too long for the hours that are open"}


def test_nobody_to_send_is_refused():
    with pytest.raises(UserError, match="no crew"):
        visits(P, VisitAsk(days=(), yards=(), crews=(), roads=ask().roads), {})
