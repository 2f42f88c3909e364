"""The list of refused rows: every text comes back as it was, nothing becomes a formula, faults are told in words."""

from __future__ import annotations

import zipfile
from datetime import datetime, time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook
from tests.casework.importing.workbooks import HIVES, YARDS, csv_file, read, whats, xlsx

from ashcomb.casework.importing.mapping import Mapping
from ashcomb.casework.importing.names import WRONG
from ashcomb.casework.importing.refusals import write_refusals
from ashcomb.casework.importing.result import Cell, ImportResult, RefusedRow
from ashcomb.casework.importing.xlsx import read_xlsx
from ashcomb.kernel.errors import Problem, UserError
from ashcomb.records.all import KINDS
from ashcomb.records.movements import Move

TEXTS = st.text(max_size=60)
CELLS = st.one_of(
    TEXTS, st.floats(-1e12, 1e12).map(lambda n: float(f"{n:.15g}")), st.booleans(),  # cells keep 15 digits
    st.datetimes(datetime(1950, 1, 1), datetime(2150, 1, 1)).map(
        lambda d: d.replace(second=0, microsecond=0, minute=9)),
)  # fmt: skip


def refused(cells: tuple[Cell, ...], headings: tuple[str, ...] | None = None) -> ImportResult:
    words = headings or tuple(f"Column {number}" for number in range(len(cells)))
    row = RefusedRow(
        "a.xlsx", "Moves", "move", 7, words, cells, (Problem("is wrong.", "Correct it.", column=words[0]),), False
    )
    return ImportResult((), (), (), (), Mapping(), {}, (row,))


@settings(max_examples=150, deadline=None)
@given(st.lists(CELLS, min_size=1, max_size=6))
def test_any_cell_comes_back_as_it_was(tmp_path_factory: pytest.TempPathFactory, cells: list[Any]):
    path = tmp_path_factory.mktemp("r") / "refused.xlsx"
    write_refusals(refused(tuple(cells)), path)
    back = read_xlsx(path)[0].rows[1][: len(cells)]
    assert [_whole(cell) for cell in back] == [_whole(cell) for cell in cells]


@settings(max_examples=100, deadline=None)
@given(st.lists(TEXTS, min_size=1, max_size=4))
def test_headings_and_any_text_stay_text(tmp_path_factory: pytest.TempPathFactory, texts: list[str]):
    path = tmp_path_factory.mktemp("r") / "refused.xlsx"
    write_refusals(refused(tuple(texts), tuple(texts)), path)
    back = read_xlsx(path)[0].rows
    assert back[0][: len(texts)] == texts
    assert b"<f" not in zipfile.ZipFile(path).read("xl/worksheets/sheet1.xml")


def _whole(cell: Any) -> Any:
    """Workbooks know one kind of number only."""
    return float(cell) if isinstance(cell, int) and not isinstance(cell, bool) else cell


@pytest.mark.parametrize(
    "text", ["=1+1", "+49 351", "-3", "@home", "\t=1", '=HYPERLINK("http://x")', "_x0041_", "a\r\nb"]
)
def test_dangerous_beginnings(tmp_path: Path, text: str):
    write_refusals(refused((text,)), tmp_path / "r.xlsx")
    cell = load_workbook(tmp_path / "r.xlsx").worksheets[0]["A2"]
    assert cell.data_type == "s"
    assert cell.number_format == "@"
    assert read_xlsx(tmp_path / "r.xlsx")[0].rows[1][0] == text


def test_faults_are_filled_commented_and_written_out(tmp_path: Path):
    rows = [["Date", "Remarks", "From", "To", "What"], ["31 June 2030", "=x", "A07", "A99", "honey"],
            ["2030-06-30", "", "A07", "A03", "honey"]]  # fmt: skip
    moves = csv_file(tmp_path / "moves.csv", [[*row[:1], row[1].replace("=", "~"), *row[2:]] for row in rows])
    result = read([xlsx(tmp_path / "y.xlsx", {"Yards": YARDS}), moves])
    write_refusals(result, tmp_path / "r.xlsx")
    sheet = load_workbook(tmp_path / "r.xlsx").worksheets[0]
    assert sheet.title == "moves"
    assert [cell.value for cell in sheet[1]] == ["Date", "Remarks", "From", "To", "What", WRONG]
    assert sheet.max_row == 2
    marked = {cell.coordinate: cell.comment.text for cell in sheet[2] if cell.comment}
    assert set(marked) == {"A2", "D2"}
    assert "June 2030 has no day 31" in marked["A2"]
    assert sheet["A2"].fill.fgColor.rgb != sheet["B2"].fill.fgColor.rgb
    for words in ("moves.csv, row 2", "Date: “31 June 2030”", "To: A99 is not a known"):
        assert words in sheet["F2"].value


