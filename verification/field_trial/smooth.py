"""Chances of rarely infected hives from few draws: in each drawn history, what its sick hives would do to every other.

A hive that is sick in one draw of two hundred cannot be told from one that never is. But each draw says which hives
were sick when; from that follows, for every other hive, how likely it was infected since and shows signs by now, looks
without signs counted. Means over draws of such chances are far steadier than counts. Hives that a draw needs as
links between others, and found ones, keep their count. A hive infected so is taken to have infected nobody, and the
chance of that is part of it. Left out: remissions, and that the others were not all there to be infected all the time.
"""

from __future__ import annotations

import numpy as np

from ashcomb.outbreak.rates import PRESSURES
from ashcomb.outbreak.scene import Floats, Ints, Scene

STEP = 10.0  # days


class Smooth:
    """Prepared for one scene at one time; see `chances`."""

    def __init__(self, scene: Scene, now: float) -> None:
        n, places = len(scene.first), len(scene.near_ptr) - 1
        self.scene, self.now = scene, now
        self.grid = np.arange(STEP / 2, now, STEP)
        self.place = np.full((len(self.grid), n), -1)
        for s in range(len(scene.stay_of)):
            there = (self.grid >= scene.stay_from[s]) & (self.grid < scene.stay_to[s])
            self.place[there, scene.stay_of[s]] = scene.stay_place[s]
        susceptible = (self.grid[:, None] >= scene.first) & (self.grid[:, None] < scene.infectable)
        self.susceptible = susceptible
        self.fall = np.zeros((places, places))
        owner = np.repeat(np.arange(places), np.diff(scene.near_ptr))
        self.fall[owner, scene.near] = scene.near_fall
        self.giver = np.repeat(np.arange(len(scene.event_kind)), np.diff(scene.give_ptr))
        self.taker = np.repeat(np.arange(len(scene.event_kind)), np.diff(scene.take_ptr))
        mid = (scene.event_from + scene.event_to) / 2
        self.gave_at = np.where(np.isnan(scene.give_time), mid[self.giver], scene.give_time)
        self.bin = np.clip((mid / STEP).astype(int), 0, len(self.grid) - 1)
        self.theta = np.zeros(0)

    def _reached(self, theta: Floats) -> None:
        """Prepares for rates, if they are not those of the last draw."""
        if np.array_equal(theta, self.theta):
            return
        latent = theta[PRESSURES.index("latent")]
        self.theta, given = theta.copy(), self.given(theta)
        signs, none = _reach(self.scene, self.grid, self.now, given, latent)
        self.signs, self.latent = np.where(self.susceptible, signs, 0.0), np.where(self.susceptible, none, 0.0)

    def given(self, theta: Floats) -> Floats:
        """What each colony, with signs since the first day, would have done to all others by each edge of a step.

        Expected infections, shape (steps + 1, n), as if all that live there then could be infected.
        """
        scene, (_, touching, apiary, robbing, *_) = self.scene, theta[: len(PRESSURES)]
        there = np.zeros((len(self.grid), len(self.fall)))
        for here, open_to, row in zip(self.place, self.susceptible, there, strict=True):
            np.add.at(row, here[open_to & (here >= 0)], 1.0)
        felt = np.take_along_axis(apiary * there + robbing * there @ self.fall, np.maximum(self.place, 0), 1)
        rate = np.where(self.place >= 0, felt - apiary, 0.0)
        for side in scene.touching.T:
            rate += (touching - apiary) * ((side >= 0) & (self.place == self.place[:, side]) & (self.place >= 0))
        done = STEP * np.maximum(rate, 0.0)
        takers = np.diff(scene.take_ptr)[self.giver]
        chance = np.minimum(scene.give_share * theta[len(PRESSURES) + scene.event_kind[self.giver]], 0.999)
        at = np.clip((self.gave_at / STEP).astype(int), 0, len(self.grid) - 1)
        np.add.at(done, (at, scene.give), -np.log1p(-chance) * scene.event_objects[self.giver] * takers)
        return np.concatenate([np.zeros((1, done.shape[1])), np.cumsum(done, axis=0)])

    def chances(
        self, colony: Ints, time: Floats, onset: Floats, leaf: np.ndarray, theta: Floats
    ) -> tuple[Floats, Floats]:
        """Odds of showing signs now, and of being infected without, for each colony in one draw.

        colony, time, onset: of those infected in the draw.  leaf: which of them infected nobody.
        """
        self._reached(theta)
        scene, (ground, touching, apiary, robbing, latent, _) = self.scene, theta[: len(PRESSURES)]
        n = len(scene.first)
        t = self.grid[:, None]
        ends = np.minimum(scene.dead[colony], scene.end[colony])
        worth = np.where((t >= time) & (t < ends), np.where(t < onset, latent, 1.0), 0.0)
        mass = np.zeros((len(self.grid), len(self.fall)))
        spot = self.place[:, colony]
        for k in range(len(colony)):
            here = spot[:, k] >= 0
            mass[here, spot[here, k]] += worth[here, k]
        felt = STEP * (apiary * mass + robbing * mass @ self.fall)
        press = np.where(self.place >= 0, np.take_along_axis(felt, np.maximum(self.place, 0), 1), 0.0) + STEP * ground
        for k, i in enumerate(colony):
            press[:, i] -= STEP * apiary * worth[:, k]
            for j in scene.touching[i]:
                if j >= 0:
                    press[:, j] += STEP * (touching - apiary) * worth[:, k] * (self.place[:, j] == spot[:, k])
        shows, hides = (press * self.signs).sum(axis=0), (press * self.latent).sum(axis=0)
        when, starts = np.full(n, np.inf), np.full(n, np.inf)
        when[colony], starts[colony] = time, onset
        sick = when[scene.give] < self.gave_at
        part = np.where(sick, scene.give_share * np.where(self.gave_at < starts[scene.give], latent, 1.0), 0.0)
        share = scene.event_outside + np.bincount(self.giver, part, minlength=len(scene.event_kind))
        for e in np.flatnonzero(share):
            hazard = -scene.event_objects[e] * np.log1p(
                -min(share[e] * theta[len(PRESSURES) + scene.event_kind[e]], 0.999)
            )
            takes = scene.take[scene.take_ptr[e] : scene.take_ptr[e + 1]]
            shows[takes] += hazard * self.signs[self.bin[e], takes]
            hides[takes] += hazard * self.latent[self.bin[e], takes]
        return np.maximum(shows, 0.0), np.maximum(hides, 0.0)


