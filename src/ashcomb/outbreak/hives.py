"""The narrower network: a transfer that names hives carries only out of those hives, and only into those it names."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from ashcomb.outbreak.network import Network, Row, Vessels
from ashcomb.outbreak.transfers import Ragged, Transfers


def by_hive(transfers: Transfers) -> Network:
    """The network in which every named hive is a vessel of its own; lots as in the network by place.

    A hive that left and arrived was itself moved: it keeps what it has and gives nothing to the others on the load.
    """
    vessels = Vessels(transfers)
    tails, heads = vessels.tails(), vessels.heads()
    rows: list[Row] = []
    for index in range(len(transfers)):
        out = [int(vessel[index]) for which, vessel in tails if which[index]]
        into = [int(vessel[index]) for which, vessel in heads if which[index]]
        days = int(transfers.first[index]), int(transfers.last[index])
        rows += ((tail, head, index, *days, True) for tail, head in _ends(transfers, vessels, index, out, into))
    return Network.of(rows, vessels.count)


def _ends(
    transfers: Transfers, vessels: Vessels, index: int, out: list[int], into: list[int]
) -> Iterator[tuple[int, int]]:
    source, target = int(transfers.source[index]), int(transfers.target[index])
    left = _named(transfers.hives_from, index, vessels, at_shed=bool(transfers.shed[source]))
    got = _named(transfers.hives_to, index, vessels, at_shed=bool(transfers.shed[target]))
    somewhere = [] if transfers.shed[target] else [vessels.unnamed(target)]
    receiving = [hive for hive in got if hive not in left] or somewhere
    yield from product(left, into)
    yield from product([hive for hive in left if hive not in got], receiving)
    yield from product([vessels.unnamed(source)] if left else out, [*into, *(got or somewhere)])


def _named(hives: Ragged | None, index: int, vessels: Vessels, at_shed: bool) -> list[int]:
    return [] if hives is None or at_shed else [vessels.first_hive + hive for hive in hives.row(index)]
