"""The stories as a stranger runs them: one demo case, the command line, the printed numbers."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from ashcomb.cli.main import app

RUN = CliRunner()


def facts(folder: Path, *words: str, code: int = 0) -> Any:
    result = RUN.invoke(app, [words[0], str(folder), *words[1:], "--json"])
    assert result.exit_code == code, result.output
    return json.loads(result.stdout)["facts"]


def marks(entries: list[dict[str, Any]]) -> set[str]:
    return {entry["mark"] for entry in entries}


def test_story_2_clocks(demo_folder: Path) -> None:
    own = {c["rule"]["key"]: c["words"] for c in facts(demo_folder, "dates")["clocks"]}
    other = {c["rule"]["key"]: c["words"] for c in facts(demo_folder, "dates", "--profile", "nz")["clocks"]}
    assert "end of Tue 13 May 2031" in own["notify"]
    assert "Mon 19 May 2031 15:00" in other["notify"]
    changes = facts(demo_folder, "dates", "--compare", "nz")["changes"]
    assert next(c for c in changes if c["key"] == "notify")["why"]


def test_story_3_trace(demo_folder: Path) -> None:
    found = facts(demo_folder, "trace")
    assert marks(found["forward"]["places"]) == {"HH", "A15", "A03", "A20", "A19", "H01", "A09"}
    assert marks(found["back"]["places"]) == {"A26", "D1"}
    chains = {entry["mark"]: entry for entry in found["forward"]["places"]}
    assert chains["H01"]["chain"] == "m5→m7"
    assert chains["A09"]["evidence"] == "memory"


def test_story_4_zone(demo_folder: Path) -> None:
    found = facts(demo_folder, "zone", "--km", "1", "--km", "2", "--km", "3", "--km", "5")
    inside = {km: {p["apiary"] for p in found["placed"] if km in p["inside"]} for km in (1, 2, 3, 5)}
    assert inside[1] == {"N01"}
    assert inside[2] == {"N01", "A03", "A11"}
    assert inside[3] == inside[2] | {"A12", "H01"}
    assert inside[5] == inside[3] | {"A19"}
    assert {p["apiary"] for p in found["placed"] if p["on_line"]} == {"N01", "H01", "A19"}


def test_story_5_worth(demo_folder: Path) -> None:
    answer = RUN.invoke(app, ["calc", "look_worth", "brood_frames=10", "shaken=3", "unshaken=0", "diseased_frames=1",
                              "notice=1", "unshaken_worth=0.5", "--json"])  # fmt: skip
    assert json.loads(answer.stdout)["result"] == pytest.approx(0.300)
    found = facts(demo_folder, "worth", "--apiary", "A03")
    assert any(len(look["chances"]) >= 2 for look in found["looks"])


def test_story_6_and_7_by_calculator(demo_folder: Path) -> None:
    assert demo_folder
    two = RUN.invoke(app, ["calc", "still_infected", "prior=0.45", "sensitivity=0.9", "clear_months=2,5", "--json"])
    assert json.loads(two.stdout)["result"] == pytest.approx(0.135, abs=5e-4)
    least = RUN.invoke(
        app, ["calc", "least_number", "units=40", "infected=2", "sensitivity=0.85", "target=0.95", "--json"]
    )
    assert json.loads(least.stdout)["result"]["number"] == 37


def test_story_8_night(demo_folder: Path) -> None:
    found = facts(demo_folder, "night", "--day", "2031-05-14", "--agent", "petrol", code=2)
    assert found["minutes"] == 123
    assert found["finish"].startswith("2031-05-14T22:35")
    assert found["over_min"] == 5
    assert [(a["hives"], a["teams"], a["finish"][11:16]) for a in found["alternatives"]] == [
        (14, 2, "21:50"),
        (13, 1, "22:29"),
    ]
    assert found["fuel"]["carry_l"] == 4.5


def test_story_9_pit(demo_folder: Path) -> None:
    found = facts(demo_folder, "pit", "--length", "3", "--width", "1.5", "--depth", "1")
    assert found["load"]["boxes"] == 33
    assert found["load"]["comb_m3"] == pytest.approx(1.63, abs=0.005)
    assert found["load"]["honey_l"] == pytest.approx(169, abs=0.5)
    assert found["liquid_mm"] == pytest.approx(38, abs=0.5)
    assert found["soil_m3"] == pytest.approx(1.35)


def test_story_10_balance(demo_folder: Path) -> None:
    found = facts(demo_folder, "balance", code=2)
    assert sum(line["counted"] for line in found["totals"]) == 372


def test_story_11_packing(demo_folder: Path) -> None:
    found = facts(demo_folder, "pack", "--boxes", "62x11.5", "--boxes", "30x14.0")
    assert (found["units"], found["mass_kg"], found["pallets"], found["by_weight"]) == (61, 1133.0, 3, 2)


def test_story_12_release_names_its_gates(demo_folder: Path) -> None:
    found = facts(demo_folder, "release", "--day", "2031-06-27", code=2)
    assert {"date", "spring check"} <= {gate["name"] for gate in found["unmet"]}
    assert all(gate["who"] for gate in found["unmet"])
