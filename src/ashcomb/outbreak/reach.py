"""Who can be reached, and how soon: rounds of moves through a network whose moves happen at given times.

One rule serves every reading of uncertain dates: an edge may be entered by a certain minute and is left at a certain
minute; the earliest arrival decides, because whoever arrives earlier can still take every move.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ashcomb.outbreak.network import Network
from ashcomb.outbreak.transfers import UNKNOWN, Flags, Ints, Transfers

MINUTES = 1440
NEVER = np.int64(1) << 60


@dataclass(frozen=True)
class Reading:
    """One reading of the dates, an element for each edge. enter_by, leave_at: minutes.  usable: edges that count.

    early: minutes by which a seed is contaminated before its start day begins, so that the start day is included.
    """

    enter_by: Ints
    leave_at: Ints
    usable: Flags
    early: int = 0


@dataclass(frozen=True)
class Reached:
    """arrival: earliest minute for each vessel, NEVER if out of reach.  moves: fewest moves, -1 out of reach.

    rounds: for each number of moves, the vessels that improved (sorted) and the edge by which they did.
    """

    arrival: Ints
    moves: Ints
    rounds: tuple[tuple[Ints, Ints], ...]

    def chain(self, network: Network, vessel: int) -> tuple[int, ...]:
        """Edges of the chain with the fewest moves to a vessel, first move first; empty for a seed."""
        edges: list[int] = []
        for number in range(int(self.moves[vessel]), 0, -1):
            vessels, by = self.rounds[number - 1]
            edges.append(int(by[np.searchsorted(vessels, vessel)]))
            vessel = int(network.tail[edges[-1]])
        return tuple(reversed(edges))


def possible(network: Network, transfers: Transfers) -> Reading:
    """Every date that can be: a day without hour is any hour, the order within a day is the worse one."""
    begin, end = _minutes(network, transfers)
    return Reading(end, begin, np.ones(len(network), dtype=np.bool_))


def whatever_the_date(network: Network, transfers: Transfers) -> Reading:
    """Only what holds for all dates, while the order within one day stays the worse one unless the hours exclude it."""
    begin, end = _minutes(network, transfers)
    one_day = network.first == network.last
    enter_by = np.where(one_day, end, network.first * MINUTES + MINUTES - 1)
    return Reading(enter_by, np.where(one_day, begin, network.last * MINUTES), network.whole)


def whatever_the_hour(network: Network, transfers: Transfers) -> Reading:
    """Only what holds for all dates and all hours."""
    begin, end = _minutes(network, transfers)
    return Reading(begin - 1, end, network.whole, early=1)


def reach(network: Network, reading: Reading, usable: Flags, seeds: Ints, days: Ints) -> Reached:
    """Earliest arrival and fewest moves from seeds (vessels) that are contaminated from their days on.

    usable: edges to use besides those of the reading. Of equal arrivals the lowest transfer number is kept, so the
    result does not depend on the order of the edges. Time: rounds times edges.
    """
    arrival = np.full(network.vessels, NEVER, dtype=np.int64)
    np.minimum.at(arrival, seeds, days * MINUTES - reading.early)
    moves = np.where(arrival < NEVER, 0, -1)
    fresh = arrival < NEVER
    edges = np.flatnonzero(usable & reading.usable)
    rounds: list[tuple[Ints, Ints]] = []
    while fresh.any():
        came = arrival[network.tail[edges]]
        open_edges = edges[fresh[network.tail[edges]] & (came <= reading.enter_by[edges])]
        arrives = np.maximum(arrival[network.tail[open_edges]], reading.leave_at[open_edges])
        vessels, by, times = _first_arrivals(network, open_edges, arrives)
        better = times < arrival[vessels]
        vessels, by, times = vessels[better], by[better], times[better]
        arrival[vessels] = times
        moves[vessels[moves[vessels] < 0]] = len(rounds) + 1
        rounds.append((vessels, by))
        fresh = np.zeros(network.vessels, dtype=np.bool_)
        fresh[vessels] = True
    return Reached(arrival, moves, tuple(rounds))


def _first_arrivals(network: Network, edges: Ints, arrives: Ints) -> tuple[Ints, Ints, Ints]:
    order = np.lexsort((network.transfer[edges], arrives, network.head[edges]))
    vessels, first = np.unique(network.head[edges][order], return_index=True)
    chosen = order[first]
    return vessels, edges[chosen], arrives[chosen]


def _minutes(network: Network, transfers: Transfers) -> tuple[Ints, Ints]:
    minute = transfers.minute[network.transfer]
    known = (minute != UNKNOWN) & (transfers.first == transfers.last)[network.transfer]
    begin = network.first * MINUTES + np.where(known, minute, 0)
    return begin, np.where(known, begin, network.last * MINUTES + MINUTES - 1)