def _reach(scene: Scene, grid: Floats, now: float, given: Floats, latent: float) -> tuple[Floats, Floats]:
    """For each day of infection and colony: chance of signs by now; of none yet. Both with looks without signs so far.

    And with nobody infected by it. given: see `Smooth.given`.  latent: how much it gives before its signs.
    """
    n, steps = len(scene.first), len(scene.quantile) - 1
    brood = np.interp(grid, np.arange(len(scene.brood)), scene.brood)
    chance = np.arange(steps + 1) / steps

    def law(days: Floats) -> Floats:
        return np.interp(days, scene.quantile, chance, left=0.0)

    edges = np.append(grid - STEP / 2, now)
    clock = np.interp(edges, np.arange(len(scene.brood)), scene.brood)
    by = law(clock[None, :] - brood[:, None])  # infected at grid, signs by edge
    starts = np.diff(by, axis=1)
    starts[np.tril_indices(len(grid), -1)] = 0.0
    unseen = np.zeros((len(grid), n))
    owner = np.repeat(np.arange(n), np.diff(scene.look_ptr))
    looked = np.zeros((len(grid), n))  # looks that are alike and came since
    for k in np.flatnonzero((scene.look_worth > 0.0) & (scene.look_time < now)):
        before, alike = edges[1:] <= scene.look_time[k], scene.look_alike[k]
        worth = min(float(scene.look_worth[k]), 0.999) / (1.0 + alike * looked[before, owner[k]])
        unseen[before, owner[k]] += np.log1p(-worth)
        looked[before, owner[k]] += alike > 0.0
    middle = (given[1:] + given[:-1]) / 2
    spared = np.exp(-latent * (given[-1] - middle))  # if it never showed signs
    shows = spared * (starts @ np.exp(unseen - (1.0 - latent) * (given[-1] - middle)))
    return shows, spared * (1.0 - by[:, -1:])
