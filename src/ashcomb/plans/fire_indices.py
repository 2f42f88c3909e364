"""Fire danger indices from recorded weather: forest, grass, the Canadian chain from noon observations, and smoke.

An index whose data are not recorded says what it lacks and gives no reason; the official rating is asked for elsewhere.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime, timedelta

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words
from ashcomb.plans.figures import Figures
from ashcomb.plans.reasons import Hours, Index, Level, Reason
from ashcomb.records.acts import Weather
from ashcomb.records.situation import Situation
from ashcomb.science.fireweather import ffdi, gfdi_mark_3, ventilation_category, ventilation_m2_s
from ashcomb.science.fwi import FireWeather, fire_weather_day

NOON = 12 * 60


def indices(
    situation: Situation, place: str, latitude: float, rows: Sequence[Weather], hours: Hours, figures: Figures
) -> tuple[Index, ...]:
    """Every index for these hours, those that cannot be worked out too, each with its reasons against the fire."""
    noon = noon_index(situation, place, latitude, hours.begins.date(), figures)
    return (*danger_indices(rows, figures), noon, smoke_index(rows, hours, figures))


def danger_indices(rows: Sequence[Weather], figures: Figures) -> tuple[Index, Index]:
    """The forest and the grass fire danger index of the worst hour that holds all that each needs."""
    forest = [(r.drought_factor, r.temperature_c, r.rh_percent, r.wind_kmh) for r in rows]
    grass = [(r.curing_percent, r.temperature_c, r.rh_percent, r.wind_kmh) for r in rows]
    return (
        _worst("Forest fire danger index", "drought factor", ffdi, forest, float(figures.ours("weather.max_ffdi"))),
        _worst("Grass fire danger index", "grass curing", gfdi_mark_3, grass, float(figures.ours("weather.max_gfdi"))),
    )


def noon_index(situation: Situation, place: str, latitude: float, day: date, figures: Figures) -> Index:
    """The Canadian fire weather index of a day, carried from noon to noon through the records before it.

    Noon observations must stand for every day of a run of `weather.noon_days` that ends the day before, and the day
    itself must have one, observed or forecast. Rain is that of the 24 hours before noon.
    """
    name, noons = "Fire weather index", _noons(situation, place)
    run, limit = int(figures.ours("weather.noon_days")), float(figures.ours("weather.max_fwi"))
    first = day
    while first - timedelta(days=1) in noons:
        first -= timedelta(days=1)
    if day not in noons or (day - first).days < run:
        missing = "not worked out: it needs the temperature, humidity, wind and rain of 24 h at noon of the day and of "
        return Index(name=name, value=None, words=f"{missing}each of {run} days before it.")
    try:
        found = _chain([noons[first + timedelta(days=n)] for n in range((day - first).days + 1)], latitude, figures)
    except UserError as error:
        return _broken(name, error)
    words = f"carried on from {day_words(first)}; from {limit:g} on no fire."
    return _weighed(name, float(found.fwi), limit, words)


def smoke_index(rows: Sequence[Weather], hours: Hours, figures: Figures) -> Index:
    """How well the air carries smoke away, where mixing height and transport wind are recorded."""
    name = "Smoke ventilation"
    known = [(r.mixing_m, r.transport_m_s) for r in rows if r.mixing_m is not None and r.transport_m_s is not None]
    if not known:
        words = "not worked out: mixing height and transport wind are not recorded. On a clear night smoke lies."
        return Index(name=name, value=None, words=words)
    rate = min(
        float(ventilation_m2_s(height, wind)) for height, wind in known if height is not None and wind is not None
    )
    category = int(ventilation_category(rate))
    opens, closes = float(figures.ours("weather.smoke_from")), float(figures.ours("weather.smoke_until"))
    for number in (2, 3, 4, 5):
        figures.ours(f"weather.ventilation_{number}")
    late = category == 2 and (_hour(hours.begins) < opens or _hour(hours.ends) > closes)
    level, why = _SMOKE[category]
    if late or (category == 3 and not hours.by_day):
        level, why = "no-go", f"only from {opens:g}:00 to {closes:g}:00, and out by then" if late else "only by day"
    reason = (Reason(level, f"Ventilation {rate:.0f} m²/s, category {category}: {why}."),) if level else ()
    return Index(name=name, value=rate, words=f"m²/s, category {category} of 5: {why}.", reasons=reason)


_SMOKE: dict[int, tuple[Level | None, str]] = {
    1: ("no-go", "smoke would lie; no burn"), 2: ("caution", "smoke goes slowly"), 3: (None, "smoke goes by day"),
    4: (None, "smoke goes"), 5: ("caution", "smoke goes, wind is the danger"),
}  # fmt: skip


def _worst(
    name: str, special: str, index: Callable[..., object], rows: Sequence[tuple[float | None, ...]], limit: float
) -> Index:
    known = [row for row in rows if None not in row]
    if not known:
        return Index(name=name, value=None, words=f"not worked out: no hour holds the {special}, temperature, humidity "
                                                  "and wind.")  # fmt: skip
    try:
        found = max(float(index(*row)) for row in known)  # type: ignore[arg-type]
    except UserError as error:
        return _broken(name, error)
    hours = f"worst of {len(known)} of {len(rows)} recorded hours; from {limit:g} on no fire."
    return _weighed(name, found, limit, hours)


def _weighed(name: str, found: float, limit: float, words: str) -> Index:
    reason = (Reason("no-go", f"{name} {found:.1f}, {words}"),) if found >= limit else ()
    return Index(name=name, value=found, words=words, reasons=reason)


def _broken(name: str, error: UserError) -> Index:
    said = f"cannot be worked out: {error.what}"
    return Index(name=name, value=None, words=said, reasons=(Reason("no-go", f"The {name.lower()} {said}"),))


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
