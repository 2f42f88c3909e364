"""Simulation-based calibration (Talts et al. 2018): the rank of the truth among posterior draws must be uniform.

Truth: rates from their priors, an outbreak by the simulator, looks and tests drawn from it. The sampler then gets the
looks and tests only. One quantity is the chance of all that was seen: without it a sampler that drops a look would
pass, since it is right about what it kept (Modrák et al. 2023). `fault` plants one: a posterior ten in a hundred too
narrow, a background rate taken 1.6 times too strong, looks unseen.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor

import numpy as np
from scipy.stats import chi2, chisquare, norm

from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.chain import Chain, Plan
from ashcomb.outbreak.kernel_kept import rebuild
from ashcomb.outbreak.layout import packed
from ashcomb.outbreak.pressure import exponential_fall, near_apiaries
from ashcomb.outbreak.rates import Rates, rates
from ashcomb.outbreak.scene import FOREVER, NO, Event, Look, Pool, Scene, Stay
from ashcomb.outbreak.simulate import Simulator

QUANTITIES = ("infected", "showing signs", "by events", "background rate", "same-apiary rate", "mean time", "open date",
              "first apiary", "chance of what was seen")  # fmt: skip
FAULTS = ("narrow", "shifted rate", "dropped look")
DRAWS, THIN, BURN, BINS = 39, 10, 80, 20
SAMPLED = {"background": (2e-4, 4e-3), "apiary": (2e-4, 8e-3)}
FIXED = {"touching": 1.2e-2, "robbing": 3e-3, "latent": 0.2}


ALIKE = (1, 4)  # colonies whose looks err together


def scene() -> Scene:
    """Five colonies in two apiaries: a touching pair, a death, a move, dated events, one open date, looks, a test."""
    known = Colonies.plain(5, 0.05)
    known.touching[0, 0], known.touching[1, 0] = 1, 0
    known.dead[2], known.gone[2] = 120.0, 170.0
    stays = [Stay(0, 0, 0, FOREVER), Stay(1, 0, 0, FOREVER), Stay(2, 1, 0, FOREVER), Stay(3, 1, 0, 90),
             Stay(3, 0, 90, FOREVER), Stay(4, 1, 0, FOREVER)]  # fmt: skip
    near = near_apiaries(np.array([[0.0, 0.0], [0.8, 0.0]]), 3.0, exponential_fall(1.0))
    events = [Event(6, 70.5, 70.5, 1.0, [(0, 0.5, None), (3, 0.3, None)], [1, 4], 0.05),
              Event(1, 100.0, 160.0, 1.0, [(1, 0.6, None), (4, 0.4, None)], [0, 3])]  # fmt: skip
    seen = ((0, 80.75), (1, 120.75), (1, 190.75), (3, 150.75), (4, 95.75), (4, 185.75), (0, 195.75))
    looks = [Look(j, at, 0.8, 0.02, False, 0.25 if j in ALIKE else 0.0) for j, at in seen]
    pools = [Pool(140.75, (0, 3), False, 0.01, 0.9, 0.4)]
    brood = np.concatenate([[0.0], np.cumsum((np.arange(1500) % 365 < 150) * 1.0)])
    return build_scene(200, known, Records(stays, near, events, looks, pools, brood))


SCENE = scene()
_NOBODY = np.zeros(0, dtype=np.int64)
_GIFTS = (
    (0, 1, 0),
    (0, 4, 0),
    (3, 1, 0),
    (3, 4, 0),
    (1, 0, 1),
    (1, 3, 1),
    (4, 0, 1),
    (4, 3, 1),
)  # giver, receiver, event
BRANCHES = Plan(_NOBODY, np.ones(5, dtype=np.int64), 2, 6, yards=np.array([0, 1]), branches=4)  # do most of the work
DUOS = Plan(
    _NOBODY, np.ones(5, dtype=np.int64), 1, 6, duos=np.array([*_GIFTS, *((j, i, -1) for i, j, _ in _GIFTS)]), anew=16
)


def one(seed: int, faults: tuple[str, ...] = ("",), plan: Plan | None = None) -> np.ndarray:
    """Places of the truth, 0 to 1, of one data set; shape (faults, quantities). plan: of the chain's visits."""
    gen = np.random.Generator(np.random.Philox(np.random.SeedSequence(seed, spawn_key=(7,))))
    used = rates(tuple(SAMPLED), {name: (rate, "test") for name, rate in FIXED.items()})
    bounds, theta = used.bounds(), used.vector()
    for r, name in ((0, "background"), (2, "apiary")):
        bounds[r] = SAMPLED[name]
        theta[r] = np.exp(gen.uniform(*np.log(bounds[r])))
    o = Simulator(SCENE, theta).run(gen)
    data = _observed(o, gen)
    history = (o.time, o.onset, o.turn, o.length, o.source)
    truth = quantities(data, *(x[None, :] for x in history), o.when[None, :], theta[None, :])[0]
    kept: dict[str, np.ndarray] = {}
    for fault in faults:
        sampled = "" if fault == "narrow" else fault
        if sampled not in kept:
            kept[sampled] = _drawn(data, used, bounds, sampled, gen, plan)
    return np.array([_place(truth, kept["" if f == "narrow" else f], f == "narrow", gen) for f in faults])


