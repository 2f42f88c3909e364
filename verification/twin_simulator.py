"""One outbreak forward in time, written to be read: every pressure is computed anew after everything that happens.

The compiled simulator must make outbreaks of the same law. Between two moments at which anything changes, the pressure
on each colony is constant, so the wait for the next infection is exponential (Gillespie 1977, from memory).
"""

from __future__ import annotations

from math import expm1, inf

from verification.twin_likelihood import History, contaminated, onset_by_hand, place_of, pressure, spared, visible

from ashcomb.outbreak.scene import BEFORE, NO, PRESSURE, Scene


class Run:
    """A history under way. found: day on which a visit found each colony."""

    def __init__(self, scene: Scene, theta, gen) -> None:
        n = len(scene.first)
        self.scene = scene._replace(end=scene.end.copy(), infectable=scene.infectable.copy())
        self.theta, self.gen, self.found = theta, gen, [inf] * n
        when = [float(a + gen.random() * (b - a)) for a, b in zip(scene.event_from, scene.event_to, strict=True)]
        self.h = History([inf] * n, [inf] * n, [1.0] * n, [0.0] * n, [NO] * n, when)
        for j in range(n):
            if gen.random() < scene.before[j]:
                self.infect(j, float(scene.first[j]), BEFORE)

    def infect(self, j: int, at: float, source: int) -> None:
        self.h.time[j], self.h.source[j] = at, source
        self.h.onset[j] = onset_by_hand(self.scene, at, self.gen.random())
        self.h.turn[j], self.h.length[j] = self.gen.random(), self.gen.random()

    def free(self, j: int, at: float) -> bool:
        return self.h.source[j] == NO and self.scene.first[j] <= at < self.scene.infectable[j]

    def next_change(self, at: float) -> float:
        s = self.scene
        moments = [*s.first, *s.infectable, *s.end, *s.dead, *s.stay_from, *s.stay_to, *self.h.time, *self.h.onset]
        return min((float(m) for m in moments if m > at), default=inf)

    def event(self, e: int, at: float) -> None:
        receivers = self.scene.take[self.scene.take_ptr[e] : self.scene.take_ptr[e + 1]]
        chance = -expm1(spared(self.scene, self.theta, self.h, e)) if contaminated(
            self.scene, self.theta, self.h, e) > 0 else 0.0  # fmt: skip
        for j in receivers:
            if self.free(j, at) and self.gen.random() < chance:
                self.infect(int(j), at, e)

    def visit(self, place: int, at: float, notice: float, wait: float, whole: bool) -> None:
        there = [i for i in range(len(self.h.time)) if at < self.scene.end[i] and place_of(self.scene, i, at) == place]
        seen = [
            i for i in there
            if self.h.source[i] != NO and self.found[i] == inf and self.scene.end[i] > at + wait
            and visible(self.scene, self.h, i, at) and self.gen.random() < notice
        ]  # fmt: skip
        for i in seen:
            self.found[i] = at
        for i in there if whole and seen else seen:
            self.scene.end[i] = min(self.scene.end[i], at + wait)
            self.scene.infectable[i] = min(self.scene.infectable[i], at + wait)


def simulate(scene: Scene, theta, gen, visits=(), visit=(0.0, 0.0, False)) -> Run:
    """One outbreak from day 0 to the horizon. visits: (day, apiary); visit: chance, wait, whole."""
    run, at = Run(scene, theta, gen), 0.0
    planned = [(run.h.when[e], 0, e) for e in range(len(run.h.when))] + [(day, -1, place) for day, place in visits]
    planned.sort()
    while at < scene.horizon:
        until = min(run.next_change(at), planned[0][0] if planned else inf, scene.horizon)
        middle = (at + until) / 2
        rates = [pressure(run.scene, theta, run.h, j, middle) if run.free(j, middle) else 0.0
                 for j in range(len(run.h.time))]  # fmt: skip
        wait = gen.exponential() / sum(rates) if sum(rates) > 0 else inf
        if at + wait < until:
            at += wait
            run.infect(int(gen.choice(len(rates), p=[r / sum(rates) for r in rates])), at, PRESSURE)
            continue
        at = until
        while planned and planned[0][0] <= at:
            _, kind, number = planned.pop(0)
            if kind == 0:
                run.event(number, at)
            else:
                run.visit(number, at, *visit)
    return run
