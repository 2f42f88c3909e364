"""The mass balance: every counted piece, kind by kind and hive by hive, must have come to an end that a record shows.

A surplus of one kind or hive never offsets a loss of another.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from ashcomb.kernel.errors import UserError
from ashcomb.plans.irradiation import certified_consignments, lot_results
from ashcomb.plans.pieces import Counted, Key, counted_of, pieces_words
from ashcomb.plans.result import Gate, Plan
from ashcomb.plans.treatment import check_treatment
from ashcomb.records.acts import Burn, Consignment, Hold, Treatment
from ashcomb.records.movements import Move
from ashcomb.records.places import COMPONENTS, Hive
from ashcomb.records.situation import Situation
from ashcomb.sources.profile import CodeProfile


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One kind of piece of one hive (or of loose pieces at a place).

    counted = burned + held + certified + treated + pending + missing - surplus.  held: in the store now.  certified:
    back under a certificate that meets the profile.  treated: by an accepted dip or soak.  pending: sent or treated,
    and not accepted (yet).  last_seen: in words, where something is missing.
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


@dataclass(slots=True)
class _Tally:
    burned: int = 0
    into_store: int = 0
    out_of_store: int = 0
    certified: int = 0
    treated: int = 0
    pending: int = 0


def balance(situation: Situation, profile: CodeProfile, hives: Iterable[str], places: Iterable[str] = ()) -> Balance:
    """The balance of the pieces of these hives and of the loose pieces at these places.

    Raises UserError if no hive and no place is named: an empty balance would close by itself.
    """
    marks, loose = tuple(dict.fromkeys(hives)), tuple(dict.fromkeys(places))
    if not marks and not loose:
        raise UserError("No hive is named for the balance.", "Name the hives whose pieces must be accounted for.")
    counts = counted_of(situation, marks, loose)
    tallies = _tallies(situation, profile, {*marks})
    keys = sorted({*counts.numbers, *tallies}, key=lambda key: (key[0], COMPONENTS.index(key[1])))
    lines = tuple(_line(situation, key, counts, tallies.get(key) or _Tally()) for key in keys)
    missing = sum(line.missing for line in lines)
    gates = (*_gates(marks, counts, lines), _store_gate(tallies), _sent_gate(situation))
    total = sum(line.counted for line in lines)
    burned = sum(line.burned for line in lines)
    closing = "" if all(gate.met for gate in gates) else " The case cannot close."
    return Balance(
        lines=lines, totals=_totals(lines), missing=missing, gates=gates,
        verdict=f"{total} pieces counted, {burned} burned, {missing} missing.{closing}",
        assumptions=(
            "Each kind of each hive is balanced for itself; a surplus never makes up for a loss elsewhere.",
            "Pieces burned or treated count as out of the store only if they were booked out of it.",
        ),
        rules=tuple(rule for key in ("certificate_match", "marking") if (rule := profile.rules.get(key))),
    )  # fmt: skip


def _tallies(situation: Situation, profile: CodeProfile, hives: set[str]) -> dict[Key, _Tally]:
    found: dict[Key, _Tally] = defaultdict(_Tally)
    for burn in situation.rows(Burn):
        if burn.hive in hives:
            found[burn.hive, burn.component].burned += burn.count
    for hold in situation.rows(Hold):
        if hold.hive in hives and hold.direction == "in":
            found[hold.hive, hold.component].into_store += hold.count
        elif hold.hive in hives:
            found[hold.hive, hold.component].out_of_store += hold.count
    certified = certified_consignments(lot_results(situation, profile))
    for row in situation.rows(Treatment):
        if row.hive in hives and row.method == "irradiated":
            _add(found[row.hive, row.component], "certified" if row.consignment in certified else "pending", row.count)
        elif row.hive in hives:
            accepted = check_treatment(situation, profile, row).accepted
            _add(found[row.hive, row.component], "treated" if accepted else "pending", row.count)
    return dict(found)


def _add(tally: _Tally, name: str, count: int) -> None:
    setattr(tally, name, getattr(tally, name) + count)


def _line(situation: Situation, key: Key, counts: Counted, tally: _Tally) -> Line:
    counted = counts.of(*key)
    held = max(0, tally.into_store - tally.out_of_store)
    found = tally.burned + held + tally.certified + tally.treated + tally.pending
    missing = max(0, counted - found)
    return Line(
        owner=key[0], component=key[1], counted=counted, burned=tally.burned, held=held, certified=tally.certified,
        treated=tally.treated, pending=tally.pending, missing=missing, surplus=max(0, found - counted),
        last_seen=_last_seen(situation, key, counts) if missing else "",
    )  # fmt: skip


def _totals(lines: tuple[Line, ...]) -> tuple[Line, ...]:
    names = ("counted", "burned", "held", "certified", "treated", "pending", "missing", "surplus")
    kinds = [kind for kind in COMPONENTS if any(line.component == kind for line in lines)]
    return tuple(
        Line(owner="all", component=kind, **{
            name: sum(getattr(line, name) for line in lines if line.component == kind) for name in names
        })
        for kind in kinds
    )  # fmt: skip


def _last_seen(situation: Situation, key: Key, counts: Counted) -> str:
    """The newest record that says where pieces of this hive and kind were."""
    hive = key[0]
    seen = []
    home = situation.by_mark(Hive).get(hive)
    if key in counts.counted_on:
        place = home.apiary if home else hive.removeprefix("at ")
        seen.append((counts.counted_on[key], 0, f"counted on {_day(counts.counted_on[key])} at {place}"))
    for hold in situation.rows(Hold):
        if (hold.hive, hold.component) == key:
            verb = "into" if hold.direction == "in" else "out of"
            words = f"{hold.count} {verb} store {hold.store or 'unnamed'} on {hold.happened.words()}"
            seen.append((hold.happened.last, 2, words + (f" ({hold.purpose})" if hold.purpose else "")))
    moves = [move for move in situation.rows(Move) if hive in move.hives]
    seen += [(m.happened.last, 1, f"hive moved to {m.target} on {m.happened.words()}") for m in moves]
    return max(seen)[2] if seen else "never counted"


def _gates(hives: tuple[str, ...], counts: Counted, lines: tuple[Line, ...]) -> tuple[Gate, ...]:
    bare = [hive for hive in hives if not any(owner == hive for owner, _ in counts.numbers)]
    gone = [
        f"{pieces_words(x.missing, x.component)} of {x.owner} (last seen: {x.last_seen})" for x in lines if x.missing
    ]
    over = [f"{pieces_words(x.surplus, x.component)} of {x.owner}" for x in lines if x.surplus]
    held = [f"{pieces_words(x.held, x.component)} of {x.owner}" for x in lines if x.held]
    waiting = [f"{pieces_words(x.pending, x.component)} of {x.owner}" for x in lines if x.pending]
    doubts = [words for _, words in counts.doubts]
    return (
        _gate("every hive counted", bare, "No parts are counted for", "All hives have a parts list."),
        _gate("counts agree", doubts, "Counted differently:", "No hive was counted twice with another result."),
        _gate("nothing missing", gone, "Missing:", "Every counted piece is accounted for."),
        _gate("nothing in surplus", over, "More than was counted, so a count or a booking is wrong:", "No surplus."),
        _gate("nothing in the store", held, "Still held:", "The store holds nothing of these hives."),
        _gate(
            "nothing waiting for proof", waiting, "Sent or treated without accepted proof:", "Nothing waits for proof."
        ),
    )


def _store_gate(tallies: dict[Key, _Tally]) -> Gate:
    short = [
        f"{pieces_words(t.out_of_store - t.into_store, kind)} of {owner}"
        for (owner, kind), t in sorted(tallies.items())
        if t.out_of_store > t.into_store
    ]
    return _gate("store book agrees", short, "Booked out of the store but never in:", "The store book agrees.")


def _sent_gate(situation: Situation) -> Gate:
    listed: dict[str, int] = defaultdict(int)
    for row in situation.rows(Treatment):
        if row.method == "irradiated" and row.component == "box":
            listed[row.consignment] += row.count
    sent = {row.mark: row.boxes for row in situation.rows(Consignment)}
    wrong = [
        f"{count} boxes are listed for {mark or 'no consignment'}, {sent.get(mark, 0)} were sent"
        for mark, count in sorted(listed.items())
        if count > sent.get(mark, 0)
    ]
    return _gate("sendings agree", wrong, "More boxes than were sent:", "No sending lists more boxes than were sent.")


def _gate(name: str, faults: list[str], bad: str, good: str) -> Gate:
    return Gate(name, not faults, f"{bad} {'; '.join(faults)}." if faults else good, "officer")


def _day(day: object) -> str:
    return f"{day:%a %d %b %Y}"
