"""Compiled: many outbreaks one after the other, each told in a few numbers."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from ashcomb.outbreak.compiled import lean
from ashcomb.outbreak.kernel_herd import Herd, World
from ashcomb.outbreak.kernel_spread import begin_free, begin_from, clear, dates, spread
from ashcomb.outbreak.scene import Floats, Ints

STEPS, INFECTED, NEW, FOUND, REMOVED, FREE, CURVES = range(7)


@lean
def forward(
    world: World, herd: Herd, rates: Floats, before: Floats, begin: float, stop: float, visit_time: Floats,
    visit_place: Ints, visit: Floats, rows: Ints, colony: Ints, source: Ints, infector: Ints, part: Floats,
    seeds: npt.NDArray[np.uint64], grid: Floats, out: Floats,
) -> None:  # fmt: skip
    """One outbreak for each seed. rates: one row for all or one for each.  rows: offsets of the draws that they go on
    from, or nothing: then they begin free.  grid: days.  out (runs, 6 + 2 len(grid)): steps, infected, of these from
    `begin` on, found, removed, day on which the last infected colony was gone (infinite: not by `stop`), and on each
    day of the grid how many were infected and showed signs by then.
    """
    for r in range(len(seeds)):
        dates(world, herd, seeds[r])
        _sort(herd.when, herd.order)
        late = 0
        while late < len(herd.order) and herd.when[herd.order[late]] < begin:
            late += 1
        if len(rows) == 0:
            many = begin_free(world, herd, before, seeds[r])
        else:
            many = begin_from(world, herd, rows[r], rows[r + 1], colony, source, infector, part, seeds[r])
        steps, many, removed = spread(world, herd, rates[r % len(rates)], late, begin, stop, visit_time, visit_place,
                                      visit, many, seeds[r])  # fmt: skip
        _tell(herd, begin, stop, many, grid, out[r])
        out[r, STEPS], out[r, REMOVED] = steps, removed
        clear(world, herd, many, removed)


@lean
def _sort(when: Floats, order: Ints) -> None:
    """Puts events in order of time; from one run to the next few of them change places."""
    for k in range(1, len(order)):
        e, q = order[k], k
        while q > 0 and when[order[q - 1]] > when[e]:
            order[q] = order[q - 1]
            q -= 1
        order[q] = e


@lean
def _tell(herd: Herd, begin: float, stop: float, many: int, grid: Floats, out: Floats) -> None:
    out[:] = 0.0
    out[INFECTED], out[FREE] = many, begin
    for q in range(many):
        life = herd.life[herd.who[q]]
        out[NEW] += life.time >= begin
        out[FOUND] += herd.course[herd.who[q]].found < np.inf
        out[FREE] = max(out[FREE], life.end if life.end <= stop else np.inf)
        for g in range(len(grid)):
            out[CURVES + 2 * g] += life.time <= grid[g]
            out[CURVES + 2 * g + 1] += life.onset <= grid[g]
