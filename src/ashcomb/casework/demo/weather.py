"""Invented weather at A07: noon readings of the spring with a dry spell in April, then three calm days forecast."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from math import cos, pi
from random import Random

from ashcomb.casework.demo.places import INDEX
from ashcomb.casework.demo.workbook import Row, Sheet

DRY = (date(2031, 4, 5), date(2031, 4, 27))
BAN = (date(2031, 4, 24), date(2031, 4, 27))
FORECAST = (date(2031, 5, 14), date(2031, 5, 16))
_SPRING = (date(2031, 3, 15), date(2031, 5, 13))
_HEAD = ("Time", "Place", "Forecast", "Temp", "Humidity", "Wind", "Gusts", "Rain", "Rain 24 h mm", "Front",
         "Total fire ban", "Fire danger", "Drought factor")  # fmt: skip


def weather(rng: Random) -> Sheet:
    """Sheet of weather: noon readings from 15 March to 13 May 2031, hourly forecast for 14 to 16 May 2031."""
    return Sheet("Weather", _HEAD, (*_readings(rng), *_forecast(rng)))


def _days(first: date, last: date) -> Iterator[date]:
    yield from (first + timedelta(n) for n in range((last - first).days + 1))


def _readings(rng: Random) -> Iterator[Row]:
    without_rain = 0
    for day in _days(*_SPRING):
        dry, banned = DRY[0] <= day <= DRY[1], BAN[0] <= day <= BAN[1]
        wet = not dry and rng.random() < 0.4 and day < date(2031, 5, 11)
        without_rain = 0 if wet else without_rain + 1
        rain = round(rng.uniform(0.6, 14.0), 1) if wet else 0.0
        temperature = round(8 + 0.16 * (day - _SPRING[0]).days + (4 if dry else 0) + rng.uniform(-2, 2), 1)
        humidity = rng.randint(28, 42) if dry else rng.randint(48, 75)
        wind = rng.randint(14, 28) if dry else rng.randint(6, 18)
        rating = "very high" if banned else "high" if dry else "moderate"
        factor = min(9.0, round(2 + 0.3 * without_rain, 1))
        yield (_stamp(datetime.combine(day, time(12))), INDEX, "no", temperature, humidity, wind, round(wind * 1.6),
               0.0, rain, "no", _word(banned), rating, factor)  # fmt: skip


def _forecast(rng: Random) -> Iterator[Row]:
    for day in _days(*FORECAST):
        for hour in range(24):
            warmth = cos((hour - 15) / 12 * pi)  # 1 in mid afternoon, -1 before dawn
            wind = max(3, round(8 + 3 * warmth + rng.uniform(-1, 1)))
            yield (_stamp(datetime.combine(day, time(hour))), INDEX, "yes", round(15.5 + 5.5 * warmth, 1),
                   round(62 - 17 * warmth), wind, round(wind * 1.5), 0.0, 0.0, "no", "no", "moderate", 3.5)  # fmt: skip


def _stamp(moment: datetime) -> str:
    return f"{moment:%Y-%m-%d %H:%M}"


def _word(flag: bool) -> str:
    return "yes" if flag else "no"
