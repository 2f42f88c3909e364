"""The full model forward in time: outbreaks as the rates make them, for checks of the sampler and for forecasts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ashcomb.outbreak.layout import AT_END, State, packed
from ashcomb.outbreak.scene import NO, Floats, Ints, Look, Scene, transposed

Visits = tuple[Floats, Ints, Floats]
Seeds = npt.NDArray[np.uint64]
NO_VISITS: Visits = (np.zeros(0), np.zeros(0, dtype=np.int64), np.array([0.0, 0.0, 0.0]))


@dataclass(frozen=True)
class Outbreak:
    """One outbreak. time, onset, turn, length, source (n): as in a state.  by (n): infector, -1 background, -2 before,
    -3 outside.  found (n): day on which a visit found it.  end (n): day of removal.  when (m): of events.  steps: made.
    """

    time: Floats
    onset: Floats
    turn: Floats
    length: Floats
    source: Ints
    by: Ints
    found: Floats
    end: Floats
    when: Floats
    steps: int


@dataclass(frozen=True)
class Rows:
    """States to go on from, as rows of infected colonies. ptr (runs + 1): offsets.  part (rows, 4): time, onset, turn,
    length."""

    ptr: Ints
    colony: Ints
    source: Ints
    infector: Ints
    part: Floats


_NONE = np.zeros(0, dtype=np.int64)
NO_ROWS = Rows(_NONE, _NONE, _NONE, _NONE, np.zeros((0, 4)))


class Simulator:
    """Runs outbreaks in one scene, one after the other, in memory of its own; give each thread its own."""

    def __init__(self, scene: Scene, theta: Floats) -> None:
        self.scene, self.theta = scene, np.ascontiguousarray(theta, dtype=float)
        self.memory = packed(scene)
        self.state = State(scene)
        n, places = len(scene.first), len(scene.near_ptr) - 1
        self.place_ptr, self.place_slot = transposed(places, scene.stay_place)
        weights = scene.near_fall * np.diff(self.place_ptr)[scene.near]
        owner = np.repeat(np.arange(places), np.diff(scene.near_ptr))
        running = np.concatenate([[0.0], np.cumsum(weights)])
        self.near_ready = running[1:] - running[scene.near_ptr[owner]]
        self.state.wholes("head")[:] = -1
        self.order = np.argsort(scene.event_from, kind="stable").astype(np.int64)
        self.by, self.found = np.full(n, -1, dtype=np.int64), np.full(n, np.inf)
        self.heap, self.items = np.zeros(n + 8), np.zeros(n + 8, dtype=np.int64)
        self.now = np.zeros(3 * n)
        self.who, self.gone = np.zeros(n, dtype=np.int64), np.zeros(n, dtype=np.int64)
        self.keys = np.zeros(2 * n + 1, dtype=np.uint64)
        self._end, self._infectable = scene.end.copy(), scene.infectable.copy()

    @property
    def _world(self) -> tuple[Floats, Ints, Floats, Ints]:
        return self.memory.num, self.memory.idx, self.state.mem, self.state.pos

    def run(
        self, gen: np.random.Generator, stop: float | None = None, begin: float = 0.0, after: Outbreak | None = None,
        visits: Visits = NO_VISITS,
    ) -> Outbreak:  # fmt: skip
        """One outbreak from `begin` to `stop` (default the horizon); with `after` it goes on from that one's state.

        visits: times in order, apiaries, and (chance to notice signs, days until removal, 1 for the whole apiary).
        """
        from ashcomb.outbreak import kernel_spread as kernel

        seed = seeds_of(gen, 1)[0]
        kernel.dates(*self._world, seed)
        if after is None:
            many = kernel.begin_free(*self._world, self.scene.before, self.by, self.who, seed, self.keys)
        else:
            self.state.floats("when")[:] = after.when
            rows = _rows_of(after)
            many = kernel.begin_from(*self._world[2:], 0, len(rows.colony), rows.colony, rows.source, rows.infector,
                                     rows.part, self.by, self.who, seed, self.keys)  # fmt: skip
        when = self.state.floats("when")
        order = np.argsort(when, kind="stable").astype(np.int64)
        last = self.scene.horizon if stop is None else stop
        steps, many, removed = kernel.spread(
            *self._world, self.theta, self.place_ptr, self.place_slot, self.near_ready, order[when[order] >= begin],
            begin, last, *visits, self.by, self.found, self.heap, self.items, self.now, self.who, many, self.gone, seed,
            self.keys)  # fmt: skip
        made = self._copy(steps)
        kernel.clear(*self._world, self._end, self._infectable, self.by, self.found, self.who, many, self.gone, removed)
        return made

    def many(
        self, seeds: Seeds, grid: Floats, stop: float | None = None, begin: float = 0.0,
        after: Rows = NO_ROWS, rates: Floats | None = None, visits: Visits = NO_VISITS,
    ) -> Floats:  # fmt: skip
        """One outbreak for each seed, each told in 6 + 2 len(grid) numbers, see `kernel_forward.forward`: (seeds, …).

        after: state from which each goes on, as many as seeds; none: all begin free.  rates: one row for each run, in
        place of the simulator's own. The same seed gives the same luck to each colony in any scene of the same
        colonies and events.
        """
        from ashcomb.outbreak.kernel_forward import CURVES, forward

        out = np.zeros((len(seeds), CURVES + 2 * len(grid)))
        last = self.scene.horizon if stop is None else stop
        theta = self.theta[None, :] if rates is None else rates
        forward(*self._world, theta, self.scene.before, self.place_ptr, self.place_slot, self.near_ready, float(begin),
                float(last), *visits, after.ptr, after.colony, after.source, after.infector, after.part, self._end,
                self._infectable, self.by, self.found, self.heap, self.items, self.now, self.order, self.who, self.gone,
                self.keys, seeds, grid, out)  # fmt: skip
        return out

    def _copy(self, steps: int) -> Outbreak:
        first = int(self.memory.idx[AT_END])
        end = self.memory.num[first : first + len(self._end)].copy()
        time, onset, turn, length = (self.state.floats(name).copy() for name in ("time", "onset", "turn", "length"))
        source, when = self.state.wholes("source").copy(), self.state.floats("when").copy()
        return Outbreak(time, onset, turn, length, source, self.by.copy(), self.found.copy(), end, when, steps)


def seeds_of(gen: np.random.Generator, runs: int) -> Seeds:
    """So many seeds."""
    return gen.integers(0, 2**64, runs, dtype=np.uint64)


def _rows_of(outbreak: Outbreak) -> Rows:
    infected = np.flatnonzero(outbreak.source != NO)
    part = np.stack([outbreak.time, outbreak.onset, outbreak.turn, outbreak.length], axis=1)[infected]
    return Rows(np.array([0, len(infected)]), infected, outbreak.source[infected], outbreak.by[infected], part)


def looked_at(outbreak: Outbreak, looks: list[Look], remission: Floats, gen: np.random.Generator) -> list[Look]:
    """What looks of given worth find in an outbreak: the same looks with their findings drawn.

    remission: share, starts within, shortest, longest (days), as in a scene.
    """
    share, within, least, most = remission
    seen = []
    for look in looks:
        j, at = look.colony, look.time
        visible = outbreak.onset[j] <= at
        if visible and outbreak.turn[j] < share:
            begins = outbreak.onset[j] + within * outbreak.turn[j] / share
            visible = not begins <= at < begins + least + (most - least) * outbreak.length[j]
        chance = look.worth if visible else 0.0
        seen.append(look._replace(found=bool(gen.random() < chance + (1 - chance) * look.false)))
    return seen
