"""The Canadian fire weather index: three moisture codes that remember yesterday, three figures made from them.

Noon weather. FF, DMC, DC are the fine fuel, duff and drought codes; ISI, BUI, FWI spread, fuel and intensity.
Equation numbers are those of Van Wagner and Pickett 1985.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ashcomb.science.arrays import Array, Numbers, array
from ashcomb.science.cautions import FIRE
from ashcomb.science.formula import Quantity, formula
from ashcomb.sources.library import value

_TEMPERATURE = Quantity("C", -50.0, 60.0, "at noon")
_HUMIDITY = Quantity("%", 0.0, 100.0, "relative, at noon")
_WIND = Quantity("km/h", 0.0, 200.0, "at 10 m, at noon")
_RAIN = Quantity("mm", 0.0, 1000.0, "in the 24 hours before noon")
_FFMC = Quantity("1", 0.0, 101.0, "fine fuel moisture code")
_DMC = Quantity("1", 0.0, 2000.0, "duff moisture code")
_DC = Quantity("1", 0.0, 5000.0, "drought code")
_MONTH = Quantity("1", 1.0, 12.0, "January is 1")
_LATITUDE = Quantity("deg", -90.0, 90.0, "north positive")
_PLACE = "van-wagner-pickett-1985"

# Hours of drying by month and latitude, and the drought code's allowance for it (lawson-armitage-2008, from memory).
_DUFF_HOURS = np.array(
    [
        [11.5, 10.5, 9.2, 7.9, 6.8, 6.2, 6.5, 7.4, 8.7, 10.0, 11.2, 11.8],
        [10.1, 9.6, 9.1, 8.5, 8.1, 7.8, 7.9, 8.3, 8.9, 9.4, 9.9, 10.2],
        [9.0] * 12,
        [7.9, 8.4, 8.9, 9.5, 9.9, 10.2, 10.1, 9.7, 9.1, 8.6, 8.1, 7.8],
        [6.5, 7.5, 9.0, 12.8, 13.9, 13.9, 12.4, 10.9, 9.4, 8.0, 7.0, 6.0],
    ]
)
_DUFF_BANDS = (-30.0, -10.0, 10.0, 30.0)
_DROUGHT_ALLOWANCE = np.array(
    [
        [6.4, 5.0, 2.4, 0.4, -1.6, -1.6, -1.6, -1.6, -1.6, 0.9, 3.8, 5.8],
        [1.4] * 12,
        [-1.6, -1.6, -1.6, 0.9, 3.8, 5.8, 6.4, 5.0, 2.4, 0.4, -1.6, -1.6],
    ]
)
_DROUGHT_BANDS = (-20.0, 20.0)


@dataclass(frozen=True, slots=True, eq=False)
class FireWeather:
    """The codes after one day; the first three are handed to the next day."""

    ffmc: Numbers
    dmc: Numbers
    dc: Numbers
    isi: Numbers
    bui: Numbers
    fwi: Numbers


@formula(
    returns="ffmc, dmc, dc, isi, bui, fwi [1]",
    source=_PLACE,
    place="equations 1 to 30b",
    status="published",
    caution=FIRE,
    ffmc=_FFMC,
    dmc=_DMC,
    dc=_DC,
    temperature_c=_TEMPERATURE,
    humidity_pct=_HUMIDITY,
    wind_km_h=_WIND,
    rain_mm=_RAIN,
    month=_MONTH,
    latitude_deg=_LATITUDE,
)
def fire_weather_day(
    ffmc: Numbers,
    dmc: Numbers,
    dc: Numbers,
    temperature_c: Numbers,
    humidity_pct: Numbers,
    wind_km_h: Numbers,
    rain_mm: Numbers,
    month: Numbers,
    latitude_deg: Numbers,
) -> FireWeather:
    """Moves yesterday's three codes on by one day and gives all six. All inputs broadcast, one element a place.

    Start a season with weather.ffmc_start, dmc_start and dc_start. Raises UserError outside the stated ranges.
    """
    fine = fine_fuel_code(ffmc, temperature_c, humidity_pct, wind_km_h, rain_mm)
    duff = duff_code(dmc, temperature_c, humidity_pct, rain_mm, month, latitude_deg)
    drought = drought_code(dc, temperature_c, rain_mm, month, latitude_deg)
    spread, fuel = spread_index(fine, wind_km_h), build_up_index(duff, drought)
    return FireWeather(fine, duff, drought, spread, fuel, intensity_index(spread, fuel))


@formula(
    returns="code [1]",
    source=_PLACE,
    place="equations 1 to 10",
    status="published",
    caution=FIRE,
    ffmc=_FFMC,
    temperature_c=_TEMPERATURE,
    humidity_pct=_HUMIDITY,
    wind_km_h=_WIND,
    rain_mm=_RAIN,
)
def fine_fuel_code(
    ffmc: Numbers, temperature_c: Numbers, humidity_pct: Numbers, wind_km_h: Numbers, rain_mm: Numbers
) -> Numbers:
    """Dryness of litter and grass after a day. Rain up to 0.5 mm does not count. All inputs broadcast."""
    scale, code = value("weather.ff_constant").value, array(ffmc)
    moisture = _wetted(scale * (101 - code) / (59.5 + code), array(rain_mm))
    humid, warm, wind = array(humidity_pct), array(temperature_c), array(wind_km_h)
    lift = 0.18 * (21.1 - warm) * -np.expm1(-0.115 * humid)
    dry = 0.942 * humid**0.679 + 11 * np.exp((humid - 100) / 10) + lift
    wet = 0.618 * humid**0.753 + 10 * np.exp((humid - 100) / 10) + lift
    rate = 0.581 * np.exp(0.0365 * warm)
    falling = dry + (moisture - dry) * 10 ** (-_log_rate(humid / 100, wind) * rate)
    rising = wet - (wet - moisture) * 10 ** (-_log_rate(1 - humid / 100, wind) * rate)
    after = np.where(moisture > dry, falling, np.where(moisture < wet, rising, moisture))
    return np.clip(59.5 * (250 - after) / (scale + after), 0.0, 101.0)


def _log_rate(share: Array, wind: Array) -> Array:
    """Equations 4 and 7a: drying with the humidity, wetting with what it lacks to 100 %."""
    return array(0.424 * (1 - share**1.7) + 0.0694 * np.sqrt(wind) * (1 - share**8))


def _wetted(moisture: Array, rain: Array) -> Array:
    """Equations 2 to 3b: moisture of fine fuel after rain."""
    net = np.maximum(rain - 0.5, 1e-12)
    soaked = 42.5 * net * np.exp(-100 / (251 - moisture)) * -np.expm1(-6.93 / net)
    more = np.where(moisture > 150, 0.0015 * (moisture - 150) ** 2 * np.sqrt(net), 0.0)
    return np.where(rain > 0.5, np.minimum(moisture + soaked + more, 250.0), moisture)


@formula(
    returns="code [1]",
    source=_PLACE,
    place="equations 11 to 17; day length lawson-armitage-2008",
    status="published",
    caution=FIRE,
    dmc=_DMC,
    temperature_c=_TEMPERATURE,
    humidity_pct=_HUMIDITY,
    rain_mm=_RAIN,
    month=_MONTH,
    latitude_deg=_LATITUDE,
)
def duff_code(
    dmc: Numbers,
    temperature_c: Numbers,
    humidity_pct: Numbers,
    rain_mm: Numbers,
    month: Numbers,
    latitude_deg: Numbers,
) -> Numbers:
    """Dryness of loose humus after a day. Rain up to 1.5 mm does not count. All inputs broadcast."""
    before, rain = array(dmc), array(rain_mm)
    safe = np.maximum(before, 1e-9)
    slope = np.where(
        before <= 33,
        100 / (0.5 + 0.3 * before),
        np.where(before <= 65, 14 - 1.3 * np.log(safe), 6.2 * np.log(safe) - 17.2),
    )
    # Equation 12 as the reference programs compute it; the printed exp(5.6348 - P/43.43) is 0.03 higher at the most.
    net = 0.92 * np.maximum(rain, 1.5) - 1.27
    wet = 20 + 280 * np.exp(-0.023 * before) + 1000 * net / (48.77 + slope * net)
    rained = np.where(rain > 1.5, np.maximum(244.72 - 43.43 * np.log(wet - 20), 0.0), before)
    hours = _by_month(_DUFF_HOURS, _DUFF_BANDS, month, latitude_deg)
    warm = np.maximum(array(temperature_c) + 1.1, 0.0)
    return rained + 100 * 1.894e-6 * warm * (100 - array(humidity_pct)) * hours


@formula(
    returns="code [1]",
    source=_PLACE,
    place="equations 18 to 23; day length lawson-armitage-2008",
    status="published",
    caution=FIRE,
    dc=_DC,
    temperature_c=_TEMPERATURE,
    rain_mm=_RAIN,
    month=_MONTH,
    latitude_deg=_LATITUDE,
)
def drought_code(
    dc: Numbers, temperature_c: Numbers, rain_mm: Numbers, month: Numbers, latitude_deg: Numbers
) -> Numbers:
    """Dryness of deep humus after a day. Rain up to 2.8 mm does not count. All inputs broadcast."""
    before, rain = array(dc), array(rain_mm)
    stored = 800 * np.exp(-before / 400) + 3.937 * (0.83 * rain - 1.27)
    rained = np.where(rain > 2.8, np.maximum(400 * np.log(800 / np.maximum(stored, 1e-9)), 0.0), before)
    allowance = _by_month(_DROUGHT_ALLOWANCE, _DROUGHT_BANDS, month, latitude_deg)
    drying = 0.36 * (np.maximum(array(temperature_c), -2.8) + 2.8) + allowance
    return rained + 0.5 * np.maximum(drying, 0.0)


def _by_month(table: Array, bands: tuple[float, ...], month: Numbers, latitude_deg: Numbers) -> Array:
    """The table's entry by month and band of latitude; a latitude on an edge belongs to the band south of it."""
    band = np.searchsorted(np.array(bands), array(latitude_deg), side="left")
    return array(table[band, array(month).astype(int) - 1])


