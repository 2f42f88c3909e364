"""Sizes and masses of pieces by everyday names of hive patterns, against published tables.

Langstroth ten-frame deep 52.5 L, shallow 31.0 L (tables of educators and suppliers); National brood 47.8 L (BS 1300).
A full ten-frame deep weighs 80 lb or 36.3 kg and more, over the 25 kg of a unit.
"""

from __future__ import annotations

import pytest
from tests.stories import vale_night as vn

from ashcomb.plans.fate_kinds import PieceClass
from ashcomb.plans.figures import Figures
from ashcomb.plans.holdings import Holding
from ashcomb.plans.patterns import measure_of, pattern_key


def holding(component: str, pattern: str, mass_kg: float | None = None, honey_kg: float = 0.0) -> Holding:
    return Holding("K1", PieceClass(component, "wood", "", pattern), 1, ("K1",), "A07", mass_kg, honey_kg, "", False)


@pytest.mark.parametrize(("pattern", "litres"), [
    ("Langstroth 10 deep", 52.5), ("Langstroth shallow", 31.0), ("National brood", 47.8),
])  # fmt: skip
def test_outside_volume_of_a_box(pattern: str, litres: float):
    found = measure_of(holding("box", pattern), Figures(vn.ORROW))
    assert found.litres == pytest.approx(litres, rel=0.02)


def test_a_full_deep_is_too_heavy_for_a_unit():
    full = measure_of(holding("box", "Langstroth 10 deep", honey_kg=32.0), Figures(vn.ORROW))
    assert full.grams == pytest.approx(36_000, rel=0.02)


def test_what_was_weighed_goes_before_what_is_published():
    found = measure_of(holding("box", "Langstroth 10 deep", mass_kg=5.2), Figures(vn.ORROW))
    assert (found.grams, found.measured) == (5200, True)


@pytest.mark.parametrize(("words", "key"), [
    ("Langstroth 8 deep", "langstroth8_deep"), ("10-frame Langstroth medium", "langstroth10_medium"),
    ("BS National super", "national_super"), ("Dadant", "dadant_brood"), ("WSP", "australia10_wsp"),
    ("log hive", ""),
])  # fmt: skip
def test_patterns_in_everyday_words(words: str, key: str):
    assert pattern_key(words) == key