def test_a_cell_that_leaned_on_its_column_stands_as_it_was_read(tmp_path: Path):
    rows = [["Date", "From", "To", "What", "Left"], ["20/8/2030", "A07", "A03", "honey", "1.234.567"],
            ["5/6/2030", "A07", "A99", "honey", "1.200"]]  # fmt: skip
    result = read(xlsx(tmp_path / "m.xlsx", {"Moves": rows, "Yards": YARDS}))
    write_refusals(result, tmp_path / "r.xlsx")
    book = load_workbook(tmp_path / "r.xlsx")
    assert (book["Moves"]["A2"].value, book["Moves"]["E2"].value) == ("2030-06-05", 1200)
    book["Moves"]["C2"].value = "A03"
    book.save(tmp_path / "r.xlsx")
    fixed = read(tmp_path / "r.xlsx", result.records)
    assert fixed.problems == ()
    move = fixed.records[0]
    assert isinstance(move, Move)
    assert (str(move.happened), move.count_out) == ("2030-06-05", 1200)


def test_waiting_rows_come_along_and_are_read_once_the_other_is_right(tmp_path: Path):
    result = read(
        xlsx(tmp_path / "w.xlsx", {"Hives": [*HIVES, ["3", "A15", "2029"]], "Yards": [*YARDS, ["A15", "2020-02-30"]]})
    )
    assert (len(result.problems), len(result.waiting)) == (1, 1)
    write_refusals(result, tmp_path / "r.xlsx")
    book = load_workbook(tmp_path / "r.xlsx")
    book["Yards"]["B2"].value = "2020-02-29"
    book.save(tmp_path / "r.xlsx")
    fixed = read(tmp_path / "r.xlsx", result.records)
    assert (fixed.problems, len(fixed.records)) == ((), 2)


def test_sheets_that_share_a_name_and_names_that_no_workbook_can_have(tmp_path: Path):
    bad = [["Yard", "In use since"], ["A1", "soon"]]
    other = [["Site", "Since"], ["A2", "soon"]]
    name = "yards of the whole firm of Fennick & Dole in 2030"
    paths = [xlsx(tmp_path / "1.xlsx", {"Yards": bad}), xlsx(tmp_path / "2.xlsx", {"Yards": other}),
             csv_file(tmp_path / f"{name}.csv", [["Yard", "Since", "State"], ["A3", "soon", "kept"]])]  # fmt: skip
    write_refusals(read(paths), tmp_path / "r.xlsx")
    again = read(tmp_path / "r.xlsx")
    assert len(again.problems) == 3
    assert [p.row for p in again.problems] == [2, 2, 2]


def test_a_formula_is_refused_and_given_back_as_text(tmp_path: Path):
    hives = [
        ["Hive", "Yard", "In use since", "Boxes", "Sum"],
        [1, "A07", "2029", "=1+1", "=2+2"],
        [2, "A07", "2029", 2, 3],
    ]
    result = read(xlsx(tmp_path / "f.xlsx", {"Hives": hives, "Yards": YARDS}))
    assert whats(result) == [("Hives", 2, "Boxes", "is a formula, not a value.")]
    write_refusals(result, tmp_path / "r.xlsx")
    cell = load_workbook(tmp_path / "r.xlsx")["Hives"]["D2"]
    assert (cell.value, cell.data_type) == ("=1+1", "s")


def test_nothing_refused_is_said(tmp_path: Path):
    with pytest.raises(UserError, match="No row was refused"):
        write_refusals(read(xlsx(tmp_path / "y.xlsx", {"Yards": YARDS})), tmp_path / "r.xlsx")


def test_hours_come_back(tmp_path: Path):
    write_refusals(refused((time(22, 30),)), tmp_path / "r.xlsx")
    assert read_xlsx(tmp_path / "r.xlsx")[0].rows[1][0] == time(22, 30)


def test_what_nobody_entered_comes_back_as_a_sheet_to_fill_in(tmp_path: Path):
    yards = [["Yard", "In use since", "Owner"], ["A1", "2029-05-01", "Miller"], ["A2", "2029-05-01", "Miller"],
             ["A3", "2029-05-01", "Sorensen"]]  # fmt: skip
    result = read(
        xlsx(tmp_path / "y.xlsx", {"Yards": yards, "Hives": [["Hive", "Yard", "Since"], ["7", "A1", "2030"]]})
    )
    assert (len(result.problems), len(result.waiting)) == (3, 1)
    write_refusals(result, tmp_path / "r.xlsx")
    book = load_workbook(tmp_path / "r.xlsx")
    sheet = book["Keepers"]
    titles = {cell.value: cell.column for cell in sheet[1]}
    assert [row[0].value for row in sheet.iter_rows(min_row=2)] == ["Miller", "Sorensen"]
    for row in (2, 3):
        for title, column in titles.items():
            if title not in ("Keeper", "What is wrong"):
                sheet.cell(row, column).value = "2029-01-01" if title == KINDS["keeper"].happened else "A name"
    book.save(tmp_path / "r.xlsx")
    fixed = read(tmp_path / "r.xlsx", result.records)
    assert fixed.problems == ()
    assert sorted(type(record).__name__ for record in fixed.records) == ["Apiary"] * 3 + ["Hive"] + ["Keeper"] * 2
