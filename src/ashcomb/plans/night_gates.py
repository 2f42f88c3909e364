"""What must be in order before a night plan may be called ready: each condition with its reason and who can meet it."""

from __future__ import annotations

from datetime import date, datetime
from fractions import Fraction

from ashcomb.plans.night_window import Window
from ashcomb.plans.notices import valid_notices
from ashcomb.plans.result import Gate
from ashcomb.records.case import ProfileConfirmed
from ashcomb.records.places import Apiary
from ashcomb.records.situation import Situation
from ashcomb.records.state import confirmation, hive_places, kill_states
from ashcomb.sources.profile import CodeProfile

OWN_LAND = ("own land", "keeper")


def profile_gate(situation: Situation, profile: CodeProfile) -> Gate:
    """Whether an officer has confirmed, by name, the profile as it stands now."""
    name, who = "profile confirmed", "officer"
    row = confirmation(situation, profile.id, profile.digest)
    if row:
        return Gate(name, True, f"{row.officer} ({row.role}) confirmed “{profile.id}” on {row.happened.words()}.", who)
    before = any(row.profile == profile.id for row in situation.rows(ProfileConfirmed))
    why = "it changed after it was confirmed" if before else "nobody has confirmed it by name"
    return Gate(name, False, f"Profile “{profile.id}”: {why}. Read it against the law and confirm it.", who)


def window_gate(window: Window) -> Gate:
    """Whether there is a dark window that night at all."""
    return Gate("dark enough", window.begins is not None, window.words, "officer")


def time_gate(finish: datetime | None, limit: datetime | None, limit_name: str) -> Gate:
    """Whether the slowest team is done by the curfew or before light."""
    name = "fits the night"
    if finish is None or limit is None:
        return Gate(name, False, "Without a dark window there is no time to fit into.", "leader")
    over = over_minutes(finish, limit)
    if over:
        return Gate(
            name, False, f"Ends {finish:%H:%M}, {limit_name} {limit:%H:%M}: does not fit by {over} min.", "leader"
        )
    return Gate(name, True, f"Ends {finish:%H:%M}, {limit_name} {limit:%H:%M}: fits.", "leader")


def over_minutes(finish: datetime, limit: datetime) -> int:
    """Whole minutes by which the finish is too late, rounded up; 0 if it fits."""
    seconds = Fraction((finish - limit).total_seconds())
    return max(0, -(-seconds // 60))


def agent_gate(situation: Situation, profile: CodeProfile, agent: str, apiary: str, day: date) -> Gate:
    """Whether an agent was chosen, and is allowed here or named in a paper. Nothing is ever chosen for the user."""
    name, who = "agent", "officer"
    if not agent:
        offered = [key for key, leave in profile.agents.items() if leave != "forbidden"]
        return Gate(name, False, f"No agent is chosen. The profile speaks of: {', '.join(offered) or 'none'}.", who)
    leave = profile.agents.get(agent, "needs leave")
    if leave == "forbidden":
        return Gate(name, False, f"{agent} is forbidden by profile “{profile.id}”.", who)
    if leave == "allowed":
        return Gate(name, True, f"{agent} is allowed by profile “{profile.id}”.", who)
    papers = [
        *valid_notices(situation, "permit", apiary, day),
        *valid_notices(situation, "destruction order", apiary, day),
    ]
    naming = [paper.mark for paper in papers if agent.casefold() in paper.text.casefold()]
    if naming:
        return Gate(name, True, f"{agent} is named in {', '.join(naming)}.", who)
    return Gate(name, False, f"{agent} needs leave: record the permit or order that names it.", who)


def landowner_gate(situation: Situation, apiary: Apiary, day: date) -> Gate:
    """Whether the landowner is known and has agreed: a permit that names the landowner as its issuer."""
    name, who = "landowner", "leader"
    owner = apiary.landowner
    if not owner:
        return Gate(name, False, f"Whose land {apiary.mark} is on is not recorded.", who)
    if owner.casefold() in OWN_LAND:
        return Gate(name, True, "The keeper's own land.", who)
    agreed = [
        n for n in valid_notices(situation, "permit", apiary.mark, day) if n.issued_by.casefold() == owner.casefold()
    ]
    if agreed:
        return Gate(name, True, f"{owner} agreed: {agreed[-1].mark}.", who)
    return Gate(
        name, False, f"{owner} has not agreed yet: call {apiary.landowner_phone or 'them'} and record the permit.", who
    )


def hives_gate(situation: Situation, hives: tuple[str, ...], apiary: str, day: date) -> Gate:
    """Whether every hive of the night is not yet confirmed dead, stands there, and is named once."""
    states, places = kill_states(situation), hive_places(situation, day)
    dead = [states[hive] for hive in hives if hive in states and states[hive].state == "dead confirmed"]
    faults = [f"{s.hive} is already recorded dead{f' ({s.since.words()})' if s.since else ''}." for s in dead]
    faults += [f"{h} stands at {places.get(h, 'no known place')}." for h in hives if places.get(h) != apiary]
    faults += [f"{hive} is listed twice." for hive in sorted({h for h in hives if hives.count(h) > 1})]
    return Gate("hives", not faults, " ".join(faults) or f"{len(hives)} hives stand at {apiary}.", "leader")
