"""The best next questions of a small case, from its stored assessment."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from tests.casework.small_case import MOMENT, make_small
from typer.testing import CliRunner

from ashcomb.casework.asking import ask_report
from ashcomb.casework.assessing import AssessAsk, assess
from ashcomb.casework.case import open_case
from ashcomb.casework.hand import fixed_hand
from ashcomb.cli.main import app
from ashcomb.kernel.errors import UserError
from ashcomb.outbreak.posterior import Effort


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = make_small(tmp_path_factory.mktemp("ask") / "case")
    with open_case(made, fixed_hand("EV", MOMENT), write=False) as case:
        assess(case, AssessAsk(), effort=Effort(ess=400, first=512, most=4096))
    return made


def test_the_ten_best_are_ranked_and_told_in_words(folder: Path):
    with open_case(folder, fixed_hand("EV", MOMENT), write=False) as case:
        found = ask_report(case)
    plan = found.facts
    gains = [question["gain"] for question in plan["questions"]]
    assert gains == sorted(gains, reverse=True)
    assert 0 < len(gains) <= 10
    assert plan["weighed"] >= 13  # eleven hives and two apiaries
    words = [question["words"] for question in plan["questions"]]
    assert any("A2" in each for each in words)
    assert any("clears a hive" in each for each in plan["cautions"])
    for question in plan["questions"]:
        assert sum(chance for _, chance in question["answers"]) == pytest.approx(1.0, abs=1e-6)


def test_by_command(folder: Path):
    run = CliRunner()
    told = run.invoke(app, ["ask", str(folder), "--top", "3"])
    assert told.exit_code == 0, told.output
    assert "Answers to expect" in told.output
    facts = json.loads(run.invoke(app, ["ask", str(folder), "--top", "3", "--json"]).stdout)["facts"]
    assert len(facts["questions"]) == 3


def test_no_questions_are_refused(folder: Path):
    with open_case(folder, fixed_hand("EV", MOMENT), write=False) as case, pytest.raises(UserError, match="are none"):
        ask_report(case, top=0)
