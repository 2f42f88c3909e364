"""Release: which gates are asked, who can meet them, and what the records alone decide."""

from __future__ import annotations

import pytest
from tests.stories.vale import ZONE, at, clock, day, hives, looks, profile, record, vale

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span
from ashcomb.plans.clocks import Clocks, clocks
from ashcomb.plans.release import WHO, release
from ashcomb.plans.release_gates import disputes_gate, laboratory_gate, profile_gate, rounds_gate, spring_gate
from ashcomb.plans.result import Gate
from ashcomb.records.acts import Kill
from ashcomb.records.case import ProfileConfirmed
from ashcomb.records.looks import LabResult, Sample

SIXTY = profile("sixty", clock("release_earliest", "buried", 60, "days", "earliest"))
BLANK = profile("blank-place")
LOOKS = (("first_look", 30), ("second_look", 42))
TWO = profile("two", "".join(clock(key, "buried", days, "days", "earliest") for key, days in LOOKS))
MET = {name: Gate(name, True, "met") for name in WHO if name not in ("date", "spring check")}


def dates(code, now="2031-07-20T09:00", **events) -> Clocks:
    spans = {name: Span.parse(text) for name, text in ({"buried": "2031-05-16"} | events).items()}
    return clocks(code, spans, ZONE, at(now))


def test_what_nothing_shows_is_not_met_and_every_gate_names_somebody():
    plan = release(SIXTY, "A07", dates(SIXTY), {})
    assert [gate.name for gate in plan.unmet] == [name for name in WHO if name not in ("date", "spring check")]
    assert all("Nothing recorded" in gate.why and gate.who for gate in plan.unmet)
    assert not plan.ready


def test_the_day_itself_is_enough_and_the_day_before_is_not():
    assert release(SIXTY, "A07", dates(SIXTY, "2031-07-15T00:00"), MET).ready
    early = release(SIXTY, "A07", dates(SIXTY, "2031-07-14T23:59"), MET)
    assert [gate.name for gate in early.unmet] == ["date"]
    assert "Days to go: 1." in early.unmet[0].why
    assert "1 gate is not met" in early.answer[0]


def test_the_latest_of_the_earliest_dates_binds():
    both = profile("both", clock("release_earliest", "buried", 60, "days", "earliest")
                   + clock("reinspect", "killed", 3, "months", "earliest", until=9))  # fmt: skip
    plan = release(both, "A07", dates(both, killed="2031-05-14"), MET)
    assert plan.earliest == day("2031-08-14")
    assert [gate.name for gate in plan.unmet] == ["date"]


def test_a_place_without_a_date_needs_one_in_writing():
    found = dates(BLANK)
    assert "sets no earliest date" in release(BLANK, "A07", found, MET).unmet[0].why
    assert release(BLANK, "A07", found, {**MET, "date": Gate("date", True, "Letter 7 of the authority")}).ready


def test_a_given_date_does_not_override_the_clock():
    given = {**MET, "date": Gate("date", True, "somebody says so")}
    assert not release(SIXTY, "A07", dates(SIXTY, "2031-06-27T09:00"), given).ready


def test_the_spring_check_is_asked_only_where_the_profile_asks_it():
    rule = '[rules]\nlift_needs_spring_check = { text = "Spring.", status = "project choice" }\n'
    spring = profile("spring", clock("release_earliest", "buried", 60, "days", "earliest") + rule)
    assert [gate.name for gate in release(spring, "A07", dates(spring), MET).unmet] == ["spring check"]
    assert "spring check" not in [gate.name for gate in release(SIXTY, "A07", dates(SIXTY), MET).gates]


def test_a_reason_and_a_person_that_were_given_are_kept():
    gate = Gate("certificates", False, "Lot 2 shows 14.6 kGy against 15.", "J. Marr")
    plan = release(SIXTY, "A07", dates(SIXTY), {**MET, "certificates": gate})
    assert plan.unmet == (gate,)
    assert "14.6 kGy" in plan.answer[1]


def test_it_never_releases_by_itself():
    plan = release(SIXTY, "A07", dates(SIXTY), MET)
    assert "needs its signed paper" in plan.answer[0]
    assert "releases nothing" in plan.cautions[0]


