"""Broken, misnamed, oversized and hostile files are refused in words; strange but honest ones are read."""

from __future__ import annotations

import struct
import time
import zipfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import Workbook, load_workbook
from tests.casework.importing.workbooks import HIVES, YARDS, csv_file, noted, read, whats, xlsx

from ashcomb.casework.importing.sheets import read_file
from ashcomb.kernel.errors import UserError
from ashcomb.records.places import Apiary

SHEET = "xl/worksheets/sheet1.xml"


def refusal(path: Path) -> str:
    with pytest.raises(UserError) as fault:
        read_file(path)
    assert fault.value.do
    assert path.name in fault.value.where
    return fault.value.what


def altered(path: Path, member: str, change: object) -> Path:
    """A copy of a workbook with one member replaced or changed by a function."""
    out = path.with_name("altered.xlsx")
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            new.writestr(name, change(data) if name == member and callable(change) else data)
    return out


def test_what_is_no_spreadsheet(tmp_path: Path):
    good = xlsx(tmp_path / "good.xlsx", {"Yards": YARDS}).read_bytes()
    files = {
        "empty.xlsx": (b"", "empty"),
        "empty.csv": (b"", "empty"),
        "half.xlsx": (good[: len(good) // 2], "damaged or only half written"),
        "cut.xlsx": (good[:-30], "damaged or only half written"),
        "text.xlsx": (b"Yard,Since\nA07,2020\n", "is no workbook"),
        "book.csv": (good, "is a workbook although"),
        "old.xlsx": (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 100, "password or is in the old"),
        "paper.pdf": (b"%PDF-1.7", "are not read"),
        "bytes.csv": (b"Yard\x00\x01\x02,Since\n", "no text"),
        "noise.csv": (bytes([0x81, 0x8D, 0x8F, 0x90]) * 20, "no text"),
    }
    for name, (data, says) in files.items():
        (tmp_path / name).write_bytes(data)
        assert says in refusal(tmp_path / name), name
    (tmp_path / "folder.xlsx").mkdir()
    assert "is a folder" in refusal(tmp_path / "folder.xlsx")
    assert "no such file" in refusal(tmp_path / "missing.xlsx")


def test_a_zip_that_is_no_workbook(tmp_path: Path):
    with zipfile.ZipFile(tmp_path / "a.xlsx", "w") as archive:
        archive.writestr("readme.txt", "hello")
    assert "damaged" in refusal(tmp_path / "a.xlsx")


def test_a_bomb_is_refused_before_it_is_unpacked(tmp_path: Path):
    path = xlsx(tmp_path / "a.xlsx", {"Yards": YARDS})
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive, archive.open("xl/media/zeros.bin", "w") as member:
        for _ in range(257):
            member.write(bytes(2**20))
    assert path.stat().st_size < 2**20
    began = time.perf_counter()
    assert "more than 256 MiB" in refusal(path)
    assert time.perf_counter() - began < 1


def test_a_bomb_that_lies_about_its_size_is_refused(tmp_path: Path):
    path = xlsx(tmp_path / "a.xlsx", {"Yards": YARDS})
    big = bytes(8 * 2**20)
    with zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/zeros.bin", big)
    data = path.read_bytes()
    path.write_bytes(data.replace(struct.pack("<I", len(big)), struct.pack("<I", 1000)))
    assert "damaged" in refusal(path)


@pytest.mark.parametrize("place", ["XFD1048576", "XFD150000", "A1048576"])
def test_a_cell_far_away_does_not_fill_the_memory(tmp_path: Path, place: str):
    book = Workbook()
    sheet = book.worksheets[0]
    sheet["A1"], sheet[place] = "Yard", "x"
    book.save(tmp_path / "far.xlsx")
    assert "too large" in refusal(tmp_path / "far.xlsx")


def test_formatted_empty_rows_to_the_end_are_no_rows(tmp_path: Path):
    path = xlsx(tmp_path / "a.xlsx", {"Yards": YARDS})
    out = altered(path, SHEET, lambda data: data.replace(
        b"</sheetData>", b'<row r="1048576"><c r="A1048576" s="0"/></row></sheetData>'))  # fmt: skip
    assert read(out).counts["apiary"].kept == 2


def test_too_many_rows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    path = xlsx(tmp_path / "a.xlsx", {"Yards": YARDS})
    for module in ("xlsx", "csvfile"):
        monkeypatch.setattr(
            f"ashcomb.casework.importing.{module}.limit", lambda name: 2 if name == "max_rows" else 10**6
        )
    with pytest.raises(UserError, match="too large"):
        read_file(path)
    assert "more than 2 rows" in refusal(csv_file(tmp_path / "y.csv", YARDS))


def test_entities_are_never_expanded(tmp_path: Path):
    path = xlsx(tmp_path / "a.xlsx", {"Yards": YARDS})
    for member in (SHEET, "xl/workbook.xml"):
        bad = altered(path, member, lambda data: b'<!DOCTYPE x [<!ENTITY a "aaaa">]>' + data)
        assert "damaged" in refusal(bad)


def test_an_endless_cell_is_named(tmp_path: Path):
    # Microsoft Knowledge Base 211878: a cell holds at most 32,767 characters
    rows = [["Yard", "Since", "Name"], ["A1", "2020", "n" * 32_767], ["A2", "2020", "n" * 32_768]]
    result = read(csv_file(tmp_path / "yards.csv", rows))
    assert whats(result) == [("yards", 3, "Name", "has 32,768 characters; a cell holds 32,767.")]
    (tmp_path / "long.csv").write_text('Yard,Since\nA1,"' + "x" * 200_000 + '"\n')
    assert "Row 2 cannot be read" in refusal(tmp_path / "long.csv")


def test_an_open_quotation_mark_swallows_nothing(tmp_path: Path):
    (tmp_path / "y.csv").write_text('Yard,Since\nA1,2020\n"A2,2020\nA3,2020\n')
    assert "Row 3 cannot be read" in refusal(tmp_path / "y.csv")


def test_error_values_are_not_empty_cells(tmp_path: Path):
    book = load_workbook(
        xlsx(tmp_path / "a.xlsx", {"Hives": [["Hive", "Yard", "In use since", "Boxes"], [1, "A07", "2029", 2]]})
    )
    cell = book["Hives"]["D2"]
    cell.value, cell.data_type = "#REF!", "e"
    book.save(tmp_path / "a.xlsx")
    result = read([tmp_path / "a.xlsx", xlsx(tmp_path / "y.xlsx", {"Yards": YARDS})])
    assert whats(result) == [("Hives", 2, "Boxes", "is an error value.")]


def test_hidden_sheets_and_rows_are_read_and_noted(tmp_path: Path):
    path = xlsx(tmp_path / "a.xlsx", {"Hives": [*HIVES, []], "Yards": YARDS})
    book = load_workbook(path)
    book["Yards"].sheet_state = "hidden"
    book["Hives"].row_dimensions[3].hidden = True
    book["Hives"].row_dimensions[4].hidden = True
    book.save(path)
    result = read(path)
    assert result.counts["hive"].kept == 2
    assert noted(result, "Yards: The sheet is hidden")
    assert noted(result, "Hidden in the workbook, but read: row 3.")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_encodings_and_separators(tmp_path: Path, encoding: str, separator: str):
    rows = [["Yard", "Since", "Name", "Track"], ["A07", "2020-01-01", "Äußere Höhe", "left, right; then left"]]
    result = read(csv_file(tmp_path / "yards.csv", rows, separator, encoding))
    first = result.records[0]
    assert isinstance(first, Apiary)
    assert (first.name, first.access) == ("Äußere Höhe", "left, right; then left")
    assert noted(result, encoding)
    assert noted(result, {",": "commas", ";": "semicolons", "\t": "tabs"}[separator])


def test_a_separator_line(tmp_path: Path):
    (tmp_path / "yards.csv").write_text("sep=;\nYard;Since\nA07;2020\n")
    assert read(tmp_path / "yards.csv").counts["apiary"].kept == 1


def test_a_csv_formula_is_refused(tmp_path: Path):
    result = read(csv_file(tmp_path / "yards.csv", [["Yard", "Since", "Name"], ["A07", "2020", "=1+1"]]))
    assert whats(result) == [("yards", 2, "Name", "is a formula, not a value.")]


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=400), st.sampled_from([".csv", ".xlsx"]), st.booleans())
def test_any_bytes_are_read_or_refused_in_words(
    tmp_path_factory: pytest.TempPathFactory, data: bytes, ending: str, zipped: bool
):
    path = tmp_path_factory.mktemp("f") / f"yards{ending}"
    path.write_bytes((b"PK\x03\x04" if zipped else b"") + data)
    try:
        read(path)
    except UserError as fault:
        told = (fault.what, fault.do)
        assert all(told)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.floats(0, 1, exclude_max=True), st.integers(0, 255)), min_size=1, max_size=5))
