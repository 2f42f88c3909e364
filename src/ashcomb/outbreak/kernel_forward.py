"""Compiled: many outbreaks one after the other, each told in a few numbers."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from ashcomb.outbreak.compiled import compiled
from ashcomb.outbreak.kernel_random import Keys
from ashcomb.outbreak.kernel_spread import begin_free, begin_from, clear, dates, spread
from ashcomb.outbreak.layout import AT_END, AT_ONSET, AT_TIME, AT_WHEN, EVENTS
from ashcomb.outbreak.scene import Floats, Ints

STEPS, INFECTED, NEW, FOUND, REMOVED, FREE, CURVES = range(7)


@compiled
def forward(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, rates: Floats, before: Floats, place_ptr: Ints, place_slot: Ints,
    near_ready: Floats, begin: float, stop: float, visit_time: Floats, visit_place: Ints, visit: Floats, rows: Ints,
    colony: Ints, source: Ints, infector: Ints, part: Floats, end: Floats, infectable: Floats, by: Ints, found: Floats,
    times: Floats, items: Ints, now: Floats, order: Ints, who: Ints, gone: Ints, keys: Keys,
    seeds: npt.NDArray[np.uint64], grid: Floats, out: Floats,
) -> None:  # fmt: skip
    """One outbreak for each seed. rates: one row for all or one for each.  rows: offsets of the draws that they go on
    from, or nothing: then they begin free.  grid: days.  out (runs, 6 + 2 len(grid)): steps, infected, of these from
    `begin` on, found, removed, day on which the last infected colony was gone (infinite: not by `stop`), and on each
    day of the grid how many were infected and showed signs by then.
    """
    for r in range(len(seeds)):
        dates(num, idx, mem, pos, seeds[r])
        when = mem[pos[AT_WHEN] : pos[AT_WHEN] + idx[EVENTS]]
        _sort(when, order)
        late = 0
        while late < len(order) and when[order[late]] < begin:
            late += 1
        if len(rows) == 0:
            many = begin_free(num, idx, mem, pos, before, by, who, seeds[r], keys)
        else:
            many = begin_from(mem, pos, rows[r], rows[r + 1], colony, source, infector, part, by, who, seeds[r], keys)
        theta = rates[r % len(rates)]
        steps, many, removed = spread(num, idx, mem, pos, theta, place_ptr, place_slot, near_ready, order[late:],
                                      begin, stop, visit_time, visit_place, visit, by, found, times, items, now, who,
                                      many, gone, seeds[r], keys)  # fmt: skip
        _tell(num, idx, mem, pos, begin, stop, found, who, many, grid, out[r])
        out[r, STEPS], out[r, REMOVED] = steps, removed
        clear(num, idx, mem, pos, end, infectable, by, found, who, many, gone, removed)


@compiled
def _sort(when: Floats, order: Ints) -> None:
    """Puts events in order of time; from one run to the next few of them change places."""
    for k in range(1, len(order)):
        e, q = order[k], k
        while q > 0 and when[order[q - 1]] > when[e]:
            order[q] = order[q - 1]
            q -= 1
        order[q] = e


@compiled
def _tell(
    num: Floats, idx: Ints, mem: Floats, pos: Ints, begin: float, stop: float, found: Floats, who: Ints, many: int,
    grid: Floats, out: Floats,
) -> None:  # fmt: skip
    out[:] = 0.0
    out[INFECTED], out[FREE] = many, begin
    for q in range(many):
        i = who[q]
        out[NEW] += mem[pos[AT_TIME] + i] >= begin
        out[FOUND] += found[i] < np.inf
        last = num[idx[AT_END] + i]
        out[FREE] = max(out[FREE], last if last <= stop else np.inf)
        for g in range(len(grid)):
            out[CURVES + 2 * g] += mem[pos[AT_TIME] + i] <= grid[g]
            out[CURVES + 2 * g + 1] += mem[pos[AT_ONSET] + i] <= grid[g]
