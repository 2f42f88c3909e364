"""The compiled likelihood and its bookkeeping against the slow readable twin, on random histories of a busy scene."""

from __future__ import annotations

import numpy as np
import pytest
from tests.outbreak.scenes import busy_scene
from verification.twin_likelihood import History, log_likelihood

from ashcomb.outbreak.rates import rates

TRIED = {
    "background": (1.5e-3, "test"), "touching": (8e-3, "test"), "apiary": (2e-3, "test"), "robbing": (1e-3, "test"),
}  # fmt: skip


def run(scene, seed, sweeps, sampled=()):
    from ashcomb.outbreak.kernel_kept import rebuild
    from ashcomb.outbreak.kernel_sweep import sweep
    from ashcomb.outbreak.layout import packed
    from ashcomb.outbreak.posterior import start

    gen = np.random.default_rng(seed)
    used = rates(sampled, {name: value for name, value in TRIED.items() if name not in sampled})
    theta, state, memory = used.vector(), start(scene, gen), packed(scene)
    rebuild(*memory, state.mem, state.pos, theta)
    for _ in range(sweeps):
        sweep(*memory, state.mem, state.pos, theta, used.bounds(), gen)
    return memory, state, theta


def history(state):
    fields = ("time", "onset", "turn", "length")
    floats = [state.floats(name).tolist() for name in fields]
    return History(*floats, state.wholes("source").tolist(), state.floats("when").tolist())


@pytest.mark.parametrize("seed", range(12))
def test_log_likelihood_equals_the_twin(seed):
    from ashcomb.outbreak.kernel_kept import rebuild
    from ashcomb.outbreak.kernel_whole import log_history, log_observed

    scene = busy_scene(seed)
    memory, state, theta = run(scene, seed, 5 * seed + 1)
    rebuild(*memory, state.mem, state.pos, theta)
    fast = log_history(*memory, state.mem, state.pos, theta) + log_observed(*memory, state.mem, state.pos)
    assert (state.wholes("source") > -3).sum() >= 2
    assert fast == pytest.approx(log_likelihood(scene, theta, history(state)), abs=1e-8)


KEPT = ("rate", "share", "spared"), ("risk", "taken")


def plan(memory, state, theta, scene, stride=7):
    """Colonies in turn often visited or rare, with unequal tickets, so that every move of rare ones happens."""
    from ashcomb.outbreak.kernel_kept import rebuild
    from ashcomb.outbreak.layout import LOCAL, MOVES, OFTEN, PAIRS, STRIDE, STRONG, TICKETS, TURN

    n, events = len(scene.first), len(scene.event_kind)
    number = np.where(np.arange(n) % 3 == 0, 0, 1 + np.arange(n) % 4)
    often, tickets = np.flatnonzero(number == 0), np.repeat(np.arange(n), number)
    state.floats("weight")[:] = number / len(tickets)
    state.wholes("tickets")[: len(tickets)] = tickets
    state.wholes("often")[: len(often)] = often
    state.wholes("strong")[:] = np.arange(events)
    numbers = state.wholes("plan")
    for at, value in ((OFTEN, len(often)), (MOVES, 8), (STRIDE, stride), (TURN, 1), (STRONG, events), (PAIRS, 4),
                      (TICKETS, len(tickets)), (LOCAL, 4)):  # fmt: skip
        numbers[at] = value
    rebuild(*memory, state.mem, state.pos, theta)


@pytest.mark.parametrize("sampled", [(), ("background", "apiary", "latent", "wet supers")])
@pytest.mark.parametrize("seed", range(4))
def test_what_is_kept_ready_equals_what_is_computed_anew(seed, sampled):
    """After hundreds of sweeps with births, deaths, open dates and sampled rates, none of which computed it anew."""
    from ashcomb.outbreak.kernel_kept import rebuild
    from ashcomb.outbreak.kernel_sweep import sweep
    from ashcomb.outbreak.layout import OFTEN, RARE

    scene = busy_scene(seed)
    memory, state, theta = run(scene, seed, 5, sampled)
    bounds = rates(sampled).bounds()
    bounds[:, 0], bounds[:, 1] = np.minimum(bounds[:, 0], theta), np.maximum(bounds[:, 1], theta)
    if not sampled:
        bounds[:] = theta[:, None]
    plan(memory, state, theta, scene, stride=10**9)
    gen = np.random.default_rng(seed)
    for _ in range(300):
        sweep(*memory, state.mem, state.pos, theta, bounds, gen)
    kept = {name: state.floats(name).copy() for name in KEPT[0]}
    counts = {name: state.wholes(name).copy() for name in KEPT[1]}
    numbers = state.wholes("plan")
    rare = sorted(state.wholes("ill")[: numbers[RARE]])
    often = state.wholes("often")[: numbers[OFTEN]]
    rebuild(*memory, state.mem, state.pos, theta)
    for name, values in kept.items():
        np.testing.assert_allclose(values, state.floats(name), atol=1e-11)
    for name, whole in counts.items():
        np.testing.assert_array_equal(whole, state.wholes(name))
    infected = np.flatnonzero(state.wholes("source") > -3)
    assert rare == sorted(set(infected) - set(often))


@pytest.mark.parametrize("seed", range(8))
def test_the_gain_of_a_toggle_is_the_difference_of_the_likelihoods(seed):
    """What the add-or-delete move compares, with and without one colony, against two full twins."""
    from ashcomb.outbreak.kernel_colony import log_beyond, log_none, log_way, weigh
    from ashcomb.outbreak.kernel_kept import put_in, rebuild, take_out
    from ashcomb.outbreak.kernel_pressure import gather

    scene = busy_scene(seed)
    memory, state, theta = run(scene, seed, 15)
    rebuild(*memory, state.mem, state.pos, theta)
    infected = np.flatnonzero(state.wholes("source") > -3)
    j = int(infected[seed % len(infected)])
    with_it = log_likelihood(scene, theta, history(state))
    world = (*memory, state.mem, state.pos, theta)
    count = gather(*world, j)
    take_out(*world, j, count)
    time, onset, turn, length = (state.floats(name)[j] for name in ("time", "onset", "turn", "length"))
    source = state.wholes("source")[j]
    there = log_way(*world, j, count, source, time) + log_beyond(*world, j, count, source, time, onset, turn, length)
    none = log_none(*world, j, weigh(*world, j, count)[1])
    for name, value in (("time", np.inf), ("onset", np.inf), ("turn", 1.0), ("length", 0.0)):
        state.floats(name)[j] = value
    state.wholes("source")[j] = -3
    put_in(*world, j, count)
    assert there - none == pytest.approx(with_it - log_likelihood(scene, theta, history(state)), abs=1e-8) or (
        none == -np.inf and log_likelihood(scene, theta, history(state)) == -np.inf
    )
