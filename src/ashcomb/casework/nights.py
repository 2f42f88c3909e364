"""Plans a night from the records of a case."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ashcomb.casework.case import Case
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words, moment_words
from ashcomb.plans.night import NightOrder, NightPlan, night_plan
from ashcomb.plans.positions import anchor_of, geographic, position_of
from ashcomb.records.places import Apiary
from ashcomb.records.situation import Situation
from ashcomb.records.state import condemned, kill_states


@dataclass(frozen=True, slots=True)
class NightAsk:
    """What somebody asks for. Empty apiary: the index apiary.  Empty hives: all condemned ones that still live.

    day: on which the night begins; None is today.
    """

    apiary: str = ""
    hives: tuple[str, ...] = ()
    day: date | None = None
    teams: int = 1
    agent: str = ""
    profile: str = ""


def where_it_is(case: Case, apiary: str = "") -> tuple[str, float, float]:
    """Mark, latitude and longitude of an apiary (the index apiary if none is named); raises UserError if unplaced."""
    situation = case.situation()
    mark = apiary or case.head.index
    place = situation.by_mark(Apiary).get(mark)
    if place is None:
        raise UserError(f"“{mark}” is not a known apiary.", "Choose one that is in the records, or name one.")
    position = position_of(place)
    found = geographic(position, anchor_of(case.head)) if position else None
    if found is None:
        raise UserError(f"Apiary {mark} has no usable position, so the sun cannot be worked out.",
                        "Add its latitude and longitude, or its grid position and the grid's zero.")  # fmt: skip
    return mark, *found


def tonight(case: Case, ask: NightAsk) -> NightPlan:
    """The night plan for what is asked; raises UserError for an unknown apiary, hive or profile."""
    mark, lat, lon = where_it_is(case, ask.apiary)
    situation = case.situation()
    order = NightOrder(apiary=mark, hives=ask.hives or living(situation, mark), day=ask.day or case.now().date(),
                       lat=lat, lon=lon, zone=case.head.timezone, teams=ask.teams, agent=ask.agent)  # fmt: skip
    return night_plan(situation, case.profile(ask.profile), order)


def living(situation: Situation, apiary: str) -> tuple[str, ...]:
    """Condemned hives at an apiary that are not confirmed dead; raises UserError when there is none."""
    dead = {hive for hive, state in kill_states(situation).items() if state.state == "dead confirmed"}
    found = tuple(hive for hive in condemned(situation, apiary) if hive not in dead)
    if not found:
        raise UserError(f"No condemned hive lives at {apiary}.", "Record the order or the case, or name the hives.")
    return found


def night_report(plan: NightPlan) -> Report:
    """The night in words: window, verdict, alternatives, timeline, fuel, roles, gates."""
    order = plan.order
    state = "READY as far as the records go" if plan.ready else "NOT READY"
    sections = [
        Section("Window", (plan.window.words, *plan.window.sky)),
        Section("Verdict", (plan.verdict,)),
        Section("What fits", tuple(f"{a.words} {a.warning}".strip() for a in plan.alternatives)),
        *(_team_section(plan, number) for number in range(len(plan.teams))),
        Section("Fuel", (plan.fuel.words,) if plan.fuel else ("No fuel is planned: no agent with fuel was chosen.",)),
        Section("Roles", (), table(("Role", "Team", "Who"),
                                   [(p.role, p.team or "", ", ".join(p.people) or "nobody") for p in plan.roster])),
        Section("Gates", (), table(("Gate", "", "Why", "Who can meet it"),
                                   [(g.name, "met" if g.met else "NOT MET", g.why, g.who) for g in plan.gates])),
        Section("Morning", (f"Look again before opening: {moment_words(plan.recheck)}.",) if plan.recheck else ()),
        Section("Notes", plan.notes),
    ]  # fmt: skip
    title = f"Night of {day_words(order.day)} at {order.apiary}: {len(order.hives)} hives – {state}"
    return report(title, plan.verdict, filled(sections), plan)


def _team_section(plan: NightPlan, number: int) -> Section:
    team = plan.teams[number]
    boxes = dict(plan.boxes)
    doses = dict(plan.fuel.doses_ml) if plan.fuel else {}
    rows = [(r.hive, boxes.get(r.hive), f"{float(doses[r.hive]):g}" if r.hive in doses else "", f"{r.sealed:%H:%M}",
             f"{r.poured:%H:%M}", f"{r.may_listen:%H:%M}", f"{r.listen:%H:%M}") for r in team.rows]  # fmt: skip
    rows += [
        ("top-up", None, "", "", f"{t.poured:%H:%M}", f"{t.may_listen:%H:%M}", f"{t.listen:%H:%M}") for t in team.topups
    ]
    columns = ("Hive", "Boxes", "Dose mL", "Sealed by", "Poured by", "May listen from", "Listen")
    words = f"{len(team.rows)} hives, {float(team.minutes):g} min, ends {team.finish:%H:%M}."
    return Section(f"Team {team.team}", (words,), table(columns, rows, right=(1, 2)))


def filled(sections: list[Section]) -> list[Section]:
    """Leaves out sections that say nothing."""
    return [section for section in sections if section.lines or (section.table and section.table.rows)]
