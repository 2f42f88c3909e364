"""The mass balance: every counted piece, kind by kind and hive by hive, must have come to an end that a record shows.

A surplus of one kind or hive never offsets a loss of another.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.words import several
from ashcomb.plans.last_seen import last_seen
from ashcomb.plans.ledger import Tally, owners_of, tallies
from ashcomb.plans.pieces import Counted, Key, counted_of, pieces_words
from ashcomb.plans.result import Gate, Plan
from ashcomb.records.acts import Consignment, Treatment
from ashcomb.records.pieces import COMPONENTS
from ashcomb.records.situation import Situation
from ashcomb.sources.profile import CodeProfile

_NAMED = 6  # faults that a gate names; the lines of the balance name them all


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One kind of piece of one hive, one lot, or loose at a place.

    counted = burned + held + certified + treated + pending + lost + missing - surplus, after splits.  held: in the
    store now.  certified: back under a certificate that meets the profile.  treated: by an accepted dip or soak.
    pending: sent or treated, and not accepted (yet).  lost: named missing by a record.  split: pieces that came by
    splits, less those that left.  last_seen: in words, where something is missing.
    """

    owner: str
    component: str
    counted: int
    burned: int
    held: int
    certified: int
    treated: int
    pending: int
    missing: int
    surplus: int
    lost: int = 0
    split: int = 0
    last_seen: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance(Plan):
    """The balance of some hives. totals: one line a kind, owner 'all'.  gates: what keeps the case open."""

    lines: tuple[Line, ...]
    totals: tuple[Line, ...]
    missing: int
    gates: tuple[Gate, ...]
    verdict: str

    @property
    def closes(self) -> bool:
        """Whether every piece has come to its end and no record contradicts another."""
        return all(gate.met for gate in self.gates)

    def total(self, component: str) -> Line:
        """The line of one kind over all hives; raises KeyError for a kind of which nothing is in the records."""
        return {line.component: line for line in self.totals}[component]


def balance(situation: Situation, profile: CodeProfile, hives: Iterable[str], places: Iterable[str] = ()) -> Balance:
    """The balance of the pieces of these hives and of the loose pieces at these places.

    Raises UserError if no hive and no place is named: an empty balance would close by itself.
    """
    marks, loose = tuple(dict.fromkeys(hives)), tuple(dict.fromkeys(places))
    if not marks and not loose:
        raise UserError("No hive is named for the balance.", "Name the hives whose pieces must be accounted for.")
    owners = owners_of(situation, marks, loose)
    counts = counted_of(situation, owners)
    found = tallies(situation, profile, owners)
    keys = sorted({*counts.numbers, *found}, key=lambda key: (key[0], COMPONENTS.index(key[1])))
    lines = tuple(_line(situation, key, counts, found.get(key) or Tally()) for key in keys)
    missing = sum(line.missing for line in lines)
    waiting = sum(line.missing for line in lines if line.owner in _untouched(lines))
    gates = (*_gates(marks, counts, lines), _store_gate(found), _split_gate(counts, found), _sent_gate(situation))
    total = sum(line.counted for line in lines)
    burned = sum(line.burned for line in lines)
    lost = sum(line.lost for line in lines)
    told = [f"{total} piece{'' if total == 1 else 's'} counted", f"{burned} burned"]
    told += [f"{waiting} not dealt with yet"] if waiting else []
    told += [f"{missing - waiting} missing"] if missing > waiting or not waiting else []
    closing = f" {lost} named missing." if lost else ""
    closing += "" if all(gate.met for gate in gates) else " The case cannot close."
    return Balance(
        lines=lines, totals=_totals(lines), missing=missing, gates=gates,
        verdict=f"{', '.join(told)}.{closing}",
        assumptions=(
            "Each kind of each hive is balanced for itself; a surplus never makes up for a loss elsewhere.",
            "Pieces burned or treated count as out of the store only if they were booked out of it.",
        ),
        rules=tuple(rule for key in ("certificate_match", "marking") if (rule := profile.rules.get(key))),
    )  # fmt: skip


