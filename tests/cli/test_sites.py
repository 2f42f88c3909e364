"""Commands agents, waiting, firesite and draw: exit status, words, and drawings that are written as they are."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree.ElementTree import fromstring

import pytest
from tests.papers import yard
from typer.testing import CliRunner

from ashcomb.cli.main import app

RUN = CliRunner()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("sites") / "case"
    with yard.case_of(made, yard.night_records(*yard.finds())):
        pass
    (made / "demo-clock").write_text(yard.EVENING.isoformat(), "utf-8")
    return made


def test_waiting_never_clears_and_says_what_is_missing(folder: Path) -> None:
    done = RUN.invoke(app, ["waiting", str(folder), "--hives", "A07-05", "--temperature", "12", "--json"])
    assert done.exit_code == 2
    assert json.loads(done.stdout)["headline"].startswith("Not cleared")
    read = RUN.invoke(app, ["waiting", str(folder), "--hives", "A07-05", "--meter", "2,17:25,NV,EF"])
    assert "NOT CLEARED BY CALCULATION" in read.stdout
    assert "2 % at 17:25" in " ".join(read.stdout.split())


def test_firesite_takes_the_recorded_pit_and_refuses_half_a_size(folder: Path) -> None:
    done = RUN.invoke(app, ["firesite", str(folder), "--json"])
    assert done.exit_code == 0
    assert json.loads(done.stdout)["facts"]["order"]["depth_m"] == 1.2
    assert RUN.invoke(app, ["firesite", str(folder), "--building", "5"]).exit_code == 2
    half = RUN.invoke(app, ["firesite", str(folder), "--length", "3"])
    assert half.exit_code == 2
    assert "What to do" in half.output


def test_agents_chooses_none(folder: Path) -> None:
    done = RUN.invoke(app, ["agents", str(folder), "--json"])
    assert done.exit_code == 0
    assert "None is chosen" in json.loads(done.stdout)["headline"]


@pytest.mark.parametrize("name", ["pit-section", "pit-plan", "site", "vapour", "night"])
def test_draw_writes_a_whole_drawing(folder: Path, tmp_path: Path, name: str) -> None:
    file = tmp_path / "drawn.svg"
    call = ["draw", str(folder), name, "--hives", "A07-05", "--day", "2031-05-14", "--out"]
    assert RUN.invoke(app, [*call, str(file)]).exit_code == 0
    assert fromstring(file.read_text("utf-8")).tag.endswith("svg")
    assert RUN.invoke(app, [*call, "-"]).stdout == file.read_text("utf-8")


def test_an_unknown_drawing_is_named(folder: Path) -> None:
    done = RUN.invoke(app, ["draw", str(folder), "moon"])
    assert done.exit_code == 2
    assert "pit-section" in done.output
