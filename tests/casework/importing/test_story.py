"""Three sheets with seven planted faults bring exactly seven named rows; nothing is silently put right."""

from __future__ import annotations

import random
from collections import Counter
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook
from tests.casework.importing.workbooks import csv_file, noted, read, xlsx

from ashcomb.casework.importing.refusals import write_refusals
from ashcomb.casework.importing.result import ImportResult
from ashcomb.records.movements import Move
from ashcomb.records.places import Apiary, Hive

SPRING = datetime(2030, 2, 20)
PLANTED = {("Hives", "Hive No."): 2, ("Moves", "Date"): 2, ("Moves", "To"): 1, ("Moves", "Arrived"): 1,
           ("Inspections", "Frames seen"): 1}  # fmt: skip


def sheets() -> dict[str, list[list[Any]]]:
    dice = random.Random(5)
    yards = [f"A{number:02d}" for number in range(1, 29)]
    hives: list[list[Any]] = [["Fennick & Dole, hives, spring 2030"], [], ["Hive No.", "Yard", "In use since", "Boxes"]]
    hives += [[number, yards[number % 28], SPRING, dice.randint(1, 3)] for number in range(1, 1201)]
    hives.insert(700, [17, "A05", SPRING, 2])  # planted 1
    hives.append([1200, "A24", SPRING, 2])  # planted 2
    moves: list[list[Any]] = [["Move no.", "Date", "From", "To", "What", "Left", "Arrived", "Notes"]]
    for number in range(1, 201):
        source, target = dice.sample(yards, 2)
        day = datetime(2030, 3, 1) + timedelta(days=dice.randint(0, 200))
        moves.append([f"m{number}", day, source, target, "hives", 10, 10, ""])
    moves[20][1:4] = [datetime(2030, 1, 15), "A01", "A28"]  # planted 3: before A28 existed
    moves[50][1] = "31 June 2030"  # planted 4
    moves[80][3] = "A99"  # planted 5
    moves[110][6] = 7  # planted 7
    moves[140][6], moves[140][7] = 9, "one fell off the lorry and was burned"
    looks: list[list[Any]] = [["Date", "Hive number", "Signs", "Brood frames", "Frames seen"]]
    for _ in range(600):
        day = datetime(2030, 5, 1) + timedelta(days=dice.randint(0, 100))
        looks.append([day, dice.randint(1, 1200), "none seen", 8, dice.randint(0, 8)])
    looks[333][4] = -3  # planted 6
    return {"Inspections": looks, "Moves": moves, "Hives": hives}


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("story")
    yards = [["Yard", "Yard name", "In use since"], *[[f"A{n:02d}", f"Yard {n}", "2020-03-01"] for n in range(1, 28)],
             ["A28", "Yard 28", "2030-02-01"]]  # fmt: skip
    return [xlsx(folder / "firm.xlsx", sheets()), csv_file(folder / "yards.csv", yards, ";")]


@pytest.fixture(scope="module")
def result(files: list[Path]) -> ImportResult:
    return read(files)


def test_exactly_seven_named_rows(result: ImportResult):
    assert result.refused_rows == 7
    assert Counter((p.sheet, p.column) for p in result.problems) == Counter(PLANTED)
    assert {(p.sheet, p.row) for p in result.problems} == {
        ("Hives", 701), ("Hives", 1205), ("Moves", 21), ("Moves", 51), ("Moves", 81), ("Moves", 111),
        ("Inspections", 334),
    }  # fmt: skip
    assert result.waiting == ()
    words = " ".join(f"{p.what} {p.do}" for p in result.problems)
    for said in ("already used", "existed", "June 2030 has no day 31", "A99 is not a known", "-3 is below 0",
                 "3 of 10 did not arrive", "second move"):  # fmt: skip
        assert said in words


def test_yards_and_hives_are_counted(result: ImportResult):
    assert result.counts["apiary"].kept == 28
    assert result.counts["hive"].kept == 1200
    assert len({r.mark for r in result.records if isinstance(r, Hive)}) == 1200
    for count in result.counts.values():
        assert count.read == count.kept + count.refused + count.waiting + count.already


def test_a_loss_that_the_note_explains_is_kept(result: ImportResult):
    explained = [r for r in result.records if isinstance(r, Move) and r.mark == "m140"]
    assert [(r.count_out, r.count_in) for r in explained] == [(10, 9)]


def test_the_same_files_twice_change_nothing(files: list[Path], result: ImportResult):
    again = read(reversed(files), result.records)
    assert again.records == ()
    assert [(p.sheet, p.row, p.column) for p in again.problems] == [(p.sheet, p.row, p.column) for p in result.problems]
    assert again.counts["hive"].already == 1200


def test_the_order_of_sheets_and_rows_does_not_matter(files: list[Path], tmp_path: Path):
    turned = dict(reversed(sheets().items()))
    for_yards = files[1]
    assert read([for_yards, xlsx(tmp_path / "firm.xlsx", turned)]).refused_rows == 7


def test_titles_above_the_headings_are_noted(result: ImportResult):
    assert noted(result, "Hives, row 3: The headings are taken from this row")
    assert any(isinstance(record, Apiary) and record.origin == "yards.csv/yards/2" for record in result.records)


def test_corrected_refusals_come_in(result: ImportResult, tmp_path: Path):
    path = tmp_path / "refused.xlsx"
    write_refusals(result, path)
    book = load_workbook(path)
    right = {"Hive No.": [1201, 1202], "Date": ["2030-06-01", "30 June 2030"], "To": ["A01"], "Arrived": [10],
             "Frames seen": [3]}  # fmt: skip
    for sheet in book.worksheets:
        headings = {cell.value: cell.column for cell in sheet[1]}
        for row in sheet.iter_rows(min_row=2):
            for cell in row:
                if cell.comment is not None:
                    heading = next(name for name, column in headings.items() if column == cell.column)
                    cell.value = right[heading].pop(0)
    book.save(path)
    assert not any(right.values())
    fixed = read(path, result.records)
    assert fixed.problems == ()
    assert len(fixed.records) == 7