def _line(situation: Situation, key: Key, counts: Counted, tally: Tally) -> Line:
    split = tally.split_in - tally.split_out
    counted = counts.of(*key) + split
    missing = max(0, counted - tally.ended)
    return Line(
        owner=key[0], component=key[1], counted=counted, burned=tally.burned, held=tally.held,
        certified=tally.certified, treated=tally.treated, pending=tally.pending, lost=tally.lost, missing=missing,
        surplus=max(0, tally.ended - counted), split=split,
        last_seen=last_seen(situation, key, counts) if missing else "",
    )  # fmt: skip


def _untouched(lines: tuple[Line, ...]) -> set[str]:
    """Owners of whose pieces no record yet tells what became of them."""
    return {x.owner for x in lines} - {x.owner for x in lines if x.counted - x.missing or x.surplus}


def _totals(lines: tuple[Line, ...]) -> tuple[Line, ...]:
    names = ("counted", "burned", "held", "certified", "treated", "pending", "lost", "missing", "surplus", "split")
    kinds = [kind for kind in COMPONENTS if any(line.component == kind for line in lines)]
    return tuple(
        Line(owner="all", component=kind, **{
            name: sum(getattr(line, name) for line in lines if line.component == kind) for name in names
        })
        for kind in kinds
    )  # fmt: skip


def _gates(hives: tuple[str, ...], counts: Counted, lines: tuple[Line, ...]) -> tuple[Gate, ...]:
    bare = [hive for hive in hives if not any(owner == hive for owner, _ in counts.numbers)]
    untouched = _untouched(lines)
    gone = [
        f"{pieces_words(x.missing, x.component)} of {x.owner} (last seen: {x.last_seen})" for x in lines if x.missing
    ]
    bad = "Not dealt with yet:" if {x.owner for x in lines if x.missing} <= untouched else "Missing:"
    over = [f"{pieces_words(x.surplus, x.component)} of {x.owner}" for x in lines if x.surplus]
    held = [f"{pieces_words(x.held, x.component)} of {x.owner}" for x in lines if x.held]
    waiting = [f"{pieces_words(x.pending, x.component)} of {x.owner}" for x in lines if x.pending]
    doubts = [words for _, words in counts.doubts]
    return (
        _gate("every hive counted", bare, "No parts are counted for", "All hives have a parts list."),
        _gate("counts agree", doubts, "Counted differently:", "No hive was counted twice with another result."),
        _gate("nothing missing", gone, bad, "Every counted piece is accounted for."),
        _gate("nothing in surplus", over, "More than was counted, so a count or a booking is wrong:", "No surplus."),
        _gate("nothing in the store", held, "Still held:", "The store holds nothing of these hives."),
        _gate(
            "nothing waiting for proof", waiting, "Sent or treated without accepted proof:", "Nothing waits for proof."
        ),
    )


def _store_gate(tallies: dict[Key, Tally]) -> Gate:
    short = [
        f"{pieces_words(t.out_of_store - t.into_store, kind)} of {owner}"
        for (owner, kind), t in sorted(tallies.items())
        if t.out_of_store > t.into_store
    ]
    return _gate("store book agrees", short, "Booked out of the store but never in:", "The store book agrees.")


def _split_gate(counts: Counted, found: dict[Key, Tally]) -> Gate:
    short = [
        f"{pieces_words(-left, kind)} of {owner}"
        for (owner, kind), t in sorted(found.items())
        if (left := counts.of(owner, kind) + t.split_in - t.split_out) < 0
    ]
    return _gate("splits agree", short, "More was split off than was there:", "No lot gave more than it had.")


def _sent_gate(situation: Situation) -> Gate:
    listed: dict[str, int] = defaultdict(int)
    for row in situation.rows(Treatment):
        if row.method == "irradiated" and row.component == "box":
            listed[row.consignment] += row.count
    sent = {row.mark: row.boxes for row in situation.rows(Consignment)}
    wrong = [
        f"{several(count, 'box')} are listed for {mark or 'no consignment'}, {sent.get(mark, 0)} were sent"
        for mark, count in sorted(listed.items())
        if count > sent.get(mark, 0)
    ]
    return _gate("sendings agree", wrong, "More boxes than were sent:", "No sending lists more boxes than were sent.")


def _gate(name: str, faults: list[str], bad: str, good: str) -> Gate:
    more = f"; and {len(faults) - _NAMED} more" if len(faults) > _NAMED else ""
    return Gate(name, not faults, f"{bad} {'; '.join(faults[:_NAMED])}{more}." if faults else good, "officer")
