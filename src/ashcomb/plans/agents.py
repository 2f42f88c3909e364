"""Agents for killing colonies that a profile speaks of: amounts, waits, checks, what comes after. None is chosen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ashcomb.kernel.errors import UserError
from ashcomb.plans.agent_facts import FACTS, Boxes, Facts
from ashcomb.plans.figures import Figures
from ashcomb.plans.night_gates import agent_gate, profile_gate
from ashcomb.plans.pieces import boxes_of
from ashcomb.plans.result import Gate, Plan
from ashcomb.records.places import Hive
from ashcomb.records.situation import Situation
from ashcomb.science.cautions import FUEL, NIGHT
from ashcomb.sources.profile import CodeProfile

PERMISSIONS = (
    ("super_comb", "burn"), ("super_comb", "gamma"), ("brood_comb", "gamma"), ("wooden_box", "burn"),
    ("wooden_box", "gamma"), ("wooden_box", "wax_dip"),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class AgentsOrder:
    """What is asked for. day: on which the permission must hold."""

    apiary: str
    hives: tuple[str, ...]
    day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """One agent. gate: leave, met or not.  later: what the profile says of
    comb and wood afterwards, as (component, method, permission).
    """

    agent: str
    leave: str
    gate: Gate
    amount: str
    wait: str
    check: str
    repeat: str
    comb: str
    wood: str
    risk: str
    source: str
    place: str
    later: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AgentsPlan(Plan):
    """What may be chosen from. confirmed: by an officer.  offers: in the profile's order.  refused: (agent, why)."""

    order: AgentsOrder
    confirmed: Gate
    offers: tuple[Offer, ...]
    refused: tuple[tuple[str, str], ...]
    verdict: str


def agents_plan(situation: Situation, profile: CodeProfile, order: AgentsOrder) -> AgentsPlan:
    """The agents of the profile with what each asks and leaves behind; chooses none.

    Petrol is offered only where an officer confirmed the profile as it stands and it allows petrol, or a valid order or
    permit names it. Raises UserError for unknown hives or none.
    """
    known = situation.by_mark(Hive)
    unknown = [hive for hive in order.hives if hive not in known]
    if unknown or not order.hives:
        what = f"{', '.join(unknown)} is not a known hive." if unknown else "No hive is named."
        raise UserError(what, "Choose hives that are in the records.")
    figures = Figures(profile)
    boxes, doubts = boxes_of(situation, order.hives)
    confirmed = profile_gate(situation, profile)
    offers, refused = [], []
    for agent, leave in profile.agents.items():
        gate = agent_gate(situation, profile, agent, order.apiary, order.day)
        why = _refusal(agent, leave, gate, confirmed)
        if why:
            refused.append((agent, why))
        else:
            offers.append(_offer(agent, leave, gate, FACTS[agent], boxes, figures))
    return AgentsPlan(
        order=order, confirmed=confirmed, offers=tuple(offers), refused=tuple(refused),
        verdict=_verdict(profile, confirmed, offers, refused),
        uses=figures.taken, rules=figures.rules, assumptions=(*_ASSUMED, *doubts), cautions=(FUEL, NIGHT),
    )  # fmt: skip


_ASSUMED = (
    "An agent that the profile does not name is not offered. No law was found that names petrol and forbids it here: "
    "that is no proof that it is allowed.",
    "Amounts are those found in print or set by the profile; where none was verified none is given.",
    "Method, minutes to stillness and repeats are written down for each hive.",
)


def _refusal(agent: str, leave: str, gate: Gate, confirmed: Gate) -> str:
    if leave == "forbidden":
        return "forbidden by the profile"
    if agent not in FACTS:
        return "nothing is known of it here; it can only come as ordered, in writing"
    if agent == "petrol" and not confirmed.met:
        return f"petrol is offered only under a confirmed profile. {confirmed.why}"
    if agent == "petrol" and not gate.met:
        return "petrol needs leave: record the permit or order that names it"
    return ""


def _offer(agent: str, leave: str, gate: Gate, facts: Facts, boxes: Boxes, figures: Figures) -> Offer:
    moving = float(figures.ours("agents.check.moving"))
    recheck = float(figures.theirs("kill.recheck_h", "night.recheck_hours"))
    check = (
        f"{moving:g} bees moving, on the floor and between the combs too; and again after {recheck:g} h, before any "
        "hive is opened."
    )
    profile = figures.profile
    rows = [("fuel_wet", method) for method in ("burn", "gamma", "wax_dip")] if facts.fuel_wet else PERMISSIONS
    return Offer(
        agent=agent, leave=leave, gate=gate, amount=facts.amount(boxes, figures),
        wait=facts.wait(figures), check=check, repeat=facts.repeat, comb=facts.comb, wood=facts.wood, risk=facts.risk,
        source=facts.source, place=facts.place,
        later=tuple((part, method, profile.permission(part, method)) for part, method in rows),
    )  # fmt: skip


def _verdict(profile: CodeProfile, confirmed: Gate, offers: Sequence[Offer], refused: Sequence[tuple[str, str]]) -> str:
    free = [offer.agent for offer in offers if offer.gate.met]
    asked = [offer.agent for offer in offers if not offer.gate.met]
    name = f"Profile “{profile.id}”" + ("" if confirmed.met else " (not confirmed)")
    words = [f"{name}: {'allowed ' + ', '.join(free) if free else 'no agent is allowed as it stands'}."]
    words += [f"With leave: {', '.join(asked)}."] if asked else []
    words += [f"Not offered: {', '.join(agent for agent, _ in refused)}."] if refused else []
    return " ".join([*words, "None is chosen: the officer names one."])
