"""The one line on fire ban and wind that a night sheet carries."""

from __future__ import annotations

from datetime import datetime, timedelta

from ashcomb.casework.sheets.desk import Desk
from ashcomb.plans.night import NightPlan
from ashcomb.plans.weather_rows import local_time
from ashcomb.records.acts import Weather
from ashcomb.sources.library import value


def weather_line(desk: Desk, plan: NightPlan | None) -> str:
    """The record nearest to dusk in words; a sentence that there is none; '' on a blank paper."""
    if plan is None or plan.window.dusk is None:
        return ""
    found = _nearest(desk, plan.order.apiary, plan.window.dusk)
    return _words(*found) if found else "Nothing is recorded for dusk: ask before leaving."


def _nearest(desk: Desk, place: str, dusk: datetime) -> tuple[datetime, Weather] | None:
    most = timedelta(hours=value("plans_night.near_hours").value)
    timed = [(at, row) for row in desk.situation.rows(Weather) if row.place in ("", place)
             if (at := local_time(row, dusk.tzinfo)) is not None and abs(at - dusk) < most]  # fmt: skip
    return min(timed, key=lambda pair: abs(pair[0] - dusk), default=None)


def _words(at: datetime, row: Weather) -> str:
    ban = "FIRE BAN HOLDS" if row.fire_ban else "no fire ban" if row.fire_ban is not None else "FIRE BAN NOT RECORDED"
    numbers = (("wind", row.wind_kmh, "km/h"), ("gusts", row.gust_kmh, "km/h"), ("rain", row.rain_mm, "mm"))
    parts = [
        f"{name} {number:g} {unit}" if number is not None else f"{name} not recorded" for name, number, unit in numbers
    ]
    kind = "forecast" if row.forecast else "observed"
    rating = f"; rating {row.rating}" if row.rating else ""
    return f"{ban}{rating}; {', '.join(parts)} ({kind} for {at:%H:%M})."
