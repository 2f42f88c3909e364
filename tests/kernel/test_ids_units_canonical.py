"""Ids, check characters, units and canonical bytes against their standards."""

from __future__ import annotations

import json
import uuid

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ashcomb.kernel.canonical import canonical_bytes, digest
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.ids import CHECK_ALPHABET, check_character, uuid7
from ashcomb.kernel.units import celsius, to_base


def test_uuid7_is_the_worked_example_of_its_standard() -> None:
    # RFC 9562, appendix A.6: unix_ts_ms 0x017F22E279B0, rand_a 0xCC3, rand_b 0x18C4DC0C0C07398F
    random_bytes = ((0xCC3 << 64) | 0x18C4DC0C0C07398F).to_bytes(10, "big")
    assert uuid7(0x017F22E279B0, random_bytes) == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"


@given(st.integers(0, (1 << 48) - 1), st.binary(min_size=10, max_size=10))
def test_uuid7_has_version_and_variant_and_sorts_by_time(ms: int, random_bytes: bytes) -> None:
    made = uuid.UUID(uuid7(ms, random_bytes))
    assert made.version == 7
    assert made.variant == uuid.RFC_4122
    assert made.int >> 80 == ms


MARKS = st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789", min_size=2, max_size=22)


@given(MARKS, st.data())
def test_every_misread_character_changes_the_check_character(mark: str, data: st.DataObject) -> None:
    at = data.draw(st.integers(0, len(mark) - 1))
    other = data.draw(st.sampled_from("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"))
    wrong = mark[:at] + other + mark[at + 1 :]
    same_value = (int(other, 36) - int(mark[at], 36)) % len(CHECK_ALPHABET) == 0
    assert (check_character(wrong) == check_character(mark)) == same_value


def test_check_characters_are_not_mistaken_for_each_other() -> None:
    assert len(CHECK_ALPHABET) == len(set(CHECK_ALPHABET)) == 23
    assert not set(CHECK_ALPHABET) & set("0O1IL5S8B2Z")


HOT = [("302 °F", 150.0), ("320F", 160.0), ("160 °C", 160.0), ("433.15 K", 160.0), ("356 °F", 180.0)]


@pytest.mark.parametrize(("text", "celsius_value"), HOT)
def test_temperatures(text: str, celsius_value: float) -> None:
    # NIST SP 811 B.8: t/°C = (t/°F − 32)/1.8
    assert celsius(text) == pytest.approx(celsius_value, abs=1e-9)


@pytest.mark.parametrize(("text", "dimension", "bare", "base"), [
    ("2 ft", "length", "m", 0.6096), ("80 lb", "mass", "kg", 36.28738960), ("1 gal", "volume", "L", 3.785411784),
    ("1.5 Mrad", "dose", "kGy", 15.0), ("25", "mass", "kg", 25.0), ("2,5 kg", "mass", "kg", 2.5),
])  # fmt: skip
def test_factors_of_nist_sp_811(text: str, dimension: str, bare: str, base: float) -> None:
    assert to_base(text, dimension, bare) == pytest.approx(base, rel=1e-12)


def test_an_unknown_unit_names_those_that_are_known() -> None:
    with pytest.raises(UserError, match="not a unit of mass"):
        to_base("3 stone", "mass", "kg")


def test_keys_sort_as_in_the_standards_own_example() -> None:
    # RFC 8785, section 3.2.3 (without its key U+FB33, which NFC takes apart before sealing)
    value = {"\u20ac": "Euro Sign", "\r": "Carriage Return", "1": "One", "\U0001f600": "Emoji", "\u0080": "Control",
             "\u00f6": "Latin Small Letter O With Diaeresis"}  # fmt: skip
    assert list(json.loads(canonical_bytes(value))) == ["\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600"]


def test_text_is_normalised_before_it_is_hashed() -> None:
    assert digest({"name": "\u014ctara"}) == digest({"name": "O\u0304tara"})


def test_a_float_is_refused() -> None:
    with pytest.raises(TypeError, match="float"):
        canonical_bytes({"mass": 1.5})
