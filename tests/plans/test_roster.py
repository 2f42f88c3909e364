"""The calendar of the crews: its rules, the optimum by hand, what moves, what does not fit, the same plan twice."""

from __future__ import annotations

import itertools
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.stories.vale import profile

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.night_roles import APART
from ashcomb.plans.roster import Change, RosterPlan, roster
from ashcomb.plans.roster_job import DAY, Person, RosterJob, Task
from ashcomb.plans.roster_tasks import Hours, Kill, NightHours, Slot, kill_tasks, plant_task, store_tasks

P = profile("invented")
F = Figures(P)
FIRST = date(2031, 5, 14)
SIX = tuple(Person(mark=mark, roles=frozenset(roles)) for mark, roles in (
    ("RF", {"leader", "scribe"}), ("OD", {"sealer", "driver"}), ("TA", {"pourer", "sealer"}),
    ("IV", {"listener", "driver"}), ("SQ", {"smoker keeper", "fire watch"}), ("JP", {"scribe", "listener"}),
))  # fmt: skip
DAYTIME = (480, 1020)


def job(days: int = 5) -> RosterJob:
    return RosterJob(first=FIRST, days=days, tasks=(), people=(), most=13 * 60, apart=())


def hours(days: int = 5, fire: frozenset[int] | None = None) -> Hours:
    return Hours(usual=DAYTIME, day=(DAYTIME,) * days, fire=frozenset(range(days)) if fire is None else fire)


def kill(days: int = 5, minutes: int = 118, due: int | None = None) -> Kill:
    nights = tuple(NightHours(day, 20 * 60 + 32, 22 * 60 + 30) for day in range(days))
    return Kill(apiary="A07", part="A07", hives=tuple(f"A07-{n:02d}" for n in range(14)), minutes=minutes, drive=20,
                nights=nights, due=due)  # fmt: skip


def whole(burn: bool = True, **kwargs) -> RosterPlan:
    return roster(P, [*kill_tasks(kill(**kwargs), hours(), F, burn)], SIX, job())


def at(plan: RosterPlan, mark: str):
    return next(entry for entry in plan.entries if entry.mark == mark)


def test_a_destruction_in_its_order():
    plan = whole()
    assert {e.kind for e in plan.entries[:2]} == {"dig the pit", "prepare by day"}
    assert [e.kind for e in plan.entries[2:]] == ["night", "burn", "cover the ash"]
    night, fire, cover = at(plan, "night A07"), at(plan, "fire A07"), at(plan, "cover A07")
    assert (night.begins.hour, night.begins.minute) == (20, 12)  # 20:32 less 20 min of driving
    # by hand: 484 min of driving, carrying and fire do not fit between the look in the morning, twelve hours
    # after the last listening, and 17:00; so it burns on the second day
    assert (fire.begins.date() - night.begins.date()).days == 2
    assert cover.begins >= fire.ends
    assert plan.proved
    assert not plan.unfit


def test_every_role_of_the_night_is_filled_and_flame_and_fuel_are_apart():
    posts = at(whole(), "night A07").posts
    by_role = dict(posts)
    assert by_role.keys() >= {"leader", "smoker keeper", "scribe", "sealer", "pourer", "listener"}
    for a, b, _ in APART:
        assert by_role[a] != by_role[b]
    roles = {person.mark: person.roles for person in SIX}
    assert all(role in roles[person] for role, person in posts)


def test_nobody_holds_flame_and_fuel_at_one_night():
    tasks = [*kill_tasks(kill(), hours(), F, True)]
    both = tuple(replace(p, roles=p.roles | {"pourer"}) if p.mark == "SQ" else p for p in SIX if p.mark != "TA")
    assert "night A07" in {unfit.mark for unfit in roster(P, tasks, both, job()).unfit}
    sealer = Person(mark="TA", roles=frozenset({"sealer", "pourer"}))
    assert not roster(P, tasks, (*both, sealer), job()).unfit


def test_people_rest_after_a_night():
    plan = whole()
    night, fire = at(plan, "night A07"), at(plan, "fire A07")
    if set(night.people) & set(fire.people):
        assert (fire.begins - night.ends).total_seconds() >= 11 * 3600


def test_what_takes_longer_than_any_night_is_named_with_the_cheapest_way_out():
    ways = [Change(words="two teams", cost_h=6, apply=lambda j: replace(j, tasks=tuple(
                replace(t, minutes=2 * 20 + 78) if t.kind == "night" else t for t in j.tasks))),
            Change(words="a dear one", cost_h=60, apply=lambda j: replace(j, tasks=tuple(
                replace(t, minutes=60) if t.kind == "night" else t for t in j.tasks)))]  # fmt: skip
    plan = roster(P, [*kill_tasks(kill(minutes=123), hours(), F, True)], SIX, job(), more_ways=ways)
    night = next(unfit for unfit in plan.unfit if unfit.mark == "night A07")
    assert "takes 163 min and the longest time open for it is 158 min" in night.why
    assert night.way_out == "two teams (counts as 6 h)"
    fire = next(unfit for unfit in plan.unfit if unfit.mark == "fire A07")
    assert "waits for night A07" in fire.why


