"""The trace: where it may have gone (forward) and where it may have come from (back), in the order of time.

Arrays in, an immutable result out. This version is for one case: it grades every chain. A list of earliest days alone,
for many traces through a national register, is `earliest`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ashcomb.outbreak.grading import Chain, Entry, Grader
from ashcomb.outbreak.hives import by_hive
from ashcomb.outbreak.network import Network, Vessels, by_place
from ashcomb.outbreak.reach import MINUTES, NEVER, possible, reach
from ashcomb.outbreak.shed import with_carry_over
from ashcomb.outbreak.transfers import Ints, Transfers

BY_PLACE = (
    "The list is by place: all that left a reached place on or after the day it was reached counts, that day included."
)
BY_LOT = (
    "An extraction lot is a vessel of its own: what left in one lot does not count for what came in another. "
    "Where a move names no lot, or no hive, the rule by place holds."
)
SAME_DAY = "Moves of one day count in the worse order, unless both hours are known and exclude it."
RULINGS = (
    BY_PLACE,
    BY_LOT,
    "What a shed handled after a contaminated lot, without a recorded cleaning between, is listed apart as possible.",
    SAME_DAY,
    "A date given as an interval lies on each of its days with equal chance, independent of the other dates.",
    "The window bounds every move of a chain; moves by which chains go on beyond it are counted and named.",
)

# Traces times transfers from which compiled code answers. Where both were timed, rounds over arrays took 1 µs a
# transfer (and 0.5 ms a trace, hence the 500 below), starting the compiler 2.5 s, 15 s the first time on a machine:
# below two million it takes longer than it saves. Both ways give the same, so the number decides only the waiting.
COMPILED_FROM = 2_000_000
_EACH = 500


@dataclass(frozen=True)
class Start:
    """Where a trace starts. day: contaminated from it on (forward), or last day that counts (back).

    hives: of the place that are cases, where known; they make the narrower list narrower still.  lot: only this
    extraction lot, handled at the place, not the others there.
    """

    place: int
    day: int
    hives: tuple[int, ...] = ()
    lot: int | None = None


@dataclass(frozen=True)
class Beyond:
    """A move by which a chain goes on beyond the window. move: its number.  place: where it leads."""

    move: int
    place: int


@dataclass(frozen=True)
class Trace:
    """What a trace found.

    direction: 'forward' or 'back'.  window: last day (forward) or first day (back) of every move, None for no bound.
    places: the officer's list.  hive_places, hives: the narrower list by hive, None where no move names hives.
    carry_over: places reached only if a shed carried it from lot to lot, possible.  beyond: moves at which chains leave
    the window.
    """

    direction: str
    starts: tuple[Start, ...]
    window: int | None
    places: tuple[Entry, ...]
    hive_places: tuple[Entry, ...] | None
    hives: tuple[Entry, ...] | None
    carry_over: tuple[Entry, ...]
    beyond: tuple[Beyond, ...]
    rulings: tuple[str, ...] = RULINGS

    @property
    def unexplained(self) -> tuple[Entry, ...]:
        """Places on the list by hive alone: a reached hive left a place it never came to; ask for that move."""
        listed = {entry.number for entry in self.places}
        return tuple(entry for entry in self.hive_places or () if entry.number not in listed)


def trace_forward(transfers: Transfers, starts: Sequence[Start], last_day: int | None = None) -> Trace:
    """Everything that moves after the start may have reached, directly or through others.

    starts: contaminated places with the day from which each is.  last_day: days since 1970, bounds every move.
    """
    return _trace("forward", transfers, tuple(starts), last_day)


def trace_back(transfers: Transfers, starts: Sequence[Start], first_day: int | None = None) -> Trace:
    """Everything from which moves may have brought it to the start, directly or through others.

    starts: places with the last day that counts, such as the day from which they are infectious.  first_day: days
    since 1970, bounds every move.
    """
    turned = tuple(replace(start, day=-start.day) for start in starts)
    found = _trace("back", transfers.backwards(), turned, None if first_day is None else -first_day)
    return replace(
        found,
        starts=tuple(starts),
        window=first_day,
        places=_turned(found.places),
        hive_places=None if found.hive_places is None else _turned(found.hive_places),
        hives=None if found.hives is None else _turned(found.hives),
        carry_over=_turned(found.carry_over),
    )


def earliest(
    transfers: Transfers, starts: Sequence[Start], last_day: int | None = None, *, carry_over: bool = False
) -> tuple[Ints, Ints]:
    """First possible day and fewest moves for every place, forward, lots kept apart; -1 moves where out of reach.

    carry_over: also by what a shed may have carried from lot to lot.
    Two arrays with one element for each place; the day of a place out of reach means nothing. No grades, no chains.
    Many transfers are traced by `register.Register`, which also answers again and again, back, and for all places.
    """
    if not carry_over and _compiled(transfers, 1):
        from ashcomb.outbreak.register import Register

        found = Register(transfers).forward(starts, last_day)
        day, moves = (np.full(len(transfers.marks), -1, dtype=np.int64) for _ in range(2))
        day[found.place], moves[found.place] = found.day, found.moves
        return day, moves
    whole = by_place(transfers)
    network = (with_carry_over(transfers, whole) if carry_over else whole).within(last_day)
    seeds = _seeds(transfers, starts, narrow=False)
    reached = reach(
        network,
        possible(network, transfers),
        np.ones(len(network), dtype=np.bool_),
        np.array(list(seeds), dtype=np.int64),
        np.array(list(seeds.values()), dtype=np.int64),
    )
    places = len(transfers.marks)
    return reached.arrival[:places] // MINUTES, reached.moves[:places]


def chain_sizes(transfers: Transfers, first_day: int | None = None, last_day: int | None = None) -> tuple[Ints, Ints]:
    """Contact-chain sizes of all places within a window of days: from how many places each can be reached (ingoing),
    and how many it reaches (outgoing), itself not counted. The rules are those of `earliest`."""
    places = len(transfers.marks)
    if _compiled(transfers, places):
        from ashcomb.outbreak.register import Register

        sizes = Register(transfers).sizes(first_day, last_day)
        return sizes.ingoing, sizes.outgoing
    ingoing, outgoing = np.zeros(places, dtype=np.int64), np.zeros(places, dtype=np.int64)
    begin = int(transfers.first.min(initial=0)) if first_day is None else first_day
    for place in range(places):
        reached = earliest(transfers, [Start(place, begin)], last_day)[1] > 0
        ingoing += reached
        outgoing[place] = int(reached.sum())
    return ingoing, outgoing


def _compiled(transfers: Transfers, traces: int) -> bool:
    return traces * (len(transfers) + _EACH) >= COMPILED_FROM


def _trace(direction: str, transfers: Transfers, starts: tuple[Start, ...], bound: int | None) -> Trace:
    whole = by_place(transfers)
    network = whole.within(bound)
    seeds = _seeds(transfers, starts, narrow=False)
    grader = Grader(network, transfers, seeds)
    listed = _listed(transfers, starts)
    places = grader.entries(listed)
    shed_network = with_carry_over(transfers, whole).within(bound)
    reached = {entry.number for entry in places}
    carried = Grader(shed_network, transfers, seeds).entries({v: n for v, n in listed.items() if n not in reached})
    hive_places, hives = _narrow(transfers, starts, bound)
    beyond = _beyond(transfers, whole, grader.arrival, bound, {start.place for start in starts})
    return Trace(direction, starts, bound, places, hive_places, hives, carried, beyond)


def _narrow(
    transfers: Transfers, starts: tuple[Start, ...], bound: int | None
) -> tuple[tuple[Entry, ...] | None, tuple[Entry, ...] | None]:
    if not transfers.names_hives:
        return None, None
    network, first_hive = by_hive(transfers).within(bound), Vessels(transfers).first_hive
    grader = Grader(network, transfers, _seeds(transfers, starts, narrow=True))
    hives = {vessel: vessel - first_hive for vessel in range(first_hive, network.vessels)}
    return grader.entries(_listed(transfers, starts)), grader.entries(hives)


def _seeds(transfers: Transfers, starts: Sequence[Start], narrow: bool) -> dict[int, int]:
    seeds: dict[int, int] = {}
    vessels = Vessels(transfers)
    for start in starts:
        for vessel in _of(vessels, start, narrow):
            if vessel < vessels.count:  # a hive that no move names has no edge to begin with
                seeds[vessel] = min(start.day, seeds.get(vessel, start.day))
    return seeds


def _of(vessels: Vessels, start: Start, narrow: bool) -> list[int]:
    if start.lot is not None:
        return [start.place, vessels.lot(start.lot)]  # what leaves the place without a lot may be this one
    return vessels.seeds(start.place, start.hives if narrow else ())


def _listed(transfers: Transfers, starts: Sequence[Start]) -> dict[int, int]:
    own = {start.place for start in starts}
    return {place: place for place in range(len(transfers.marks)) if place not in own}


def _beyond(
    transfers: Transfers, whole: Network, arrival: Ints, bound: int | None, own: set[int]
) -> tuple[Beyond, ...]:
    if bound is None:
        return ()
    moves = np.unique(whole.transfer[(arrival[whole.tail] < NEVER) & (whole.last > bound)])
    found = [Beyond(int(move), int(transfers.target[move])) for move in moves]
    return tuple(each for each in found if each.place not in own)


def _turned(entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    return tuple(
        Entry(entry.number, -entry.last_day, -entry.first_day, tuple(_reversed(chain) for chain in entry.chains))
        for entry in entries
    )


def _reversed(chain: Chain) -> Chain:
    return replace(chain, moves=chain.moves[::-1])
