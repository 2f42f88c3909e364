"""How sure the order of a chain is: the share of the date intervals for which it is possible, jointly along the chain.

A date given as an interval lies on each of its days with equal chance, independent of the others. Within one day the
worse order counts, unless hours exclude it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate

from ashcomb.outbreak.network import Network
from ashcomb.outbreak.transfers import UNKNOWN, Flags, Transfers

# How the contamination may stand: chance of each (day, earliest minute of that day) at which it arrived, in order.
Standing = tuple[tuple[tuple[int, int], Fraction], ...]
_KEPT = 32


@dataclass(frozen=True)
class Likely:
    """One chain with its joint chance. edges: of the network.  standing: when it arrives."""

    edges: tuple[int, ...]
    standing: Standing

    @property
    def share(self) -> Fraction:
        """Share of the date intervals for which the chain is possible."""
        return sum((chance for _, chance in self.standing), Fraction(0))


def start_of(day: int) -> Standing:
    """Contaminated from the beginning of a day."""
    return (((day, 0), Fraction(1)),)


def after_move(standing: Standing, network: Network, transfers: Transfers, edge: int) -> Standing:
    """How it stands after one more move; chances of dates for which the move came too early are lost."""
    index = int(network.transfer[edge])
    first, last, minute = int(network.first[edge]), int(network.last[edge]), int(transfers.minute[index])
    days = int(transfers.last[index] - transfers.first[index]) + 1
    if days == 1 and minute != UNKNOWN:
        came = sum((chance for at, chance in standing if at <= (first, minute)), Fraction(0))
        return (((first, minute), came),) if came else ()
    found: dict[tuple[int, int], Fraction] = {}
    for day in range(first, last + 1):
        before = sum((chance for at, chance in standing if at[0] < day), Fraction(0))
        same = [(at, chance) for at, chance in standing if at[0] == day]
        for at, chance in [((day, 0), before), *same]:
            if chance:
                found[at] = found.get(at, Fraction(0)) + chance / days
    return tuple(sorted(found.items()))


def share_of(edges: Iterable[int], day: int, network: Network, transfers: Transfers) -> Fraction:
    """Joint share of one chain that starts from a vessel contaminated from `day` on."""
    standing = start_of(day)
    for edge in edges:
        standing = after_move(standing, network, transfers, edge)
    return sum((chance for _, chance in standing), Fraction(0))


def likeliest(network: Network, transfers: Transfers, usable: Flags, seeds: dict[int, int]) -> dict[int, Likely]:
    """For every vessel the chain with the largest joint share, of equal ones that with the fewest moves.

    seeds: vessel to the day from which it is contaminated. Keeps for each vessel the chains that none of its other
    chains beats at every date; of more than 32 the likeliest, so the share is then a lower limit.
    """
    outgoing: dict[int, list[int]] = {}
    for edge in usable.nonzero()[0].tolist():
        outgoing.setdefault(int(network.tail[edge]), []).append(edge)
    kept: dict[int, list[Likely]] = {vessel: [Likely((), start_of(day))] for vessel, day in seeds.items()}
    fresh = [(vessel, chains[0]) for vessel, chains in kept.items()]
    while fresh:
        grown: list[tuple[int, Likely]] = []
        for vessel, chain in fresh:
            for edge in outgoing.get(vessel, []):
                standing = after_move(chain.standing, network, transfers, edge)
                longer, head = Likely((*chain.edges, edge), standing), int(network.head[edge])
                others = kept.setdefault(head, [])
                if standing and not any(_beats(other.standing, standing) for other in others):
                    others[:] = [other for other in others if not _beats(standing, other.standing)] + [longer]
                    others.sort(key=lambda likely: (-likely.share, len(likely.edges)))
                    del others[_KEPT:]
                    grown.append((head, longer))
        fresh = [(vessel, chain) for vessel, chain in grown if chain in kept[vessel]]
    return {vessel: chains[0] for vessel, chains in kept.items() if chains and vessel not in seeds}


def _beats(one: Standing, other: Standing) -> bool:
    """Whether `one` has arrived at least as surely by every moment."""
    times = sorted({at for at, _ in (*one, *other)})
    ones, others = dict(one), dict(other)
    zero = Fraction(0)
    sums = zip(
        accumulate(ones.get(t, zero) for t in times), accumulate(others.get(t, zero) for t in times), strict=True
    )
    return all(a >= b for a, b in sums)
