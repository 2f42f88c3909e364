"""The pieces that still wait for an end: by owner and class, with what happened to each in the order of the records."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import date

from ashcomb.plans.fate_kinds import PieceClass, class_of
from ashcomb.plans.ledger import Tally, owners_of, roots_of, tallies
from ashcomb.plans.pieces import Key
from ashcomb.records.acts import Kill
from ashcomb.records.pieces import Split
from ashcomb.records.places import Component, Hive
from ashcomb.records.situation import Situation
from ashcomb.records.state import hive_places
from ashcomb.records.storage import Hold
from ashcomb.sources.profile import CodeProfile

DOSED = ("dosed", "topped up")


@dataclass(frozen=True, slots=True)
class Holding:
    """Pieces of one class with one owner. count: still without an end.  hives: they may come from.  place: where they
    lie.  mass_kg: of one piece, None if nobody weighed it.  honey_kg: in all of them.  held: lie in a store."""

    owner: str
    piece: PieceClass
    count: int
    hives: tuple[str, ...]
    place: str
    mass_kg: float | None
    honey_kg: float
    extraction: str
    held: bool


@dataclass(frozen=True, slots=True)
class Holdings:
    """All of them. doubts: what had to be guessed, in sentences."""

    items: tuple[Holding, ...]
    doubts: tuple[str, ...]

    @property
    def count(self) -> int:
        """Pieces in all."""
        return sum(item.count for item in self.items)


def holdings(
    situation: Situation, profile: CodeProfile, hives: Collection[str], places: Collection[str] = ()
) -> Holdings:
    """The open pieces of these hives and of the loose lots at these places, splits and ends taken off."""
    owners = owners_of(situation, hives, places)
    agents = _agents(situation)
    stock: dict[Key, list[Holding]] = defaultdict(list)
    homes = hive_places(situation, date.max)
    roots = roots_of(situation)
    for row in _latest(situation, owners):
        agent = agents[row.hive][1] if row.hive in agents and not row.mark else ""
        place = homes.get(row.hive, row.place) if row.hive and not row.place else row.place
        stock[row.owner, row.component].append(
            Holding(row.owner, class_of(row, agent), row.count, tuple(sorted(roots.get(row.owner, ()))), place,
                    row.mass_kg, row.honey_kg or 0.0, row.extraction, False)
        )  # fmt: skip
    doubts = _splits(situation, owners, stock, agents)
    stores = _stores(situation)
    found = tallies(situation, profile, owners)
    for key, tally in found.items():
        _take(stock.get(key, []), _gone(tally))
    items: list[Holding] = []
    for key in sorted(stock):
        held = found[key].held if key in found else 0
        items += _parted(stock[key], held, stores.get(key, ""))
    return Holdings(tuple(items), tuple(dict.fromkeys(doubts)))


def _parted(own: list[Holding], held: int, store: str) -> Iterable[Holding]:
    """The holdings of one owner and kind, those in the store apart from those that are not."""
    for holding in own:
        inside = min(held, holding.count)
        held -= inside
        for count, there in ((inside, True), (holding.count - inside, False)):
            if count > 0:
                place = store if there else holding.place
                honey = holding.honey_kg * count / holding.count
                yield replace(holding, count=count, honey_kg=honey, place=place, held=there)


def _gone(tally: Tally) -> int:
    return tally.burned + tally.certified + tally.treated + tally.pending + tally.lost


def _agents(situation: Situation) -> dict[str, tuple[Kill, str]]:
    """Hive -> the first dose and its agent."""
    found: dict[str, tuple[Kill, str]] = {}
    for kill in situation.rows(Kill):
        if kill.step in DOSED and kill.hive not in found:
            found[kill.hive] = (kill, kill.agent.casefold() or "as ordered")
    return found


def _latest(situation: Situation, owners: Collection[str]) -> Iterable[Component]:
    """The rows of the count that holds: of each owner, kind, pattern and material the day with the larger count."""
    days: dict[tuple[str, str, str, str], dict[date, list[Component]]] = defaultdict(lambda: defaultdict(list))
    for row in situation.rows(Component):
        if row.owner in owners:
            days[row.owner, row.component, row.pattern, row.material][row.happened.last].append(row)
    for by_day in days.values():
        yield from max(by_day.values(), key=lambda rows: sum(row.count for row in rows))


def _splits(
    situation: Situation,
    owners: Collection[str],
    stock: dict[Key, list[Holding]],
    agents: dict[str, tuple[Kill, str]],
) -> list[str]:
    doubts = []
    for split in situation.rows(Split):
        if split.owner not in owners:
            continue
        source = stock[split.owner, split.component]
        fitting = [h for h in source if not split.material or h.piece.material == split.material] or source
        if len({h.piece for h in fitting}) > 1:
            doubts.append(f"{split.owner}: which {split.component} went into {split.target} is not said; the first "
                          "in the list were taken.")  # fmt: skip
        before = _before(split, agents.get(split.owner))
        for taken in _take(source, split.count, fitting):
            piece = replace(taken.piece, agent="", fuel_wet=False) if before else taken.piece
            stock[split.target, split.component].append(
                replace(taken, owner=split.target, piece=piece, place=split.place or taken.place)
            )
    return doubts


def _before(split: Split, kill: tuple[Kill, str] | None) -> bool:
    """Whether the pieces left the hive before the dose, for certain; on one day only known hours can say so."""
    if kill is None:
        return False
    out, dose = split.happened, kill[0].happened
    hours = out.minute is not None and dose.minute is not None
    return out.last < dose.first or (hours and out < dose)


def _take(source: list[Holding], count: int, among: list[Holding] | None = None) -> list[Holding]:
    """Takes so many pieces off a list of holdings, in its order, and returns them."""
    taken = []
    for holding in list(source if among is None else among):
        part = min(count, holding.count)
        if part <= 0:
            continue
        count -= part
        share = part / holding.count
        at = source.index(holding)
        source[at] = replace(holding, count=holding.count - part, honey_kg=holding.honey_kg * (1 - share))
        taken.append(replace(holding, count=part, honey_kg=holding.honey_kg * share))
    return taken


def _stores(situation: Situation) -> dict[Key, str]:
    return {(h.owner, h.component): h.store for h in situation.rows(Hold) if h.direction == "in"}


def home_of(situation: Situation, hive: str) -> str:
    """The apiary where a hive stands at the end, or ''."""
    known = situation.by_mark(Hive)
    return hive_places(situation, date.max).get(hive, known[hive].apiary if hive in known else "")
