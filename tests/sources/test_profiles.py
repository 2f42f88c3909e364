"""The shipped profiles: complete, cited, really different, and the blank one blank."""

from __future__ import annotations

import re
from datetime import date
from itertools import combinations

import holidays
import pytest

from ashcomb.sources.library import profile_keys
from ashcomb.sources.profile import PERMISSIONS, CodeProfile, load_profile, profile_ids, read_profile
from ashcomb.sources.tables import blank_profile

REAL = [name for name in profile_ids() if name not in ("blank", "orrow-vale")]
ALL = [*REAL, "orrow-vale"]


def test_the_wanted_places_are_there() -> None:
    wanted = {"nz", "de", "england", "california", "switzerland", "western-australia", "orrow-vale", "blank"}
    assert wanted <= set(profile_ids())


@pytest.mark.parametrize("name", ALL)
def test_a_profile_sets_every_number_that_plans_read_except_petrol_and_permit(name: str) -> None:
    free = ("kill.petrol_ml", "inspection.cases_all", "inspection.share_all", "inspection.large_from", "permit")
    missing = profile_keys()["values"].keys() - load_profile(name).values.keys()
    assert [key for key in missing if not key.startswith(free)] == []


@pytest.mark.parametrize("name", REAL)
def test_a_real_place_is_honest_about_what_was_checked(name: str) -> None:
    profile = load_profile(name)
    assert profile.checked_on == "2026-11-25"
    assert "not yet checked" in profile.checked_by
    assert profile.note
    own = [value for key, value in profile.values.items() if key not in profile.filled]
    assert [value.key for value in own if value.status == "project choice"] == []


def test_the_invented_place_says_so_and_claims_no_source() -> None:
    profile = load_profile("orrow-vale")
    assert "invented" in profile.name
    assert {value.status for value in profile.values.values()} == {"project choice"}
    assert {item.source for item in (*profile.values.values(), *profile.clocks, *profile.rules.values())} == {""}
    assert profile.filled == frozenset()


def four(profile: CodeProfile) -> tuple[object, ...]:
    notify = profile.clock("notify")
    numbers = [profile.value(key).value for key in ("pit.cover_m", "irradiation.min_dose_kgy", "zone.radius_km")]
    return (notify and (notify.amount, notify.unit, notify.starts), *numbers)


def test_at_least_four_profiles_differ_in_notice_cover_dose_and_radius() -> None:
    rows = {name: four(load_profile(name)) for name in ALL}
    assert all(len({row[column] for row in rows.values()}) >= 3 for column in (0, 1, 3))
    assert len({row[2] for row in rows.values()}) >= 2
    apart = [{a, b} for a, b in combinations(rows, 2) if rows[a] != rows[b]]
    assert len({name for pair in apart for name in pair}) >= 4
    assert len(set(rows.values())) >= 7


def test_petrol_is_allowed_only_where_the_authority_names_it() -> None:
    assert {name for name in ALL if load_profile(name).agents["petrol"] == "allowed"} == {"nz", "orrow-vale"}
    assert {name for name in ALL if load_profile(name).optional("kill.petrol_ml.b1")} == {"nz", "orrow-vale"}


@pytest.mark.parametrize("name", profile_ids())
def test_no_obsolete_poison_is_offered(name: str) -> None:
    text = repr(load_profile(name))
    assert not re.search(r"cyanide|ethylene oxide|formalin|insecticide", text, re.IGNORECASE)


@pytest.mark.parametrize("name", ALL)
def test_what_no_place_can_allow(name: str) -> None:
    profile = load_profile(name)
    methods = profile_keys()["methods"]
    assert {profile.permission("fuel_wet", m) for m in methods if m != "burn"} == {"forbidden"}
    assert profile.permission("honey_frame", "ebeam") == "forbidden"
    assert profile.permission("foam_box", "wax_dip") == "forbidden"
    assert profile.permission("brood_comb", "keep") == "forbidden"
    assert {profile.permission(part, m) for part in profile_keys()["components"] for m in methods} <= set(PERMISSIONS)


@pytest.mark.parametrize("name", ALL)
def test_numbers_of_a_profile_agree_with_each_other(name: str) -> None:
    number = {key: value.value for key, value in load_profile(name).values.items()}
    assert number["zone.radius_km"] <= number["zone.outer_km"]
    assert number["wax.min_c"] < number["wax.alarm_c"]
    assert number["irradiation.unit_max_kg"] <= number["irradiation.pallet_max_kg"]
    assert number["irradiation.deck_mm"] < number["irradiation.pallet_height_mm"]
    assert number["weather.max_wind_kmh"] <= number["weather.max_gust_kmh"]
    assert number["pit.warn_slope_percent"] <= number["pit.max_slope_percent"]
    assert number["fuel.can_max_l"] <= number["fuel.metal_can_max_l"] <= number["fuel.site_max_l"]


@pytest.mark.parametrize("name", REAL)
def test_public_holidays_of_the_region_are_known(name: str) -> None:
    country, _, part = load_profile(name).holiday_region.partition("-")
    assert date(2031, 12, 25) in holidays.country_holidays(country, subdiv=part or None, years=2031)


def test_start_events_differ_between_the_profiles() -> None:
    release = {name: clock.starts for name in ALL if (clock := load_profile(name).clock("release_earliest"))}
    assert release["de"] == "killed"
    assert release["england"] == "burned"
    assert release["switzerland"] == release["orrow-vale"] == "buried"
    trade = load_profile("de").clock("trade_earliest")
    result = load_profile("california").clock("result_to_keeper")
    assert (trade and trade.starts, result and result.starts) == ("last case", "inspector's visit")


def test_the_blank_profile_sets_nothing() -> None:
    blank = load_profile("blank")
    assert (blank.values, blank.clocks, blank.rules, blank.agents, blank.fate) == ({}, (), {}, {}, {})


def test_the_blank_profile_names_every_key_with_unit_and_use() -> None:
    text, known = blank_profile(), profile_keys()
    for key, entry in known["values"].items():
        assert f"# {entry['drives']} Unit: {entry['unit']}\n# {key} = " in text
    for key, drives in (known["clocks"] | known["rules"]).items():
        assert f"# {drives}\n# {key} = " in text


def test_the_blank_profile_loads_when_it_is_filled_in() -> None:
    text = re.sub(r"^# ([\w.-]+|\"[^\"]+\") = ", r"\1 = ", blank_profile(), flags=re.MULTILINE)
    for empty, filled in {
        "value = , low = , high = ": "value = 1, low = 1, high = 1",
        "amount = ,": "amount = 1,",
        'unit = "", meaning = ""': 'unit = "days", meaning = "due"',
        'starts = ""': 'starts = "killed"',
        'status = ""': 'status = "from memory"',
        'burn = ""': 'burn = "allowed"',
        'source = ""': 'source = "my-law"',
    }.items():
        assert empty in text
        text = text.replace(empty, filled)
    text = re.sub(r'^("?[a-z][a-z ]*"?) = ""$', r'\1 = "allowed"', text, flags=re.MULTILINE)
    text = re.sub(r'(place|reason|title|text) = ""', r'\1 = "x"', text)
    profile = read_profile(text, "filled")
    assert profile.values.keys() == profile_keys()["values"].keys()
    assert {clock.key for clock in profile.clocks} == profile_keys()["clocks"].keys()
    assert profile.rules.keys() == profile_keys()["rules"].keys()
    assert list(profile.agents) == profile_keys()["agents"]
    assert len(profile.fate) == len(profile_keys()["components"])
