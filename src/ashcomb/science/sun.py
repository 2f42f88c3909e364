"""When it is dark enough to seal a hive, and when the light comes back."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import ephem

from ashcomb.kernel.time import zone
from ashcomb.science.cautions import NIGHT
from ashcomb.science.formula import Quantity, formula
from ashcomb.sources.library import value

_LATITUDE = Quantity("deg", -89.9, 89.9, "north positive")
_LONGITUDE = Quantity("deg", -180.0, 180.0, "east positive")


@dataclass(frozen=True, slots=True)
class Dark:
    """The time from noon to noon in which the sun stays below an altitude; None where the sun does not cross it."""

    begins: datetime | None
    ends: datetime | None


@dataclass(frozen=True, slots=True)
class SunNight:
    """The night that begins on `day`, in local time; None for what does not happen that night.

    sun_lowest, sun_lowest_deg: when the sun stands lowest, and its altitude then: shown when there is no civil night.
    moon_illuminated: lit share of the moon's disc then, 0 to 1.  moonrise, moonset: between noon and noon.
    """

    day: date
    sunset: datetime | None
    civil_dusk: datetime | None
    nautical_dusk: datetime | None
    nautical_dawn: datetime | None
    civil_dawn: datetime | None
    sunrise: datetime | None
    sun_lowest: datetime
    sun_lowest_deg: float
    moon_illuminated: float
    moonrise: datetime | None
    moonset: datetime | None


@dataclass(frozen=True, slots=True)
class Moon:
    """The moon at one moment: lit share of its disc (0 to 1), altitude of its centre, whether it is up."""

    illuminated: float
    altitude_deg: float
    up: bool


@formula(
    returns="times",
    source="ams-civil-twilight",
    place="definition",
    status="published",
    caution=NIGHT,
    latitude_deg=_LATITUDE,
    longitude_deg=_LONGITUDE,
)
def sun_night(latitude_deg: float, longitude_deg: float, zone_name: str, day: date) -> SunNight:
    """Sunset, dusk, dawn and sunrise of the night that begins on a local day.

    Searched from the sun's highest point on `day` to its next one, so the events belong to one night wherever midnight
    falls. Sea-level horizon, no hills. zone_name: IANA name. Good to a few seconds; minutes where the sun only grazes
    an altitude. An event that does not exist is None, never an invented time.
    Raises UserError for an unknown zone or a place outside the valid range.
    """
    local = zone(zone_name)
    sky = _Sky(latitude_deg, longitude_deg, local, day)
    names = ("sunset_altitude", "civil_altitude", "nautical_altitude")
    sun, civil, nautical = (sky.below(value(f"night.{name}").value) for name in names)
    moon = sky.moon(sky.lowest)
    rise, fall = sky.moon_events(value("night.sunset_altitude").value)
    return SunNight(
        day,
        sun.begins,
        civil.begins,
        nautical.begins,
        nautical.ends,
        civil.ends,
        sun.ends,
        sky.local(sky.lowest),
        sky.sun_altitude(sky.lowest),
        moon.illuminated,
        rise,
        fall,
    )


@formula(
    returns="times",
    source="ams-civil-twilight",
    place="definition",
    status="published",
    caution=NIGHT,
    altitude_deg=Quantity("deg", -18.0, 0.0, "altitude of the sun's centre"),
    latitude_deg=_LATITUDE,
    longitude_deg=_LONGITUDE,
)
def dark_below(latitude_deg: float, longitude_deg: float, zone_name: str, day: date, altitude_deg: float) -> Dark:
    """The time in which the sun stays below any altitude, in the night that begins on a local day.

    Both ends are None where the sun does not cross the altitude that night. Raises UserError as `sun_night` does.
    """
    return _Sky(latitude_deg, longitude_deg, zone(zone_name), day).below(altitude_deg)


@formula(
    returns="moon",
    source="ams-civil-twilight",
    place="not a definition",
    status="derived",
    caution=NIGHT,
    latitude_deg=_LATITUDE,
    longitude_deg=_LONGITUDE,
)
def moon_at(latitude_deg: float, longitude_deg: float, moment: datetime) -> Moon:
    """How bright and how high the moon is at an aware moment; in the tropics bees may fly by a half moon.

    Raises ValueError for a moment without a zone.
    """
    if moment.tzinfo is None:
        raise ValueError("a moment needs a time zone")
    return _moon(_observer(latitude_deg, longitude_deg), ephem.Date(moment.astimezone(UTC).replace(tzinfo=None)))


def _observer(latitude_deg: float, longitude_deg: float) -> ephem.Observer:
    observer = ephem.Observer()
    observer.lat, observer.lon = math.radians(latitude_deg), math.radians(longitude_deg)
    observer.elevation, observer.pressure = 0, 0
    return observer


def _moon(observer: ephem.Observer, moment: ephem.Date) -> Moon:
    observer.date = moment
    moon = ephem.Moon(observer)
    altitude = math.degrees(moon.alt)
    return Moon(float(moon.moon_phase), altitude, altitude > value("night.sunset_altitude").value)


class _Sky:
    """One night over one place: from noon over the lowest point to the next noon, as the sun makes them."""

    def __init__(self, latitude_deg: float, longitude_deg: float, local: ZoneInfo, day: date) -> None:
        self.zone = local
        self.observer = _observer(latitude_deg, longitude_deg)
        midnight = datetime.combine(day, time(), local).astimezone(UTC).replace(tzinfo=None)
        self.noon = self.observer.next_transit(ephem.Sun(), start=ephem.Date(midnight))
        self.lowest = self.observer.next_antitransit(ephem.Sun(), start=self.noon)
        self.end = self.observer.next_transit(ephem.Sun(), start=self.lowest)

    def local(self, moment: ephem.Date) -> datetime:
        return moment.datetime().replace(tzinfo=UTC).astimezone(self.zone)  # type: ignore[no-any-return]

    def below(self, altitude_deg: float) -> Dark:
        sun = ephem.Sun()
        return Dark(
            self._event("next_setting", sun, altitude_deg, self.noon, self.lowest),
            self._event("next_rising", sun, altitude_deg, self.lowest, self.end),
        )

    def moon_events(self, altitude_deg: float) -> tuple[datetime | None, datetime | None]:
        moon = ephem.Moon()
        rise = self._event("next_rising", moon, altitude_deg, self.noon, self.end)
        return rise, self._event("next_setting", moon, altitude_deg, self.noon, self.end)

    def sun_altitude(self, moment: ephem.Date) -> float:
        self.observer.date = moment
        return math.degrees(ephem.Sun(self.observer).alt)

    def moon(self, moment: ephem.Date) -> Moon:
        return _moon(self.observer, moment)

    def _event(self, call: str, body: ephem.Body, altitude_deg: float, start: float, end: float) -> datetime | None:
        self.observer.horizon = math.radians(altitude_deg)
        try:
            moment = getattr(self.observer, call)(body, start=start, use_center=True)
        except ephem.CircumpolarError:
            return None
        return self.local(moment) if start <= moment <= end else None
