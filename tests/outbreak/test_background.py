"""The move of the background: against the likelihood of the whole history, and against a law known in closed form."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import gamma, kstest
from tests.outbreak.scenes import busy_scene
from tests.outbreak.test_likelihood_twin import history, run
from verification.twin_likelihood import log_likelihood

from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.kernel_background import log_gain, other_background, under_background
from ashcomb.outbreak.kernel_kept import rebuild
from ashcomb.outbreak.kernel_sweep import sweep
from ashcomb.outbreak.kernel_whole import log_history
from ashcomb.outbreak.layout import packed
from ashcomb.outbreak.posterior import start
from ashcomb.outbreak.rates import rates
from ashcomb.outbreak.scene import BEFORE, FOREVER, PRESSURE, Stay
from ashcomb.sources.library import value

ALONE = (np.zeros(2, dtype=np.int64), np.zeros(0, dtype=np.int64), np.zeros(0))


def pressed_and_before(state) -> bool:
    source = state.wholes("source")
    return bool((source == PRESSURE).any() and (source == BEFORE).any())


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("times", [0.03, 0.8, 1.7, 40.0])
def test_its_gain_is_the_difference_of_the_likelihoods(seed, times):
    """Of whole histories, by the compiled likelihood after all is computed anew, and by the slow twin."""
    scene = busy_scene(seed)
    for sweeps in range(5, 200):
        memory, state, theta = run(scene, 1000 * seed + sweeps, sweeps)
        if pressed_and_before(state):
            break
    assert pressed_and_before(state)
    world = (*memory, state.mem, state.pos)
    rebuild(*world, theta)
    fast, slow = log_history(*world, theta), log_likelihood(scene, theta, history(state))
    more = (times - 1.0) * theta[0]
    gain = log_gain(state.mem, state.pos, *under_background(*world), more)
    theta[0] += more
    rebuild(*world, theta)
    assert gain == pytest.approx(log_history(*world, theta) - fast, abs=1e-8)
    assert gain == pytest.approx(log_likelihood(scene, theta, history(state)) - slow, abs=1e-8)


@pytest.mark.parametrize("seed", range(4))
def test_what_it_keeps_ready_equals_what_is_computed_anew(seed):
    scene, gen = busy_scene(seed), np.random.default_rng(seed)
    memory, state, theta = run(scene, seed, 25)
    world = (*memory, state.mem, state.pos, theta)
    rebuild(*world)
    before = theta[0]
    for _ in range(50):
        other_background(*world, 1e-5, 1e-1, gen)
    kept = state.floats("rate").copy()
    rebuild(*world)
    assert theta[0] != before
    np.testing.assert_allclose(kept, state.floats("rate"), atol=1e-12)


def bare(colonies: int, days: int):
    known = Colonies.plain(colonies)
    return build_scene(days, known, Records([Stay(j, 0, 0, FOREVER) for j in range(colonies)], ALONE))


def test_given_the_infections_it_follows_a_gamma_law():
    """Flat on its logarithm, k infections in d days: gamma, shape k and rate d, cut at the bounds (conjugacy)."""
    scene, gen, times = bare(30, 400), np.random.default_rng(1), np.array([50.0, 120.0, 300.0])
    off = dict.fromkeys(("touching", "apiary", "robbing"), (0.0, "off"))
    theta, state, memory = rates(replaced=off).vector(), start(scene, gen), packed(scene)
    state.wholes("source")[:3], state.floats("time")[:3], state.floats("onset")[:3] = PRESSURE, times, np.inf
    low, high, days = 2e-5, 4e-4, 27 * 400.0 + times.sum()
    theta[0] = 1e-4
    world = (*memory, state.mem, state.pos, theta)
    rebuild(*world)
    found = []
    for _ in range(20_000):
        other_background(*world, low, high, gen)
        found.append(theta[0])
    law = gamma(3, scale=1.0 / days)
    ends = law.cdf([low, high])
    assert kstest(found[::10], lambda x: (law.cdf(x) - ends[0]) / (ends[1] - ends[0])).pvalue > 1e-3
    assert kstest(found[::10], gamma(4, scale=1.0 / days).cdf).pvalue < 1e-3  # a law beside it is told apart


def test_it_moves_in_every_sweep_of_a_large_scene():
    """In which moves that compute all anew come in a fifth of the sweeps only."""
    scene, gen = bare(10_000, 100), np.random.default_rng(2)
    used = rates(("background",))
    theta, state, memory = used.vector(), start(scene, gen), packed(scene)
    rebuild(*memory, state.mem, state.pos, theta)
    seen = []
    for _ in range(30):
        sweep(*memory, state.mem, state.pos, theta, used.bounds(), gen)
        seen.append(theta[0])
    assert len(set(seen)) > 20


def test_it_is_the_published_share_of_colonies_a_year():
    """3,118 cases in 541,263 colonies in a year: annual report 2023/24 of the New Zealand pest management plan."""
    background = value("outbreak.background_per_day")
    yearly = -np.log(1.0 - 3118 / 541_263) / 365.25
    assert background.value == pytest.approx(yearly, rel=0.02)
    assert background.high == pytest.approx(10.0 * yearly, rel=0.02)
    assert background.low < yearly / 10.0
