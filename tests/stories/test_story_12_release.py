"""Story 12, clocks and release: dates from burial and from killing, the refused request, and the new case."""

from __future__ import annotations

from tests.stories.vale import ZONE, at, clock, day, milestone, profile, record, vale

from ashcomb.plans.clocks import clocks
from ashcomb.plans.release import WHO, release
from ashcomb.plans.result import Gate
from ashcomb.records.acts import Kill, Pit
from ashcomb.records.state import events

SIXTY = profile(
    "sixty-days",
    clock("first_look", "buried", 30, "days", "earliest")
    + clock("second_look", "buried", 42, "days", "earliest")
    + clock("reinspect", "killed", 2, "months", "earliest", until=9)
    + clock("release_earliest", "buried", 60, "days", "earliest")
    + clock("watch", "buried", 18, "months", "earliest")
    + '[rules]\nlift_needs_spring_check = { text = "A look in the next spring.", status = "project choice" }\n',
)
NIGHT = (
    milestone("last case", "2031-05-12"),
    record(Kill, "2031-05-14T22:30", hive="A07-01", step="dead confirmed"),
    record(Pit, "2031-05-16", mark="P1", apiary="A07", state="covered"),
)
REST = {name: Gate(name, True, "met") for name in WHO if name not in ("date", "spring check")}


def dates(now: str, *more):
    return clocks(SIXTY, events(vale(*NIGHT, *more)), ZONE, at(now))


def day_of(found, key):
    return found.of(key).at.day


def test_every_clock_counts_from_its_own_event():
    found = dates("2031-06-27T09:00")
    assert day_of(found, "first_look") == day("2031-06-15")
    assert day_of(found, "second_look") == day("2031-06-27")
    assert day_of(found, "release_earliest") == day("2031-07-15")
    assert day_of(found, "watch") == day("2032-11-16")
    assert day_of(found, "reinspect") == day("2031-07-14")
    assert found.of("reinspect").until.day == day("2032-02-14")
    assert "Start: killed, Wed 14 May 2031" in found.of("reinspect").why
    assert "Start: buried, Fri 16 May 2031" in found.of("release_earliest").why


def test_release_on_27_june_is_refused_with_two_gates_named():
    plan = release(SIXTY, "A07", dates("2031-06-27T09:00"), REST)
    assert not plan.ready
    assert [gate.name for gate in plan.unmet] == ["date", "spring check"]
    assert "2 gates are not met: date, spring check" in plan.answer[0]
    assert "not before Tue 15 Jul 2031" in plan.unmet[0].why
    assert all(gate.who for gate in plan.unmet)


def test_a_new_case_on_1_july_moves_every_date():
    new = milestone("last case", "2031-07-01")
    found = dates("2031-07-16T09:00", new)
    assert {entry.state for entry in found.clocks} == {"not started"}
    assert found.of("release_earliest").best.day == day("2031-08-30")
    plan = release(SIXTY, "A07", found, REST)
    assert plan.earliest is None
    assert "date" in [gate.name for gate in plan.unmet]
    done = (
        new,
        record(Kill, "2031-07-02T23:00", hive="A07-02", step="dead confirmed"),
        record(Pit, "2031-07-03", mark="P2", apiary="A07", state="covered"),
    )
    after = dates("2031-07-16T09:00", *done)
    assert day_of(after, "release_earliest") == day("2031-09-01")
    assert day_of(after, "reinspect") == day("2031-09-02")
    assert day_of(after, "watch") == day("2033-01-03")


def test_in_the_next_spring_every_gate_can_be_met():
    spring = Gate("spring check", True, "looked at on 20 April 2032")
    plan = release(SIXTY, "A07", dates("2032-04-21T09:00"), {**REST, "spring check": spring})
    assert plan.ready
    assert "signed paper" in plan.answer[0]
