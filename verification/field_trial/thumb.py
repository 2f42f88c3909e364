"""A rule of thumb: a chance for each hive that adds up what points at it, on paper in a minute, without any sampler.

Each find adds to the chance of the hives around it. Nothing lowers a chance but looks at the hive itself.
"""

from __future__ import annotations

import numpy as np
from verification.field_trial.world import World

from ashcomb.outbreak.rates import PRESSURES, rates
from ashcomb.outbreak.scene import Floats

# Fitted to 150 worlds of seeds 100 to 249, which are in no table, and rounded.
ANYWHERE = 0.005  # every hive
SAME = 0.025  # for each find in the same apiary
BESIDE = 0.06  # and touching it
ROBBED = 0.03  # for each find in another apiary, at no distance; falls as exp(-d / REACH_KM)
REACH_KM = 1.5
CONTACT = 0.05  # times the chance that the contacts on record between the two would carry from one to the other
CHAIN = 0.03  # the same for chains of two contacts
MOST = 0.9


class Thumb:
    """Chance that each hive shows signs, renewed after each look as `Belief` is. left: as `belief.left_after`."""

    def __init__(self, world: World, left: Floats) -> None:
        self.left, self.alive = left, world.standing >= 0
        self.adds = _adds(world)
        self.sum = ANYWHERE + self.adds[world.index]
        self.looks = np.zeros(len(world.standing), dtype=np.int64)

    @property
    def chance(self) -> Floats:
        """Chance that each colony shows signs now, shape (n,)."""
        prior = np.where(self.alive, np.minimum(self.sum, MOST), 0.0)
        after = prior * self.left[np.minimum(self.looks, len(self.left) - 1)]
        return np.asarray(after / (1.0 - prior + after))

    def missed(self, colony: int) -> None:
        """A look at it showed nothing."""
        self.looks[colony] += 1

    def seen(self, colony: int) -> None:
        """Signs were found in it."""
        self.sum = self.sum + self.adds[colony]


def _adds(world: World) -> Floats:
    """What a find in one colony adds to the chance of another, shape (n, n)."""
    place = np.maximum(world.standing, 0)
    km = np.hypot(*(world.xy[place][:, None] - world.xy[place][None]).transpose(2, 0, 1))
    same = place[:, None] == place[None]
    found = np.where(same, SAME, ROBBED * np.exp(-km / REACH_KM))
    for side in world.told.touching.T:
        here = np.flatnonzero(side >= 0)
        found[here, side[here]] += BESIDE
    one = _carried(world)
    two = one @ one
    return np.asarray(found + CONTACT * (one + one.T) + CHAIN * (two + two.T))


def _carried(world: World) -> Floats:
    """Chance by the sourced rates that the contacts on record carry it from one colony (rows) to another, summed."""
    scene, rate = world.told, rates().vector()[len(PRESSURES) :]
    found = np.zeros((len(scene.first),) * 2)
    for e in range(len(scene.event_kind)):
        gives, takes = (slice(ptr[e], ptr[e + 1]) for ptr in (scene.give_ptr, scene.take_ptr))
        chance = rate[scene.event_kind[e]] * scene.event_objects[e] * scene.give_share[gives]
        found[np.ix_(scene.give[gives], scene.take[takes])] += np.minimum(chance, 1.0)[:, None]
    np.fill_diagonal(found, 0.0)
    return found