def _place(truth: np.ndarray, draws: np.ndarray, narrow: bool, gen: np.random.Generator) -> np.ndarray:
    if narrow:
        middle = draws.mean(axis=0)
        draws = middle + 0.9 * (draws - middle)
    below, ties = (draws < truth).sum(axis=0), (draws == truth).sum(axis=0)
    return (below + gen.random(len(truth)) * (ties + 1)) / (len(draws) + 1)


def _drawn(
    data: Scene, used: Rates, bounds: np.ndarray, fault: str, gen: np.random.Generator, plan: Plan | None
) -> np.ndarray:
    given, told = data, used.vector()
    if fault == "dropped look":
        kept = np.arange(len(data.look_worth)) % 3 != 0
        given = data._replace(look_worth=kept * data.look_worth, look_alike=kept * data.look_alike)
    if fault == "shifted rate":
        bounds = bounds * np.where(np.arange(len(bounds)) == 0, 1.6, 1.0)[:, None]  # background
    chain = Chain(given, packed(given), used, gen)
    chain.bounds, chain.theta = bounds, told
    chain.theta[[0, 2]] = 1e-3
    rebuild(*chain.memory, chain.state.mem, chain.state.pos, chain.theta)
    if plan is not None:
        chain.follow(plan)
    chain.run(BURN, BURN)
    chain.pieces.clear()
    chain.run(DRAWS * THIN, THIN)
    return np.concatenate([_told(data, *piece[:5]) for piece in chain.pieces])


def _told(data: Scene, whole, part, ends, theta, when) -> np.ndarray:
    shape = (len(ends), len(data.first))
    draw = np.repeat(np.arange(len(ends)), np.diff(ends, prepend=0))
    fields = [np.full(shape, empty) for empty in (np.inf, np.inf, 1.0, 0.0)]
    for k, field in enumerate(fields):
        field[draw, whole[:, 0]] = part[:, k]
    source = np.full(shape, NO)
    source[draw, whole[:, 0]] = whole[:, 1]
    return quantities(data, *fields, source, when, theta)


def quantities(data: Scene, time, onset, turn, length, source, when, theta) -> np.ndarray:
    """What is ranked, shape (draws, quantities); all given as (draws, …)."""
    infected = source != NO
    number = infected.sum(axis=1)
    total = np.where(infected, time, 0.0).sum(axis=1)
    first = infected[:, data.stay_place[data.stay_ptr[:-1]] == 0].sum(axis=1)
    columns = [number, (onset <= data.horizon).sum(axis=1), (source >= 0).sum(axis=1), theta[:, 0], theta[:, 2],
               total / np.maximum(number, 1), when[:, -1], first,
               _log_seen(data, time, onset, turn, length)]  # fmt: skip
    return np.stack(columns, axis=1).astype(float)


