"""The plan of one night: window, crew timeline, fuel, roles, and what is missing before it may be called ready."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime

from ashcomb.kernel.errors import UserError
from ashcomb.plans import night_gates as gates
from ashcomb.plans.figures import Figures
from ashcomb.plans.night_fuel import Fuel, fuel
from ashcomb.plans.night_notes import night_notes
from ashcomb.plans.night_roles import Post, crew_gates, posts
from ashcomb.plans.night_timeline import Pace, TeamNight, crew_minutes, later, shared_out, team_night
from ashcomb.plans.night_window import Window, curfew_moment, window
from ashcomb.plans.pieces import boxes_of
from ashcomb.plans.result import Gate, Plan
from ashcomb.records.places import Apiary, Hive
from ashcomb.records.situation import Situation
from ashcomb.science.cautions import FUEL, NIGHT
from ashcomb.sources.library import profile_keys
from ashcomb.sources.profile import CodeProfile


@dataclass(frozen=True, slots=True, kw_only=True)
class NightOrder:
    """What is asked for. hives: in the order of the row.  day: on which the night begins.  agent: '' if unchosen."""

    apiary: str
    hives: tuple[str, ...]
    day: date
    lat: float
    lon: float
    zone: str
    teams: int = 1
    agent: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """Another way that fits the night. warning: what is poor about it, or ''."""

    teams: int
    hives: int
    minutes: float
    finish: datetime
    words: str
    warning: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NightPlan(Plan):
    """One night. minutes: of the slowest team.  limit: curfew, or end of the window.  recheck: look next morning.

    boxes: by hive, None where unknown.  fuel: None unless the agent is petrol.  notes: weather and other advice.
    """

    order: NightOrder
    window: Window
    limit: datetime | None
    limit_name: str
    teams: tuple[TeamNight, ...]
    minutes: float
    finish: datetime | None
    over_min: int
    verdict: str
    alternatives: tuple[Alternative, ...]
    boxes: tuple[tuple[str, int | None], ...]
    fuel: Fuel | None
    roster: tuple[Post, ...]
    gates: tuple[Gate, ...]
    recheck: datetime | None
    notes: tuple[str, ...]

    @property
    def ready(self) -> bool:
        """Whether every condition is met; a sheet that is not ready says so in its head."""
        return all(gate.met for gate in self.gates)

    @property
    def unmet(self) -> tuple[Gate, ...]:
        """The conditions that are not met."""
        return tuple(gate for gate in self.gates if not gate.met)


def night_plan(situation: Situation, profile: CodeProfile, order: NightOrder) -> NightPlan:
    """Plans one night for the hives of an apiary.

    Raises UserError for an unknown apiary or hive, no hives, or fewer than one team. Never chooses an agent.
    """
    apiary = _checked(situation, order)
    figures = Figures(profile)
    night = window(order.lat, order.lon, order.zone, order.day, figures)
    pace = _pace(figures)
    limit, limit_name = _limit(apiary, order, night)
    runs = shared_out(order.hives, order.teams)
    teams = tuple(team_night(n, run, night.begins, pace) for n, run in enumerate(runs, 1)) if night.begins else ()
    minutes = crew_minutes(len(order.hives), order.teams, pace)
    finish = max((team.finish for team in teams), default=None)
    boxes, doubts = boxes_of(situation, order.hives)
    petrol = fuel(boxes, figures) if order.agent == "petrol" else None
    roster = posts(situation, order.apiary, order.day, len(runs))
    fits = gates.time_gate(finish, limit, limit_name)
    recheck = later(finish, figures.theirs("kill.recheck_h", "night.recheck_hours") * 60) if finish else None
    return NightPlan(
        order=order, window=night, limit=limit, limit_name=limit_name, teams=teams, minutes=float(minutes),
        finish=finish, over_min=gates.over_minutes(finish, limit) if finish and limit else 0,
        verdict=_verdict(order, len(runs), float(minutes), night, fits),
        alternatives=() if fits.met else tuple(_alternatives(order, night, limit, pace, figures)),
        boxes=tuple(boxes.items()), fuel=petrol, roster=roster, recheck=recheck,
        gates=(
            gates.profile_gate(situation, profile), gates.hives_gate(situation, order.hives, order.apiary, order.day),
            gates.window_gate(night), fits, gates.agent_gate(situation, profile, order.agent, order.apiary, order.day),
            *([petrol.gate] if petrol else []), *crew_gates(situation, roster),
            gates.landowner_gate(situation, apiary, order.day),
        ),
        notes=(*_other_agent(order.agent, pace), *night_notes(situation, order.apiary, night, figures),
               *_papers(figures)),
        uses=figures.taken, rules=figures.rules, assumptions=(*_ASSUMED, *doubts), cautions=(NIGHT, FUEL),
    )  # fmt: skip


_ASSUMED = (
    "Clock times are whole minutes, seconds dropped; times of the sun are for a level horizon, good to a minute.",
    "Each team seals all its hives, then pours all, waits from its last pour, listens to all, tops up, waits, and "
    "listens only to the topped-up hives.",
    "Top-ups are rounded up for each team; which hives need one is known only at the hive. The slowest team decides.",
    "Nobody seals an entrance before it has been watched and found without traffic.",
)  # fmt: skip


def _checked(situation: Situation, order: NightOrder) -> Apiary:
    apiary = situation.by_mark(Apiary).get(order.apiary)
    if apiary is None:
        raise UserError(f"{order.apiary} is not a known apiary.", "Choose one that is in the records.")
    known = situation.by_mark(Hive)
    unknown = [hive for hive in order.hives if hive not in known]
    if unknown or not order.hives:
        what = f"{', '.join(unknown)} is not a known hive." if unknown else "No hive is chosen for this night."
        raise UserError(what, "Choose hives that are in the records.")
    offered = profile_keys()["agents"]
    if order.agent and order.agent not in offered:
        raise UserError(f"“{order.agent}” is not an agent that is offered.",
                        f"Choose one of {', '.join(offered)}; obsolete poisons never are.")  # fmt: skip
    if order.teams < 1:
        raise UserError(f"{order.teams} teams cannot work.", "Plan with at least one team.")
    return apiary


def _pace(figures: Figures) -> Pace:
    return Pace(
        seal=figures.ours("night.seal_minutes"),
        pour=figures.ours("night.pour_minutes"),
        wait=figures.theirs("kill.wait_min", "night.wait_minutes"),
        listen=figures.ours("night.listen_minutes"),
        topup=figures.ours("night.topup_minutes"),
        share=figures.ours("night.topup_share"),
    )


def _limit(apiary: Apiary, order: NightOrder, night: Window) -> tuple[datetime | None, str]:
    curfew = curfew_moment(order.day, apiary.curfew, order.zone) if apiary.curfew else None
    if curfew and (night.ends is None or curfew <= night.ends):
        return curfew, "the landowner's curfew is"
    return night.ends, "the window closes at"


def _verdict(order: NightOrder, teams: int, minutes: float, night: Window, fits: Gate) -> str:
    crew = "one team" if teams == 1 else f"{teams} teams"
    start = f" from {night.begins:%H:%M}" if night.begins else ""
    return f"{len(order.hives)} hives with {crew}: {minutes:g} min{start}. {fits.why}"


def _alternatives(
    order: NightOrder, night: Window, limit: datetime | None, pace: Pace, figures: Figures
) -> Iterator[Alternative]:
    if night.begins is None or limit is None or limit <= night.begins:
        return
    start, count = night.begins, len(order.hives)
    most_teams = int(figures.ours("plans_night.most_teams"))

    def fitting(hives: int, teams: int) -> datetime | None:
        finish = later(start, crew_minutes(hives, teams, pace))
        return finish if finish <= limit else None

    for teams in range(order.teams + 1, min(count, most_teams) + 1):
        if finish := fitting(count, teams):
            minutes = float(crew_minutes(count, teams, pace))
            most = -(-count // teams)
            words = f"{teams} teams of {most} at most: {minutes:g} min, ends {finish:%H:%M}."
            yield Alternative(teams=teams, hives=count, minutes=minutes, finish=finish, words=words)
            break
    for hives in range(count - 1, 0, -1):
        if finish := fitting(hives, order.teams):
            minutes, left = float(crew_minutes(hives, order.teams, pace)), count - hives
            words = f"{hives} hives with the same crew: {minutes:g} min, ends {finish:%H:%M}."
            warning = (
                f"Leaving {left} hive{'s' if left > 1 else ''} alive is poor: bees may rob the dead hives at dawn."
            )
            yield Alternative(
                teams=order.teams, hives=hives, minutes=minutes, finish=finish, words=words, warning=warning
            )
            break


def _other_agent(agent: str, pace: Pace) -> tuple[str, ...]:
    """The pace is that of petrol; another agent is waited for and checked in its own way."""
    if agent in ("", "petrol"):
        return ()
    return (f"These hours are for pouring and a wait of {float(pace.wait):g} min, as with petrol. {agent.capitalize()} "
            "has its own wait, check and repeat: see the agents, and follow those where they are longer.",)  # fmt: skip


def _papers(figures: Figures) -> tuple[str, ...]:
    found = figures.rule("night_fire")
    return (found.text,) if found else ()
