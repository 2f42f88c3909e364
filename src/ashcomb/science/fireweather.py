"""Fire danger from the weather. The official rating, fire bans and permits always win over these figures."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ashcomb.science.arrays import Array, Numbers, array
from ashcomb.science.cautions import FIRE
from ashcomb.science.formula import Quantity, formula
from ashcomb.sources.library import value

_AIR = {
    "temperature_c": Quantity("C", -30.0, 55.0),
    "humidity_pct": Quantity("%", 0.0, 100.0, "relative"),
    "wind_km_h": Quantity("km/h", 0.0, 150.0, "mean at 10 m"),
}
_DEFICIT = Quantity("mm", 0.0, 203.2, "soil moisture deficit")
_CURING = Quantity("%", 1.0, 100.0, "dead share of the grass")
_DAYS = Quantity("d", 0.0, 1000.0, "since the last rain")
_RAIN = Quantity("mm", 0.0, 1000.0)
_GRASS = Quantity("t/ha", 0.0, 20.0, "dry grass")


@formula(
    returns="index [1]",
    source="noble-1980",
    place="Mark 5 forest meter",
    status="published",
    caution=FIRE,
    drought_factor=Quantity("1", 0.0, 10.0),
    temperature_c=_AIR["temperature_c"],
    humidity_pct=_AIR["humidity_pct"],
    wind_km_h=_AIR["wind_km_h"],
)
def ffdi(drought_factor: Numbers, temperature_c: Numbers, humidity_pct: Numbers, wind_km_h: Numbers) -> Numbers:
    """Forest fire danger index. All inputs broadcast; 0 when the drought factor is 0."""
    weather = -0.0345 * array(humidity_pct) + 0.0338 * array(temperature_c) + 0.0234 * array(wind_km_h)
    return 2 * np.exp(-0.45 + weather) * array(drought_factor) ** 0.987


@formula(
    returns="factor 0 to 10 [1]",
    source="noble-1980",
    place="drought factor",
    status="published",
    caution=FIRE,
    deficit_mm=_DEFICIT,
    days=_DAYS,
    rain_mm=Quantity("mm", 0.0, 1000.0, "of that rain"),
)
def drought_factor(deficit_mm: Numbers, days: Numbers, rain_mm: Numbers) -> Numbers:
    """How much of the fine fuel is dry enough to burn, older form. All inputs broadcast."""
    wait = (array(days) + 1) ** 1.5
    below = np.maximum(3.52 * wait + array(rain_mm) - 1, np.finfo(float).tiny)
    return np.minimum(0.191 * (array(deficit_mm) + 104) * wait / below, 10.0)


@formula(
    returns="factor 0 to 10 [1]",
    source="griffiths-1999",
    place="equation as printed with the limit of finkele-2006, equation 14",
    status="published",
    caution=FIRE,
    deficit_mm=_DEFICIT,
    days=_DAYS,
    rain_mm=Quantity("mm", 0.0, 1000.0, "of the last rain event"),
)
def drought_factor_griffiths(deficit_mm: Numbers, days: Numbers, rain_mm: Numbers) -> Numbers:
    """How much of the fine fuel is dry enough to burn, newer form for one rain event. All inputs broadcast."""
    dry, rain = array(deficit_mm), array(rain_mm)
    wait = np.where(array(days) < 1, 0.8, array(days)) ** 1.3
    wet = np.maximum(rain - 2, 0.0)
    most = np.where(dry < 20, 1 / (1 + 0.1135 * dry), 75 / (270.525 - 1.267 * dry))
    x = np.minimum(wait / (wait + wet), most)
    share = (41 * x**2 + x) / (40 * x**2 + x + 1)
    return array(np.minimum(10.5 * -np.expm1(-(dry + 30) / 40) * share, 10.0))


@dataclass(frozen=True, slots=True, eq=False)
class Deficit:
    """Soil moisture deficit after a day, and how much more rain of this wet spell will not reach the soil."""

    deficit_mm: Array
    interception_left_mm: Array


@formula(
    returns="deficit_mm [mm], interception_left_mm [mm]",
    source="finkele-2006",
    place="daily Keetch-Byram deficit in millimetres",
    status="published",
    caution=FIRE,
    deficit_mm=Quantity("mm", 0.0, 203.2, "the day before"),
    interception_left_mm=Quantity("mm", 0.0, 5.08, "the day before; weather.kbdi_interception at the start"),
    rain_mm=_RAIN,
    highest_c=Quantity("C", -50.0, 100.0, "highest temperature of the day"),
    annual_rain_mm=Quantity("mm", 0.0, 15000.0, "mean of a year"),
)
def drying_day(
    deficit_mm: Numbers, interception_left_mm: Numbers, rain_mm: Numbers, highest_c: Numbers, annual_rain_mm: Numbers
) -> Deficit:
    """Moves the Keetch-Byram drought index on by one day. All inputs broadcast.

    The first rain of a wet spell is caught by leaves; a day without rain ends the spell.
    """
    before, rain = array(deficit_mm), array(rain_mm)
    full, whole = value("weather.kbdi_full").value, value("weather.kbdi_interception").value
    left = np.where(rain == 0, whole, array(interception_left_mm))
    caught = np.minimum(rain, left)
    pull = 0.968 * np.exp(0.0875 * array(highest_c) + 1.5552) - 8.30
    drying = 0.001 * (full - before) * pull / (1 + 10.88 * np.exp(-0.00173 * array(annual_rain_mm)))
    return Deficit(np.clip(before - (rain - caught) + drying, 0.0, full), left - caught)


@formula(
    returns="index [1]",
    source="noble-1980",
    place="Mark 3 grassland meter",
    status="from memory",
    caution=FIRE,
    curing_pct=_CURING,
    temperature_c=_AIR["temperature_c"],
    humidity_pct=_AIR["humidity_pct"],
    wind_km_h=_AIR["wind_km_h"],
)
def gfdi_mark_3(curing_pct: Numbers, temperature_c: Numbers, humidity_pct: Numbers, wind_km_h: Numbers) -> Numbers:
    """Grass fire danger index, Mark 3, with the factor 2 of the printed meter. All inputs broadcast."""
    weather = 0.0281 * array(temperature_c) - 0.226 * np.sqrt(array(humidity_pct)) + 0.633 * np.sqrt(array(wind_km_h))
    return 2 * np.exp(-23.6 + 5.01 * np.log(array(curing_pct)) + weather)


@formula(
    returns="index [1]",
    source="purton-1982",
    place="Mark 4 grassland meter",
    status="from memory",
    caution=FIRE,
    grass_t_ha=_GRASS,
    curing_pct=_CURING,
    temperature_c=_AIR["temperature_c"],
    humidity_pct=_AIR["humidity_pct"],
    wind_km_h=_AIR["wind_km_h"],
)
def gfdi_mark_4(
    grass_t_ha: Numbers, curing_pct: Numbers, temperature_c: Numbers, humidity_pct: Numbers, wind_km_h: Numbers
) -> Numbers:
    """Grass fire danger index, Mark 4, which knows how much grass stands there. All inputs broadcast."""
    green = 100 - array(curing_pct)
    weather = (
        0.02764 * array(temperature_c) - 0.2205 * np.sqrt(array(humidity_pct)) + 0.6422 * np.sqrt(array(wind_km_h))
    )
    return np.exp(-1.523 - 0.009432 * green**1.536 + weather) * array(grass_t_ha) ** 1.027


@formula(
    returns="index [1]",
    source="noble-1980",
    place="Mark 5 grassland meter",
    status="from memory",
    caution=FIRE,
    grass_t_ha=_GRASS,
    curing_pct=_CURING,
    temperature_c=Quantity("C", 0.0, 55.0),
    humidity_pct=_AIR["humidity_pct"],
    wind_km_h=_AIR["wind_km_h"],
)
def gfdi_mark_5(
    grass_t_ha: Numbers, curing_pct: Numbers, temperature_c: Numbers, humidity_pct: Numbers, wind_km_h: Numbers
) -> Numbers:
    """Grass fire danger index, Mark 5, through the moisture of the grass. Inputs broadcast; 0 from 30 % moisture."""
    humid, warm = array(humidity_pct), array(temperature_c)
    moisture = (97.7 + 4.06 * humid) / (warm + 6) - 0.00854 * humid + 3000 / array(curing_pct) - 30
    gust = 0.0403 * array(wind_km_h)
    dry = 3.35 * np.exp(-0.0897 * moisture + gust)
    damp = 0.299 * np.exp(-1.686 + gust) * np.maximum(30 - moisture, 0.0)
    return array(grass_t_ha) * np.where(moisture < 18.8, dry, damp)


@formula(
    returns="ventilation rate [m2/s]",
    source="osu-e-1010",
    place="mixing height times transport wind",
    status="published",
    caution=FIRE,
    mixing_height_m=Quantity("m", 0.0, 10000.0),
    wind_m_s=Quantity("m/s", 0.0, 60.0, "mean over the mixing height"),
)
def ventilation_m2_s(mixing_height_m: Numbers, wind_m_s: Numbers) -> Numbers:
    """How much air carries smoke away. Inputs broadcast."""
    return array(mixing_height_m) * array(wind_m_s)


@formula(
    returns="category 1 to 5 [1]",
    source="osu-e-1010",
    place="categories I to V",
    status="published",
    caution=FIRE,
    rate_m2_s=Quantity("m2/s", 0.0, 1e6),
)
def ventilation_category(rate_m2_s: Numbers) -> Array:
    """Smoke category: 1 no burn, 2 late morning to afternoon, 3 daytime, 4 any time, 5 burn with caution for wind."""
    starts = [value(f"weather.ventilation_{number}").value for number in (2, 3, 4, 5)]
    return np.asarray(1 + np.digitize(array(rate_m2_s), starts), dtype=float)
