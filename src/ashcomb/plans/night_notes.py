"""Advice for one night that changes no figure: weather at dusk, moon, distance of flames, the morning after."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from ashcomb.plans.figures import Figures
from ashcomb.plans.night_window import Window
from ashcomb.plans.weather_rows import local_time
from ashcomb.records.acts import Weather
from ashcomb.records.situation import Situation


def night_notes(situation: Situation, place: str, night: Window, figures: Figures) -> tuple[str, ...]:
    """Sentences for the sheet."""
    return (*_weather(situation, place, night, figures), *_always(figures))


def _weather(situation: Situation, place: str, night: Window, figures: Figures) -> Iterator[str]:
    if night.dusk is None:
        return
    row = _nearest(situation, place, night.dusk, timedelta(hours=float(figures.ours("plans_night.near_hours"))))
    if row is None:
        yield "No weather is recorded for dusk: look at temperature, wind and the official word on fire before leaving."
        return
    if row.fire_ban:
        yield "A fire ban holds: the dead hives go into the bee-proof store."
    hot, cold = figures.ours("night.hot_dusk"), figures.ours("night.cold_kill")
    if row.temperature_c is not None and row.temperature_c > hot:
        later_dusk = f"{night.sun.nautical_dusk:%H:%M}" if night.sun.nautical_dusk else "never this night"
        yield f"{row.temperature_c:g} °C at dusk: bees may hang outside. Seal at nautical dusk ({later_dusk}) or later."
    if row.temperature_c is not None and row.temperature_c < cold:
        yield f"{row.temperature_c:g} °C at dusk: vapour forms slowly below {float(cold):g} °C. Lengthen the wait."
    if row.rain_mm:
        yield (f"Rain at dusk, {row.rain_mm:g} mm in an hour: bees stay in sooner, but light decides, not rain. Keep "
               " rain out of sealed hives; a wet fire goes out and bees revive in it.")  # fmt: skip
    missing = [words for name, words in _FIELDS if getattr(row, name) is None]
    if missing:
        yield f"Not recorded for dusk: {', '.join(missing)}. Look before leaving."


_FIELDS = (
    ("temperature_c", "temperature"), ("rain_mm", "rain"), ("wind_kmh", "wind"), ("fire_ban", "fire ban"),
    ("storm", "thunderstorm or front"),
)  # fmt: skip


def _always(figures: Figures) -> Iterator[str]:
    watch = float(figures.ours("night.entrance_watch_minutes"))
    flame = float(figures.theirs("exclusion.ignition_m", "vapour.ignition_exclusion"))
    yield f"Watch each entrance {watch:g} min without traffic before it is sealed."
    yield f"Smoker, torches, engines and telephones stay {flame:g} m from open fuel; no flame until all cans are shut."
    yield "Hives that are still heard at the end stay sealed and guarded; count them, write them down, and dose again."
    yield "Count at the end: hives standing = hives listed = hives confirmed dead."
    yield "Every hive is listened to again next morning before it is opened."


def _nearest(situation: Situation, place: str, moment: datetime, near: timedelta) -> Weather | None:
    timed = [(abs(at - moment), row) for row in situation.rows(Weather) if row.place in ("", place)
             if (at := local_time(row, moment.tzinfo)) is not None]  # fmt: skip
    gap, row = min(timed, key=lambda pair: pair[0], default=(near, None))
    return row if gap < near else None
