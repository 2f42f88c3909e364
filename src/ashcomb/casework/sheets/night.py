"""The one-night sheet: front for the briefing, back for the run, a continuation for many hives, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from ashcomb.casework.case import Case
from ashcomb.casework.nights import NightAsk, living, tonight
from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import Block, Fact, Facts, Framed, Lines, NewPage, Picture, Sheet, Signatures, filled
from ashcomb.casework.sheets.ground import cautions, foundations, met_words, unmet_words
from ashcomb.casework.sheets.night_hives import counts, hive_rows, hive_table
from ashcomb.casework.sheets.night_kit import kit, pit_facts, planned_pit
from ashcomb.casework.sheets.night_steps import if_not_dead, morning, stop_conditions
from ashcomb.casework.sheets.weather_line import weather_line
from ashcomb.drawings.night import night_line
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words
from ashcomb.plans.night import NightPlan
from ashcomb.plans.pit import PitPlan
from ashcomb.records.acts import CrewMember, Duty, Notice
from ashcomb.records.situation import Situation
from ashcomb.records.state import condemned
from ashcomb.science.cautions import FUEL, NIGHT

ON_THE_SHEET = 13  # hives whose rows fit on the back of the sheet at the size of type that a red lamp needs
NOTES = Facts("Notes of the night", (Fact("Hour, what, who"), *[Fact("")] * 4), columns=1)
BLANK_ROLES = ("leader", "smoker keeper", "scribe", "sealer", "pourer", "listener", "fire watch")
SMOKER = "smoker keeper"
DRAWN = 0.6  # share of the page, so that the time line and what the sheet rests on fit one more sheet


@dataclass(frozen=True, slots=True)
class Night:
    """What the sheet is made from. trouble: why there is no plan, or ''."""

    desk: Desk
    plan: NightPlan | None
    trouble: str
    pit: PitPlan | None
    pit_trouble: str


def night_sheet(desk: Desk) -> Sheet:
    """The one-night sheet of the case, or a blank one."""
    plan, trouble = desk.attempt(lambda case: tonight(case, ask_of(case, desk)))
    pit, pit_trouble = desk.attempt(lambda case: planned_pit(case, desk))
    night = Night(desk, plan, trouble, pit, pit_trouble)
    table = hive_rows(desk, plan)
    first, more = table[:ON_THE_SHEET], table[ON_THE_SHEET:]
    blocks: list[Block] = [*_front(night), NewPage(), hive_table(desk, plan, first, len(more), 0), *_back(night)]
    if more:
        blocks += [NewPage(), hive_table(desk, plan, more, 0, len(first)), NOTES]
    blocks += [NewPage(), *_annex(night)]
    head = head_of(desk)
    read_out = (
        f"EMERGENCY {desk.rule('emergency_call') or '______________'}   Position {head.position or '______________'}"
    )
    return Sheet("night", f"One-night sheet{_of_night(desk, plan)}", head, filled(blocks), night=True,
                 both_sides=True, footer=read_out)  # fmt: skip


def ask_of(case: Case, desk: Desk) -> NightAsk:
    """What is asked for, completed from the duties and the order; a night that is over is printed as it was planned."""
    ask, situation = desk.ask, case.situation()
    day = ask.day or _newest_night(situation, desk.yard) or case.now().date()
    teams = ask.teams or max((d.team or 1 for d in _duties(situation, desk.yard, day)), default=1)
    hives = ask.hives or _hives(situation, desk.yard)
    agent = ask.agent or ordered_agent(situation, desk)
    return NightAsk(apiary=ask.apiary, hives=hives, day=day, teams=teams, agent=agent)


def _hives(situation: Situation, yard: str) -> tuple[str, ...]:
    try:
        return living(situation, yard)
    except UserError:
        return condemned(situation, yard)


def _newest_night(situation: Situation, yard: str) -> date | None:
    return max((duty.happened.first for duty in situation.rows(Duty) if duty.apiary in ("", yard)), default=None)


def _duties(situation: Situation, yard: str, day: date) -> Iterator[Duty]:
    for duty in situation.rows(Duty):
        if duty.apiary in ("", yard) and duty.happened.first <= day <= duty.happened.last:
            yield duty


def ordered_agent(situation: Situation, desk: Desk) -> str:
    """The agent that orders or permits for the yard name, if they name just one; nothing is ever chosen."""
    papers = [n.text.casefold() for n in situation.rows(Notice)
              if n.type in ("destruction order", "permit") and n.apiary in ("", desk.yard)]  # fmt: skip
    named = [agent for agent in desk.profile.agents if any(agent.casefold() in text for text in papers)]
    return named[0] if len(named) == 1 else ""


def _of_night(desk: Desk, plan: NightPlan | None) -> str:
    if plan:
        return f" – {plan.order.apiary}, {day_words(plan.order.day)}"
    return "" if desk.blank else f" – {desk.yard}"


def _front(night: Night) -> Iterator[Block]:
    desk, plan = night.desk, night.plan
    yield _readiness(night)
    position, _, grid = head_of(desk).position.partition("; ")
    number = Fact("Emergency number", desk.rule("emergency_call"))
    yield Facts(
        "Read out in an emergency",
        (number, Fact("Position", position), Fact("Local grid", grid.partition(" on the grid")[0])),
        3,
        big=True,
    )
    yield _times(plan)
    checked = Fact("Checked before leaving: ban, wind, by whom, hour")
    yield Facts("Fire ban and wind", (Fact("On record", weather_line(desk, plan)), checked))
    yield _roles(desk, plan)
    yield stop_conditions(desk, plan)
    yield kit(desk, plan)
    yield cautions(*(plan.cautions if plan else (NIGHT, FUEL)))


def _readiness(night: Night) -> Framed:
    plan = night.plan
    if night.desk.blank:
        return Framed("NOT READY until every line is filled, checked and signed by the leader", (" ",), loud=True)
    if plan is None:
        return Framed("NOT READY", (night.trouble,), loud=True)
    if plan.ready:
        words = "Every condition on record is met. That does not mean that it is safe: the leader decides at the hives."
        return Framed("READY as far as the records go", (words,), loud=True)
    return Framed(f"NOT READY – {len(plan.unmet)} not met, do not start", unmet_words(plan.unmet), loud=True)


def _times(plan: NightPlan | None) -> Facts:
    labels = ("Sunset", "Dusk", "Earliest close", "Planned end", "Curfew", "All finished by", "Bees fly from")
    hours: tuple[datetime | None, ...] = (None,) * len(labels)
    if plan:
        night = plan.window
        curfew = plan.limit if "curfew" in plan.limit_name else None
        hours = (night.sunset, night.dusk, night.begins, plan.finish, curfew, night.ends, night.next_flight)
    named = zip(labels, hours, strict=True)
    return Facts("Times", tuple(Fact(label, clock(at)) for label, at in named), columns=7, big=True)


def _roles(desk: Desk, plan: NightPlan | None) -> Facts:
    crew = desk.situation.by_mark(CrewMember)

    def named(mark: str) -> str:
        member = crew.get(mark)
        return " ".join(part for part in (member.name, member.phone) if part) if member else mark

    if plan is None:
        return Facts("Roles", tuple(Fact(_role(role, None)) for role in BLANK_ROLES), columns=3)
    many = len(plan.teams) > 1
    posts = [
        (_role(post.role, post.team if many else None), "; ".join(map(named, post.people))) for post in plan.roster
    ]
    return Facts("Roles", tuple(Fact(role, people) for role, people in posts), columns=3)


def _role(role: str, team: int | None) -> str:
    words = role.capitalize() + (f" of team {team}" if team else "")
    return f"{words} – ALONE may hold a flame" if role == SMOKER else words


def _back(night: Night) -> Iterator[Block]:
    yield counts(night.plan)
    yield if_not_dead(night.desk, night.plan)
    yield pit_facts(night.pit)
    yield morning(night.desk, night.plan)
    yield Signatures(("Leader", "Scribe"))


def _annex(night: Night) -> Iterator[Block]:
    plan, pit = night.plan, night.pit
    yield Lines("What this sheet rests on", ("For the desk and the car; the sheet before this one is for the hives.",))
    if plan:
        yield Lines("Verdict", (plan.verdict, *(f"{a.words} {a.warning}".strip() for a in plan.alternatives)))
        yield Lines("Conditions met", met_words(plan.gates), "–", small=True)
        yield Lines("Fuel", (plan.fuel.words,) if plan.fuel else ("No fuel is planned.",), small=True)
        yield Lines("Sun and moon", plan.window.sky, small=True)
        yield Lines("Notes", plan.notes, "–", small=True)
        yield Picture("", night_line(plan), DRAWN)
    if night.pit_trouble:
        yield Lines("Pit", (night.pit_trouble,), small=True)
    if pit:
        yield Lines("Pit", (pit.verdict, *pit.would, *pit.warnings), "–", small=True)
        yield cautions(*pit.cautions)
    yield from foundations(night.desk.blank, plan, pit)


def clock(moment: datetime | None) -> str:
    """'21:42', or '' where there is none."""
    return f"{moment:%H:%M}" if moment else ""