def _chance_found(data: Scene, onset, turn, length) -> np.ndarray:
    """Of each look, shape (draws, looks): written anew here, from the words of `Scene`."""
    j = np.repeat(np.arange(len(data.first)), np.diff(data.look_ptr))
    share, within, least, most = data.remission
    begins = onset[:, j] + within * turn[:, j] / share
    hidden = (turn[:, j] < share) & (begins <= data.look_time)
    hidden &= data.look_time < begins + least + (most - least) * length[:, j]
    there = (onset[:, j] <= data.look_time) & ~hidden
    worth = np.where(there, data.look_worth, 0.0)
    for k in np.flatnonzero(data.look_alike):
        past = [i for i in range(k) if j[i] == j[k] and data.look_alike[i] > 0]
        noticed, looked = (there[:, past] * data.look_found[past]).sum(axis=1), there[:, past].sum(axis=1)
        numbers = 1 / data.look_alike[k]
        worth[:, k] = there[:, k] * (data.look_worth[k] * numbers + noticed) / (numbers + looked)
    return worth + (1 - worth) * data.look_false


def _chance_missed(data: Scene, time, onset) -> np.ndarray:
    """Of each test, shape (draws, tests)."""
    missed = np.tile(1 - data.pool_false, (len(time), 1))
    for p, at in enumerate(data.pool_time):
        for j in data.pool[data.pool_ptr[p] : data.pool_ptr[p + 1]]:
            worth = np.where(onset[:, j] <= at, data.pool_signs[p], data.pool_latent[p])
            missed[:, p] *= np.where(time[:, j] <= at, 1 - worth, 1.0)
    return missed


def _log_seen(data: Scene, time, onset, turn, length) -> np.ndarray:
    found, missed = _chance_found(data, onset, turn, length), _chance_missed(data, time, onset)
    looks = np.log(np.where(data.look_found, found, 1 - found)).sum(axis=1)
    return looks + np.log(np.where(data.pool_found, 1 - missed, missed)).sum(axis=1)


def _observed(o, gen: np.random.Generator) -> Scene:
    found = np.zeros(len(SCENE.look_found), dtype=np.int64)
    for k in range(len(found)):  # what is found hangs on what was found before
        seen = _chance_found(SCENE._replace(look_found=found), o.onset[None, :], o.turn[None, :], o.length[None, :])
        found[k] = gen.random() < seen[0, k]
    missed = _chance_missed(SCENE, o.time[None, :], o.onset[None, :])[0]
    return SCENE._replace(look_found=found,
                          pool_found=(gen.random(len(missed)) >= missed).astype(np.int64))  # fmt: skip


def places(
    number: int, faults: tuple[str, ...] = ("",), first: int = 0, workers: int = 2, plan: Plan | None = None
) -> np.ndarray:
    """Places of the truth, shape (faults, number, quantities)."""
    with ThreadPoolExecutor(workers) as pool:
        made = pool.map(lambda seed: one(seed, faults, plan), range(first, first + number))
        return np.stack(list(made), axis=1)


def p_values(found: np.ndarray) -> dict[str, float]:
    """For each quantity the least of three, corrected for all of them (Bonferroni): even bins, shift, and spread.

    Bins: chi-square of twenty. Shift and spread: mean and sum of squares of the normal scores (Cook et al. 2006).
    """
    result = {}
    for name, column in zip(QUANTITIES, found.T, strict=True):
        counts = np.bincount((column * BINS).astype(int), minlength=BINS)
        scores, n = norm.ppf(np.clip(column, 1e-12, 1 - 1e-12)), len(column)
        squares = (scores**2).sum()
        shift = 2 * norm.sf(abs(scores.sum()) / np.sqrt(n))
        spread = 2 * min(chi2.sf(squares, n), chi2.cdf(squares, n))
        least = min(chisquare(counts).pvalue, shift, spread)
        result[name] = min(1.0, float(least) * 3 * len(QUANTITIES))
    return result
