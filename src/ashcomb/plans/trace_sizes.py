"""Contact-chain sizes: how many places each place may have got it from, and how many it may have given it to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_number, day_words
from ashcomb.outbreak.contacts import BY_LOT, BY_PLACE, SAME_DAY, chain_sizes
from ashcomb.outbreak.transfers import Transfers
from ashcomb.plans.result import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainSize:
    """The chains of one place. ingoing: places from which they lead to it.  outgoing: places to which they lead."""

    mark: str
    ingoing: int
    outgoing: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SizesPlan(Plan):
    """Chain sizes within a window, largest outgoing first. places, transfers: how many were looked at."""

    window: str
    places: int
    transfers: int
    sizes: tuple[ChainSize, ...]


def trace_sizes(
    transfers: Transfers, units: Sequence[str] = (), since: date | None = None, until: date | None = None
) -> SizesPlan:
    """The contact-chain sizes of all places, or of the named ones, in both directions.

    since, until: first and last day of every move, None no bound. Raises UserError for an unknown place, or a window
    that ends before it begins.
    """
    if since and until and until < since:
        raise UserError(f"The last day, {until}, lies before the first, {since}.", "Give a later last day.")
    ingoing, outgoing = chain_sizes(
        transfers, None if since is None else day_number(since), None if until is None else day_number(until)
    )
    number = {mark: place for place, mark in enumerate(transfers.marks)}
    unknown = [mark for mark in units if mark not in number]
    if unknown:
        raise UserError(f"{', '.join(unknown)} is not a known place.", "Name an apiary, or another place of the case.")
    wanted = [number[mark] for mark in units] or range(len(transfers.marks))
    sizes = [ChainSize(mark=transfers.marks[p], ingoing=int(ingoing[p]), outgoing=int(outgoing[p])) for p in wanted]
    bounds = (f"from {day_words(since)}" if since else "", f"until {day_words(until)}" if until else "")
    return SizesPlan(
        window=" ".join(filter(None, bounds)) or "all recorded days",
        places=len(transfers.marks),
        transfers=len(transfers),
        sizes=tuple(sorted(sizes, key=lambda size: (-size.outgoing, -size.ingoing, size.mark))),
        assumptions=(
            BY_PLACE,
            BY_LOT,
            SAME_DAY,
            "Every place counts as contaminated from the first day of the window; itself is not counted.",
            "A large number says that a place trades much, not that it did anything wrong.",
        ),
    )
