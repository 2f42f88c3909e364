"""Visits, day sheets, calendar, survey, rounds and proof from the records of a case, by use case and by command."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import pytest
from icalendar import Calendar
from tests.papers import yard
from tests.stories.vale import hives, looks, record
from typer.testing import CliRunner

from ashcomb.casework.calendar import CalendarAsk, calendar_file, calendar_report, plan_calendar, read_saved, saved
from ashcomb.casework.case import Case
from ashcomb.casework.crews import VisitsAsk, plan_visits, read_hours, visits_report
from ashcomb.casework.proving import ProvingAsk, curve_of, groups_of, moved_by, proof_at, proof_report, rounds_at
from ashcomb.casework.sheets.crewday import day_sheets
from ashcomb.casework.sheets.desk import Desk
from ashcomb.casework.sheets.form import Facts
from ashcomb.casework.surveying import plan_survey, survey_report
from ashcomb.cli.main import app
from ashcomb.kernel.errors import UserError
from ashcomb.plans.roster_job import RosterJob
from ashcomb.plans.survey import SurveyAsk
from ashcomb.plans.visit_solve import Search
from ashcomb.records.acts import CrewMember

RUN = CliRunner()
QUICK = Search(rounds=4, labels=100, most=200, steps=0, effort=0.5)
PEOPLE = {"RF": ["leader", "scribe"], "TA": ["pourer", "sealer"], "IV": ["listener"], "SQ": ["smoker keeper"],
          "OD": ["sealer", "driver"], "JP": ["listener", "driver"]}  # fmt: skip


def records() -> list:
    people = [
        record(CrewMember, "2031-05-01", mark=mark, name=mark, roles=tuple(roles)) for mark, roles in PEOPLE.items()
    ]
    old = looks("A03", 6, "2031-04-20", brood_frames=8)
    return [*yard.night_records(*yard.finds(), crew=False), *hives("A03", 6), *hives("A11", 4), *hives("A22", 5), *old,
            *people]  # fmt: skip


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("crews") / "case"
    yard.case_of(made, records()).store.close()
    (made / "demo-clock").write_text(yard.EVENING.isoformat(), "utf-8")
    return made


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Case]:
    with yard.case_of(tmp_path_factory.mktemp("crews") / "own", records()) as made:
        yield made


@pytest.fixture(scope="module")
def plan(case: Case):
    ask = VisitsAsk(days=2, crews=("RF+OD@A11 08:00-16:00 sets=0", "TA+IV@A11"), apiaries=("A03", "A11", "A22"))
    return plan_visits(case, ask, search=QUICK)


def test_every_visit_lies_in_its_hours_and_no_crew_goes_back_to_less_dirty(plan):
    assert {visit.apiary for day in plan.days for visit in day.visits} >= {"A03"}
    for day in plan.days:
        assert day.day >= date(2031, 5, 15)
        assert all(day.leaves <= v.begins < v.ends <= day.home for v in day.visits)
        if day.crew == "Crew 1":
            assert not any(visit.cleaned for visit in day.visits)  # no spare set of tools and suits
            assert day.home <= 16 * 60
    assert plan.gap <= 0.03
    text = str(visits_report(plan))
    assert "No plan can be better than this one by more than" in text
    assert "nearest first" in text
    assert "clean " not in text.casefold()


def test_what_must_be_known_is_asked_of_a_crew(case: Case):
    ask = VisitsAsk(days=1, crews=("RF+OD@A11",), apiaries=("A03",), needs=(("A03", "inspector"),))
    found = plan_visits(case, ask, search=QUICK)
    assert not found.days
    assert "nobody in a crew can: inspector" in {why for _, why in found.left_out}
    with pytest.raises(UserError, match="no apiary that is to be visited"):
        plan_visits(case, replace(ask, needs=(("A99", "inspector"),)), search=QUICK)


@pytest.mark.parametrize(("crew", "words"), [
    ("RF", "is no crew"), ("ZZ@A11", "nobody on the list"), ("RF@Z99", "no place"),
    ("RF@A11 16:00-08:00", "back before"),
    ("RF@A11 08:00-16:00 sets=many", "is no crew"), ("RF@A11 8:99-16:00", "not an hour"),
])  # fmt: skip
def test_a_crew_that_cannot_be_is_refused(case: Case, crew: str, words: str):
    with pytest.raises(UserError, match=words):
        plan_visits(case, VisitsAsk(days=1, crews=(crew,), apiaries=("A03",)), search=QUICK)


def test_a_table_of_roads_and_landowners_hours_are_kept(case: Case, tmp_path: Path):
    roads, open_ = tmp_path / "roads.csv", tmp_path / "hours.csv"
    roads.write_text("from,to,minutes\nA11,A03,77\n", "utf-8")
    open_.write_text("apiary,from,to,day\nA03,13:00,15:30,\n", "utf-8")
    ask = VisitsAsk(days=1, crews=("RF+OD@A11",), apiaries=("A03",), roads=roads, hours=open_)
    (visit,) = plan_visits(case, ask, search=QUICK).days[0].visits
    assert visit.drive_min == 77
    assert 13 * 60 <= visit.begins < visit.ends <= 15 * 60 + 30
    open_.write_text("apiary,from,to\nA03,noon,15:30\n", "utf-8")
    with pytest.raises(UserError, match="cannot be read") as refused:
        read_hours(open_)
    assert refused.value.where == "hours.csv, row 2"


def test_the_day_sheets_name_no_single_apiary_and_each_position(case: Case, plan):
    sheet = day_sheets(Desk(case), plan)
    assert sheet.head.apiary == "those listed below"
    text = str(sheet.blocks)
    assert "11.20 E, 10.90 N km on the grid" in text
    assert sum(isinstance(block, Facts) for block in sheet.blocks) == len(plan.days)


@pytest.fixture(scope="module")
def calendar(case: Case):
    return plan_calendar(case, CalendarAsk(first=date(2031, 5, 14), split=(("A07", (2, 1)),), every_day=True))


def test_two_nights_of_one_apiary_are_over_before_its_first_fire(calendar):
    assert not calendar.unfit
    nights = [entry for entry in calendar.entries if entry.kind == "night"]
    fires = [entry for entry in calendar.entries if entry.kind == "burn"]
    assert [entry.why for entry in nights] == ["2 hives, 1 team(s)", "1 hives, 1 team(s)"]
    assert min(fire.begins for fire in fires) >= max(night.ends for night in nights)
    text = str(calendar_report(calendar))
    assert "fuel and embers never meet" in text
    assert "night A07 b" in text
    assert "Local curfews, permits and animal-health orders override" in text


def test_a_split_must_hold_every_hive(case: Case):
    with pytest.raises(UserError, match="are not the 3 hives of A07"):
        plan_calendar(case, CalendarAsk(split=(("A07", (2, 2)),)))
    with pytest.raises(UserError, match="No hive of A03"):
        plan_calendar(case, CalendarAsk(split=(("A03", (3, 3)),)))


def test_somebody_off_shows_what_moves(case: Case, calendar):
    worked = next(entry for entry in calendar.entries if "JP" in entry.people)
    ask = CalendarAsk(first=date(2031, 5, 14), split=(("A07", (2, 1)),), every_day=True,
                      off=(("JP", worked.begins.date()),))  # fmt: skip
    changed = plan_calendar(case, ask)
    assert changed.moved
    assert not any("JP" in e.people and e.begins.date() == worked.begins.date() for e in changed.entries)


def test_a_saved_calendar_is_read_as_it_was(calendar, tmp_path: Path):
    file = tmp_path / "calendar.json"
    file.write_text(saved(calendar), "utf-8")
    job = RosterJob(first=date(2031, 5, 14), days=7, tasks=(), people=(), most=780, apart=())
    assert read_saved(file, job) == {placed.mark: placed for placed in calendar.placed}
    file.write_text("[]", "utf-8")
    with pytest.raises(UserError, match="no saved calendar"):
        read_saved(file, job)


# RFC 5545, read back by the icalendar library: every job one event, its times in UTC, five hours before local time.
def test_the_calendar_file_holds_every_job_in_utc(case: Case, calendar):
    events = Calendar.from_ical(calendar_file(case, calendar)).walk("VEVENT")
    assert len(events) == len(calendar.entries)
    first = min(calendar.entries, key=lambda entry: entry.begins)
    begun = min(event.decoded("dtstart") for event in events)
    assert begun.utcoffset() is not None
    assert begun.replace(tzinfo=None) == datetime.fromtimestamp(first.begins.timestamp()).replace(
        hour=first.begins.hour - 5, minute=first.begins.minute
    )
    assert len({str(event["uid"]) for event in events}) == len(events)
    own = Calendar.from_ical(calendar_file(case, calendar, "JP")).walk("VEVENT")
    assert len(own) == sum("JP" in entry.people for entry in calendar.entries)


def test_a_survey_of_the_case(case: Case):
    found = plan_survey(case, SurveyAsk(apiaries=2))
    assert found.hives == 14 + 6 + 4 + 5
    assert {layer.name for layer in found.layers} >= {"signs or cases", "exposed", "in the zone"}
    assert "Cannon 2001" in str(survey_report(found))


@pytest.mark.parametrize("level", ["hive", "apiary", "firm", "zone"])
def test_a_proof_at_every_level_never_says_yes(case: Case, level: str):
    ask = ProvingAsk(level=level, mark="A03" if level in ("hive", "apiary") else "")
    plan = proof_at(case, ask)
    assert len(plan.groups) == (6 if level == "hive" else 1)
    for group in plan.groups:
        assert ": no." in group.answer or "nobody can say yes" in group.answer
    if level == "apiary":
        assert plan.groups[0].raise_it
        assert curve_of(plan.groups[0], float(plan.target), rounds_at(case, ask)).startswith("<svg")
    assert "shortens no date" in str(proof_report(plan))


def test_an_imagined_case_moves_clocks_and_rounds(case: Case):
    ask = ProvingAsk(mark="A03", new_case=date(2031, 7, 1))
    moved = moved_by(case, ask, rounds_at(case, ask))
    rows = {what: (was, now) for what, was, now in moved}
    assert rows["Earliest first look after burial"][0] != rows["Earliest first look after burial"][1]
    assert rows["round 1 of looks"][0] != rows["round 1 of looks"][1]
    assert moved_by(case, replace(ask, new_case=None), rounds_at(case, ask)) == ()


@pytest.mark.parametrize(("ask", "words"), [
    (ProvingAsk(level="vale"), "no level"), (ProvingAsk(mark="Z99"), "not a known apiary"),
    (ProvingAsk(level="firm", mark="ZZ"), "not a known keeper"),
])  # fmt: skip
def test_groups_that_are_not_there_are_refused(case: Case, ask: ProvingAsk, words: str):
    with pytest.raises(UserError, match=words):
        groups_of(case, ask)


def run(folder: Path, name: str, *more: str) -> dict:
    done = RUN.invoke(app, [name, str(folder), *more, "--json"])
    assert done.exit_code == 0, done.output
    return json.loads(done.stdout)


def test_the_commands_answer(folder: Path, tmp_path: Path):
    assert run(folder, "methods", "--hives", "1000000", "--infected", "100")["facts"]["sizes"]
    assert run(folder, "survey", "--infected", "2", "--risks", "1,2,5,9")["facts"]["layers"]
    assert run(folder, "visits", "--apiaries", "A03", "--days", "1", "--crew", "RF+OD@A11")["facts"]["days"]
    drawn = tmp_path / "curve.svg"
    run(folder, "proof", "--mark", "A03", "--svg", str(drawn))
    assert drawn.read_text("utf-8").startswith("<svg")
    assert run(folder, "rounds", "--mark", "A03", "--new-case", "2031-07-01")["facts"]["rounds"]


def test_the_command_calendar_writes_its_files_and_refuses_slips(folder: Path, tmp_path: Path):
    ics, kept = tmp_path / "crews.ics", tmp_path / "kept.json"
    call = ["calendar", str(folder), "--split", "A07=2+1", "--every-day"]
    assert RUN.invoke(app, [*call, "--ics", str(ics), "--save", str(kept)]).exit_code == 0
    assert Calendar.from_ical(ics.read_bytes()).walk("VEVENT")
    for slip in (["--split", "A07=7+x"], ["--off", "JP"], ["--no-fire", "soon"], ["--slot", "IP=noon"]):
        done = RUN.invoke(app, [*call, *slip])
        assert done.exit_code == 2
        assert "What to do" in done.output
