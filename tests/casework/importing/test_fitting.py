"""Rows against what is known: duplicates, corrections, spellings, rows that wait, and the same row twice."""

from __future__ import annotations

from pathlib import Path

from openpyxl import load_workbook
from tests.casework.importing.workbooks import HIVES, YARDS, csv_file, noted, read, whats, xlsx

from ashcomb.casework.importing.template import write_template
from ashcomb.records.all import KINDS
from ashcomb.records.case import CaseHead
from ashcomb.records.looks import Inspection
from ashcomb.records.movements import Move
from ashcomb.records.places import Hive, Keeper

LOOKS = ["Date", "Hive", "Signs", "Brood frames", "Frames seen"]


def test_two_faults_of_a_row_are_both_named(tmp_path: Path):
    rows = [LOOKS, ["31 June 2030", "99", "none seen", -1, 3]]
    result = read(xlsx(tmp_path / "l.xlsx", {"Inspections": rows, "Hives": HIVES, "Yards": YARDS}))
    assert [column for _, _, column, _ in whats(result)] == ["Date", "Brood frames", "Frames seen", "Hive"]
    assert result.refused_rows == 1
    assert result.problems[0].value == "31 June 2030"


def test_rows_that_name_a_refused_row_wait_and_are_not_counted(tmp_path: Path):
    yards = [*YARDS, ["A15", "31 June 2020"]]
    hives = [*HIVES, ["3", "A15", "2029"], ["4", "A15", "2029"]]
    looks = [LOOKS, ["2030-05-01", "3", "suspect", 8, 8], ["2030-05-01", "3", "nonsense", 8, 8]]
    path = xlsx(tmp_path / "w.xlsx", {"Inspections": looks, "Hives": hives, "Yards": yards})
    result = read(path)
    assert [(p.sheet, p.row) for p in result.problems] == [("Yards", 4), ("Inspections", 3)]
    assert result.refused_rows == 2
    assert [(p.sheet, p.row) for p in result.waiting] == [("Hives", 4), ("Hives", 5), ("Inspections", 2)]
    assert "waits for A15, which stands in a refused row (Yards, row 4)" in result.waiting[0].what
    assert result.counts["hive"].waiting == 2


def test_the_same_rows_twice(tmp_path: Path):
    looks = [LOOKS, ["2030-05-01", "1", "suspect", 8, 8], ["2030-05-01", "1", "suspect", 8, 8]]
    path = xlsx(tmp_path / "w.xlsx", {"Inspections": looks, "Hives": HIVES, "Yards": YARDS})
    first = read(path)
    assert first.counts["inspection"].kept == 2  # two looks that say the same are two looks
    second = read(path, first.records)
    assert second.records == ()
    third = xlsx(tmp_path / "v.xlsx", {"Inspections": [*looks, looks[-1]]})
    assert read(third, first.records).counts["inspection"].kept == 1


def test_a_keeper_without_a_day_is_known_again(tmp_path: Path):
    path = csv_file(tmp_path / "keepers.csv", [["Keeper", "Name"], ["FD", "Fennick & Dole"]])
    first = read(path)
    assert isinstance(first.records[0], Keeper)
    assert read(path, first.records).records == ()


def test_a_day_that_a_kind_needs_is_missed(tmp_path: Path):
    result = read(xlsx(tmp_path / "h.xlsx", {"Hives": [*HIVES, ["3", "A07", ""]], "Yards": YARDS}))
    assert whats(result) == [("Hives", 4, "In use since", "is missing.")]


def test_spellings_of_known_marks_are_taken_and_noted(tmp_path: Path):
    hives = [["Hive", "Yard", "In use since"], ["1", "a07", "2029"], ["2", "A 07", "2029"], ["3", "A08", "2029"]]
    result = read(xlsx(tmp_path / "h.xlsx", {"Hives": hives, "Yards": YARDS}))
    assert [r.apiary for r in result.records if isinstance(r, Hive)] == ["A07", "A07"]
    assert noted(result, "“a07” is read as A07: 1 row")
    assert [row for _, row, _, _ in whats(result)] == [4]


def test_two_spellings_of_a_new_mark_are_refused(tmp_path: Path):
    result = read(xlsx(tmp_path / "h.xlsx", {"Yards": [*YARDS, ["a 07", "2020"]]}))
    assert whats(result) == [("Yards", 4, "Yard", "differs from A07 in capitals or spaces only.")]


