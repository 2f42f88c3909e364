"""The ledger of pieces: counts, splits and joins, and every way in which a piece can end, by owner and kind.

An owner is a hive, a marked lot, or 'at PLACE' for loose pieces. A split takes pieces from one owner to another and
makes and loses none; so over all owners counted = burned + held + certified + treated + pending + lost + missing -
surplus, whatever happened in between.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from ashcomb.plans.irradiation import certified_consignments, lot_results
from ashcomb.plans.pieces import Key, owner_of
from ashcomb.plans.treatment import check_treatment
from ashcomb.records.acts import Burn, Treatment
from ashcomb.records.pieces import Loss, Split
from ashcomb.records.places import Component
from ashcomb.records.situation import Situation
from ashcomb.records.storage import Hold
from ashcomb.sources.profile import CodeProfile


@dataclass(slots=True)
class Tally:
    """What the records say of the pieces of one owner and kind, apart from how many were counted."""

    split_in: int = 0
    split_out: int = 0
    burned: int = 0
    into_store: int = 0
    out_of_store: int = 0
    certified: int = 0
    treated: int = 0
    pending: int = 0
    lost: int = 0

    @property
    def held(self) -> int:
        """Pieces in the store now."""
        return max(0, self.into_store - self.out_of_store)

    @property
    def ended(self) -> int:
        """Pieces that came to an end, are held, or wait for proof."""
        return self.burned + self.held + self.certified + self.treated + self.pending + self.lost


def owners_of(situation: Situation, hives: Collection[str], places: Collection[str] = ()) -> frozenset[str]:
    """These hives, the loose pieces at these places, and every lot that holds any of their pieces."""
    found = {*hives, *(f"at {place}" for place in places)}
    found |= {
        owner_of(row) for row in situation.rows(Component)
        if row.hive in hives or (not row.hive and row.place in places)
    }  # fmt: skip
    sources = defaultdict(set)
    for split in situation.rows(Split):
        sources[split.owner].add(split.target)
    waiting = list(found)
    while waiting:
        fresh = sources.get(waiting.pop(), set()) - found
        found |= fresh
        waiting += fresh
    return frozenset(found)


def roots_of(situation: Situation) -> dict[str, frozenset[str]]:
    """The hives that the pieces of each lot may come from; a hive comes from itself."""
    found: dict[str, set[str]] = defaultdict(set)
    for row in situation.rows(Component):
        found[owner_of(row)] |= {row.hive} - {""}
    splits = situation.rows(Split)
    changed = True
    while changed:
        changed = False
        for split in splits:
            before = len(found[split.target])
            found[split.target] |= found[split.owner] | ({split.hive} - {""})
            changed = changed or len(found[split.target]) > before
    return {owner: frozenset(hives) for owner, hives in found.items()}


def tallies(situation: Situation, profile: CodeProfile, owners: Collection[str]) -> dict[Key, Tally]:
    """The tally of each owner and kind of which any record speaks."""
    found: dict[Key, Tally] = defaultdict(Tally)
    _add(found, owners, situation.rows(Burn), "burned")
    _add(found, owners, situation.rows(Loss), "lost")
    _add(found, owners, situation.rows(Split), "split_out")
    for split in situation.rows(Split):
        if split.target in owners:
            found[split.target, split.component].split_in += split.count
    holds = situation.rows(Hold)
    _add(found, owners, (row for row in holds if row.direction == "in"), "into_store")
    _add(found, owners, (row for row in holds if row.direction == "out"), "out_of_store")
    certified = certified_consignments(lot_results(situation, profile))
    for row in situation.rows(Treatment):
        if row.owner in owners:
            _add(found, owners, (row,), _state(situation, profile, row, certified))
    return dict(found)


def _state(situation: Situation, profile: CodeProfile, row: Treatment, certified: frozenset[str]) -> str:
    if row.method == "irradiated":
        return "certified" if row.consignment in certified else "pending"
    return "treated" if check_treatment(situation, profile, row).accepted else "pending"


def _add(
    found: dict[Key, Tally], owners: Collection[str], rows: Iterable[Burn | Loss | Split | Hold | Treatment], name: str
) -> None:
    for row in rows:
        if row.owner in owners:
            tally = found[row.owner, row.component]
            setattr(tally, name, getattr(tally, name) + row.count)
