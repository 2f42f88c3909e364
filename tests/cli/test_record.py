"""`ashcomb record` without fields tells what can be recorded; a changed profile says who confirmed it before."""

from __future__ import annotations

import json
from importlib import resources
from pathlib import Path

import pytest
from tests.web.demo_case import make_empty
from typer.testing import CliRunner

from ashcomb.casework.case import DEMO_CLOCK
from ashcomb.cli.main import app
from ashcomb.records.all import KINDS

run = CliRunner()


def test_a_kind_without_fields_is_answered_with_its_fields(tmp_path: Path) -> None:
    answer = run.invoke(app, ["record", str(tmp_path), "kill", "--json"])
    told = {row["field"]: row for row in json.loads(answer.stdout)["facts"]}
    assert set(told) == set(KINDS["kill"].columns)
    assert told["step"]["required"]
    assert "dead confirmed" in told["step"]["allowed"]
    assert told["amount_ml"]["allowed"] == "number, 0 mL or more"


@pytest.mark.parametrize("kind", ["profile", "confirmation", "nothing"])
def test_what_has_no_form_says_so(tmp_path: Path, kind: str) -> None:
    answer = run.invoke(app, ["record", str(tmp_path), kind])
    assert answer.exit_code == 2
    assert "Use one of:" in answer.stderr


def test_a_profile_that_changed_names_who_confirmed_it_before(tmp_path: Path) -> None:
    folder = make_empty(tmp_path / "case")
    (folder / DEMO_CLOCK).write_text("2031-05-07T10:00:00+05:00")
    name = "nz"
    assert run.invoke(app, ["profile", str(folder), name, "--reason", "a trial", "--by", "NV"]).exit_code == 0
    confirm = ["confirm", str(folder), "--officer", "Nell Varga", "--office", "disease officer", "--by", "NV"]
    assert run.invoke(app, confirm).exit_code == 0
    assert "confirmed by Nell Varga" in run.invoke(app, ["status", str(folder)]).stdout
    own = folder / "profiles"
    own.mkdir(exist_ok=True)
    text = (resources.files("ashcomb.sources") / "data" / "profiles" / f"{name}.toml").read_text("utf-8")
    (own / f"{name}.toml").write_text(text.replace('name = "', 'name = "Changed: ', 1))
    told = " ".join(run.invoke(app, ["status", str(folder)]).stdout.split())
    assert "confirmed in an earlier wording by Nell Varga, in today's by nobody yet" in told
