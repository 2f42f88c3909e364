"""When an apiary can be looked at: daylight, weather, brood and the landowner's hours."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from ashcomb.kernel.time import zone
from ashcomb.plans.figures import Figures
from ashcomb.plans.season import Season
from ashcomb.records.acts import Weather
from ashcomb.records.situation import Situation
from ashcomb.science.sun import sun_night

Window = tuple[int, int]
_HOUR = 60
_DAY = 24 * _HOUR


@dataclass(frozen=True, slots=True)
class Allowed:
    """Hours in which somebody lets a crew in. apiary: where.  day: None for every day.  first, last: minutes."""

    apiary: str
    day: date | None
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class DayWindows:
    """Windows of an apiary on one day, minutes after midnight, and in words what narrows them."""

    windows: tuple[Window, ...]
    why: str


class Openings:
    """Works out the windows of apiaries. allowed: landowners' hours; an apiary without any is open all day."""

    def __init__(self, situation: Situation, figures: Figures, season: Season, zone_name: str,
                 allowed: Sequence[Allowed] = ()) -> None:  # fmt: skip
        self.season, self.zone = season, zone_name
        self.margin = int(figures.ours("visits.sun_margin"))
        self.limits = tuple(float(figures.ours(f"visits.{name}")) for name in ("open_from_c", "open_wind", "open_rain"))
        self.allowed = allowed
        self.weather: dict[date, list[Weather]] = {}
        for row in situation.rows(Weather):
            if row.happened.minute is not None:
                self.weather.setdefault(row.happened.first, []).append(row)

    def of(self, apiary: str, day: date, lat: float | None, lon: float | None) -> DayWindows:
        """When the hives of an apiary can be looked at on a day."""
        if not self.season.has_brood(day):
            return DayWindows((), "no brood at this time of the year, so signs cannot show")
        light, why = self._daylight(day, lat, lon)
        found = [light] if light[0] < light[1] else []
        own = [a for a in self.allowed if a.apiary == apiary and a.day in (None, day)]
        named = any(a.apiary == apiary for a in self.allowed)
        if named:
            found = [_both(w, (a.first, a.last)) for w in found for a in own]
            why += "; landowner's hours"
        bad = self._bad_weather(apiary, day)
        for blocked in bad:
            found = [piece for w in found for piece in ((w[0], min(w[1], blocked[0])), (max(w[0], blocked[1]), w[1]))]
        if bad:
            why += "; weather forecast or recorded as unfit for open hives"
        return DayWindows(tuple(sorted({w for w in found if w[0] < w[1]})), why)

    def _daylight(self, day: date, lat: float | None, lon: float | None) -> tuple[Window, str]:
        """From so long after sunrise until so long before sunset; without a position from six to six."""
        if lat is None or lon is None:
            return (6 * _HOUR, 18 * _HOUR), "no position, so 06:00 to 18:00"
        rises = sun_night(lat, lon, self.zone, day - timedelta(days=1)).sunrise
        sets = sun_night(lat, lon, self.zone, day).sunset
        place = zone(self.zone)
        if rises is None or sets is None:
            return (0, _DAY), "the sun neither rises nor sets: any hour"
        begin = rises.astimezone(place).hour * _HOUR + rises.astimezone(place).minute + self.margin
        end = sets.astimezone(place).hour * _HOUR + sets.astimezone(place).minute - self.margin
        return (begin, end), f"daylight {clock(begin)} to {clock(end)}"

    def _bad_weather(self, apiary: str, day: date) -> list[Window]:
        rows = self.weather.get(day, [])
        near = [row for row in rows if row.place == apiary] or rows
        return [(max(0, (row.happened.minute or 0) - _HOUR // 2), min(_DAY, (row.happened.minute or 0) + _HOUR // 2))
                for row in near if self._unfit(row)]  # fmt: skip

    def _unfit(self, row: Weather) -> bool:
        cold, wind, rain = self.limits
        return bool((row.temperature_c is not None and row.temperature_c < cold)
                    or (row.wind_kmh is not None and row.wind_kmh > wind)
                    or (row.rain_mm is not None and row.rain_mm > rain))  # fmt: skip


def clock(minutes: int) -> str:
    """'08:05' for 485 minutes after midnight; after the next midnight '01:10 +1'."""
    return f"{minutes // _HOUR % 24:02d}:{minutes % _HOUR:02d}" + (" +1" if minutes >= _DAY else "")


def widest(windows: Iterable[Window]) -> int:
    """Minutes of the longest window, 0 if there is none."""
    return max((last - first for first, last in windows), default=0)


def _both(a: Window, b: Window) -> Window:
    return max(a[0], b[0]), min(a[1], b[1])
