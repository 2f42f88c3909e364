"""How warm the air is for the waiting plan: as asked, as recorded near the hour, or a stand-in that says so."""

from __future__ import annotations

from datetime import datetime, timedelta

from ashcomb.plans.figures import Figures
from ashcomb.plans.weather_rows import local_time
from ashcomb.records.acts import Weather
from ashcomb.records.situation import Situation


def air_temperature(
    situation: Situation, place: str, moment: datetime, asked: float | None, figures: Figures
) -> tuple[float, str]:
    """Air in °C at a place and an aware moment, and a sentence on where it is from ('' when it was asked for)."""
    if asked is not None:
        return asked, ""
    near = timedelta(hours=float(figures.ours("plans_night.near_hours")))
    rows = [
        (abs(at - moment), row.temperature_c)
        for row in situation.rows(Weather)
        if row.place in ("", place) and row.temperature_c is not None and (at := local_time(row, moment.tzinfo))
    ]
    gap, found = min(rows, default=(near, None))
    if found is not None and gap < near:
        return found, f"Air {found:g} °C, from the weather recorded near {moment:%H:%M}."
    stand_in = float(figures.ours("waiting.temperature"))
    return stand_in, f"No air temperature is recorded near {moment:%H:%M}: {stand_in:g} °C stands in."
