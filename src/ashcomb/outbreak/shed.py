"""What a shed may have carried from one extraction lot to the next: extractor, floor, tools, until it was cleaned."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import numpy as np

from ashcomb.outbreak.network import FAR, Network, Row, Vessels
from ashcomb.outbreak.transfers import UNKNOWN, Transfers

_Stretch = tuple[int, int, int]  # vessel, first day, last day


def with_carry_over(transfers: Transfers, network: Network) -> Network:
    """The network by place, and through the surfaces of sheds, on which each stretch between cleanings is a vessel.

    Whatever a shed handles, arriving or leaving, touches its surfaces, gives to them and takes from them. The days of a
    cleaning belong to both sides, since what was handled on them may have come before or after. A lot that moves from
    one shed straight to another is taken to touch both at once, so the list may then hold a place too many.
    """
    vessels = Vessels(transfers)
    inside, count = {}, vessels.count
    for place in np.flatnonzero(transfers.shed).tolist():
        spans = _stretches(transfers, place)
        inside[place] = [(count + i, first, last) for i, (first, last) in enumerate(spans)]
        count += len(spans)
    return network + Network.of(_edges(transfers, vessels, inside), count)


def _edges(transfers: Transfers, vessels: Vessels, inside: dict[int, list[_Stretch]]) -> Iterator[Row]:
    tails, heads = vessels.tails(), vessels.heads()
    for index in np.flatnonzero(transfers.shed[transfers.source] | transfers.shed[transfers.target]).tolist():
        out = [int(vessel[index]) for which, vessel in tails if which[index]]
        into = [int(vessel[index]) for which, vessel in heads if which[index]]
        lot = [vessels.lot(int(transfers.lot[index]))] if transfers.lot[index] != UNKNOWN else []
        leaving = inside.get(int(transfers.source[index]), [])
        arriving = inside.get(int(transfers.target[index]), [])
        for surface, first, last in leaving:
            ends = [*product(out, [surface]), *product([surface], [*lot, *into])]
            yield from _rows(transfers, index, ends, first, last)
        for surface, first, last in arriving:
            ends = [*product([*out, *lot], [surface]), *product([surface], into)]
            yield from _rows(transfers, index, ends, first, last)
        for (one, *a), (other, *b) in product(leaving, arriving):
            yield from _rows(transfers, index, [(one, other)], max(a[0], b[0]), min(a[1], b[1]))


def _rows(transfers: Transfers, index: int, ends: list[tuple[int, int]], first: int, last: int) -> Iterator[Row]:
    days = int(transfers.first[index]), int(transfers.last[index])
    cut = max(days[0], first), min(days[1], last)
    if cut[0] <= cut[1]:
        yield from ((tail, head, index, *cut, cut == days) for tail, head in ends)


def _stretches(transfers: Transfers, place: int) -> list[tuple[int, int]]:
    """First and last day of each stretch between cleanings."""
    here = transfers.cleanings.place == place
    firsts, lasts = np.sort(transfers.cleanings.first[here]), np.sort(transfers.cleanings.last[here])
    return list(zip([-FAR, *firsts.tolist()], [*lasts.tolist(), FAR], strict=True))
