"""Forecast and hindsight by command on a small case: words, JSON, plans, refusals. The engine itself runs."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from tests.casework.small_case import MOMENT, make_small
from typer.testing import CliRunner

from ashcomb.casework.assessing import assessment
from ashcomb.casework.case import open_case
from ashcomb.casework.forecasting import forecast_report
from ashcomb.casework.hand import fixed_hand
from ashcomb.cli.main import app
from ashcomb.kernel.errors import UserError
from ashcomb.outbreak.rates import rates
from ashcomb.plans.forecast import STANDARD, WORDS, measures
from ashcomb.plans.hindsight import hindsight_plan
from ashcomb.plans.scene import staged

RUN = CliRunner()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> str:
    made = make_small(tmp_path_factory.mktemp("forecast") / "case")
    with open_case(made, fixed_hand("EV", MOMENT)) as case:
        assessment(case)
    return str(made)


def run(*words: str):
    return RUN.invoke(app, list(words))


def facts(*words: str):
    told = run(*words, "--json")
    assert told.exit_code == 0, told.output
    return json.loads(told.stdout)["facts"]


def test_forecast_in_words(folder: str):
    told = run("forecast", folder)
    assert told.exit_code == 0, told.output
    for words in ("never shortens what the law asks", "cases only", "whole apiary", "error of drawing", "forecast.days",
                  "Against “cases only”", "moves again on the same days"):  # fmt: skip
        assert words in " ".join(told.output.split()), words


def test_forecast_as_json(folder: str):
    found = facts("forecast", folder, "--days", "200")
    assert [plan["name"] for plan in found["plans"]] == list(STANDARD)
    assert (found["days"], found["cases"]) == (200, 1)
    plans = {plan["name"]: plan for plan in found["plans"]}
    assert plans["whole apiary"]["more_lost"]["mean"] >= 5.0  # the case stands with five more
    assert plans["whole apiary"]["new"]["mean"] < plans["cases only"]["new"]["mean"]
    assert plans["wait 7"]["more_new"]["mean"] > 0
    for plan in plans.values():
        assert plan["lost"]["mean"] >= 1.0
        assert 0 <= plan["free"]["mean"] <= 1
        assert plan["new"]["error"] > 0
        assert plan["days_low"] is None or plan["days_low"] >= 0


def test_figures_are_the_same_on_any_number_of_workers(folder: str):
    one, two = (facts("forecast", folder, "--workers", n, "--days", "100")["plans"] for n in ("1", "2"))
    assert one == two
    assert facts("forecast", folder, "--seed", "2", "--days", "100")["plans"] != one


def test_plans_in_words(folder: str):
    with open_case(Path(folder), fixed_hand("EV", MOMENT)) as case:
        made = assessment(case)
        assert made.stored
        plan = measures(made.stage, made.posterior, "whole apiary, standstill 90, wait 7, pace 2, rounds 1, first A2")
        assert (plan.whole, plan.standstill, plan.wait, plan.pace, plan.rounds) == (True, 90.0, 7.0, 2.0, 1)
        assert [made.places[place] for place in plan.order] == ["A2", "A1"]
        near = measures(made.stage, made.posterior, "nearest, supers kept, frames kept")
        assert [made.places[place] for place in near.order] == ["A1", "A2"]  # the case stands at A1
        assert (near.supers_kept, near.frames_kept, near.whole) == (True, True, False)
        told = forecast_report(case, ["rounds 0"], 30)
        assert told.facts["plans"][0]["found"]["mean"] == 0.0


@pytest.mark.parametrize(("more", "words"), [
    (("--plan", "burn it all"), "is no part of a plan"), (("--plan", "wait soon"), "cannot be read"),
    (("--plan", "wait -1"), "cannot be"), (("--plan", "pace"), "cannot be read"),
    (("--plan", "first Z9"), "no living hive"), (("--days", "4000"), "cannot be forecast"),
    (("--seed", "-1"), "is no seed"),
])  # fmt: skip
def test_what_cannot_be_done_is_said(folder: str, more: tuple[str, ...], words: str):
    told = run("forecast", folder, *more)
    assert told.exit_code == 2
    assert words in told.output


def test_every_word_of_a_plan_is_explained_and_understood(folder: str):
    with open_case(Path(folder), fixed_hand("EV", MOMENT)) as case:
        made = assessment(case)
        for word in WORDS:
            needs = {"wait": " 3", "pace": " 3", "rounds": " 3", "every": " 3", "first": " A1"}
            assert measures(made.stage, made.posterior, word + needs.get(word, "")).name


def test_hindsight_in_words_and_json(folder: str):
    told = run("hindsight", folder)
    assert told.exit_code == 0, told.output
    for words in ("no verdict on a person", "supers kept by apiary", "2031-05-06", "30 days sooner"):
        assert words in " ".join(told.output.split()), words
    found = facts("hindsight", folder, "--sooner", "60")
    assert found["cases"] == ["A1-1"]
    assert found["suspected"] == "2031-05-06"
    shares = {practice["name"]: practice["share"] for practice in found["practices"]}
    assert all(0 <= share <= 1 for share in shares.values())
    assert shares["supers kept by apiary"] == 0.0  # no super ever moved in this case
    assert list(shares.values()) == sorted(shares.values(), reverse=True)


@pytest.mark.parametrize("sooner", ["-1", "400"])
def test_hindsight_refuses(folder: str, sooner: str):
    told = run("hindsight", folder, "--sooner", sooner)
    assert told.exit_code == 2
    assert "cannot be" in told.output


def test_hindsight_without_a_case_is_refused(folder: str):
    with open_case(Path(folder), fixed_hand("EV", MOMENT)) as case:
        stage = staged(case.situation(), case.profile(), MOMENT.date())
        posterior = assessment(case).posterior
    with pytest.raises(UserError, match="No case is known"):
        hindsight_plan(replace(stage, cases=stage.cases[:0]), posterior, rates())
