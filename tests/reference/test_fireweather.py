"""Fire danger against the published 1985 sequence and rows of public implementations."""

from __future__ import annotations

import numpy as np
import pytest

from ashcomb.science.fireweather import (
    drought_factor,
    drought_factor_griffiths,
    drying_day,
    ffdi,
    gfdi_mark_3,
    gfdi_mark_4,
    gfdi_mark_5,
    ventilation_category,
    ventilation_m2_s,
)
from ashcomb.science.fwi import (
    build_up_index,
    drought_code,
    duff_code,
    fine_fuel_code,
    fire_weather_day,
    intensity_index,
    spread_index,
)
from ashcomb.sources.library import value

# Van Wagner and Pickett 1985, test sequence from 13 April: temperature, humidity, wind, rain, then the six columns.
# Columns computed by another hand with the 1985 constant 147.2; the later constant moves FWI by less than 0.1.
SEQUENCE = [
    (17, 42, 25, 0, 87.69, 8.55, 19.01, 10.85, 8.49, 10.10),
    (20, 21, 25, 2.4, 86.25, 10.40, 23.57, 8.84, 10.36, 9.28),
    (8.5, 40, 17, 0, 86.97, 11.80, 26.05, 6.54, 11.74, 7.58),
    (6.5, 25, 6, 0, 88.83, 13.18, 28.18, 4.90, 13.11, 6.16),
    (13, 34, 24, 0, 89.10, 15.44, 31.47, 12.63, 15.34, 14.84),
    (6, 40, 22, 0.4, 88.66, 16.47, 33.50, 10.71, 16.37, 13.47),
    (5.5, 52, 6, 0, 87.35, 17.24, 35.45, 3.97, 17.14, 5.86),
    (8.5, 46, 16, 0, 87.40, 18.49, 37.93, 6.62, 18.40, 9.65),
    (9.5, 54, 20, 0, 86.81, 19.68, 40.60, 7.44, 19.58, 10.99),
    (7, 93, 14, 9.0, 29.86, 10.14, 29.52, 0.01, 10.91, 0.00),
]


def _start() -> tuple[float, float, float]:
    return tuple(value(f"weather.{code}_start").value for code in ("ffmc", "dmc", "dc"))


def test_the_sequence_of_1985():
    codes = _start()
    for row in SEQUENCE:
        day = fire_weather_day(*codes, *row[:4], 4, 55.0)
        codes = (day.ffmc, day.dmc, day.dc)
        found = [float(x) for x in (*codes, day.isi, day.bui, day.fwi)]
        assert found == pytest.approx(row[4:], abs=0.0101)


def test_the_first_day_to_all_figures():
    # As many public programs print it.
    day = fire_weather_day(*_start(), 17.0, 42.0, 25.0, 0.0, 4, 55.0)
    found = [float(x) for x in (day.ffmc, day.dmc, day.dc, day.isi, day.bui, day.fwi)]
    expected = [87.692980092774448, 8.545051136, 19.014, 10.853661073655068, 8.4904265358, 10.0963713924]
    assert found == pytest.approx(expected, rel=1e-9)


def test_trace_rain_does_not_wet_the_fine_fuel():
    # Equation 2 starts above 0.5 mm: 18 April with 0.4 mm keeps 88.6 (a defect elsewhere gives 84.23).
    dry, trace, half, more = (float(fine_fuel_code(89.1, 6.0, 40.0, 22.0, rain)) for rain in (0.0, 0.4, 0.5, 0.6))
    assert dry == trace == half
    assert more < half


def test_codes_ignore_rain_below_their_thresholds():
    assert float(duff_code(20.0, 15.0, 50.0, 1.5, 6, 50.0)) == float(duff_code(20.0, 15.0, 50.0, 0.0, 6, 50.0))
    assert float(duff_code(20.0, 15.0, 50.0, 1.6, 6, 50.0)) < float(duff_code(20.0, 15.0, 50.0, 0.0, 6, 50.0))
    assert float(drought_code(200.0, 15.0, 2.8, 6, 50.0)) == float(drought_code(200.0, 15.0, 0.0, 6, 50.0))
    assert float(drought_code(200.0, 15.0, 2.9, 6, 50.0)) < float(drought_code(200.0, 15.0, 0.0, 6, 50.0))


def test_day_length_of_the_south_is_turned_by_half_a_year():
    # Lawson and Armitage 2008 (from memory): drought allowance of 20 S and further is the northern one six months on.
    months = np.arange(1, 13)
    north = drought_code(100.0, 20.0, 0.0, months, 50.0)
    south = drought_code(100.0, 20.0, 0.0, months, -35.0)
    np.testing.assert_allclose(south, np.roll(north, 6), atol=1e-9)


def test_heavy_rain_on_wet_litter():
    # Equations 1 to 3b by hand: code 10 is 192.74 % moisture; 1.0 mm (0.5 net) adds 3.81 and, above 150 %, 1.94 more.
    # Air at 100 %, 0 °C, still: ED = 36.3 < m, but saturated air dries nothing.
    net, moisture = 0.5, 147.2 * 91 / 69.5
    soaked = 42.5 * net * np.exp(-100 / (251 - moisture)) * (1 - np.exp(-6.93 / net))
    wet = moisture + soaked + 0.0015 * (moisture - 150) ** 2 * net**0.5
    expected = 59.5 * (250 - wet) / (147.2 + wet)
    assert float(fine_fuel_code(10.0, 0.0, 100.0, 0.0, 1.0)) == pytest.approx(expected, abs=1e-6)