def test_a_correction_names_what_it_corrects_and_is_known_again(tmp_path: Path):
    first = read(xlsx(tmp_path / "h.xlsx", {"Hives": HIVES, "Yards": YARDS}))
    rows = [["Hive", "Yard", "In use since", "Corrects"], ["1", "A03", "2029-04-01", "h.xlsx/Hives/2"],
            ["2", "A03", "2029-04-01", "h.xlsx/Hives/77"]]  # fmt: skip
    path = xlsx(tmp_path / "c.xlsx", {"Hives": rows})
    fixed = read(path, first.records)
    assert [r.corrects for r in fixed.records] == [r.id for r in first.records if r.origin == "h.xlsx/Hives/2"]
    assert [(row, column) for _, row, column, _ in whats(fixed)] == [(3, "Corrects")]
    assert read(path, [*first.records, *fixed.records]).records == ()


def test_arrivals(tmp_path: Path):
    rows = [["Date", "From", "To", "What", "Left", "Arrived", "Note"],
            ["2030-05-01", "A07", "A03", "hives", 10, 12, "a gift"],
            ["2030-05-01", "A07", "A03", "hives", 10, 7, ""],
            ["2030-05-01", "A07", "A03", "hives", 10, 7, "3 went to A12"],
            ["2030-05-01", "A07", "A07", "hives", 10, 10, ""]]  # fmt: skip
    result = read(xlsx(tmp_path / "m.xlsx", {"Moves": rows, "Yards": YARDS}))
    assert [(row, column) for _, row, column, _ in whats(result)] == [(2, "Arrived"), (3, "Arrived"), (5, "To")]
    assert [r.note for r in result.records if isinstance(r, Move)] == ["3 went to A12"]


def test_a_case_may_name_an_apiary_of_the_same_file(tmp_path: Path):
    case = [["Case", "Opened on", "Time zone", "Index apiary"], ["C1", "2031-05-06", "Etc/GMT-5", "A07"]]
    result = read(xlsx(tmp_path / "c.xlsx", {"Case": case, "Yards": YARDS}))
    assert result.problems == ()
    assert isinstance(result.records[-1], CaseHead)


def test_two_files_with_one_sheet_name_are_told_apart(tmp_path: Path):
    one = xlsx(tmp_path / "one.xlsx", {"Yards": YARDS})
    two = xlsx(tmp_path / "two.xlsx", {"Yards": [["Yard", "Since"], ["A07", "2021"]]})
    result = read([one, two])
    assert [(p.sheet, p.row) for p in result.problems] == [("two.xlsx/Yards", 2)]
    assert "one.xlsx/Yards/2" in result.problems[0].what


def test_several_marks_in_a_cell_are_each_looked_up(tmp_path: Path):
    rows = [["Date", "From", "To", "What", "Hives"], ["2030-05-01", "A07", "A03", "hives", "1; 2; 98; 99"]]
    result = read(xlsx(tmp_path / "m.xlsx", {"Moves": rows, "Hives": HIVES, "Yards": YARDS}))
    assert [(p.column, p.what) for p in result.problems] == [
        ("Hives", "98 is not a known hive."), ("Hives", "99 is not a known hive.")]  # fmt: skip


def test_the_blank_spreadsheet_is_read_whole_and_takes_rows(tmp_path: Path):
    path = tmp_path / "blank.xlsx"
    write_template(path)
    result = read(path)
    assert result.problems == result.records == ()
    assert result.mapping.unread == []
    for kind in KINDS.values():
        assert set(result.mapping.sheets[kind.sheet].columns.values()) == {"happened", *kind.columns, "evidence", "by"}


def test_the_blank_spreadsheet_takes_rows(tmp_path: Path):
    path = tmp_path / "blank.xlsx"
    write_template(path)
    book = load_workbook(path)
    book["Apiaries"].append(["2020-01-01", "A07"])
    book["Hives"].append(["2029-04-01", "3-4", "A07"])
    book["Inspections"].append(["2030-05-01", "3-4", "suspect"])
    book.save(path)
    result = read(path)
    assert result.problems == ()
    assert isinstance(result.records[-1], Inspection)
