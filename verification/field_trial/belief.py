"""What the engine believes while hives are opened: chains kept warm, reweighted at empty looks, run on at finds."""

from __future__ import annotations

import numpy as np
from verification.field_trial.smooth import Smooth
from verification.field_trial.world import shown

from ashcomb.outbreak.chain import Chain, _infect, plan_of
from ashcomb.outbreak.layout import packed
from ashcomb.outbreak.rates import Rates
from ashcomb.outbreak.scene import NO, Floats, Scene
from ashcomb.sources.library import value

LEAST_SIZE = 0.25  # effective share of the draws below which the chains run on
MOST_LOOKS = 60
STRIDE = 32  # a sweep over all colonies at least every so many
Range = tuple[float, float]


def left_after(notice: Range) -> Floats:
    """Chance that signs stay unseen in 0, 1, 2 … looks, when the chance of one look lies evenly in a range."""
    low, high = 1.0 - notice[1], 1.0 - notice[0]
    powers = np.arange(1, MOST_LOOKS + 1)
    if high - low < 1e-9:
        return np.asarray(low ** (powers - 1.0))
    return np.asarray((high**powers - low**powers) / (powers * (high - low)))


class Belief:
    """Chance that each hive shows signs now, given the record and every look of the search.

    scene: its last look at each colony is an empty slot at the time of the search.  notice: range of the chance of an
    officer's look; after m empty looks the mean chance over it counts. A find is written into the slot, and the chains
    run on from where they are: `sweeps` each, a draw every `thin`. Empty looks reweight the draws, and only when these
    have lost most of their worth do the chains run.
    """

    def __init__(self, scene: Scene, rates: Rates, seed: int, notice: Range, chains: int = 4, burn: int = 40,
                 sweeps: int = 240, thin: int = 6, first: int = 4) -> None:  # fmt: skip
        self.scene, self.sweeps, self.thin = scene, sweeps, thin
        self.left = left_after(notice)
        self.memory = packed(scene)
        self.worth, self.false, self.finds = (
            self.memory.view(name, len(scene.look_time)) for name in ("look_worth", "look_false", "look_found")
        )
        streams = np.random.SeedSequence(seed).spawn(chains)
        self.chains = [Chain(scene, self.memory, rates, np.random.Generator(np.random.Philox(s))) for s in streams]
        n = len(scene.first)
        self.slot = scene.look_ptr[1:] - 1
        self.now = float(scene.look_time[self.slot[0]])
        self.misses, self.found = np.zeros(n, dtype=np.int64), np.zeros(n, dtype=bool)
        self.smooth = Smooth(scene, self.now)
        self.refits = 0
        pilots = [chain.pilot(burn) for chain in self.chains]
        self._plan(sum(sums for sums, _ in pilots) / np.maximum(sum(visits for _, visits in pilots), 1))
        self._draw(first)

    @property
    def chance(self) -> Floats:
        """Chance that each colony shows signs now, shape (n,)."""
        return np.asarray(self.weight @ self.table)

    @property
    def infected(self) -> Floats:
        """Chance that each colony is infected now, shape (n,)."""
        odds = self.shows * self._left() + self.hides
        return np.asarray(self.weight @ np.where(self.fixed, self.sick, odds / (1.0 + odds)))

    def _left(self) -> Floats:
        return self.left[self.misses]

    def _signs(self) -> Floats:
        odds = self.shows * self._left()
        return np.where(self.fixed, self.signs.astype(float), odds / (1.0 + odds + self.hides))

    def missed(self, colony: int) -> None:
        """A look at it showed nothing."""
        had = self.table[:, colony]
        self.misses[colony] = min(self.misses[colony] + 1, MOST_LOOKS - 1)
        self.worth[self.slot[colony]] = 1.0 - self.left[self.misses[colony]]
        self.weight = self.weight * (
            1.0 - had * (1.0 - self.left[self.misses[colony]] / self.left[self.misses[colony] - 1])
        )
        self.weight /= self.weight.sum()
        odds = self.shows[:, colony] * self.left[self.misses[colony]]
        self.table[:, colony] = np.where(
            self.fixed[:, colony], self.signs[:, colony], odds / (1.0 + odds + self.hides[:, colony])
        )
        if 1.0 / (self.weight @ self.weight) < LEAST_SIZE * len(self.weight):
            self._draw(1)

    def seen(self, colony: int) -> None:
        """Signs were found in it."""
        self.found[colony] = True
        slot = self.slot[colony]
        self.worth[slot], self.false[slot], self.finds[slot] = 1.0 - self.left[1], value("outbreak.case_false").value, 1
        for chain in self.chains:
            self._explain(chain, colony)
        self._draw(1)

    def _explain(self, chain: Chain, colony: int) -> None:
        """Starts a chain on from a history that shows the find, if it does not yet; then it must forget that start."""
        from ashcomb.outbreak.kernel_kept import rebuild

        at = self.scene.look_time[self.slot[colony]]
        if not chain.state.floats("onset")[colony] <= at:
            chain.state.wholes("source")[colony] = NO
            _infect(self.scene, chain.state, colony, float(at), chain.gen)
            chain.state.floats("turn")[colony] = 1.0
        rebuild(*self.memory, chain.state.mem, chain.state.pos, chain.theta)
        chain.run(self.sweeps // 4, self.sweeps // 4)

    def _plan(self, chance: Floats) -> None:
        """From now on the chains visit likely colonies more often than others."""
        for chain in self.chains:
            chain.follow(plan_of(self.scene, chain.theta, chance, STRIDE))

    def _draw(self, times: int) -> None:
        if self.refits:
            self._plan(self.infected)
        self.refits += 1
        rows = [row for chain in self.chains for row in self._rows(chain, times * self.sweeps)]
        self.shows, self.hides, self.fixed, self.signs, self.sick = (
            np.array([row[k] for row in rows]) for k in range(5)
        )
        self.weight = np.full(len(rows), 1.0 / len(rows))
        self.table = self._signs()

    def _rows(self, chain: Chain, sweeps: int) -> list[tuple[Floats, ...]]:
        chain.pieces.clear()
        chain.run(sweeps, self.thin)
        n, rows = len(self.scene.first), []
        for whole, part, ends, theta, *_ in chain.pieces:
            for d, (a, b) in enumerate(zip(np.append(0, ends[:-1]), ends, strict=True)):
                who, (time, onset, turn, length) = whole[a:b, 0], part[a:b].T
                leaf = ~np.isin(who, whole[a:b, 2])
                shows, hides = self.smooth.chances(who, time, onset, leaf, theta[d])
                fixed, signs, sick = (np.zeros(n, dtype=bool) for _ in range(3))
                fixed[who] = ~leaf | self.found[who]
                known = np.flatnonzero(self.scene.look_found)
                fixed[np.searchsorted(self.scene.look_ptr, known, side="right") - 1] = True
                signs[who] = shown(onset, turn, length, self.scene.remission, self.now)
                sick[who] = True
                rows.append((shows, hides, fixed, signs, sick))
        return rows
