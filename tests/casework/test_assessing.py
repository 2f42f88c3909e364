"""Assessments of a small case: stored with seal and seed, reused while fresh, the same on one and two workers."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.casework.small_case import MOMENT, make_small

from ashcomb.casework.assess_reports import assess_report, assessed_plan, first_hives, sensitivity, sources_report
from ashcomb.casework.assessing import AssessAsk, assess, assessment, stored
from ashcomb.casework.case import open_case
from ashcomb.casework.chances import chances_now
from ashcomb.casework.hand import fixed_hand
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span
from ashcomb.outbreak.posterior import Effort
from ashcomb.plans.assess import chances_by_hive
from ashcomb.plans.source_words import sources_plan
from ashcomb.sources.library import value

SHORT = Effort(ess=400, rhat=1.1, first=2000, most=4000)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_small(tmp_path / "case")


def opened(folder: Path, write: bool = False):
    return open_case(folder, fixed_hand("EV", MOMENT), write=write)


def test_stored_and_read_back_the_same(folder: Path):
    with opened(folder) as case:
        made = assess(case, AssessAsk(seed=4), effort=SHORT)
        found = stored(case)
        assert found is not None
        assert found.fresh
        assert found.seal == case.situation().seal
        for name in ("draw", "colony", "source", "infector", "time", "onset", "rates", "dates", "chain"):
            assert np.array_equal(getattr(found.posterior.draws, name), getattr(made.posterior.draws, name)), name
        assert assess_report(found).sections[1:] == assess_report(replace(made, stored=True)).sections[1:]
        assert assessment(case).stored


def test_same_figures_on_one_worker_and_two(folder: Path):
    with opened(folder) as case:
        one, two = (assess(case, AssessAsk(seed=4, workers=n), effort=SHORT, keep=False) for n in (1, 2))
        assert chances_by_hive(one.stage, one.posterior) == chances_by_hive(two.stage, two.posterior)
        other = assess(case, AssessAsk(seed=5), effort=SHORT, keep=False)
        assert chances_by_hive(other.stage, other.posterior) != chances_by_hive(one.stage, one.posterior)


def test_a_new_record_makes_it_stale_and_the_page_says_so(folder: Path):
    with opened(folder, write=True) as case:
        assert "No assessment is stored" in first_hives(case).lines[0]
        assess(case, AssessAsk(), effort=SHORT)
        page = first_hives(case)
        assert page.table is not None
        assert page.table.rows[0][0] == "A2-1"  # it got the frames of the case
        assert not any("STALE" in line for line in page.lines)
        case.record("inspection", Span.day(MOMENT.date()), hive="A2-1", signs="none seen", brood_frames=8,
                    frames_seen=8, frames_shaken=8, inspector="EV")  # fmt: skip
        found = stored(case)
        assert found is not None
        assert not found.fresh
        assert len(found.stage.looks) == 4  # it still shows the records that it was made from
        assert any("STALE" in line for line in first_hives(case).lines)
        again = assess(case, AssessAsk(), effort=SHORT)
        before, after = (chances_by_hive(a.stage, a.posterior)["A2-1"].visible for a in (found, again))
        assert after < before / 2  # a full look without signs


def test_the_receiver_leads_and_the_case_is_its_source(folder: Path):
    with opened(folder) as case:
        made = assess(case, AssessAsk(), effort=SHORT)
        plan = assessed_plan(made)
        assert plan.cases == ("A1-1",)
        assert "A1-1" not in {hive.hive for hive in plan.hives}
        assert plan.first[0].hive == "A2-1"
        assert "m1" in plan.first[0].why
        assert any("m1" in moved.words for moved in plan.first[0].moved)
        assert {group.mark for group in plan.apiaries} == {"A1", "A2"}
        assert plan.firms[0].hives == 11
        words = json.dumps(sources_report(case, "A2-1").facts)
        assert "m1: 3 brood frames A1 to A2" in words
        assert "A1-1" in words
        with pytest.raises(UserError, match="neither a hive nor an apiary"):
            sources_report(case, "B9")


def test_options_are_kept_and_said(folder: Path):
    with opened(folder) as case:
        ask = AssessAsk(replaced={"brood frames": (0.0, "frames were new")}, sampled=("touching",), onset="lognormal")
        made = assess(case, ask, effort=SHORT)
        found = stored(case)
        assert found is not None
        assert found.ask == ask
        words = " ".join(assessed_plan(found).assumptions)
        assert "frames were new" in words
        assert "touching" in words
        assert "lognormal" in words
        listed = sources_plan(made.stage, made.posterior, made.rates, "A2-1").found[0].sources
        assert not any("m1" in each.words for each in listed)
        with pytest.raises(UserError, match="without a reason"):
            assess(case, AssessAsk(replaced={"latent": (0.2, "")}), effort=SHORT)


def test_as_of_knows_only_what_was_on_record(folder: Path):
    with opened(folder) as case, pytest.raises(UserError, match="No hive"):
        assess(case, AssessAsk(as_of=MOMENT.date().replace(day=1)), effort=SHORT)


def test_cancelled_is_not_stored(folder: Path):
    with opened(folder) as case:
        with pytest.raises(UserError, match="nothing was stored"):
            assess(case, AssessAsk(), lambda sweeps, quality: False, Effort(ess=1e9, first=200, most=10_000))
        assert stored(case) is None


def test_named_alternatives_print_their_differences(folder: Path):
    with opened(folder) as case:
        made = assess(case, AssessAsk(), effort=SHORT)
        others = sensitivity(case, made, effort=SHORT)
        assert [name for name, _ in others] == ["lognormal onset", "fat-tailed distance"]
        section = next(s for s in assess_report(made, others).sections if s.heading.startswith("Sensitivity"))
        assert section.table is not None
        assert section.table.columns == ("Hive", "As assessed", "Lognormal onset", "Fat-tailed distance")
        found = stored(case)
        assert found is not None
        assert found.ask.onset == "gamma"


def test_files_that_do_not_belong_together_are_not_used(folder: Path):
    with opened(folder) as case:
        assess(case, AssessAsk(), effort=SHORT)
        draws = folder / "assessment" / "draws.npz"
        draws.write_bytes(draws.read_bytes()[:-40])
        assert stored(case) is None


def test_orders_of_looks_take_the_engine_only_while_it_is_fresh(folder: Path):
    with opened(folder, write=True) as case:
        before, words = chances_now(case)
        assert "closed form" in words[0]
        with pytest.raises(UserError, match="No fresh assessment"):
            chances_now(case, which="engine")
        made = assess(case, AssessAsk(), effort=SHORT)
        now, words = chances_now(case)
        own = chances_by_hive(made.stage, made.posterior)
        assert "engine" in words[0]
        assert now.chances["A2-1"] == own["A2-1"]
        assert set(now.chances) == set(before.chances)  # the case itself is opened no more
        assert min(chance.infected for chance in now.chances.values()) >= value("visits.least_chance").value
        assert "closed form" in chances_now(case, which="closed form")[1][0]
        case.record("inspection", Span.day(MOMENT.date()), hive="A2-1", signs="none seen")
        assert "closed form" in chances_now(case)[1][0]
