"""Hot wax and bleach against published settings."""

from __future__ import annotations

import pytest

from ashcomb.kernel.errors import UserError
from ashcomb.science.heat import bath_temperature, bleach_dilution, dip_check, soak_check, wax_logs
from ashcomb.sources.library import value

WESTERN_AUSTRALIA = (160, 10, 170)  # DPIRD, Preventing spread of American foulbrood disease, p. 4; alarm is our choice
LEAFLET_P306 = (150, 10, 170)  # Ministry of Agriculture, leaflet P306: 10 min in wax at 150 °C


def test_temperatures_as_written():
    # definition of the scales
    assert bath_temperature("320 °F") == 160
    assert bath_temperature("302 °F") == pytest.approx(150, abs=0.5)
    assert bath_temperature("356 °F") == pytest.approx(180, abs=0.5)
    with pytest.raises(UserError):
        bath_temperature("302")


def test_a_dip_that_one_authority_takes_and_another_refuses():
    assert not dip_check(155, 12, *WESTERN_AUSTRALIA).met
    assert dip_check(155, 12, *LEAFLET_P306).met


def test_the_dip_in_fahrenheit_is_refused():
    check = dip_check(bath_temperature("302 °F"), 10, *WESTERN_AUSTRALIA)
    assert not check.met
    assert check.faults == ("150 °C is below the required 160 °C",)
    assert not check.alarms


def test_exactly_the_setting_meets_it_and_heat_alarms():
    assert dip_check(160, 10, *WESTERN_AUSTRALIA).met
    assert not dip_check(160, 9.9, *WESTERN_AUSTRALIA).met
    hot = dip_check(170, 10, *WESTERN_AUSTRALIA)
    assert hot.met
    assert "fire danger" in hot.alarms[0]


def test_logs_in_wax():
    # Machová 1993: D 1.5 to 2.5 min in beeswax at 150 °C; ten minutes are 4.0 to 6.7 powers of ten
    assert wax_logs(10, value("treatment.wax_d_high").value) == pytest.approx(4.0, rel=0.02)
    assert wax_logs(10, value("treatment.wax_d_low").value) == pytest.approx(6.7, rel=0.02)


def test_bleach_baths():
    third = bleach_dilution(3, 0.5, 6)  # National Bee Unit, Hive cleaning: one part of 3 % bleach and five of water
    assert third.water_parts == 5
    assert (third.product_l, third.water_l) == (1, 5)
    bath = bleach_dilution(5, 0.5, 10)  # arithmetic
    assert (bath.product_l, bath.water_l) == (pytest.approx(1.0), pytest.approx(9.0))
    with pytest.raises(UserError):
        bleach_dilution(0.4, 0.5, 10)


def test_bleach_soak():
    # New Zealand agency, Sodium hypochlorite, after Goodwin and Haine 1998: 0.5 % for 20 min
    assert not soak_check(0.5, 15, 0.5, 20).met
    assert soak_check(0.5, 20, 0.5, 20).met
