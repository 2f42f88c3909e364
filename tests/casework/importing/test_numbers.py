"""Numbers with commas, points and units; factors against NIST SP 811 (appendix B.8)."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.casework.importing.workbooks import HIVES, YARDS, csv_file, noted, read, whats, xlsx

from ashcomb.casework.importing.mapping import Mapping, SheetMapping
from ashcomb.casework.importing.numbers import convert, settle_decimals, split_number, unit_in
from ashcomb.casework.importing.result import UnreadableError
from ashcomb.records.places import Component, Hive


@pytest.mark.parametrize(
    ("text", "decimals", "number", "word"),
    [
        ("12", "", 12.0, ""),
        ("-5", "", -5.0, ""),
        ("−5", "", -5.0, ""),
        ("3,5", "", 3.5, ""),
        ("3.5", "", 3.5, ""),
        ("0,200", "", 0.2, ""),
        ("1.200,5", "", 1200.5, ""),
        ("1,200.5", "", 1200.5, ""),
        ("1,234,567", "", 1234567.0, ""),
        ("1 200", "", 1200.0, ""),
        ("1\u00a0200,5", "", 1200.5, ""),
        ("1'200", "", 1200.0, ""),
        ("1.200", "comma", 1200.0, ""),
        ("1.200", "point", 1.2, ""),
        ("1,200", "comma", 1.2, ""),
        ("1,200", "point", 1200.0, ""),
        ("25 kg", "", 25.0, "kg"),
        ("302°F", "", 302.0, "°F"),
        ("40 hives", "", 40.0, "hives"),
    ],
)
def test_numbers(text: str, decimals: str, number: float, word: str):
    assert split_number(text, decimals) == (number, word)


@pytest.mark.parametrize(
    "text", ["1.200", "1,200", "about 40", "forty", "40?", "12 13", "1,23,4", "1e5", "", "1.2.3", "½"]
)
def test_what_is_refused(text: str):
    with pytest.raises(UnreadableError) as fault:
        convert(*split_number(text), "kg", "")
    assert fault.value.what
    assert fault.value.do


@given(st.integers(-(10**9), 10**9), st.integers(1, 99))
def test_grouped_numbers_read_back(whole: int, hundredths: int):
    english = f"{whole:,}.{hundredths:02d}"
    german = english.replace(",", "_").replace(".", ",").replace("_", ".")
    assert split_number(english)[0] == split_number(german)[0] == float(english.replace(",", ""))


@pytest.mark.parametrize(
    ("number", "written", "unit", "result"),
    [  # NIST SP 811 (2008), B.8: pound 0.453 592 37 kg, foot 0.3048 m, US gallon 3.785 412 L, mile/h 1.609 344 km/h, °F
        (1, "lb", "kg", 0.45359237),
        (1, "lbs", "kg", 0.45359237),
        (10, "ft", "m", 3.048),
        (1, "gal", "mL", 3785.411784),
        (1, "mph", "km/h", 1.609344),
        (302, "°F", "degC", 150.0),
        (302, "F", "degC", 150.0),
        (2500, "g", "kg", 2.5),
        (45, "%", "percent", 45),
        (11200, "m", "km", 11.2),
    ],
)
def test_units(number: float, written: str, unit: str, result: float):
    assert convert(number, written, unit, "") == pytest.approx(result, abs=1e-8)


def test_a_foreign_unit_is_refused():
    for written, unit in (("L", "kg"), ("stone", "kg"), ("kg", "percent"), ("kg", "")):
        with pytest.raises(UnreadableError):
            convert(1, written, unit, "")


def test_units_in_headings():
    assert unit_in("Weight (lb)", "kg") == ("Weight", "lb")
    assert unit_in("Temp. [°F]", "degC") == ("Temp.", "°F")
    assert unit_in("Weight of honey", "kg") == ("Weight of honey", "")


def test_a_column_that_disagrees_settles_nothing():
    assert settle_decimals(["3,5", "1.200", "4.25"]) == ("", "")
    assert settle_decimals(["1.200", "3,5"]) == ("comma", "3,5")


def parts(*rows: tuple[object, object]) -> list[list[object]]:
    return [["Hive", "Part", "Qty", "Count date", "Weight (lb)"], *[[1, "box", n, "2030-04-01", w] for n, w in rows]]


def test_the_column_settles_thousands_and_says_so(tmp_path: Path):
    rows = parts(("1.200", "2,5"), ("1.234.567", 2.5))
    result = read(xlsx(tmp_path / "p.xlsx", {"Parts": rows, "Hives": HIVES, "Yards": YARDS}))
    found = [r for r in result.records if isinstance(r, Component)]
    assert [r.count for r in found] == [1200, 1234567]
    assert [r.mass_kg for r in found] == [pytest.approx(1.133980925)] * 2
    assert noted(result, "decimal comma, as in “1.234.567”: 1 cell")
    assert noted(result, "converted from lb to kg: 2 cells")


def test_ambiguous_thousands_are_refused_unless_the_mapping_says(tmp_path: Path):
    path = xlsx(tmp_path / "p.xlsx", {"Parts": parts(("1.200", 1), (3, 1)), "Hives": HIVES, "Yards": YARDS})
    assert [(row, column) for _, row, column, _ in whats(read(path))] == [(2, "Qty")]
    settled = read(path, mapping=Mapping({"Parts": SheetMapping("component", decimals="comma")}))
    assert settled.records[-2].count == 1200  # type: ignore[attr-defined]


def test_counts_with_words_and_numbers_typed_as_text(tmp_path: Path):
    rows = [*HIVES, ["3", "A07", "2029"], ["4", "A07", "2029"], ["5", "A07", "2029"]]
    boxes = ["Boxes", "2 boxes", 2.0, "2", "2 dead", 2.5]
    table = [[*row, cell] for row, cell in zip(rows, boxes, strict=True)]
    result = read(xlsx(tmp_path / "h.xlsx", {"Hives": table, "Yards": YARDS}))
    assert [r.boxes for r in result.records if isinstance(r, Hive)] == [2, 2, 2]
    assert [(row, column) for _, row, column, _ in whats(result)] == [(5, "Boxes"), (6, "Boxes")]
    assert noted(result, "words behind a count are left out: 1 cell")


def test_a_number_without_unit_is_noted_as_taken(tmp_path: Path):
    rows = [["Hive", "Part", "Qty", "Count date", "Weight"], [1, "box", 1, "2030-04-01", "11,5"]]
    result = read(
        [csv_file(tmp_path / "parts.csv", rows, ";"), xlsx(tmp_path / "h.xlsx", {"Hives": HIVES, "Yards": YARDS})]
    )
    assert result.records[-1].mass_kg == 11.5  # type: ignore[attr-defined]
    assert noted(result, "numbers without a unit are taken as kg")
