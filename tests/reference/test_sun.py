"""Sun times against printed almanacs and a second, independent library.

Rows named "three libraries": ephem, Skyfield with DE421 and astronomy-engine agreed to 4 s when they were drawn up.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import astronomy
import pytest

from ashcomb.kernel.errors import UserError
from ashcomb.science.sun import dark_below, moon_at, sun_night

PLACES = {
    "Greenwich": (51.4769, 0.0, "Europe/London"),
    "Canberra": (-35.2809, 149.13, "Australia/Sydney"),
    "Melbourne": (-37.8333, 145.0, "Australia/Melbourne"),
    "Wellington": (-41.2865, 174.7762, "Pacific/Auckland"),
    "Washington": (38.8951, -77.0364, "America/New_York"),
    "Nairobi": (-1.2921, 36.8219, "Africa/Nairobi"),
    "Edinburgh": (55.9533, -3.1883, "Europe/London"),
    "Oslo": (59.9139, 10.7522, "Europe/Oslo"),
    "Tromsø": (69.6492, 18.9553, "Europe/Oslo"),
}
THREE_LIBRARIES = [
    ("Greenwich", "2025-03-20", "18:13:22", "18:46:43"),
    ("Greenwich", "2025-12-21", "15:53:08", "16:33:27"),
    ("Canberra", "2025-01-15", "20:20:39", "20:49:34"),
    ("Canberra", "2025-10-15", "19:18:06", "19:44:08"),
    ("Melbourne", "2025-11-05", "19:58:52", "20:27:20"),
    ("Wellington", "2025-07-01", "17:02:01", "17:33:13"),
    ("Washington", "2025-04-15", "19:45:31", "20:13:09"),
    ("Washington", "2025-07-04", "20:36:52", "21:08:36"),
    ("Nairobi", "2025-03-20", "18:43:20", "19:04:00"),
    ("Edinburgh", "2025-06-21", "22:02:53", "23:05:22"),
    ("Oslo", "2025-06-21", "22:43:53", "00:27:59"),
    ("Tromsø", "2025-06-21", None, None),
    ("Tromsø", "2025-05-01", "22:07:17", None),
]

# Sunrise, Sunset, Twilight for Decorah, Iowa, September (Luther College, after the US Naval Observatory's definition):
# day, sunrise, sunset, begin and end of civil twilight. Whole minutes, no year given, so a minute of play.
DECORAH = """
1 6:32 7:41 6:02 8:11 | 5 6:36 7:34 6:07 8:03 | 10 6:42 7:25 6:13 7:54 | 15 6:47 7:16 6:19 7:45
20 6:53 7:07 6:24 7:36 | 25 6:58 6:58 6:30 7:27 | 30 7:04 6:49 6:36 7:18
"""


def _night(place: str, day: str):
    return sun_night(*PLACES[place], date.fromisoformat(day))


def _seconds_apart(found: datetime, clock: str) -> float:
    hours, minutes, *rest = (int(part) for part in clock.split(":"))
    asked = timedelta(hours=hours, minutes=minutes, seconds=sum(rest))
    got = timedelta(hours=found.hour, minutes=found.minute, seconds=found.second, microseconds=found.microsecond)
    return abs((got - asked).total_seconds())


@pytest.mark.parametrize(("place", "day", "sunset", "civil_dusk"), THREE_LIBRARIES)
def test_sunset_and_civil_dusk_of_three_libraries(place, day, sunset, civil_dusk):
    night = _night(place, day)
    for found, expected in ((night.sunset, sunset), (night.civil_dusk, civil_dusk)):
        if expected is None:
            assert found is None
        else:
            assert _seconds_apart(found, expected) <= 5


def test_dusk_after_midnight_belongs_to_the_night_that_began_the_day_before():
    night = _night("Oslo", "2025-06-21")
    assert night.civil_dusk.date() == date(2025, 6, 22)
    assert night.civil_dusk < night.civil_dawn


def test_no_civil_night_is_none_and_says_how_low_the_sun_stood():
    night = _night("Tromsø", "2025-06-21")
    assert (night.sunset, night.civil_dusk, night.nautical_dusk) == (None, None, None)
    assert (night.sunrise, night.civil_dawn, night.nautical_dawn) == (None, None, None)
    # Lowest midnight sun at the solstice: latitude + declination - 90° = 69.649 + 23.437 - 90 (spherical geometry).
    assert night.sun_lowest_deg == pytest.approx(69.6492 + 23.437 - 90, abs=0.01)


def test_no_nautical_dusk_at_edinburgh_in_june():
    night = _night("Edinburgh", "2025-06-21")
    assert night.nautical_dusk is None
    assert night.nautical_dawn is None


def test_polar_night_has_twilight_but_no_sunset():
    night = _night("Tromsø", "2025-12-21")
    assert night.sunset is None
    assert night.sunrise is None
    assert night.civil_dusk < night.nautical_dusk < night.nautical_dawn < night.civil_dawn


@pytest.mark.parametrize("row", DECORAH.replace("\n", "|").strip("|").split("|"))
def test_printed_table_of_decorah(row):
    day, rise, fall, begin, end = row.split()
    before = sun_night(43.3033, -91.7857, "America/Chicago", date(2025, 9, int(day)) - timedelta(days=1))
    night = sun_night(43.3033, -91.7857, "America/Chicago", date(2025, 9, int(day)))
    for found, clock in ((before.sunrise, rise), (before.civil_dawn, begin)):
        assert _seconds_apart(found, clock) <= 90
    for found, clock in ((night.sunset, fall), (night.civil_dusk, end)):
        assert _seconds_apart(found - timedelta(hours=12), clock) <= 90


def test_solar_position_algorithm_example():
    # Reda and Andreas 2004, NREL/TP-560-34302, appendix A.5: sunset 17:20:19 local standard time (from memory). The
    # algorithm answers for the UTC day 17 October, which west of Greenwich is the evening of the 16th.
    night = sun_night(39.742476, -105.1786, "Etc/GMT+7", date(2003, 10, 16))
    assert _seconds_apart(night.sunset, "17:20:19") <= 5


def test_story_of_fourteen_hives():
    # Invented yard at 46.000 N 66.500 E, UTC+5, Wed 14 May 2031: sunset 19:57, civil dusk 20:32, a minute of play.
    night = sun_night(46.0, 66.5, "Asia/Almaty", date(2031, 5, 14))
    assert _seconds_apart(night.sunset, "19:57") <= 60
    assert _seconds_apart(night.civil_dusk, "20:32") <= 60
    assert night.sunset.utcoffset() == timedelta(hours=5)


def _second_route(latitude: float, longitude: float, start: datetime, altitude: float, falling: bool) -> datetime:
    direction = astronomy.Direction.Set if falling else astronomy.Direction.Rise
    begin = astronomy.Time.Make(start.year, start.month, start.day, start.hour, start.minute, start.second)
    observer = astronomy.Observer(latitude, longitude, 0)
    found = astronomy.SearchAltitude(astronomy.Body.Sun, observer, direction, begin, 1.0, altitude)
    return found.Utc().replace(tzinfo=UTC)


@pytest.mark.parametrize("latitude", [-62.0, -35.0, 0.0, 28.0, 46.0, 60.0])
@pytest.mark.parametrize("longitude", [-170.0, -77.0, 66.5, 151.0])
@pytest.mark.parametrize("day", [date(2026, 3, 29), date(2031, 10, 5), date(2030, 12, 21)])
def test_astronomy_engine_agrees(latitude, longitude, day):
    night = sun_night(latitude, longitude, "UTC", day)
    noon = night.sun_lowest - timedelta(hours=12)
    for found, altitude in ((night.civil_dusk, -6.0), (night.nautical_dusk, -12.0)):
        if found is not None:
            assert abs(found - _second_route(latitude, longitude, noon, altitude, True)) <= timedelta(seconds=5)
    for found, altitude in ((night.civil_dawn, -6.0), (night.nautical_dawn, -12.0)):
        if found is not None:
            second = _second_route(latitude, longitude, night.sun_lowest, altitude, False)
            assert abs(found - second) <= timedelta(seconds=5)


def test_the_night_of_a_clock_change_keeps_both_offsets():
    # Clocks in Berlin went forward at 02:00 on 30 March 2031 (EU summer time rule: last Sunday of March).
    night = sun_night(52.52, 13.405, "Europe/Berlin", date(2031, 3, 29))
    assert night.sunset.utcoffset() == timedelta(hours=1)
    assert night.sunrise.utcoffset() == timedelta(hours=2)


def test_a_zone_hours_away_from_the_sun_still_gives_one_night():
    # Kashgar keeps the hour of Beijing: solar noon near 15:00 by the clock.
    night = sun_night(39.47, 75.99, "Asia/Shanghai", date(2031, 6, 21))
    assert night.sunset.date() == date(2031, 6, 21)
    assert night.sunset.hour >= 21
    assert night.sunset < night.civil_dusk < night.sun_lowest < night.civil_dawn < night.sunrise


def test_moon_phase_against_printed_eclipses():
    # The moon is full at a lunar eclipse and new at a solar one (NASA eclipse tables: total lunar 2025-09-07 18:12 UTC,
    # total solar 2026-08-12 17:46 UTC, seen from 65 N 25 W near greatest eclipse).
    assert moon_at(0.0, 90.0, datetime(2025, 9, 7, 18, 12, tzinfo=UTC)).illuminated > 0.999
    dark = moon_at(65.2, -25.2, datetime(2026, 8, 12, 17, 46, tzinfo=UTC))
    assert dark.illuminated < 0.001
    assert dark.up


def test_moon_share_agrees_with_astronomy_engine():
    night = sun_night(46.0, 66.5, "Asia/Almaty", date(2031, 5, 14))
    second = astronomy.Illumination(astronomy.Body.Moon, astronomy.Time.Make(2031, 5, 14, 19, 30, 0)).phase_fraction
    assert night.moon_illuminated == pytest.approx(second, abs=0.01)


@pytest.mark.parametrize("day", [date(2031, 5, 13), date(2031, 5, 14), date(2031, 5, 29)])
def test_moonrise_belongs_to_the_night_or_is_none(day):
    # astronomy-engine finds the first moonrise and moonset after noon; on two of these nights one comes a day later.
    night = sun_night(46.0, 66.5, "Asia/Almaty", day)
    noon = night.sun_lowest - timedelta(hours=12)
    begin = astronomy.Time.Make(*(noon.astimezone(UTC).timetuple()[:6]))
    observer = astronomy.Observer(46.0, 66.5, 0)
    for found, direction in ((night.moonrise, astronomy.Direction.Rise), (night.moonset, astronomy.Direction.Set)):
        second = astronomy.SearchRiseSet(astronomy.Body.Moon, observer, direction, begin, 2.0).Utc().replace(tzinfo=UTC)
        if second > noon + timedelta(hours=24, minutes=5):
            assert found is None
        else:
            assert abs(found - second) <= timedelta(minutes=1)


def test_dark_below_is_the_same_search():
    night = _night("Greenwich", "2025-03-20")
    dark = dark_below(*PLACES["Greenwich"], date(2025, 3, 20), -6.0)
    assert (dark.begins, dark.ends) == (night.civil_dusk, night.civil_dawn)


def test_refuses_a_place_off_the_globe_and_an_unknown_zone():
    with pytest.raises(UserError, match="latitude_deg"):
        sun_night(91.0, 0.0, "UTC", date(2031, 5, 14))
    with pytest.raises(UserError, match="time zone"):
        sun_night(46.0, 66.5, "Orrow/Vale", date(2031, 5, 14))