def test_a_gate_or_a_profile_that_does_not_belong_is_refused():
    with pytest.raises(UserError, match="no gate"):
        release(SIXTY, "A07", dates(SIXTY), {"balance": Gate("balance", True, "")})
    with pytest.raises(UserError, match="not “sixty”"):
        release(SIXTY, "A07", dates(BLANK), MET)


@pytest.mark.parametrize(
    ("rounds", "today", "met"),
    [
        ((), "2031-06-10", False),
        (("2031-06-01",), "2031-06-10", True),  # no date reached yet: one look after burial is enough
        (("2031-06-01",), "2031-06-16", False),  # the first look was too early
        (("2031-06-16",), "2031-06-20", True),
        (("2031-06-16",), "2031-07-20", False),  # the second is due now
        (("2031-06-16", "2031-06-27"), "2031-07-20", True),
        (("2031-06-28",), "2031-07-20", False),  # one day is not two looks
        (("2031-06-28", "2031-06-29"), "2031-07-20", True),
    ],
)
def test_rounds_are_counted_by_the_clocks_that_have_been_reached(rounds, today, met):
    case = vale(*hives("A03", 2), *(look for when in rounds for look in looks("A03", 2, when)))
    found = rounds_gate(case, ["A03"], dates(TWO), day("2031-05-16"), day(today))
    assert found.met is met
    assert ("A03-01" in found.why) is not met


def test_signs_and_partial_looks_meet_no_round():
    partial = vale(*hives("A03", 1), *looks("A03", 1, "2031-06-16", frames_shaken=3))
    assert not rounds_gate(partial, ["A03"], dates(TWO), day("2031-05-16"), day("2031-06-20")).met
    signs = vale(*hives("A03", 1), *looks("A03", 1, "2031-06-16", signs="suspect"), *looks("A03", 1, "2031-06-17"))
    found = rounds_gate(signs, ["A03"], dates(TWO), day("2031-05-16"), day("2031-06-20"))
    assert not found.met
    assert "Signs were seen" in found.why


def test_the_spring_check_needs_every_living_hive_in_that_spring():
    spring = (day("2032-04-01"), day("2032-05-31"))
    half = vale(*hives("A03", 2), *looks("A03", 1, "2032-04-20"), *looks("A03", 2, "2031-06-20"))
    assert "has not come" in spring_gate(half, ["A03"], spring, day("2031-07-20")).why
    assert "A03-02" in spring_gate(half, ["A03"], spring, day("2032-04-21")).why
    signs = vale(*hives("A03", 1), *looks("A03", 1, "2032-04-20"), *looks("A03", 1, "2032-05-02", signs="suspect"))
    assert not spring_gate(signs, ["A03"], spring, day("2032-06-20")).met
    whole = vale(*hives("A03", 2), *looks("A03", 2, "2032-04-20"))
    assert spring_gate(whole, ["A03"], spring, day("2032-06-20")).met


def test_a_sample_without_clear_result_keeps_the_laboratory_gate_shut():
    sample = record(Sample, "2031-05-10", mark="S1", hives=("A07-01",), material="larva")
    unclear = record(LabResult, "2031-05-12", sample="S1", method="culture", outcome="unclear")
    positive = record(LabResult, "2031-05-13", sample="S1", method="culture", outcome="positive")
    assert not laboratory_gate(vale(sample)).met
    assert not laboratory_gate(vale(sample, unclear)).met
    assert laboratory_gate(vale(sample, unclear, positive)).met
    assert laboratory_gate(vale()).met


def test_a_profile_counts_as_confirmed_only_in_its_own_wording():
    signed = {"profile": "sixty", "officer": "J. Marr", "role": "district officer"}
    old = record(ProfileConfirmed, "2031-05-07", digest="0" * 64, **signed)
    new = record(ProfileConfirmed, "2031-05-08", digest=SIXTY.digest, **signed)
    assert not profile_gate(vale(old), SIXTY).met
    assert "J. Marr" in profile_gate(vale(old, new), SIXTY).why


def test_contradicting_records_keep_the_gate_of_disputes_shut():
    dead = record(Kill, "2031-05-14T22:07", hive="A07-31", step="dead confirmed")
    buzzing = record(Kill, "2031-05-14T22:09", hive="A07-31", step="listened: buzzing")
    assert "Which one holds?" in disputes_gate(vale(dead, buzzing)).why
    assert disputes_gate(vale(dead)).met
