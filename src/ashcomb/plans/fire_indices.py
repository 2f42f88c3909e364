"""Fire danger indices from recorded weather: forest, grass, the Canadian chain from noon observations, and smoke.

An index that cannot be worked out from the records gives no reason; the official rating is asked for elsewhere.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date, datetime, timedelta
from typing import Literal

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words
from ashcomb.plans.figures import Figures
from ashcomb.plans.reasons import Hours, Reason
from ashcomb.records.acts import Weather
from ashcomb.records.situation import Situation
from ashcomb.science.fireweather import ffdi, gfdi_mark_3, ventilation_category, ventilation_m2_s
from ashcomb.science.fwi import FireWeather, fire_weather_day

NOON = 12 * 60
Level = Literal["no-go", "caution"]


def index_reasons(rows: Sequence[Weather], figures: Figures) -> Iterator[Reason]:
    """The forest and the grass fire danger index of the worst hour, where the hours hold all that each needs."""
    forest = [(r.drought_factor, r.temperature_c, r.rh_percent, r.wind_kmh) for r in rows]
    grass = [(r.curing_percent, r.temperature_c, r.rh_percent, r.wind_kmh) for r in rows]
    yield from _worst("Forest fire danger index", ffdi, forest, float(figures.ours("weather.max_ffdi")))
    yield from _worst("Grass fire danger index", gfdi_mark_3, grass, float(figures.ours("weather.max_gfdi")))


def noon_reason(situation: Situation, place: str, latitude: float, day: date, figures: Figures) -> Iterator[Reason]:
    """The Canadian fire weather index of a day, carried from noon to noon through the records before it.

    Noon observations must stand for every day of a run of `weather.noon_days` that ends the day before, and the day
    itself must have one, observed or forecast. Rain is that of the 24 hours before noon.
    """
    noons = _noons(situation, place)
    run = int(figures.ours("weather.noon_days"))
    first = day
    while first - timedelta(days=1) in noons:
        first -= timedelta(days=1)
    if day not in noons or (day - first).days < run:
        return
    limit = float(figures.ours("weather.max_fwi"))
    try:
        found = _chain([noons[first + timedelta(days=n)] for n in range((day - first).days + 1)], latitude, figures)
    except UserError as error:
        yield Reason("no-go", f"The fire weather index cannot be worked out: {error.what}")
        return
    if float(found.fwi) >= limit:
        said = f"Fire weather index {float(found.fwi):.1f}, carried on from {day_words(first)}"
        yield Reason("no-go", f"{said}; from {limit:g} on no fire.")


def smoke_reasons(rows: Sequence[Weather], hours: Hours, figures: Figures) -> Iterator[Reason]:
    """How well the air carries smoke away, where mixing height and transport wind are recorded."""
    known = [(r.mixing_m, r.transport_m_s) for r in rows if r.mixing_m is not None and r.transport_m_s is not None]
    if not known:
        return
    rate = min(
        float(ventilation_m2_s(height, wind)) for height, wind in known if height is not None and wind is not None
    )
    category = int(ventilation_category(rate))
    words = f"Ventilation {rate:.0f} m²/s, category {category}"
    opens, closes = float(figures.ours("weather.smoke_from")), float(figures.ours("weather.smoke_until"))
    for number in (2, 3, 4, 5):
        figures.ours(f"weather.ventilation_{number}")
    if category == 1:
        yield Reason("no-go", f"{words}: smoke would lie; no burn.")
    elif category == 2 and (_hour(hours.begins) < opens or _hour(hours.ends) > closes):
        yield Reason("no-go", f"{words}: only from {opens:g}:00 to {closes:g}:00, and out by then.")
    elif category in (2, 5):
        why = "smoke goes slowly" if category == 2 else "smoke goes, wind is the danger"
        yield Reason("caution", f"{words}: {why}.")


def _worst(
    name: str, index: Callable[..., object], rows: Sequence[tuple[float | None, ...]], limit: float
) -> Iterator[Reason]:
    found: list[float] = []
    for row in rows:
        if None not in row:
            try:
                found.append(float(index(*row)))  # type: ignore[arg-type]
            except UserError as error:
                yield Reason("no-go", f"The {name.lower()} cannot be worked out: {error.what}")
    if found and max(found) >= limit:
        yield Reason("no-go", f"{name} {max(found):.1f}, from {limit:g} on no fire.")


def _noons(situation: Situation, place: str) -> dict[date, Weather]:
    """The row of each local noon that holds all that the chain needs; an observation beats a forecast."""
    found: dict[date, Weather] = {}
    for row in situation.rows(Weather):
        full = None not in (row.temperature_c, row.rh_percent, row.wind_kmh, row.rain_24h_mm)
        if row.place in ("", place) and row.happened.minute == NOON and full:
            before = found.get(row.happened.first)
            if before is None or before.forecast or not row.forecast:
                found[row.happened.first] = row
    return found


def _chain(noons: Sequence[Weather], latitude: float, figures: Figures) -> FireWeather:
    fine, duff, drought = (float(figures.ours(f"weather.{name}_start")) for name in ("ffmc", "dmc", "dc"))
    figures.ours("weather.ff_constant")
    for row in noons:
        air = (row.temperature_c or 0.0, row.rh_percent or 0.0, row.wind_kmh or 0.0, row.rain_24h_mm or 0.0)
        state = fire_weather_day(fine, duff, drought, *air, row.happened.first.month, latitude)
        fine, duff, drought = float(state.ffmc), float(state.dmc), float(state.dc)
    return state


def _hour(moment: datetime) -> float:
    return moment.hour + moment.minute / 60
