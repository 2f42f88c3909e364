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
    be finished.  next_flight: civil dawn, from when loose bees may fly.  sky: every event of sun and moon in words.
    """

    sun: SunNight
    sunset: datetime | None
    dusk: datetime | None
    dawn: datetime | None
    begins: datetime | None
    ends: datetime | None
    next_flight: datetime | None
    words: str
    sky: tuple[str, ...] = ()


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
    sky = _sky(sun, lat, figures)
    sunset, dusk, dawn, flight = (_minute(m) for m in (sun.sunset, dark.begins, dark.ends, sun.civil_dawn))
    if dusk is None or sunset is None or dawn is None or flight is None:
        return Window(sun=sun, sunset=sunset, dusk=None, dawn=None, begins=None, ends=None, next_flight=flight,
                      words=_no_night(sun, float(altitude), dark), sky=sky)  # fmt: skip
    begins = later(max(dusk, later(sunset, after_sunset)), margin)
    ends = later(flight, -margin)
    words = (
        f"Sunset {sunset:%H:%M}, dusk {dusk:%H:%M}; earliest sealing {begins:%H:%M}; "
        f"everything finished by {ends:%H:%M}; bees may fly from {flight:%H:%M}."
    )
    return Window(sun=sun, sunset=sunset, dusk=dusk, dawn=dawn, begins=begins, ends=ends, next_flight=flight,
                  words=words, sky=sky)  # fmt: skip


def curfew_moment(day: date, clock: str, zone_name: str) -> datetime:
    """The moment of a curfew in the night that begins on `day`: an hour before noon belongs to the next morning.

    clock: HH:MM.
    """
    local: ZoneInfo = zone(zone_name)
    at = time.fromisoformat(clock)
    return datetime.combine(day + timedelta(days=at.hour < 12), at, local)


def _sky(sun: SunNight, latitude: float, figures: Figures) -> tuple[str, ...]:
    """Every event of one night; what does not happen is said, never invented."""
    found = [
        f"Sunset {_clock(sun.sunset)}, civil dusk {_clock(sun.civil_dusk)}, nautical dusk {_clock(sun.nautical_dusk)}; "
        f"nautical dawn {_clock(sun.nautical_dawn)}, civil dawn {_clock(sun.civil_dawn)}, sunrise "
        f"{_clock(sun.sunrise)}.",
        f"Moon: {100 * sun.moon_illuminated:.0f} % lit, rises {_clock(sun.moonrise)}, sets {_clock(sun.moonset)}.",
    ]
    warm = abs(latitude) < figures.ours("night.moon_latitude")
    if warm and sun.moon_illuminated >= figures.ours("night.moon_share"):
        found.append("In the tropics bees may fly by a half moon or brighter: watch the entrances longer.")
    return tuple(found)


def _clock(moment: datetime | None) -> str:
    return f"{moment:%H:%M}" if moment else "none"


def _minute(moment: datetime | None) -> datetime | None:
    return moment.replace(second=0, microsecond=0) if moment else None


def _no_night(sun: SunNight, altitude: float, dark: Dark) -> str:
    lowest = f"The sun is lowest at {sun.sun_lowest:%H:%M}, {sun.sun_lowest_deg:.1f}° from the horizon."
    if dark.begins is None and sun.sun_lowest_deg < altitude:
        return f"The sun stays below {altitude:g}° all night and day, so there is no dusk to count from. {lowest}"
    return (
        f"No dark night: the sun does not go below {altitude:g}°. {lowest} Whether to work is the officer's decision."
    )
