"""Follow-up: against a direct enumeration over the months of onset, and which looks and dates count."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.stories.vale import ZONE, at, clock, day, hives, looks, profile, record, vale

from ashcomb.kernel.time import Span
from ashcomb.plans.clocks import clocks
from ashcomb.plans.exposures import Exposure, exposures
from ashcomb.plans.followup import followup
from ashcomb.plans.followup_dates import Brood
from ashcomb.records.acts import Kill
from ashcomb.records.movements import Move

P = profile("invented")
ONSET = tuple(Fraction(percent, 100) for percent in (19, 30, 11, 14, 11, 6))
NOW = "2031-02-01T12:00"


def plan(case, exposed, code=P, now=NOW, events=None, **more):
    spans = {name: Span.parse(text) for name, text in (events or {}).items()}
    return followup(case, code, exposed, at(now).date(), clocks(code, spans, ZONE, at(now)), **more)


def exposed(hive="A03-01", since="2030-08-22", prior=Fraction(45, 100)):
    return [Exposure(hive, Span.parse(since), prior, "got wet supers")]


def months_after(start: str, months: int) -> str:
    return str(date.fromisoformat(start) + timedelta(days=round(months * 365.25 / 12)))


# Independent: enumerate the month of onset (New Zealand, "Time to visual symptoms") and every outcome of the looks.
@given(st.lists(st.integers(1, 6), min_size=1, max_size=3, unique=True).map(sorted))
def test_the_chance_agrees_with_a_direct_enumeration(months):
    joint_clear_infected = Fraction(0)
    for onset, weight in enumerate((*ONSET, 1 - sum(ONSET)), start=1):
        for outcome in product((True, False), repeat=len(months)):  # True: signs noticed
            chance = weight
            for month, noticed in zip(months, outcome, strict=True):
                find = Fraction(9, 10) if onset <= month and onset <= 6 else Fraction(0)
                chance *= find if noticed else 1 - find
            joint_clear_infected += chance if not any(outcome) else 0
    prior = Fraction(45, 100)
    expected = prior * joint_clear_infected / (prior * joint_clear_infected + 1 - prior)
    days = [looks("A03", 1, months_after("2030-08-22", month)) for month in months]
    found = plan(vale(*hives("A03", 1), *(one for each in days for one in each)), exposed(), now="2031-06-01T12:00")
    assert found.hives[0].chance == pytest.approx(float(expected), abs=0.003)  # days make months only nearly whole


def test_without_a_look_the_prior_stays():
    found = plan(vale(*hives("A03", 1)), exposed())
    assert found.hives[0].chance == 0.45
    assert "no full look yet" in found.hives[0].words


def test_looks_that_were_not_full_do_not_count_and_are_named():
    case = vale(*hives("A03", 1), *looks("A03", 1, "2030-12-01", frames_seen=3, frames_shaken=3))
    found = plan(case, exposed())
    assert found.hives[0].chance == 0.45
    assert found.hives[0].not_counted == ("A03-01, Sun 1 Dec 2030",)
    assert any("Not counted" in sentence for sentence in found.reasons)


def test_looks_before_the_exposure_do_not_count():
    case = vale(*hives("A03", 1), *looks("A03", 1, "2030-08-01"))
    assert plan(case, exposed()).hives[0].steps == ()


def test_signs_end_the_follow_up_of_a_hive_even_after_a_later_look_without_signs():
    case = vale(*hives("A03", 1), *looks("A03", 1, "2030-12-01", signs="suspect"), *looks("A03", 1, "2031-01-01"))
    found = plan(case, exposed())
    assert found.signs == ("A03-01",)
    assert found.hives[0].chance is None
    assert "suspect" in found.hives[0].words


def test_an_uncertain_exposure_counts_from_its_last_day():
    case = vale(*hives("A03", 1), *looks("A03", 1, "2030-10-22"))
    early = plan(case, exposed(since="2030-08-01")).hives[0].chance
    unsure = plan(case, exposed(since="2030-08-01/2030-08-22")).hives[0].chance
    assert unsure is not None
    assert early is not None
    assert unsure > early
    assert unsure == plan(case, exposed(since="2030-08-22")).hives[0].chance


# By hand: 1 January to 1 April is 90 days, of which 20 January to 10 February, 22 days, are without brood.
def test_time_without_brood_does_not_count():
    brood = Brood(((day("2031-01-20"), day("2031-02-10")), (day("2031-05-01"), day("2031-05-30"))))
    assert brood.months(day("2031-01-01"), day("2031-04-01")) == pytest.approx(68 / (365.25 / 12))
    assert brood.months(day("2031-04-01"), day("2031-01-01")) == 0
    case = vale(*hives("A03", 1), *looks("A03", 1, "2031-01-21"))
    idle = plan(case, exposed(), pauses=((day("2030-10-15"), day("2031-01-20")),)).hives[0].chance
    assert idle is not None
    assert idle > (plan(case, exposed()).hives[0].chance or 0)


def test_the_next_looks_are_those_of_the_profile_with_what_they_would_leave():
    text = clock("first_look", "buried", 30, "days", "earliest") + clock(
        "second_look", "buried", 42, "days", "earliest"
    )
    hive, buried = exposed(since="2031-05-16"), {"buried": "2031-05-16"}
    found = plan(vale(*hives("A03", 1)), hive, profile("c", text), "2031-05-20T12:00", buried)
    assert [look.day for look in found.next_looks] == [date(2031, 6, 15), date(2031, 6, 27)]
    left = [look.left for look in found.next_looks]
    assert None not in left
    assert 0.45 > (left[0] or 1) > (left[1] or 1) > 0


def test_where_the_profile_sets_no_date_the_programs_own_rounds_are_said_to_be_that():
    found = plan(vale(*hives("A03", 1)), exposed(), now="2031-05-20T12:00")
    assert [(look.day - date(2031, 5, 20)).days for look in found.next_looks] == [42, 91]
    assert "The profile sets no date" in found.next_looks[0].why
    assert "plans.second_round_days" in {used.key for used in found.uses}


def test_every_living_hive_of_a_reached_apiary_is_exposed_by_its_worst_way():
    moved = (("w", "2030-08-22", "HH", "wet supers", ("A03-01", "A03-02")),
             ("b", "2030-08-23", "A07", "brood frames", ("A03-02",)),
             ("o", "2030-04-01", "A07", "brood frames", ("A03-03",)),
             ("x", "2030-08-23", "A11", "brood frames", ("A03-03",)))  # fmt: skip
    moves = [record(Move, when, mark=mark, source=source, target="A03", what=what, hives=got)
             for mark, when, source, what, got in moved]  # fmt: skip
    dead = record(Kill, "2030-09-01", hive="A03-04", step="dead confirmed")
    case = vale(*hives("A03", 4), *moves, dead)
    sources = {"HH": day("2030-08-20"), "A07": day("2030-04-10")}
    found = {e.hive: e for e in exposures(case, "A03", day("2030-08-22"), sources, day("2031-01-01"))}
    assert set(found) == {"A03-01", "A03-02", "A03-03"}
    assert found["A03-01"].prior == Fraction(45, 100)
    assert found["A03-02"].prior == Fraction(9, 10)
    assert found["A03-03"].prior == Fraction(1, 5)
    assert "stands in an exposed apiary" in found["A03-03"].route


@pytest.mark.parametrize(("came", "chance"), [(1, Fraction(21, 80)), (4, Fraction(45, 100)), (None, Fraction(45, 100))])
def test_supers_without_hive_marks_reach_as_many_hives_as_came(came: int | None, chance: Fraction):
    """By the law of total probability: one of four got a super (0.45), three are neighbours (0.20): 0.2625 each."""
    case = vale(*hives("A11", 4), record(Move, "2030-08-22", mark="u", source="HH", target="A11", what="wet supers",
                                         count_in=came))  # fmt: skip
    found = exposures(case, "A11", day("2030-08-22"), {"HH": day("2030-08-20")}, day("2031-01-01"))
    assert {e.prior for e in found} == {chance}
    assert "u names no hive" in found[0].route


def test_the_worst_hive_stands_first_and_the_trial_and_the_caveats_are_printed():
    both = [*exposed(prior=Fraction(1, 5)), *exposed("A03-02")]
    found = plan(vale(*hives("A03", 2)), both)
    assert [hive.hive for hive in found.hives] == ["A03-02", "A03-01"]
    assert any("one trial" in sentence for sentence in found.reasons)
    assert any("come and go" in sentence for sentence in found.assumptions)
    assert "disease.onset_month_2" in {used.key for used in found.uses}
