"""Cautions stand on every command, page, paper, drawing and formula that touches fuel, fire, digging or night work.

The outputs are enumerated from the program itself, so that a new one is caught; what each touches is told by its words.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from tests.papers import yard
from tests.stories import vale_night
from tests.web.demo_case import client_of
from typer.testing import CliRunner

from ashcomb.casework.calculator import describe, formulas
from ashcomb.casework.case import Case
from ashcomb.casework.sheets.catalogue import make_sheet
from ashcomb.casework.sheets.desk import Desk, SheetAsk
from ashcomb.casework.sheets.form import Framed
from ashcomb.casework.sites import DrawAsk, FireSiteAsk, drawing, drawing_names
from ashcomb.cli.main import app
from ashcomb.papers.write import paper_names
from ashcomb.plans.pit import PitOrder
from ashcomb.science.cautions import DIGGING, FIRE, FUEL, NIGHT
from ashcomb.web.fire_questions import FIRE_QUESTIONS

PIT = ("--length", "3", "--width", "1.5", "--depth", "1.2")
SIZE = "length=3&width=1.5&depth=1.2"
COMMANDS = {
    ("night",): (NIGHT, FUEL), ("agents",): (FUEL, NIGHT), ("waiting",): (FUEL, FIRE), ("pit",): (DIGGING, FIRE),
    ("pit", *PIT): (DIGGING, FIRE), ("firesite", *PIT): (FIRE, FUEL, DIGGING), ("burnday",): (FIRE, FUEL),
}  # fmt: skip
DRAWN = {"pit-section": (DIGGING,), "pit-plan": (DIGGING,), "site": (FIRE, FUEL), "vapour": (FUEL,),
         "night": (NIGHT, FUEL)}  # fmt: skip
PAPERS = {"night": (NIGHT, FUEL), "pit": (DIGGING, FIRE, FUEL), "destruction": (FUEL, FIRE, DIGGING)}
PAGES = {"agents": FUEL, "night": NIGHT, "waiting": FUEL, "pit": DIGGING, "firesite": FIRE, "burnday": FIRE}
TOUCHES = re.compile(r"petrol|vapour|flame|fire|burn|pit\b|spoil|dig|dusk|sunset|moon", re.IGNORECASE)
FREE = ("honey_l", "layer_mm")  # litres and millimetres of honey


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Case]:
    with yard.case_of(tmp_path_factory.mktemp("cautions") / "case", yard.night_records(*yard.finds())) as made:
        yield made


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("asked", COMMANDS, ids=" ".join)
def test_commands(case: Case, asked: tuple[str, ...]) -> None:
    result = CliRunner().invoke(app, [asked[0], str(case.folder), *asked[1:]])
    assert result.exit_code in (0, 2), result.output
    for caution in COMMANDS[asked]:
        assert caution in flat(result.output), (asked, caution)


def test_pages(case: Case) -> None:
    """Every page of the subject is named here; each says its cautions and defers to local codes."""
    assert {question.name for question in FIRE_QUESTIONS} == set(PAGES)
    browser = client_of(case.folder)
    for name, caution in PAGES.items():
        answer = browser.get(f"/{name}?{SIZE}" if name in ("pit", "firesite") else f"/{name}")
        assert answer.status_code == 200, (name, answer.text)
        assert caution in answer.text, name
        assert "licensed practice" in answer.text


@pytest.mark.parametrize("blank", [False, True])
def test_papers(case: Case, blank: bool) -> None:
    for name in paper_names():
        sheet = make_sheet(Desk(None if blank else case, SheetAsk(hives=vale_night.MARKS)), name)
        text = " ".join(line for block in sheet.blocks if isinstance(block, Framed) for line in block.lines)
        for caution in PAPERS.get(name, ()):
            assert caution in text, (name, caution)


def test_drawings(case: Case) -> None:
    assert set(drawing_names()) == set(DRAWN)
    size = (3.0, 1.5, 1.2)
    ask = DrawAsk(site=FireSiteAsk(size=size), pit=PitOrder(hives=(), length_m=3.0, width_m=1.5, depth_m=1.2))
    for name, cautions in DRAWN.items():
        words = flat(" ".join(re.findall(r">([^<]+)<", drawing(case, name, ask))))
        for caution in cautions:
            assert caution in words, (name, caution)


def test_formulas() -> None:
    """`ashcomb calc` prints the caution of a formula; one that speaks of fuel, fire, digging or dusk must have one."""
    told = {name: describe(formula) for name, formula in formulas().items()}
    touching = [name for name, entry in told.items() if TOUCHES.search(f"{name} {entry['summary']}")]
    assert len(touching) > 40
    bare = [name for name in touching if not told[name]["caution"]]
    assert [name for name in bare if name not in FREE] == []
