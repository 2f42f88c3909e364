"""Follow-up rounds: the fast chances against the plain ones, the fewest rounds against enumeration, new cases."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.stories.vale import at, clock, hives, looks, milestone, profile, vale

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span
from ashcomb.plans.clocks import clocks
from ashcomb.plans.evidence import Evidence
from ashcomb.plans.figures import Figures
from ashcomb.plans.hiding import Hiding, Introductions, introductions
from ashcomb.plans.proof import Group, ProofAsk
from ashcomb.plans.round_chances import Rounds
from ashcomb.plans.rounds import Asked, candidates, fits, moved_dates, rounds
from ashcomb.plans.season import Season
from ashcomb.records.state import events

SEASON = Season(3, 10)
SINCE, TODAY = date(2031, 4, 10), date(2031, 5, 20)
LOOKS = profile("looks", clock("first_look", "buried", 30, "days", "earliest")
                + clock("second_look", "buried", 42, "days", "earliest"))  # fmt: skip


def group(count: int = 10, since: date = SINCE) -> Group:
    return Group(name="A03", level="apiary", since={f"A03-{n:02d}": since for n in range(1, count + 1)})


def plan(situation, ask=None, rules=LOOKS, count=10):
    dates = clocks(rules, events(situation), "Etc/GMT-5", at("2031-05-20T12:00"))
    return rounds(situation, rules, group(count), TODAY, dates, 46.0, ask)


def buried(*more):
    return vale(*hives("A03", 10), milestone("killed", "2031-05-14"), milestone("buried", "2031-05-16"), *more)


# The plain way: every added look as evidence of its own, worked out by the module that proves freedom.
@given(st.data(), st.integers(0, 3), st.sampled_from([0.0, 0.01, 0.2]))
@settings(max_examples=25)
def test_fast_chances_agree_with_the_plain_ones(data, past, yearly):
    days = [date(2031, 6, 1) + timedelta(days=21 * n) for n in range(8)]
    days = [day for day in days if SEASON.has_brood(day)]
    evidence = tuple(Evidence(date(2031, 4, 20) + timedelta(days=9 * n), "look", 0.6, 0.1 * n) for n in range(past))
    own = {"a": evidence, "b": (), "c": evidence[:1]}
    since = {"a": SINCE, "b": SINCE + timedelta(days=30), "c": SINCE}
    brood, coming = SEASON.brood(SINCE, days[-1]), Introductions(yearly / 12)
    chosen = tuple(sorted(data.draw(st.sets(st.integers(0, len(days) - 1), min_size=1, max_size=4))))
    fast = Rounds(own, since, days, brood, 0.5, coming, 0.9).free(chosen)
    added = tuple(Evidence(days[k], "look", 0.9, 0.0) for k in chosen)
    whole = {hive: (*tests, *added) for hive, tests in own.items()}
    assert fast == pytest.approx(Hiding(brood, 1).free(whole, since, days[chosen[-1]], 0.5, coming), abs=1e-12)


def test_each_look_of_the_place_gets_a_day_of_its_own():
    found = plan(buried())
    days = [each.day for each in found.rounds]
    assert days[0] >= date(2031, 6, 15)  # 30 days from the burial on 16 May
    assert days[1] >= date(2031, 6, 27)  # 42 days
    assert all((b - a).days >= 21 for a, b in pairwise(days))
    assert found.reached
    assert found.rounds[-1].free >= 0.95
    if len(days) > 2:
        assert found.fewer is not None
        assert found.fewer < 0.95


# Independent: every smaller choice of the days tried, worked out by the module that proves freedom; none is enough.
@pytest.mark.parametrize("yearly", [0.0, 0.05])
def test_no_smaller_number_of_rounds_would_do(yearly):
    found = plan(buried(), ProofAsk(introduction=yearly), profile("none"))
    since = group().since
    days = candidates(Figures(LOOKS), SEASON, (), TODAY)
    brood = SEASON.brood(SINCE, days[-1])
    hiding, coming = Hiding(brood, 1), introductions(Figures(LOOKS), yearly, True)
    assert found.reached
    assert len(found.rounds) >= 2
    for fewer in range(1, len(found.rounds)):
        for chosen in combinations(days, fewer):
            if all((b - a).days >= 21 for a, b in pairwise(chosen)):
                added = tuple(Evidence(day, "look", 0.9, 0.0) for day in chosen)
                assert hiding.free(dict.fromkeys(since, added), since, chosen[-1], 0.5, coming) < 0.95


def test_rounds_end_as_early_as_they_can():
    strict = plan(buried(), ProofAsk(introduction=0.0))
    easy = plan(buried(*looks("A03", 10, "2031-05-18")), ProofAsk(introduction=0.0))
    assert easy.rounds[-1].day <= strict.rounds[-1].day


def test_a_target_out_of_reach_is_said():
    found = plan(buried(), ProofAsk(introduction=0.9, standstill=False))
    assert not found.reached
    assert "not the 95 % asked for" in found.answer[1]


def test_no_round_falls_into_months_without_brood():
    found = plan(buried(), ProofAsk(introduction=0.05))
    assert all(SEASON.has_brood(each.day) for each in found.rounds)


def test_a_spring_look_that_is_asked_for_is_planned():
    spring = '\n[rules]\nlift_needs_spring_check = { text = "A look in spring.", status = "project choice" }\n'
    rules = profile("spring", clock("first_look", "buried", 30, "days", "earliest") + spring)
    found = plan(buried(), rules=rules)
    assert any(date(2032, 3, 1) <= each.day <= date(2032, 5, 31) for each in found.rounds)
    assert "look in the next spring" in [one.name for one in found.asked]


# By hand: two rounds with windows 1 to 10 and 5 to 6 June fit on 5 and 8 June only one way round.
def test_days_are_shared_out_among_what_is_asked():
    wide, narrow = Asked("w", date(2031, 6, 1), date(2031, 6, 10)), Asked("n", date(2031, 6, 5), date(2031, 6, 6))
    assert fits([date(2031, 6, 5), date(2031, 6, 8)], [wide, narrow])
    assert not fits([date(2031, 6, 7), date(2031, 6, 8)], [wide, narrow])
    assert not fits([date(2031, 6, 5)], [wide, narrow])


# A new case on 1 July: killing and burial before it count no more, so every clock waits.
def test_a_new_case_moves_every_date():
    situation, now = buried(), at("2031-06-20T12:00")
    facts = events(situation)
    before = clocks(LOOKS, facts, "Etc/GMT-5", now)
    after = clocks(LOOKS, {**facts, "last case": Span.day(date(2031, 7, 1))}, "Etc/GMT-5", now)
    moved = moved_dates({c.rule.key: c for c in before.clocks}, {c.rule.key: c for c in after.clocks})
    assert [row[1] != row[2] for row in moved] == [True, True]
    assert "not started" in moved[0][2]


def test_a_place_without_hives_is_refused():
    with pytest.raises(UserError, match="No living hive"):
        rounds(vale(), LOOKS, Group(name="A99", level="apiary", since={}), TODAY,
               clocks(LOOKS, {}, "Etc/GMT-5", at("2031-05-20T12:00")))  # fmt: skip
