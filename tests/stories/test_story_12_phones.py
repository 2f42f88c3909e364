"""Story 12, two phones on the demo: hive 31 dead at 22:07 and still buzzing at 22:09, merged in either order."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from tests.conftest import Maker
from typer.testing import CliRunner

from ashcomb.casework.merging import write_handover
from ashcomb.cli.main import app
from ashcomb.records.acts import Kill

RUN = CliRunner()


@pytest.fixture
def phones(tmp_path: Path, make: Maker) -> tuple[Path, Path]:
    a = make(Kill, "2031-05-14T22:07", hive="A07-31", step="dead confirmed", by="OD", device="phone A")
    b = make(Kill, "2031-05-14T22:09", hive="A07-31", step="listened: buzzing", by="IV", device="phone B")
    files = tmp_path / "a.jsonl", tmp_path / "b.jsonl"
    write_handover([a], files[0], "phone A")
    write_handover([b], files[1], "phone B")
    return files


def ask(*words: str) -> tuple[int, dict]:
    result = RUN.invoke(app, [*words, "--json"])
    return result.exit_code, json.loads(result.stdout)


def test_either_order_shows_the_same_conflict_and_asks(
    demo_folder: Path, phones: tuple[Path, Path], tmp_path: Path
) -> None:
    asked = []
    for number, order in enumerate((phones, phones[::-1])):
        folder = tmp_path / f"case{number}"
        shutil.copytree(demo_folder, folder)
        for file in order:
            _, merged = ask("merge", str(folder), str(file), "--by", "NV")
        _, status = ask("status", str(folder))
        asked.append((merged["conflicts"], status["facts"]["hives"]))
    assert asked[0] == asked[1]
    assert len(asked[0][0]) == 1
    assert "22:07" in asked[0][0][0]
    assert "22:09" in asked[0][0][0]
    assert asked[0][1]["disputed"] == 1


def test_a_disputed_hive_is_not_dead(demo_folder: Path, phones: tuple[Path, Path], tmp_path: Path) -> None:
    folder = tmp_path / "case"
    shutil.copytree(demo_folder, folder)
    ask("merge", str(folder), *map(str, phones), "--by", "NV")
    code, burn = ask("burnday", str(folder), "--day", "2031-05-15")
    assert code == 2
    assert any("A07-31" in reason["text"] for reason in burn["facts"]["reasons"])
    code, release = ask("release", str(folder), "--day", "2031-08-01")
    assert code == 2
    assert "disputes settled" in [gate["name"] for gate in release["facts"]["unmet"]]
