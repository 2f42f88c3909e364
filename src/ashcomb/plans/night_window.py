"""From when to when hives may be sealed and dosed in one night, and when bees fly again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from ashcomb.kernel.time import zone
from ashcomb.plans.figures import Figures
from ashcomb.plans.night_timeline import later
from ashcomb.science.sun import Dark, SunNight, dark_below, sun_night


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The usable part of a night, in whole minutes of local time; seconds are dropped.

    sunset, dusk, dawn: None where the sun does not go that low.  begins: earliest sealing.  ends: when everything must
    be finished.  next_flight: civil dawn, from when loose bees may fly.
    """

    sun: SunNight
    sunset: datetime | None
    dusk: datetime | None
    dawn: datetime | None
    begins: datetime | None
    ends: datetime | None
    next_flight: datetime | None
    words: str


def window(lat: float, lon: float, zone_name: str, day: date, figures: Figures) -> Window:
    """The window of the night that begins on a local day.

    It begins at dusk (altitude of the profile), or half an hour after sunset where twilight is shorter, plus the
    profile's margin; it ends at civil dawn less the same margin. Without dusk there is no window and no invented time.
    """
    sun = sun_night(lat, lon, zone_name, day)
    altitude = figures.theirs("night.dusk_altitude", "night.dusk_altitude")
    margin = figures.theirs("night.margin_min", "night.dusk_margin")
    after_sunset = figures.ours("night.sunset_margin")
    dark = dark_below(lat, lon, zone_name, day, float(altitude))
    sunset, dusk, dawn, flight = (_minute(m) for m in (sun.sunset, dark.begins, dark.ends, sun.civil_dawn))
    if dusk is None or sunset is None or dawn is None or flight is None:
        return Window(sun=sun, sunset=sunset, dusk=None, dawn=None, begins=None, ends=None, next_flight=flight,
                      words=_no_night(sun, float(altitude), dark))  # fmt: skip
    begins = later(max(dusk, later(sunset, after_sunset)), margin)
    ends = later(flight, -margin)
    words = (
        f"Sunset {sunset:%H:%M}, dusk {dusk:%H:%M}; earliest sealing {begins:%H:%M}; "
        f"everything finished by {ends:%H:%M}; bees may fly from {flight:%H:%M}."
    )
    return Window(
        sun=sun, sunset=sunset, dusk=dusk, dawn=dawn, begins=begins, ends=ends, next_flight=flight, words=words
    )


def curfew_moment(day: date, clock: str, zone_name: str) -> datetime:
    """The moment of a curfew in the night that begins on `day`: an hour before noon belongs to the next morning.

    clock: HH:MM.
    """
    local: ZoneInfo = zone(zone_name)
    at = time.fromisoformat(clock)
    return datetime.combine(day + timedelta(days=at.hour < 12), at, local)


def _minute(moment: datetime | None) -> datetime | None:
    return moment.replace(second=0, microsecond=0) if moment else None


def _no_night(sun: SunNight, altitude: float, dark: Dark) -> str:
    lowest = f"The sun is lowest at {sun.sun_lowest:%H:%M}, {sun.sun_lowest_deg:.1f}° from the horizon."
    if dark.begins is None and sun.sun_lowest_deg < altitude:
        return f"The sun stays below {altitude:g}° all night and day, so there is no dusk to count from. {lowest}"
    return (
        f"No dark night: the sun does not go below {altitude:g}°. {lowest} Whether to work is the officer's decision."
    )
