"""Shipped profiles against what was published elsewhere; the source stands beside each check."""

from __future__ import annotations

import pytest

from ashcomb.kernel.units import celsius, to_base
from ashcomb.sources.library import value
from ashcomb.sources.profile import load_profile


def number(profile: str, key: str) -> float:
    return load_profile(profile).value(key).value


def test_petrol_doses_of_new_zealand() -> None:
    """Management agency of New Zealand, “Killing AFB colonies”: half a litre for two boxes, a litre for four."""
    assert number("nz", "kill.petrol_ml.b2") / 1000 == 0.5
    assert number("nz", "kill.petrol_ml.b4") / 1000 == 1.0


def test_hives_that_the_british_store_of_petrol_serves() -> None:
    """SI 2014/1637 sch. 2 (30 L) and half a litre a hive from New Zealand: 60 hives of two boxes."""
    litres = number("nz", "kill.petrol_ml.b2") / 1000
    assert number("england", "fuel.site_max_l") / litres == 60


@pytest.mark.parametrize(("gallons", "percent"), [(1, 6.25), (5, 1.25)])
def test_strength_of_soapy_water(gallons: float, percent: float) -> None:
    """Arithmetic of US measures: a cup is 8 fluid ounces, a gallon 128; the recipes are those of US educators."""
    cup = to_base("8 floz", "volume", "L")
    assert 100 * cup / to_base(f"{gallons} gal", "volume", "L") == pytest.approx(percent, abs=0.1)


def test_depth_of_ash_in_california() -> None:
    """Food and Agricultural Code sec. 29207: at least 2 ft."""
    assert number("california", "pit.ash_depth_m") == pytest.approx(to_base("2 ft", "length", "m"), abs=0.005)


def test_a_pit_240_m_from_a_well() -> None:
    """Environment Agency, Cemeteries and burials: 250 m; NSW DPI, Disposing of deceased stock: 200 m."""
    assert number("england", "pit.well_m") > 240
    assert number("new-south-wales", "pit.well_m") < 240


def test_a_slope_of_four_per_cent() -> None:
    """NSW DPI, Disposing of deceased stock: less than 5 %, better less than 2 %: passes with a warning."""
    assert number("new-south-wales", "pit.warn_slope_percent") < 4 < number("new-south-wales", "pit.max_slope_percent")


def test_doses_written_in_megarad() -> None:
    """Katznelson and Robb 1962, Can. J. Microbiol. 8:175: 1.5 Mrad is 15 kGy."""
    assert to_base("1.5 Mrad", "dose", "kGy") == 15.0
    assert number("orrow-vale", "irradiation.min_dose_kgy") == 15.0


def test_fifteen_kilogray_fail_in_florida() -> None:
    """Fla. Admin. Code 5B-54.0175: at least 20 kGy."""
    assert number("florida", "irradiation.min_dose_kgy") > 15


def test_a_dip_at_155_degrees_for_12_minutes() -> None:
    """DPIRD Western Australia, p. 4: 160 °C for 10 min; leaflet P306, quoted 1995: 150 °C for 10 min."""
    assert number("western-australia", "wax.min_c") > 155
    assert number("england", "wax.min_c") <= 155
    assert number("england", "wax.min_minutes") <= 12
    assert celsius("302 °F") < number("western-australia", "wax.min_c")


def test_hypochlorite_for_15_minutes() -> None:
    """Goodwin and Haine 1998, as told by the agency of New Zealand, and National Bee Unit: 0.5 % for 20 min."""
    for place in ("nz", "england"):
        assert number(place, "bleach.percent") == 0.5
        assert number(place, "bleach.minutes") > 15


def test_the_pallet_of_western_australia() -> None:
    """DPIRD Western Australia, p. 3: 1200 by 1240 mm, below 2 m, up to 1000 kg, units up to 25 kg."""
    sides = [number("western-australia", f"irradiation.pallet_{side}_mm") for side in ("length", "width", "height")]
    volume = sides[0] * sides[1] * sides[2] / 1e9
    mass = number("western-australia", "irradiation.pallet_max_kg")
    assert volume == pytest.approx(2.976, rel=0.01)
    assert mass / volume == pytest.approx(336, rel=0.01)
    assert mass / number("western-australia", "irradiation.unit_max_kg") == 40


@pytest.mark.parametrize(
    ("box", "litres"),
    [("langstroth10_deep", 52.5), ("langstroth10_shallow", 31.0), ("national_brood", 47.8), ("dadant_brood", 75.2)],
)
def test_outside_volume_of_boxes(box: str, litres: float) -> None:
    """Published tables of sizes (US, 3204 and 1893 cubic inches; BS 1300 figures; Buckfast 1948)."""
    sides = [value(f"hives.{box}.{side}_mm").value for side in ("length", "width", "depth")]
    assert sides[0] * sides[1] * sides[2] / 1e6 == pytest.approx(litres, rel=0.01)


def test_inside_volume_of_an_australian_box() -> None:
    """Size sheet of an Australian supplier: 40.5 L."""
    sides = [value(f"hives.australia10_deep.{side}_mm").value for side in ("inner_length", "inner_width", "depth")]
    assert sides[0] * sides[1] * sides[2] / 1e6 == pytest.approx(40.5, rel=0.01)


def test_bees_to_the_kilogram() -> None:
    """Mitchell 1970, through Morse and Hooper: 11 360 bees weigh a kilogram."""
    assert 1e6 / value("hives.bees.mass_mg").value == pytest.approx(11360, rel=0.01)


def test_a_full_deep_is_too_heavy_for_irradiation() -> None:
    """Tables of weights, United States: 80 lb."""
    full = to_base("80 lb", "mass", "kg")
    assert full == pytest.approx(36.3, abs=0.1)
    assert value("hives.langstroth10_deep.full_of_honey_kg").value > number(
        "western-australia", "irradiation.unit_max_kg"
    )


def test_eleven_brood_frames_under_the_british_insurance() -> None:
    """Rate pages of Bee Diseases Insurance, 2009 and 2025: £36.08 for eleven, up by 72.6 %."""
    new, old = (value(f"losses.bdi{year}.bs_brood_frame").value for year in (2025, 2009))
    assert round(11 * new, 2) == 36.08
    assert 100 * (new / old - 1) == pytest.approx(72.6, abs=0.1)


def test_fee_of_a_pallet_by_unit() -> None:
    """US programme pages 2022: 248.80 USD a pallet; with 40 units 6.22 USD each."""
    assert value("losses.cost.pallet_usd").value / 40 == pytest.approx(6.22, abs=0.01)


def test_the_box_of_the_invented_valley() -> None:
    """Acceptance story: 33 boxes of comb are 1.63 m³ loose and six stacks fit one pallet (invented, no source)."""
    assert 33 * value("hives.orrow10_deep.loose_volume_l").value / 1000 == pytest.approx(1.63, abs=0.005)
    length, width = (value(f"hives.orrow10_deep.{side}_mm").value for side in ("length", "width"))
    assert 3 * width <= number("orrow-vale", "irradiation.pallet_length_mm")
    assert 2 * length <= number("orrow-vale", "irradiation.pallet_width_mm")