def test_a_workbook_with_flipped_bytes(tmp_path_factory: pytest.TempPathFactory, flips: list[tuple[float, int]]):
    folder = tmp_path_factory.mktemp("f")
    good = bytearray(xlsx(folder / "good.xlsx", {"Yards": YARDS}).read_bytes())
    for place, value in flips:
        good[int(place * len(good))] = value
    (folder / "bad.xlsx").write_bytes(good)
    try:
        read(folder / "bad.xlsx")
    except UserError as fault:
        told = (fault.what, fault.do)
        assert all(told)


def test_speed(tmp_path: Path):
    """1,200 hives and 30,000 rows of components; about 3 s on two cores, the bound leaves room for a busy machine."""
    hives = [["Hive", "Yard", "In use since"], *[[n, "A07", "2029-04-01"] for n in range(1200)]]
    parts = [
        ["Hive", "Part", "Qty", "Count date"],
        *[[n % 1200, "frame", 10, f"2030-04-{n // 1200 + 1:02d}"] for n in range(30_000)],
    ]
    path = xlsx(tmp_path / "a.xlsx", {"Parts": parts, "Hives": hives, "Yards": YARDS})
    began = time.perf_counter()
    result = read(path)
    assert result.counts["component"].kept == 30_000
    assert time.perf_counter() - began < 20
