"""The full model forward in time: outbreaks as the rates make them, for checks of the sampler and for forecasts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ashcomb.outbreak.kernel_herd import herd_of, world_of
from ashcomb.outbreak.scene import NO, Floats, Ints, Look, Scene

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
        self.world = world_of(scene)
        self.herd = herd_of(scene, self.world)

    def run(
        self, gen: np.random.Generator, stop: float | None = None, begin: float = 0.0, after: Outbreak | None = None,
        visits: Visits = NO_VISITS,
    ) -> Outbreak:  # fmt: skip
        """One outbreak from `begin` to `stop` (default the horizon); with `after` it goes on from that one's state.

        visits: times in order, apiaries, and (chance to notice signs, days until removal, 1 for the whole apiary).
        """
        from ashcomb.outbreak import kernel_spread as kernel

        seed, world, herd = seeds_of(gen, 1)[0], self.world, self.herd
        kernel.dates(world, herd, seed)
        if after is None:
            many = kernel.begin_free(world, herd, self.scene.before, seed)
        else:
            herd.when[:] = after.when
            rows = _rows_of(after)
            many = kernel.begin_from(world, herd, 0, len(rows.colony), rows.colony, rows.source, rows.infector,
                                     rows.part, seed)  # fmt: skip
        herd.order[:] = np.argsort(herd.when, kind="stable")
        late = int((herd.when < begin).sum())
        last = self.scene.horizon if stop is None else stop
        steps, many, removed = kernel.spread(world, herd, self.theta, late, float(begin), float(last), *visits, many,
                                             seed)  # fmt: skip
        made = self._copy(steps)
        kernel.clear(world, herd, many, removed)
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
        forward(self.world, self.herd, theta, self.scene.before, float(begin), float(last), *visits, after.ptr,
                after.colony, after.source, after.infector, after.part, seeds, grid, out)  # fmt: skip
        return out

    def _copy(self, steps: int) -> Outbreak:
        life, course = self.herd.life, self.herd.course
        time, onset, turn, length, end = (life[name].copy() for name in ("time", "onset", "turn", "length", "end"))
        source, by = course["source"].astype(np.int64), course["by"].astype(np.int64)
        found, when = course["found"].copy(), self.herd.when.copy()
        return Outbreak(time, onset, turn, length, source, by, found, end, when, steps)


def seeds_of(gen: np.random.Generator, runs: int) -> Seeds:
    """So many seeds."""
    return gen.integers(0, 2**64, runs, dtype=np.uint64)


def _rows_of(outbreak: Outbreak) -> Rows:
    infected = np.flatnonzero(outbreak.source != NO)
    part = np.stack([outbreak.time, outbreak.onset, outbreak.turn, outbreak.length], axis=1)[infected]
    return Rows(np.array([0, len(infected)]), infected, outbreak.source[infected], outbreak.by[infected], part)


def looked_at(outbreak: Outbreak, looks: list[Look], remission: Floats, gen: np.random.Generator) -> list[Look]:
    """What looks of given worth find in an outbreak: the same looks with their findings drawn.

    remission: share, starts within, shortest, longest (days), as in a scene.  looks: those that are alike, at one
    colony, in order of time.
    """
    share, within, least, most = remission
    past: dict[int, list[int]] = {}  # of each colony, looks that are alike, while signs were there: noticed, all
    seen = []
    for look in looks:
        j, at = look.colony, look.time
        visible = outbreak.onset[j] <= at
        if visible and outbreak.turn[j] < share:
            begins = outbreak.onset[j] + within * outbreak.turn[j] / share
            visible = not begins <= at < begins + least + (most - least) * outbreak.length[j]
        before = past.setdefault(j, [0, 0]) if look.alike > 0 else [0, 0]
        chance = (look.worth + look.alike * before[0]) / (1 + look.alike * before[1]) if visible else 0.0
        found = bool(gen.random() < chance + (1 - chance) * look.false)
        before[0] += visible and found
        before[1] += visible
        seen.append(look._replace(found=found))
    return seen