def test_a_missing_role_is_named_and_filled_by_one_more():
    five = tuple(person for person in SIX if person.mark != "SQ")
    plan = roster(P, [*kill_tasks(kill(), hours(), F, True)], five, job())
    night = next(unfit for unfit in plan.unfit if unfit.mark == "night A07")
    assert night.why == "too few people may be smoker keeper"
    assert night.way_out.startswith("one more person who may be smoker keeper")


def test_a_fire_ban_moves_fire_and_cover_only():
    tasks = [*kill_tasks(kill(), hours(), F, True)]
    before = roster(P, tasks, SIX, job())
    banned = [*kill_tasks(kill(), hours(fire=frozenset({3, 4})), F, True)]
    after = roster(P, banned, SIX, job(), before={placed.mark: placed for placed in before.placed})
    assert {line.split(":")[0] for line in after.moved} == {"fire A07", "cover A07"}
    assert at(after, "fire A07").begins.date() == date(2031, 5, 17)
    same = roster(P, tasks, SIX, job(), before={placed.mark: placed for placed in before.placed})
    assert same.moved == ()
    assert same.placed == before.placed


def test_somebody_ill_changes_who_and_says_so():
    tasks = [*store_tasks("HS", 10, hours(3), 0, F)]
    two = (Person(mark="A", roles=frozenset()), Person(mark="B", roles=frozenset()))
    before = roster(P, tasks, two, job(3))
    gone = before.entries[0].people[0]
    ill = tuple(replace(p, off=frozenset({0, 1, 2})) if p.mark == gone else p for p in two)
    after = roster(P, tasks, ill, job(3), before={placed.mark: placed for placed in before.placed})
    assert len(after.entries) == 3
    assert all(gone not in entry.people for entry in after.entries)
    assert any(f"{gone} becomes" in line for line in after.moved)


def test_the_law_keeps_the_night_before_its_last_day():
    plan = whole(due=1)
    assert at(plan, "night A07").begins.date() <= date(2031, 5, 15)
    tight = [
        *kill_tasks(kill(due=0), Hours(usual=DAYTIME, day=((0, 0), *[DAYTIME] * 4), fire=frozenset(range(5))), F, True)
    ]
    assert {unfit.mark for unfit in roster(P, tight, SIX, job()).unfit} >= {"night A07"}  # nothing can be prepared


def test_a_plant_slot_is_kept_to_the_minute():
    slot = plant_task(Slot(place="IP", begins=2 * DAY + 600, drive=90), 1, F)
    plan = roster(P, [slot], SIX, job())
    entry = plan.entries[0]
    assert (entry.begins.day, entry.begins.hour, entry.begins.minute) == (16, 7, 45)  # 10:00 less 90 and half of 90 min
    assert dict(entry.posts).keys() == {"driver"}


# By hand: three jobs of 200 minutes for two people each, one day of 540 minutes, two people: two fit, by weight.
def test_the_weightiest_jobs_win_a_full_day():
    tasks = [Task(mark=f"t{n}", kind="x", where="A", minutes=200, windows=(DAYTIME,), people=2, weight=n)
             for n in (1, 2, 3)]  # fmt: skip
    two = tuple(Person(mark=mark, roles=frozenset()) for mark in "AB")
    plan = roster(P, tasks, two, job(1), effort=2)
    assert {entry.mark for entry in plan.entries} == {"t2", "t3"}
    assert (plan.weight, plan.bound, plan.proved) == (5, 5, True)
    assert plan.entries[0].mark == "t3"  # the weightier first
    assert plan.unfit[0].why == "people, hours and order leave no room for it"
    assert plan.unfit[0].way_out.startswith("1 h longer days")


# Independent: every order of small jobs of one person written out; the most weight that fits into the day.
@given(st.lists(st.tuples(st.integers(30, 300), st.integers(1, 5)), min_size=1, max_size=5))
@settings(max_examples=15)
def test_one_person_holds_as_much_as_every_subset_written_out(rows):
    tasks = [Task(mark=f"t{n}", kind="x", where="A", minutes=minutes, windows=(DAYTIME,), weight=weight)
             for n, (minutes, weight) in enumerate(rows)]  # fmt: skip
    best = max(sum(w for _, w in some) for size in range(len(rows) + 1) for some in itertools.combinations(rows, size)
               if sum(m for m, _ in some) <= 540)  # fmt: skip
    plan = roster(P, tasks, (Person(mark="A", roles=frozenset()),), job(1), effort=1, stop=lambda: False)
    assert plan.weight == best


def test_the_same_question_gives_the_same_calendar():
    assert whole() == whole()


def test_nobody_or_nothing_is_refused():
    with pytest.raises(UserError, match="nobody, or nothing"):
        roster(P, [], SIX, job())
