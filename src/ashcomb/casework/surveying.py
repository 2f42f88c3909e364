"""How large a survey of the apiaries of a case must be."""

from __future__ import annotations

from collections.abc import Sequence

from ashcomb.casework.case import Case
from ashcomb.casework.closed_form import EXPOSED, NOTHING, SIGNS, ZONE, reached_since
from ashcomb.casework.nights import filled
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.casework.zones import zone_of
from ashcomb.kernel.errors import UserError
from ashcomb.plans.looks import standing
from ashcomb.plans.survey import Herd, SurveyAsk, SurveyPlan, survey
from ashcomb.records.places import Apiary
from ashcomb.records.state import cases, hive_places, suspects
from ashcomb.science.exact import percent


def plan_survey(case: Case, ask: SurveyAsk, apiaries: Sequence[str] = ()) -> SurveyPlan:
    """Sizes of a survey of these apiaries, or of all; raises UserError for an unknown apiary."""
    situation, today = case.situation(), case.now().date()
    known = situation.by_mark(Apiary)
    wanted = list(apiaries) or sorted(known)
    unknown = [mark for mark in wanted if mark not in known]
    if unknown:
        raise UserError(f"“{unknown[0]}” is not a known apiary.", "Choose one that is in the records.")
    places = hive_places(situation, today)
    sick = {places[hive] for hive in (*cases(situation), *suspects(situation)) if hive in places}
    reached = reached_since(case)
    near = {place.apiary for place in zone_of(case).placed if place.inside}
    risk = {mark: SIGNS if mark in sick else EXPOSED if mark in reached else ZONE if mark in near else NOTHING
            for mark in wanted}  # fmt: skip
    herds = [Herd(mark, len(standing(situation, mark, today)), risk[mark]) for mark in wanted]
    return survey(case.profile(), herds, ask)


def survey_report(plan: SurveyPlan) -> Report:
    """The sizes in words: at random, in two stages, where the risk is first."""
    ways = [(way.name, way.number if way.number is not None else "cannot be reached",
             percent(way.truly) if way.truly is not None else "", way.words) for way in plan.ways]  # fmt: skip
    layers = [(layer.name, layer.hives, f"{layer.adjusted:.2f}", layer.looked) for layer in plan.layers]
    stages = [(mark, number) for mark, number in plan.stages.hives] if plan.stages else []
    title = (f"Survey of {plan.hives} hives by {plan.method.title.lower()}, {plan.infected} infected, "
             f"{percent(plan.target, 0)} wanted")  # fmt: skip
    sections = [
        Section("Answer", plan.answer),
        Section("At random among all", (), table(("Worked out", "Hives", "Truly gives", "How"), ways, right=(1, 2))),
        Section("Where the risk is first", (),
                table(("Apiaries", "Hives", "Risk against the mean", "To look at"), layers, right=(1, 2, 3))),
        Section("In two stages: hives to look at, if the apiary is drawn", (),
                table(("Apiary", "Hives to look at"), stages, right=(1,))),
    ]  # fmt: skip
    return report(title, plan.answer[0], filled(sections), plan)
