"""Two grades for everything that was reached: the weakest evidence on its best chain, and how sure its order is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

import numpy as np

from ashcomb.outbreak.network import Network
from ashcomb.outbreak.order import Likely, likeliest
from ashcomb.outbreak.reach import NEVER, Reached, Reading, possible, reach, whatever_the_date, whatever_the_hour
from ashcomb.outbreak.transfers import EVIDENCE, Flags, Ints, Transfers

CERTAIN, TIE, SHARE = "certain", "tie", "share"
_RANK = {CERTAIN: 0, TIE: 1, SHARE: 2}


@dataclass(frozen=True)
class Chain:
    """One chain of moves, first move first.

    moves: numbers of the transfers.  evidence: the weakest on it (0 seen, 1 document, 2 memory).  order: 'certain',
    'tie' (some moves fall on one day and no hours tell), or 'share'.  share: of the date intervals for which it is
    possible, jointly; 1 unless the order is 'share'.
    """

    moves: tuple[int, ...]
    evidence: int
    order: str
    share: Fraction

    @property
    def hops(self) -> int:
        """Number of moves."""
        return len(self.moves)

    @property
    def evidence_word(self) -> str:
        """'seen', 'document' or 'memory'."""
        return EVIDENCE[self.evidence]

    def surer(self, other: Chain) -> bool:
        """Whether its order is surer than that of another chain."""
        return (_RANK[self.order], -self.share) < (_RANK[other.order], -other.share)


@dataclass(frozen=True)
class Entry:
    """One place (or hive) of a list.

    number: of the place or hive.  first_day, last_day: between which days counted moves came (forward) or left (back).
    chains: the best, which is the one with the strongest evidence, then the surest order, then the fewest moves; and
    after it the one with the surest order where that is another.
    """

    number: int
    first_day: int
    last_day: int
    chains: tuple[Chain, ...]

    @property
    def best(self) -> Chain:
        """The chain that gives the entry its two grades."""
        return self.chains[0]


class Grader:
    """Grades what a network reaches from its seeds. seeds: vessel to the day from which it is contaminated."""

    def __init__(self, network: Network, transfers: Transfers, seeds: Mapping[int, int]) -> None:
        self.network, self.transfers, self.seeds = network, transfers, dict(seeds)
        self._levels = [_Level(self, grade) for grade in range(len(EVIDENCE))]
        self._possible = self._levels[-1].possible

    @property
    def arrival(self) -> Ints:
        """Earliest possible minute for each vessel."""
        return self._possible.arrival

    def entries(self, wanted: Mapping[int, int]) -> tuple[Entry, ...]:
        """Entries of the reached among the wanted (vessel to number), in order of their numbers."""
        last = self._last_days()
        found = [
            Entry(number, int(self.arrival[vessel] // 1440), int(last[vessel]), self._chains(vessel))
            for vessel, number in wanted.items()
            if vessel not in self.seeds and self._possible.moves[vessel] > 0
        ]
        return tuple(sorted(found, key=lambda entry: entry.number))

    def _chains(self, vessel: int) -> tuple[Chain, ...]:
        chains = [chain for level in self._levels if (chain := level.best(vessel))]
        best = surest = chains[0]
        for chain in chains[1:]:
            if chain.surer(surest):
                surest = chain
        return (best,) if surest is best else (best, surest)

    def _last_days(self) -> Ints:
        network, last = self.network, np.full(self.network.vessels, -NEVER, dtype=np.int64)
        counted = self.arrival[network.tail] <= possible(network, self.transfers).enter_by
        np.maximum.at(last, network.head[counted], network.last[counted])
        return last


class _Level:
    """What can be reached with evidence of at least one grade."""

    def __init__(self, grader: Grader, grade: int) -> None:
        self._grader = grader
        self._usable: Flags = grader.transfers.evidence[grader.network.transfer] <= grade

    def _reach(self, reading: Reading) -> Reached:
        seeds = np.array(list(self._grader.seeds), dtype=np.int64)
        days = np.array(list(self._grader.seeds.values()), dtype=np.int64)
        return reach(self._grader.network, reading, self._usable, seeds, days)

    @cached_property
    def possible(self) -> Reached:
        return self._reach(possible(self._grader.network, self._grader.transfers))

    @cached_property
    def _tie(self) -> Reached:
        return self._reach(whatever_the_date(self._grader.network, self._grader.transfers))

    @cached_property
    def _certain(self) -> Reached:
        return self._reach(whatever_the_hour(self._grader.network, self._grader.transfers))

    @cached_property
    def _likeliest(self) -> dict[int, Likely]:
        return likeliest(self._grader.network, self._grader.transfers, self._usable, self._grader.seeds)

    def best(self, vessel: int) -> Chain | None:
        """The chain with the surest order, then the fewest moves; None if this evidence does not reach the vessel."""
        if self.possible.moves[vessel] < 0:
            return None
        for order, reached in ((CERTAIN, self._certain), (TIE, self._tie)):
            if reached.moves[vessel] > 0:
                return self._chain(reached.chain(self._grader.network, vessel), order, Fraction(1))
        likely = self._likeliest[vessel]
        return self._chain(likely.edges, SHARE, likely.share)

    def _chain(self, edges: tuple[int, ...], order: str, share: Fraction) -> Chain:
        moves = tuple(dict.fromkeys(int(self._grader.network.transfer[edge]) for edge in edges))
        return Chain(moves, max(int(self._grader.transfers.evidence[move]) for move in moves), order, share)