@formula(
    returns="index [1]", source=_PLACE, place="equations 24 to 26", status="published", caution=FIRE,
    ffmc=_FFMC, wind_km_h=_WIND,
)  # fmt: skip
def spread_index(ffmc: Numbers, wind_km_h: Numbers) -> Numbers:
    """How fast a fire spreads at its start: ISI. Inputs broadcast."""
    code, scale = array(ffmc), value("weather.ff_constant").value
    moisture = scale * (101 - code) / (59.5 + code)
    fine = 91.9 * np.exp(-0.1386 * moisture) * (1 + moisture**5.31 / 4.93e7)
    return 0.208 * np.exp(0.05039 * array(wind_km_h)) * fine


@formula(
    returns="index [1]", source=_PLACE, place="equations 27a, 27b", status="published", caution=FIRE, dmc=_DMC, dc=_DC
)
def build_up_index(dmc: Numbers, dc: Numbers) -> Numbers:
    """How much fuel is there to burn: BUI. Inputs broadcast."""
    duff, drought = array(dmc), array(dc)
    both = np.maximum(duff + 0.4 * drought, 1e-12)
    moist = 0.8 * duff * drought / both
    dry = duff - (1 - 0.8 * drought / both) * (0.92 + (0.0114 * duff) ** 1.7)
    return np.maximum(np.where(duff <= 0.4 * drought, moist, dry), 0.0)


@formula(
    returns="index [1]",
    source=_PLACE,
    place="equations 28a to 30b",
    status="published",
    caution=FIRE,
    isi=Quantity("1", 0.0, 1e5),
    bui=Quantity("1", 0.0, 1e4),
)
def intensity_index(isi: Numbers, bui: Numbers) -> Numbers:
    """How fierce a fire would burn: FWI. Inputs broadcast."""
    fuel = array(bui)
    duff = np.where(fuel <= 80, 0.626 * fuel**0.809 + 2, 1000 / (25 + 108.64 * np.exp(-0.023 * fuel)))
    product = 0.1 * array(isi) * duff
    large = np.maximum(product, 1.0)
    return np.where(product <= 1, product, np.exp(2.72 * (0.434 * np.log(large)) ** 0.647))
