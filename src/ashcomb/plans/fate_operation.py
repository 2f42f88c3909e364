"""Gathers an operation from the records: open pieces, hives still to be killed, locked decisions, ways to the store."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection

from ashcomb.plans.fate_build import FateAsk, Operation
from ashcomb.plans.figures import Figures
from ashcomb.plans.holdings import Holdings, holdings
from ashcomb.plans.positions import anchor_of, distance_m, position_of
from ashcomb.records.pieces import Decision
from ashcomb.records.places import Apiary, Component, Premises
from ashcomb.records.situation import Situation
from ashcomb.records.state import kill_states
from ashcomb.sources.profile import CodeProfile

ALIVE = ("prepared", "sealed")


def operation_of(
    situation: Situation, profile: CodeProfile, hives: Collection[str], places: Collection[str], ask: FateAsk
) -> tuple[Operation, Holdings]:
    """The operation on these hives and the loose pieces at these places, and the holdings it was made of."""
    found = holdings(situation, profile, hives, places)
    store = store_of(situation)
    agent = ask.agent or ("petrol" if profile.agents.get("petrol") == "allowed" else "as ordered")
    states = kill_states(situation)
    alive = {hive for hive in hives if hive not in states or states[hive].state in ALIVE}
    to_kill = frozenset(alive) if "petrol" in agent.casefold() else frozenset()
    sites = {item.place for item in found.items}
    km = _km(situation, sites, store, Figures(profile))
    return Operation(found.items, to_kill, _locked(situation), km, store), found


def store_of(situation: Situation) -> str:
    """The mark of the first recorded store, or ''."""
    return next((mark for mark, place in sorted(situation.by_mark(Premises).items()) if place.type == "store"), "")


def loose_places(situation: Situation) -> tuple[str, ...]:
    """Places where loose pieces were counted."""
    return tuple(sorted({row.place for row in situation.rows(Component) if row.place and not row.hive}))


def _locked(situation: Situation) -> dict[tuple[str, str], tuple[tuple[str, int], ...]]:
    found: dict[tuple[str, str], list[tuple[str, int]]] = defaultdict(list)
    for row in situation.rows(Decision):
        if row.locked:
            found[row.owner, row.component].append((row.method, row.count))
    return {key: tuple(parts) for key, parts in found.items()}


def _km(situation: Situation, sites: Collection[str], store: str, figures: Figures) -> dict[str, float]:
    known: dict[str, Apiary | Premises] = {**situation.by_mark(Apiary), **situation.by_mark(Premises)}
    target = position_of(known[store]) if store in known else None
    anchor, factor = anchor_of(situation.case), float(figures.ours("fate.limit.road_factor"))
    found = {}
    for site in sites:
        here = position_of(known[site]) if site in known else None
        metres = distance_m(here, target, anchor) if here and target else None
        if metres is not None:
            found[site] = metres / 1000 * factor
    return found
