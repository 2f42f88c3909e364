"""Small worlds for the tests of the trace: as plain moves, and the same as columns."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from hypothesis import strategies as st
from verification.trace_twin import Move, World

from ashcomb.outbreak.transfers import Cleanings, Ragged, Transfers


@dataclass(frozen=True)
class Columns:
    transfers: Transfers
    places: tuple[str, ...]
    hives: tuple[str, ...]


def columns(world: World, extra: Iterable[str] = ()) -> Columns:
    moves = world.moves
    ends = [m.source for m in moves] + [m.target for m in moves]
    places = sorted({*extra, *ends, *world.sheds})
    lots = sorted({m.lot for m in moves if m.lot})
    hives = sorted({h for m in moves for h in (*m.left, *m.got)})

    def ints(values: Iterable[int]) -> np.ndarray:
        return np.array(list(values), dtype=np.int64)

    return Columns(
        Transfers(
            marks=tuple(places),
            shed=np.array([place in world.sheds for place in places], dtype=np.bool_),
            source=ints(places.index(m.source) for m in moves),
            target=ints(places.index(m.target) for m in moves),
            first=ints(m.first for m in moves),
            last=ints(m.last for m in moves),
            minute=ints(-1 if m.minute is None else m.minute for m in moves),
            evidence=ints(m.evidence for m in moves),
            what=ints(0 for _ in moves),
            record=ints(m.number for m in moves),
            lot=ints(lots.index(m.lot) if m.lot else -1 for m in moves),
            hives_from=Ragged.of([[hives.index(h) for h in sorted(m.left)] for m in moves]),
            hives_to=Ragged.of([[hives.index(h) for h in sorted(m.got)] for m in moves]),
            cleanings=Cleanings(
                ints(places.index(c[0]) for c in world.cleanings),
                ints(c[1] for c in world.cleanings),
                ints(c[2] for c in world.cleanings),
            ),
        ),
        tuple(places),
        tuple(hives),
    )


@st.composite
def worlds(draw: st.DrawFn, *, named: bool = False, most: int = 5, days: int = 4) -> World:
    """Up to five moves between three apiaries and two sheds within a few days, with blanks of every kind."""
    places, sheds = ["A", "B", "C", "H", "K"], frozenset({"H", "K"})
    moves = []
    for number in range(draw(st.integers(1, most))):
        source, target = draw(st.permutations(places))[:2]
        first = draw(st.integers(0, days))
        last = first + draw(st.sampled_from([0, 0, 0, 1, 2]))
        minute = draw(st.sampled_from([None, 60, 120])) if first == last else None
        lot = draw(st.sampled_from([None, "L", "M"])) if {source, target} & sheds else None
        left, got = (frozenset(draw(st.sets(st.sampled_from("pqr"), max_size=2))) if named else frozenset()
                     for _ in range(2))  # fmt: skip
        moves.append(Move(number, source, target, first, last, minute, lot, draw(st.integers(0, 2)), left, got))
    cleanings = []
    for _ in range(draw(st.integers(0, 1))):
        first = draw(st.integers(0, days))
        cleanings.append((draw(st.sampled_from(["H", "K"])), first, first + draw(st.integers(0, 1))))
    return World(tuple(moves), sheds, tuple(cleanings))
