"""What recorded weather says about a fire in some hours: every reason against it, and everything that is missing.

Missing or stale weather is a reason against, never a reason for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from itertools import pairwise

from ashcomb.kernel.time import from_utc_ms, moment_words
from ashcomb.plans.figures import Figures
from ashcomb.plans.fire_indices import indices
from ashcomb.plans.reasons import Hours, Index, Level, Reason
from ashcomb.plans.weather_rows import local_time
from ashcomb.records.acts import Weather
from ashcomb.records.situation import Situation

LOW = ("none", "no rating", "low", "low-moderate")
RAISED = ("moderate",)
HIGH = ("high", "very high", "severe", "extreme", "catastrophic")


def weather_reasons(
    situation: Situation, place: str, latitude: float, hours: Hours, figures: Figures
) -> tuple[tuple[Reason, ...], tuple[Index, ...]]:
    """Every reason that the weather recorded for a place gives, and the indices behind some of them.

    No reason means that nothing recorded speaks against these hours.
    """
    gap = timedelta(hours=float(figures.ours("plans_night.forecast_gap_hours")))
    oldest = timedelta(hours=float(figures.theirs("weather.max_age_h", "weather.stale_hours")))
    near = [(at, row) for at, row in _timed(situation, place, hours) if hours.begins - gap <= at <= hours.ends + gap]
    fresh = [(at, row) for at, row in near if _known_since(at, row, hours) >= hours.now - oldest]
    if not fresh:
        what = "is older than" if near else "is missing; none is recorded that is not older than"
        return (Reason("no-go", f"The weather for these hours {what} {oldest / timedelta(hours=1):g} h."),), ()
    rows = [row for _, row in fresh]
    found = [*_gaps([at for at, _ in fresh], hours, gap), *_official(rows), *_measured(rows, figures)]
    worked = indices(situation, place, latitude, rows, hours, figures)
    return (*found, *(reason for index in worked for reason in index.reasons)), worked


def _timed(situation: Situation, place: str, hours: Hours) -> list[tuple[datetime, Weather]]:
    rows = [row for row in situation.rows(Weather) if row.place in ("", place)]
    pairs = [(local_time(row, hours.begins.tzinfo), row) for row in rows]
    return [(at, row) for at, row in pairs if at is not None and from_utc_ms(row.noted) <= hours.now]


def _known_since(at: datetime, row: Weather, hours: Hours) -> datetime:
    """When the record was true or issued: an observation at its hour, a forecast when it was written down."""
    noted = from_utc_ms(row.noted).astimezone(hours.now.tzinfo)
    return noted if row.forecast else min(at, noted)


def _gaps(times: list[datetime], hours: Hours, gap: timedelta) -> Iterator[Reason]:
    inside = sorted(at for at in times if hours.begins < at < hours.ends)
    for before, after in pairwise([hours.begins, *inside, hours.ends]):
        if after - before > gap:
            yield Reason("no-go", f"No weather from {moment_words(before)} to {moment_words(after)}.")


def _official(rows: list[Weather]) -> Iterator[Reason]:
    if any(row.fire_ban for row in rows):
        yield Reason("no-go", "A fire ban holds.")
    elif all(row.fire_ban is None for row in rows):
        yield Reason("no-go", "Nobody has recorded whether fires are banned.")
    if any(row.storm for row in rows):
        yield Reason("no-go", "A thunderstorm or front is expected.")
    elif all(row.storm is None for row in rows):
        yield Reason("no-go", "Nobody has recorded whether a thunderstorm or front is expected.")
    ratings = sorted({row.rating.strip() for row in rows if row.rating.strip()})
    if not ratings:
        yield Reason("no-go", "The official fire danger rating is missing; write “none” where the place has none.")
    for rating in ratings:
        if rating.casefold() in RAISED:
            yield Reason("caution", f"Official fire danger rating {rating}.")
        elif rating.casefold() not in LOW:
            known = "" if rating.casefold() in HIGH else " (not a known word, so taken as high)"
            yield Reason("no-go", f"Official fire danger rating {rating}{known}.")


def _measured(rows: list[Weather], figures: Figures) -> Iterator[Reason]:
    wind = _worst(rows, "wind_kmh", max)
    gust, humidity, rain = _worst(rows, "gust_kmh", max), _worst(rows, "rh_percent", min), _worst(rows, "rain_mm", max)
    calm = _worst(rows, "wind_kmh", min)
    for name, found in (("wind", wind), ("gusts", gust), ("humidity", humidity), ("rain", rain)):
        if found is None:
            yield Reason("no-go", f"The {name} of at least one hour {'are' if name == 'gusts' else 'is'} missing.")
    if rain is not None and rain > 0:
        yield Reason("no-go", f"Rain, {rain:g} mm in an hour: it puts a pit fire out and bees may revive.")
    yield from _above("Wind", wind, figures.theirs("weather.max_wind_kmh", "weather.max_wind"), "no-go")
    if wind is not None and wind <= figures.theirs("weather.max_wind_kmh", "weather.max_wind"):
        yield from _above("Wind", wind, figures.ours("weather.caution_wind"), "caution", equal=True)
    yield from _above("Gusts", gust, figures.theirs("weather.max_gust_kmh", "weather.max_gust"), "no-go")
    if calm is not None and calm < figures.ours("weather.calm_wind"):
        yield Reason("caution", f"Wind only {calm:g} km/h: vapour and smoke lie in hollows and in the pit.")
    yield from _humidity(humidity, figures)


def _above(
    name: str, found: float | None, limit: float | object, level: Level, equal: bool = False
) -> Iterator[Reason]:
    most = float(limit)  # type: ignore[arg-type]
    if found is not None and (found > most or (equal and found == most)):
        yield Reason(level, f"{name} {found:g} km/h, {'from' if equal else 'above'} {most:g} km/h.")


def _humidity(found: float | None, figures: Figures) -> Iterator[Reason]:
    least = float(figures.theirs("weather.min_rh_percent", "weather.min_humidity"))
    care = float(figures.ours("weather.caution_humidity"))
    if found is None:
        return
    if found < least:
        yield Reason("no-go", f"Humidity {found:g} %, below {least:g} %.")
    elif found < care:
        yield Reason("caution", f"Humidity {found:g} %, below {care:g} %.")


def _worst(rows: list[Weather], name: str, choose: Callable[[list[float]], float]) -> float | None:
    """The worst of all hours, or None if one of them does not say."""
    numbers = [getattr(row, name) for row in rows]
    return None if None in numbers else choose(numbers)
