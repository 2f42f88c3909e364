"""From transfers to a network of vessels: places, extraction lots, hives, and the inside of a shed between cleanings.

An edge says: when its transfer happened, what was in the tail came into the head. What is named goes its own way: a lot
in a shed, a hive in an apiary. What is not named may be any of them, so a missing name never shortens a list.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from ashcomb.outbreak.transfers import UNKNOWN, Flags, Ints, Transfers

FAR = 1 << 40
Row = tuple[int, int, int, int, int, bool]


@dataclass(frozen=True)
class Network:
    """Edges as columns. tail, head: vessels.  transfer: whose edge it is.  first, last: days, cut to what applies.

    whole: whether the days are not cut.  vessels: their number. Vessel p is place p: reached when anything reaches it.
    """

    vessels: int
    tail: Ints
    head: Ints
    transfer: Ints
    first: Ints
    last: Ints
    whole: Flags

    @classmethod
    def of(cls, rows: Iterable[Row], vessels: int) -> Network:
        """From one row per edge."""
        table = np.array(list(rows), dtype=np.int64).reshape(-1, 6).T
        most = int(max(table[:2].max(initial=-1) + 1, vessels))
        tail, head, transfer, first, last = table[:5]
        return cls(most, tail, head, transfer, first, last, table[5].astype(np.bool_))

    def __len__(self) -> int:
        return len(self.tail)

    def __add__(self, other: Network) -> Network:
        pairs = zip(self._columns(), other._columns(), strict=True)
        tail, head, transfer, first, last = (np.concatenate(pair) for pair in pairs)
        whole = np.concatenate([self.whole, other.whole])
        return Network(max(self.vessels, other.vessels), tail, head, transfer, first, last, whole)

    def within(self, last_day: int | None) -> Network:
        """The same network without what happened after that day; days that reach beyond it are cut."""
        if last_day is None:
            return self
        keep = self.first <= last_day
        tail, head, transfer, first, last = (column[keep] for column in self._columns())
        whole = self.whole[keep] & (last <= last_day)
        return Network(self.vessels, tail, head, transfer, first, np.minimum(last, last_day), whole)

    def _columns(self) -> tuple[Ints, Ints, Ints, Ints, Ints]:
        return self.tail, self.head, self.transfer, self.first, self.last


class Vessels:
    """Which numbers the vessels have.

    In this order: places (anything at all that is there), what came to a place without a name (so it may be in
    anything that leaves), lots, hives. count: of these; the inside of sheds comes after.
    """

    def __init__(self, transfers: Transfers) -> None:
        self._transfers = transfers
        self.places = len(transfers.marks)
        self._first_lot = 2 * self.places
        self.first_hive = self._first_lot + int(transfers.lot.max(initial=UNKNOWN)) + 1
        named = [part.ids for part in (transfers.hives_from, transfers.hives_to) if part is not None]
        self.count = self.first_hive + max((int(ids.max(initial=-1)) for ids in named), default=-1) + 1

    def unnamed(self, place: int) -> int:
        """What came to a place without a name."""
        return self.places + place

    def lot(self, number: int) -> int:
        """An extraction lot."""
        return self._first_lot + number

    def seeds(self, place: int, hives: Iterable[int] = ()) -> list[int]:
        """What is contaminated when a place is: all of it, or only the hives that are named."""
        return [place, *([self.first_hive + hive for hive in hives] or [self.unnamed(place)])]

    def tails(self) -> list[tuple[Flags, Ints]]:
        """Vessels that each transfer may have come out of, as (for which transfers, vessels)."""
        lot, source = self._transfers.lot, self._transfers.source
        named = self._transfers.shed[source] & (lot != UNKNOWN)
        return [(~named, source), (named, self._first_lot + lot), (named, self.places + source)]

    def heads(self) -> list[tuple[Flags, Ints]]:
        """Vessels that each transfer came into, as (for which transfers, vessels)."""
        lot, target = self._transfers.lot, self._transfers.target
        shed = self._transfers.shed[target]
        named = shed & (lot != UNKNOWN)
        return [
            (np.ones(len(lot), dtype=np.bool_), target),
            (named, self._first_lot + lot),
            (shed & ~named, self.places + target),
        ]


def by_place(transfers: Transfers) -> Network:
    """The network of the officer's list: what leaves a reached place counts, but a named lot is a vessel of its own."""
    vessels = Vessels(transfers)
    pairs = [
        (np.flatnonzero(out & into), tail, head) for out, tail in vessels.tails() for into, head in vessels.heads()
    ]
    which = np.concatenate([index for index, _, _ in pairs])
    return Network(
        vessels.count,
        np.concatenate([tail[index] for index, tail, _ in pairs]),
        np.concatenate([head[index] for index, _, head in pairs]),
        which,
        transfers.first[which],
        transfers.last[which],
        np.ones(len(which), dtype=np.bool_),
    )
