"""Story 1: sheets with seven planted faults come in with exactly seven named rows, and nothing is silently changed."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest
from tests.conftest import NOTED

from ashcomb.casework.case import Case, new_case
from ashcomb.casework.demo import CASE, write_faulty_demo
from ashcomb.casework.demo.files import DemoFiles
from ashcomb.casework.hand import Hand
from ashcomb.casework.intake import Intake, take_in
from ashcomb.records.places import Apiary, Hive


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> DemoFiles:
    return write_faulty_demo(tmp_path_factory.mktemp("sheets"))


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Case]:
    ticks = itertools.count(NOTED + 10 * 86_400_000)
    hand = Hand("NV", "test", lambda: next(ticks))
    with new_case(tmp_path_factory.mktemp("case"), hand, profile="orrow-vale", **CASE) as case:  # type: ignore[arg-type]
        yield case


@pytest.fixture(scope="module")
def intake(case: Case, files: DemoFiles) -> Intake:
    return take_in(case, files.all)


def test_exactly_seven_rows_are_refused_where_they_were_planted(intake: Intake, files: DemoFiles) -> None:
    assert intake.refused == 7
    found = {(row.sheet, row.row) for row in intake.result.refused if not row.waits}
    assert found == {(planted.sheet, planted.row) for planted in files.planted}
    assert all(problem.what and problem.do for problem in intake.result.problems)


def test_each_of_the_seven_kinds_is_said(intake: Intake) -> None:
    said = " | ".join(problem.what for problem in intake.result.problems)
    assert said.count("already used") == 2
    for words in ("before", "not a known", "below 0"):
        assert words in said, words
    assert "31" in said


def test_the_firm_still_counts_28_yards_and_1200_hives(intake: Intake, case: Case) -> None:
    assert intake.refused
    situation = case.situation()
    firm = {mark for mark, apiary in situation.by_mark(Apiary).items() if apiary.keeper == CASE["keeper"]}
    assert len(firm) == 28
    assert sum(hive.apiary in firm for hive in situation.rows(Hive)) == 1200


def test_the_refused_rows_come_back_marked_and_nothing_else(intake: Intake) -> None:
    assert intake.file is not None
    book = openpyxl.load_workbook(intake.file)
    rows = sum(sheet.max_row - 1 for sheet in book.worksheets)
    assert rows == len(intake.result.refused)
    marked = [cell for sheet in book.worksheets for row in sheet.iter_rows(min_row=2) for cell in row if cell.comment]
    assert len(marked) >= 7


def test_the_same_files_again_change_nothing(intake: Intake, case: Case, files: DemoFiles) -> None:
    before = case.store.head()
    again = take_in(case, files.all)
    assert again.refused == intake.refused
    assert sum(count.kept for count in again.result.counts.values()) == 0
    assert case.store.head() == before


def test_the_mapping_that_was_used_is_kept_where_it_can_be_changed(intake: Intake, case: Case) -> None:
    assert intake.refused
    text = Path(case.folder / "mapping.toml").read_text("utf-8")
    assert "[sheets." in text
    assert "kind =" in text
