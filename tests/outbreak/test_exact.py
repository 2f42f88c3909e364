"""The sampler against the sum over every history. Differences are judged in Monte Carlo standard errors."""

from __future__ import annotations

import numpy as np
import pytest
from verification.exact import exact
from verification.tiny import LOOKS, dated, pressed

from ashcomb.outbreak.posterior import Effort, sample

EFFORT = Effort(ess=12_000, first=10_000, most=40_000, kept=20_000)


def drawn(scene, used, seed=5):
    found = sample(scene, used, seed, EFFORT)
    draws, n = found.draws, len(scene.first)
    chance = np.bincount(draws.colony, minlength=n) / draws.count
    number = np.bincount(np.bincount(draws.draw, minlength=draws.count), minlength=n + 1) / draws.count
    mean = np.bincount(draws.colony, weights=draws.time, minlength=n) / np.maximum(np.bincount(draws.colony), 1)
    return chance, number, mean, found.quality.colony_ess


def agree(scene, used, grid, delays, remissions=1, slack=0.0):
    chance, number, mean = exact(scene, used.vector(), grid, delays, remissions)
    got, counts, times, ess = drawn(scene, used)
    error = np.sqrt(np.maximum(chance * (1 - chance), 1e-4) / ess)
    assert np.all(np.abs(got - chance) < 4.5 * error + slack), (got, chance)
    spread = np.sqrt(np.maximum(number * (1 - number), 1e-4) / ess.min())
    assert np.all(np.abs(counts - number) < 4.5 * spread + slack), (counts, number)
    late = 60 / np.sqrt(np.maximum(ess * chance, 1)) * 4.5 + 200 * slack
    assert np.all(np.abs(times - mean) < late), (times, mean)


@pytest.mark.parametrize("looks", list(LOOKS))
def test_four_colonies_with_dated_events(looks):
    agree(*dated(looks), None, 2)


def test_three_colonies_with_a_positive_pool():
    agree(*dated("one without signs", 3, pools=True), None, 2)


@pytest.mark.parametrize("looks", ["one without signs", "case, then nothing"])
def test_two_colonies_under_pressure(looks):
    agree(*pressed(looks), 10.0, 8, slack=0.006)


def test_one_colony_whose_signs_may_vanish():
    agree(*pressed("case, then nothing", 1, remission=0.33), 4.0, 24, 6, slack=0.006)


def test_a_wrong_rate_is_noticed():
    scene, used = dated("a case at the end")
    wrong = scene._replace(before=np.array([0.27, 0.1, 0.1, 0.1]))
    chance, _, _ = exact(wrong, used.vector(), None, 2)
    got, _, _, ess = drawn(scene, used)
    assert np.any(np.abs(got - chance) > 4.5 * np.sqrt(chance * (1 - chance) / ess))
