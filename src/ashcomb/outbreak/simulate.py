"""The full model forward in time: outbreaks as the rates make them, for checks of the sampler and for forecasts."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ashcomb.outbreak.layout import State, packed
from ashcomb.outbreak.scene import Floats, Ints, Look, Scene, transposed

NO_VISITS = (np.zeros(0), np.zeros(0, dtype=np.int64), np.array([0.0, 0.0, 0.0]))


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


class Simulator:
    """Runs outbreaks in one scene, one after the other, in memory of its own; give each thread its own."""

    def __init__(self, scene: Scene, theta: Floats) -> None:
        self.scene, self.theta = scene, theta.copy()
        self.theta[0] = max(theta[0], 1e-15)
        self.memory = packed(scene)
        self.state = State(scene)
        n, places = len(scene.first), len(scene.near_ptr) - 1
        self.place_ptr, self.place_slot = transposed(places, scene.stay_place)
        sizes = np.diff(self.place_ptr)
        weights = scene.near_fall * sizes[scene.near]
        owner = np.repeat(np.arange(places), np.diff(scene.near_ptr))
        self.near_sum = np.bincount(owner, weights=weights, minlength=places).astype(np.float64)
        extra = max(theta[1] - theta[2], 0.0)
        self.reach = theta[2] * sizes + 2 * extra + theta[3] * self.near_sum
        self.by, self.found = np.full(n, -1, dtype=np.int64), np.full(n, np.inf)
        self.heap, self.items = np.zeros(2 * n + 8), np.zeros(2 * n + 8, dtype=np.int64)
        self._end, self._infectable = scene.end.copy(), scene.infectable.copy()

    def run(
        self, gen: np.random.Generator, stop: float | None = None, begin: float = 0.0, after: Outbreak | None = None,
        visits: tuple[Floats, Ints, Floats] = NO_VISITS,
    ) -> Outbreak:  # fmt: skip
        """One outbreak from `begin` to `stop` (default the horizon); with `after` it goes on from that one's state.

        visits: times in order, apiaries, and (chance to notice signs, days until removal, 1 for the whole apiary).
        """
        from ashcomb.outbreak import kernel_spread as kernel

        scene, state = self.scene, self.state
        memory = (self.memory.num, self.memory.idx, state.mem, state.pos)
        self._restore()
        self.found[:] = np.inf
        kernel.dates(*memory, scene.event_from, scene.event_to, gen)
        if after is None:
            kernel.begin_free(*memory, scene.before, self.by, gen)
        else:
            self._go_on(after)
        when = state.floats("when")
        order = np.argsort(when, kind="stable").astype(np.int64)
        order = order[when[order] >= begin]
        last = scene.horizon if stop is None else stop
        days, apiaries, visit = visits
        steps = kernel.spread(*memory, self.theta, self.place_ptr, self.place_slot, self.near_sum, self.reach, order,
                              begin, last, days, apiaries, visit, self.by, self.found, self.heap, self.items,
                              gen)  # fmt: skip
        first = int(self.memory.idx[_index("end")])
        end = self.memory.num[first : first + len(scene.end)].copy()
        time, onset, turn, length = (state.floats(name).copy() for name in ("time", "onset", "turn", "length"))
        source, by, found = state.wholes("source").copy(), self.by.copy(), self.found.copy()
        return Outbreak(time, onset, turn, length, source, by, found, end, when.copy(), steps)

    def _restore(self) -> None:
        for name, values in (("end", self._end), ("infectable", self._infectable)):
            first = int(self.memory.idx[_index(name)])
            self.memory.num[first : first + len(values)] = values

    def _go_on(self, after: Outbreak) -> None:
        for name in ("time", "onset", "turn", "length"):
            self.state.floats(name)[:] = getattr(after, name)
        self.state.wholes("source")[:] = after.source
        self.by[:] = after.by


def _index(name: str) -> int:
    from ashcomb.outbreak import layout

    return int(getattr(layout, f"AT_{name.upper()}"))


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
