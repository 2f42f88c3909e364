"""Where it may have gone and where it may have come from, in words: each place with its chain of moves and two grades.

The rulings that the result rests on come from the calculation itself and are printed with it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from ashcomb.kernel.time import day_from_number, day_number, day_words
from ashcomb.outbreak.contacts import Trace, trace_back, trace_forward
from ashcomb.outbreak.grading import SHARE, TIE, Chain, Entry
from ashcomb.plans.result import Plan
from ashcomb.plans.trace_columns import Columns, Shift, nobody
from ashcomb.plans.trace_starts import beginning
from ashcomb.records.places import Apiary, Keeper, Premises
from ashcomb.records.situation import Situation
from ashcomb.science.exact import percent


@dataclass(frozen=True, slots=True, kw_only=True)
class Traced:
    """One place or hive of a list. first, last: days between which counted moves came (forward) or left (back).

    chain: its best chain, 'm5→m7'.  hops: its number of moves.  objects: what went, move by move.  evidence: the
    weakest on it.  order: in words.  surer: the chain with the surest order where that is another one, else ''.
    words: one line for the paper.
    """

    mark: str
    first: date
    last: date
    chain: str
    hops: int
    objects: tuple[str, ...]
    evidence: str
    order: str
    surer: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Direction:
    """What a trace found in one direction. places: the officer's list.  carry_over: listed apart, possible only.

    by_hive, hives: the narrower list, places and hives; None where no move names hives.  beyond: moves by which chains
    leave the window, in words.
    """

    start: str
    places: tuple[Traced, ...]
    by_hive: tuple[Traced, ...] | None
    hives: tuple[Traced, ...] | None
    carry_over: tuple[Traced, ...]
    beyond: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TracePlan(Plan):
    """The trace both ways. starts: units with the day from which each is infectious.  places: those that they name.

    ask: questions that would make it surer.
    """

    starts: tuple[tuple[str, date], ...]
    places: tuple[tuple[str, date], ...]
    forward: Direction
    back: Direction
    ask: tuple[str, ...]

    @property
    def exposed(self) -> dict[str, date]:
        """Start places and every place of the forward list, with the first day on which each may have been reached."""
        return {**{place.mark: place.first for place in self.forward.places}, **dict(self.places)}


def trace(
    situation: Situation,
    starts: Mapping[str, date] | None = None,
    since: date | None = None,
    until: date | None = None,
    columns: Columns | None = None,
) -> TracePlan:
    """The trace forward and back from the places that are infectious from some day on.

    starts: unit (a place, a hive, an extraction lot, a keeper with all places) to the day from which it is infectious;
    None takes the index apiary and the day in the case.  since: first day of the trace back; None takes the program's
    window before the earliest start.  until: last day of the trace forward; None means no bound.
    columns: the transfers where they come from elsewhere than the situation.
    Raises UserError for an unknown unit or when no start is known.
    """
    begin = beginning(situation, starts, since, until, columns)
    columns = begin.columns
    ahead = trace_forward(columns.transfers, begin.at, None if until is None else day_number(until))
    behind = trace_back(columns.transfers, begin.at, day_number(begin.since))
    keepers = {place.mark: place.keeper for place in situation.rows(Premises)}
    told = _Words(columns, keepers | {place.mark: place.keeper for place in situation.rows(Apiary)})
    forward = told.direction(ahead, f"Forward from {begin.words}" + (f" until {day_words(until)}" if until else ""))
    back = told.direction(behind, f"Back from {begin.words}, to {day_words(begin.since)}")
    return TracePlan(
        starts=begin.units,
        places=tuple(sorted(begin.places.items())),
        forward=forward,
        back=back,
        ask=_questions(situation, columns, ahead, behind),
        uses=begin.uses,
        assumptions=(
            *ahead.rulings,
            "Only recorded moves and lots count; every gap in the records is a gap here.",
            "The narrower list by hive takes only the known cases of the start as sick, where any is known.",
        ),
    )


@dataclass(frozen=True, slots=True)
class _Words:
    """Turns numbers into the words of a paper. keepers: whose each place is."""

    columns: Columns
    keepers: Mapping[str, str]

    def direction(self, found: Trace, start: str) -> Direction:
        marks, hives = self.columns.transfers.marks, self.columns.hives
        shifts = self.columns.shifts
        return Direction(
            start=start,
            places=self._list(found.places, marks),
            by_hive=None if found.hive_places is None else self._list(found.hive_places, marks),
            hives=None if found.hives is None else self._list(found.hives, hives),
            carry_over=self._list(found.carry_over, marks),
            beyond=tuple(f"goes on beyond the window by {shifts[one.move].words()}" for one in found.beyond),
        )

    def _list(self, entries: Iterable[Entry], names: tuple[str, ...]) -> tuple[Traced, ...]:
        found = [self._traced(entry, names[entry.number]) for entry in entries]
        return tuple(sorted(found, key=lambda traced: (traced.first, traced.mark)))

    def _traced(self, entry: Entry, mark: str) -> Traced:
        best, others = entry.best, entry.chains[1:]
        first, last = day_from_number(entry.first_day), day_from_number(entry.last_day)
        chain, order, surer = self._chain(best), order_words(best), ", ".join(self._chain(other) for other in others)
        objects = tuple(self.columns.shifts[move].objects for move in best.moves)
        days = day_words(first) if first == last else f"{day_words(first)} to {day_words(last)}"
        more = f"; surer order by {surer}" if surer else ""
        return Traced(
            mark=mark,
            first=first,
            last=last,
            chain=chain,
            hops=best.hops,
            objects=objects,
            evidence=best.evidence_word,
            order=order,
            surer=surer,
            words=f"{mark}{self._whose(mark)}: {chain}, {days}; evidence {best.evidence_word}; {order}{more}; "
            f"went: {', then '.join(objects)}.",
        )

    def _chain(self, chain: Chain) -> str:
        return "→".join(self.columns.shifts[move].mark for move in chain.moves)

    def _whose(self, mark: str) -> str:
        keeper = self.keepers.get(mark, "")
        return f" ({keeper})" if keeper else ""


def order_words(chain: Chain) -> str:
    """How sure the order of a chain is, in words."""
    if chain.order == TIE:
        return "moves on one day, taken in the worse order"
    if chain.order == SHARE:
        return f"order possible for {percent(chain.share, 0)} of the dates"
    return "order certain"


def _questions(situation: Situation, columns: Columns, *found: Trace) -> tuple[str, ...]:
    """What would make the trace surer: moves on its chains that are remembered, undated, or without a lot or an end."""
    entries = [entry for one in found for entry in (*one.places, *one.carry_over)]
    moves = sorted({move for entry in entries for chain in entry.chains for move in chain.moves})
    keepers = frozenset(situation.by_mark(Keeper))
    asked = [question for move in moves for question in _question(columns, columns.shifts[move], move, keepers)]
    return tuple(asked)


def _question(columns: Columns, shift: Shift, number: int, keepers: frozenset[str]) -> list[str]:
    transfers = columns.transfers
    at_shed = bool(transfers.shed[transfers.source[number]] or transfers.shed[transfers.target[number]])
    asked = []
    if not shift.noted:
        asked.append(f"{shift.mark} names {shift.source}, but no move is recorded: when did its supers go?")
    elif shift.evidence == "memory":
        asked.append(f"{shift.mark} is told from memory: is there a paper, or somebody who saw it?")
    if not shift.happened.certain:
        asked.append(f"{shift.mark} is dated {shift.happened.words()}: on which day was it?")
    if at_shed and not shift.lot:
        asked.append(f"{shift.mark} names no extraction lot: which one did it belong to?")
    for end, question in ((shift.source, "from which place of theirs"), (shift.target, "to which place of theirs")):
        if end in keepers:
            asked.append(f"{shift.mark} names only the keeper {end}: {question} did it go?")
    if shift.source == nobody("source", shift.mark):
        asked.append(f"{shift.mark} came from somebody unknown: who gave it?")
    return asked