def test_the_two_duff_functions_meet_at_eighty_and_level_off():
    # Equations 28a and 28b meet at BUI 80 (23.67); the second tends to 40.
    below, above = (float(intensity_index(10.0, bui)) for bui in (80.0, 80.01))
    assert above == pytest.approx(below, rel=2e-3)
    far = np.exp(2.72 * (0.434 * np.log(0.1 * 10 * 40)) ** 0.647)
    assert float(intensity_index(10.0, 500.0)) == pytest.approx(far, rel=1e-4)


def test_build_up_of_dry_starts_is_zero():
    assert float(build_up_index(0.0, 0.0)) == 0.0


@pytest.mark.parametrize(
    ("factor", "temperature", "humidity", "wind", "expected"),
    [(10, 40, 15, 40, 72.697), (8, 30, 30, 20, 15.527), (6, 25, 40, 10, 5.532), (3, 20, 60, 15, 1.329)],
)
def test_forest_index(factor, temperature, humidity, wind, expected):
    # xclim 0.62.0 gave these rows to six figures.
    assert float(ffdi(factor, temperature, humidity, wind)) == pytest.approx(expected, abs=6e-4)


def test_drought_factor_of_noble():
    # Computed by another hand from the printed equation.
    np.testing.assert_allclose(drought_factor([100, 50], [5, 1], [10, 20]), [9.429, 2.873], atol=6e-4)


def test_drought_factor_of_griffiths():
    # Ouranosinc/xclim, tests of the drought factor, "sliding" case computed there by hand: 20 mm, deficit 20 mm.
    found = drought_factor_griffiths(20.0, [1, 2, 3, 4, 5], 20.0)
    np.testing.assert_allclose(found, [1.07024, 3.14744, 4.71645, 5.64112, 6.14665], atol=1e-5)


RAIN = [10, 0, 0.1, 6, 0, 0, 0.5, 0.3, 0, 1]
HEAT = [20, 30, 20, 30, 30, 25, 40, 35, 20, 20]


@pytest.mark.parametrize(
    ("rain", "heat", "annual", "start", "expected"),
    [
        ([100] * 10, [0] * 10, 1.0, 0.0, 0.0),
        ([0] * 10, [100] * 10, 1.0, 0.0, 203.2),
        (RAIN, [30] * 10, 1.0, 0.0, 7.25278),
        ([0] * 10, HEAT, 1.0, 0.0, 8.46632),
        (RAIN, HEAT, 1.0, 0.0, 7.10174),
        (RAIN, HEAT, 1.0, 10.0, 12.18341),
        (RAIN, HEAT, 100.0, 0.0, 8.45569),
        (RAIN, HEAT, 1.0, 203.2, 197.33375),
    ],
)
def test_keetch_byram_deficit(rain, heat, annual, start, expected):
    # Ouranosinc/xclim, tests of the Keetch-Byram index, computed there by hand.
    deficit, left = start, value("weather.kbdi_interception").value
    for water, warmth in zip(rain, heat, strict=True):
        day = drying_day(deficit, left, water, warmth, annual)
        deficit, left = day.deficit_mm, day.interception_left_mm
    assert float(deficit) == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize(
    ("curing", "temperature", "humidity", "wind", "mark_3", "mark_4"),
    [(100, 40, 15, 40, 82.86, 76.32), (100, 30, 30, 20, 13.48, 12.37), (90, 25, 40, 15, 3.90, 4.40)],
)
def test_grass_index(curing, temperature, humidity, wind, mark_3, mark_4):
    # Two independent fits of the same meter, computed by another hand; without the factor 2 they would part by half.
    third = float(gfdi_mark_3(curing, temperature, humidity, wind))
    fourth = float(gfdi_mark_4(4.5, curing, temperature, humidity, wind))
    assert third == pytest.approx(mark_3, abs=0.01)
    assert fourth == pytest.approx(mark_4, abs=0.01)
    assert third == pytest.approx(fourth, rel=0.15)


def test_grass_index_mark_5():
    # Hand calculation, 4.5 t/ha, curing 100 %, 40 °C, 15 %, 40 km/h: moisture 3.31 %, 3.35 x 4.5 exp(1.3149) = 56.1.
    moisture = (97.7 + 4.06 * 15) / 46 - 0.00854 * 15
    assert float(gfdi_mark_5(4.5, 100, 40, 15, 40)) == pytest.approx(
        15.075 * np.exp(-0.0897 * moisture + 1.612), rel=1e-6
    )
    assert float(gfdi_mark_5(4.5, 50, 10, 90, 40)) == 0.0


def test_ventilation_categories():
    # Oklahoma State University E-1010: below 2000 I, to 4000 II, to 8000 III, to 16 000 IV, above V.
    assert float(ventilation_m2_s(800.0, 5.0)) == 4000.0
    found = ventilation_category([0, 1999, 2000, 3999, 4000, 7999, 8000, 15999, 16000, 30000])
    assert found.tolist() == [1, 1, 2, 2, 3, 3, 4, 4, 5, 5]


def test_spread_index_of_the_first_day():
    # Van Wagner & Pickett 1985, first day of the test sequence: FFMC 87.692980092774448, wind 25 km/h
    assert float(spread_index(87.692980092774448, 25)) == pytest.approx(10.853661073655068, rel=1e-12)
