"""The one-night sheet: every field, NOT READY at the top, continuation from 14 hives, sizes for a red lamp.

The figures are those of the night of 14 May 2031 at A07 (tests/stories/test_story_08.py works them out by hand).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.papers import yard
from tests.papers.reading import SIZES, Read, read
from tests.stories import vale_night

from ashcomb.casework.case import Case
from ashcomb.casework.sheets.catalogue import make_sheet
from ashcomb.casework.sheets.desk import Desk, SheetAsk
from ashcomb.casework.sheets.form import Framed, Grid
from ashcomb.papers.typst import source
from ashcomb.papers.write import render_paper

ALL = SheetAsk(agent="petrol", hives=vale_night.MARKS)
FEWER = SheetAsk(agent="petrol", hives=vale_night.MARKS[:13])
LABEL = 9.0  # least size of type on the sides that are read at night, in points
BODY = 11.0


def night(case: Case, ask: SheetAsk, paper: str = "a4") -> Read:
    return read(render_paper(case, "night", paper, ask=ask))


@pytest.fixture(scope="module")
def fourteen(case: Case) -> Read:
    return night(case, ALL)


FIELDS = (
    "A07", "R. Tull 555 0107", "Access: gate, track", "Emergency number", "112", "46.08989° N", "10.00 E, 10.00 N km",
    "Sunset", "19:57", "Dusk", "20:32", "Earliest close", "Curfew", "22:30", "no fire ban", "wind 9 km/h",
    "Leader", "Ada Crome", "Smoker keeper – ALONE may hold a flame", "B. Tarn", "Pourer", "J. Marr",
    "STOP", "within 20 m of open fuel", "Kit", "Petrol 4.5 L in 1 can",
    "hive", "position", "boxes", "dose mL", "sealed", "poured", "listen 1", "top-up mL", "listen 2", "dead",
    "standing = listed = dead", "3 × 1.5 m", "1.2 m", "Soil to put on", "m³ loose", "Morning",
    "Listen to every hive again before any is opened", "If not all are dead by 22:30", "Leader", "Scribe", "hour",
    "Night work hides trip hazards", "Petrol vapour is heavier than air", "Taken for granted",
    "Values and their sources",
)  # fmt: skip


@pytest.mark.parametrize("words", FIELDS)
def test_every_field_is_on_the_sheet(fourteen: Read, words: str):
    assert fourteen.says(words)


@pytest.mark.parametrize("paper", SIZES)
def test_thirteen_hives_fit_one_sheet(case: Case, paper: str):
    sheet = night(case, FEWER, paper)
    assert "Whatthissheetrestson" in sheet.pages[2]
    assert len(sheet.pages) <= 4  # front and back for the hives, front and back for the desk
    assert "sheet1of2,front" in sheet.pages[0]
    assert "sheet1of2,back" in sheet.pages[1]
    assert all(mark in sheet.pages[1] for mark in vale_night.MARKS[:13])
    assert not sheet.says("CONTINU")


@pytest.mark.parametrize("paper", SIZES)
def test_two_teams_fit_the_same_sheet(case: Case, paper: str):
    sheet = night(case, SheetAsk(agent="petrol", hives=vale_night.MARKS[:13], teams=2), paper)
    assert "team" in sheet.pages[1]
    assert "Morning" in sheet.pages[1]
    assert "sheet1of2,back" in sheet.pages[1]


@pytest.mark.parametrize("paper", SIZES)
def test_fourteen_hives_need_a_continuation_and_say_so(case: Case, paper: str):
    sheet = night(case, ALL, paper)
    assert "Whatthissheetrestson" in sheet.pages[3]
    assert "CONTINUESonsheet2:1morehive." in sheet.pages[1]
    assert "A07-14" not in sheet.pages[1]
    assert "CONTINUATIONofsheet1" in sheet.pages[2]
    assert "A07-14" in sheet.pages[2]
    assert "sheet2of3,front" in sheet.pages[2]


def test_type_is_never_small_on_the_sides_for_the_night(case: Case):
    """11 pt for what is read; labels, cautions and the foot may be smaller, never below 8.5."""
    few, many = night(case, FEWER), night(case, ALL)
    assert few.type_sizes[1] == many.type_sizes[1]
    assert min(few.type_sizes[1]) >= 8.5
    body = {size for size in few.type_sizes[1] if size not in (8.5, LABEL, 10.0)}
    assert min(body) >= BODY


def test_boxes_to_tick_are_seven_millimetres():
    assert b"#let tick-size = 7mm" in source()


def test_a_plan_that_does_not_fit_is_not_ready_and_never_ready(fourteen: Read):
    assert "NOTREADY" in fourteen.pages[0]
    assert "doesnotfitby5min" in fourteen.pages[0]
    assert not fourteen.says("READY as far")


def test_a_plan_that_meets_every_condition_is_ready_as_far_as_the_records_go(case: Case):
    sheet = night(case, FEWER)
    assert "READYasfarastherecordsgo" in sheet.pages[0]
    assert "doesnotmeanthatitissafe" in sheet.pages[0]
    assert not sheet.says("NOT READY")


def test_unmet_gates_stand_before_all_else(case: Case):
    first = make_sheet(Desk(case, SheetAsk(hives=vale_night.MARKS[:3])), "night").blocks[0]
    assert isinstance(first, Framed)
    assert first.heading.startswith("NOT READY")
    assert any(line.startswith("AGENT:") for line in first.lines)


def test_without_a_smoker_keeper_of_its_own_it_is_not_ready(tmp_path: Path):
    records = [*yard.night_records(crew=False), *vale_night.crew(smoker_keeper="JM")]
    with yard.case_of(tmp_path / "case", records) as case:
        sheet = night(case, FEWER)
    assert "NOTREADY" in sheet.pages[0]
    assert sheet.says("JM is both smoker keeper and pourer")


def test_no_plan_at_all_is_not_ready_with_the_reason(tmp_path: Path):
    with yard.case_of(tmp_path / "case", yard.night_records()) as case:
        sheet = night(case, SheetAsk())
    assert "NOTREADY" in sheet.pages[0]
    assert sheet.says("No condemned hive lives at A07.")


def test_two_teams_name_the_team_of_each_hive(case: Case):
    sheet = make_sheet(Desk(case, SheetAsk(agent="petrol", hives=vale_night.MARKS, teams=2)), "night")
    grid = next(block for block in sheet.blocks if isinstance(block, Grid))
    assert grid.rows[0][1] == "1"
    assert grid.rows[7][1] == "2"


def test_the_blank_sheet_has_rows_and_is_not_ready():
    blank = read(render_paper(None, "night"))
    assert len(blank.pages) == 3
    assert "NOTREADYuntileverylineisfilled" in blank.pages[0]
    assert blank.says("Smoker keeper – ALONE may hold a flame")
