"""The engine by command on a small case: words, JSON, options, refusals. The sampler itself runs."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from tests.casework.small_case import make_small
from typer.testing import CliRunner

from ashcomb.cli.main import app

RUN = CliRunner()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> str:
    return str(make_small(tmp_path_factory.mktemp("assess") / "case"))


def assess(folder: str, *more: str):
    return RUN.invoke(app, ["assess", folder, *more])


def test_assess_sources_and_json(folder: str):
    told = assess(folder, "--seed", "2")
    assert told.exit_code == 0, told.output
    for words in ("Hives to open first", "clears no hive", "Hidden cases by apiary", "seed 2", "outbreak.latent_worth"):
        assert words in told.output
    facts = json.loads(RUN.invoke(app, ["assess", folder, "--seed", "2", "--json"], catch_exceptions=False).stdout)
    assert facts["facts"]["first"][0]["hive"] == "A2-1"
    assert len(facts["facts"]["hives"]) == 11
    assert facts["facts"]["enough"] is True
    by = RUN.invoke(app, ["sources", folder, "A2-1", "--json"])
    found = json.loads(by.stdout)["facts"]["found"][0]
    assert found["mark"] == "A2-1"
    assert sum(s["share"] for s in found["sources"]) == pytest.approx(1.0)
    every = RUN.invoke(app, ["sources", folder])
    assert "A1-1" in every.output
    assert "never a verdict on a person" in every.output


@pytest.mark.parametrize(("more", "words"), [
    (("--seed", "-1"), "is no seed"), (("--rate", "latent"), "cannot be read"),
    (("--rate", "latent=0.2"), "without a reason"), (("--rate", "luck=0.2", "--because", "x"), "is no rate"),
    (("--rate", "queens=1.2", "--because", "x"), "is no chance"), (("--sample", "luck"), "is no rate"),
    (("--as-of", "tomorrow"), "is not a day"), (("--as-of", "2031-05-01"), "No hive is on record"),
])  # fmt: skip
def test_what_cannot_be_done_is_said(folder: str, more: tuple[str, ...], words: str):
    told = assess(folder, *more)
    assert told.exit_code == 2
    assert words in told.output


def test_an_unknown_hive_is_refused(folder: str):
    told = RUN.invoke(app, ["sources", folder, "Z-1"])
    assert told.exit_code == 2
    assert "neither a hive nor an apiary" in told.output


def test_control_c_cancels_in_words_and_stores_nothing(tmp_path: Path):
    case = make_small(tmp_path / "case")
    code = (
        "import dataclasses, signal, ashcomb.outbreak.posterior as p; from ashcomb.cli.main import main; import sys;"
        "old = p.quality; p.quality = lambda *a: (signal.raise_signal(signal.SIGINT),"
        " dataclasses.replace(old(*a), ess=0.0))[1]; sys.argv = ['ashcomb', 'assess', sys.argv[1]]; main()"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(case)], capture_output=True, text=True, timeout=300, check=False
    )
    assert done.returncode == 2
    assert "Cancelled after" in done.stderr
    assert "nothing was stored" in done.stderr
    assert not (case / "assessment").exists()
