"""Simulation-based calibration (Talts et al. 2018): the rank of the truth among posterior draws must be uniform.

Truth: rates from their priors, an outbreak by the simulator, looks and tests drawn from it. The sampler then gets the
looks and tests only. `fault` plants one: a posterior ten in a hundred too narrow, a rate that is wrong, a look unseen.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np
from scipy.stats import chisquare
from tests.outbreak.scenes import busy_scene

from ashcomb.outbreak.layout import packed
from ashcomb.outbreak.posterior import Chain
from ashcomb.outbreak.rates import Rates, rates
from ashcomb.outbreak.scene import NO, Scene
from ashcomb.outbreak.simulate import Simulator

QUANTITIES = ("infected", "showing signs", "by events", "background rate", "same-apiary rate", "mean time", "open date",
              "first apiary")  # fmt: skip
FAULTS = ("narrow", "shifted rate", "dropped look")
DRAWS, THIN, BURN, BINS = 99, 6, 60, 20
SAMPLED = ("background", "apiary")
FIXED = {"touching": (1.2e-2, "test"), "robbing": (3e-3, "test"), "latent": (0.2, "test")}


def _widened(used: Rates) -> np.ndarray:
    bounds = used.bounds()
    bounds[0], bounds[2] = (2e-4, 4e-3), (2e-4, 8e-3)
    return bounds


def quantities(scene: Scene, time, onset, source, when, theta) -> list[float]:
    infected = np.flatnonzero(source != NO)
    first = scene.stay_place[scene.stay_ptr[infected]] == 0
    mean = time[infected].mean() if len(infected) else 0.0
    return [len(infected), (onset[infected] <= scene.horizon).sum(), (source[infected] >= 0).sum(), theta[0], theta[2],
            mean, when[-1], first.sum()]  # fmt: skip


def one(seed: int, fault: str = "") -> list[int]:
    """Ranks of one data set."""
    gen = np.random.Generator(np.random.Philox(np.random.SeedSequence(seed, spawn_key=(7,))))
    scene = busy_scene(seed % 8)
    used = rates(SAMPLED, FIXED)
    bounds = _widened(used)
    theta = used.vector()
    for r in (0, 2):
        theta[r] = np.exp(gen.uniform(*np.log(bounds[r])))
    truth = Simulator(scene, theta).run(gen)
    data = _observed(scene, truth, gen)
    if fault == "dropped look":
        data = data._replace(look_worth=np.where(np.arange(len(data.look_worth)) % 4 == 0, 0.0, data.look_worth))
    told = used.vector()
    if fault == "shifted rate":
        told[1] *= 1.6
    chain = Chain(data, packed(data), used, gen)
    chain.bounds, chain.theta = bounds, told.copy()
    chain.theta[[0, 2]] = 1e-3
    chain.run(BURN, BURN)
    chain.pieces.clear()
    chain.run(DRAWS * THIN, THIN)
    found = quantities(scene, truth.time, truth.onset, truth.source, truth.when, theta)
    draws = np.array(_drawn(scene, chain))
    if fault == "narrow":
        middle = draws.mean(axis=0)
        draws = middle + 0.9 * (draws - middle)
    below = (draws < found).sum(axis=0)
    ties = (draws == found).sum(axis=0)
    return [int(b + gen.integers(0, t + 1)) for b, t in zip(below, ties, strict=True)]


def _observed(scene: Scene, truth, gen) -> Scene:
    from verification.twin_likelihood import History, visible

    h = History(*(list(x) for x in (truth.time, truth.onset, truth.turn, truth.length, truth.source, truth.when)))
    owner = np.repeat(np.arange(len(scene.first)), np.diff(scene.look_ptr))
    shown = np.array([visible(scene, h, j, at) for j, at in zip(owner, scene.look_time, strict=True)])
    chance = np.where(shown, scene.look_worth, 0.0)
    chance = chance + (1 - chance) * scene.look_false
    looks = (gen.random(len(chance)) < chance).astype(np.int64)
    pools = np.zeros(len(scene.pool_time), dtype=np.int64)
    for p, at in enumerate(scene.pool_time):
        missed = 1 - scene.pool_false[p]
        for j in scene.pool[scene.pool_ptr[p] : scene.pool_ptr[p + 1]]:
            if truth.time[j] <= at:
                missed *= 1 - (scene.pool_signs[p] if truth.onset[j] <= at else scene.pool_latent[p])
        pools[p] = gen.random() >= missed
    return scene._replace(look_found=looks, pool_found=pools)


def _drawn(scene: Scene, chain: Chain) -> list[list[float]]:
    rows = []
    for whole, part, ends, theta, when, _ in chain.pieces:
        starts = np.concatenate([[0], ends[:-1]])
        for d, (a, b) in enumerate(zip(starts, ends, strict=True)):
            time, onset = np.full(len(scene.first), np.inf), np.full(len(scene.first), np.inf)
            source = np.full(len(scene.first), NO)
            time[whole[a:b, 0]], onset[whole[a:b, 0]] = part[a:b, 0], part[a:b, 1]
            source[whole[a:b, 0]] = whole[a:b, 1]
            rows.append(quantities(scene, time, onset, source, when[d], theta[d]))
    return rows


def ranks(number: int, fault: str = "", first: int = 0, workers: int = 2) -> np.ndarray:
    """Ranks 0 to DRAWS of each quantity, shape (number, quantities)."""
    with ThreadPoolExecutor(workers) as pool:
        return np.array(list(pool.map(lambda seed: one(seed, fault), range(first, first + number), chunksize=16)))


def p_values(found: np.ndarray) -> dict[str, float]:
    """Chi-square of twenty bins against uniform for each quantity, corrected for their number (Bonferroni)."""
    result = {}
    for name, column in zip(QUANTITIES, found.T, strict=True):
        counts = np.bincount(column * BINS // (DRAWS + 1), minlength=BINS)
        result[name] = min(1.0, float(chisquare(counts).pvalue) * len(QUANTITIES))
    return result
