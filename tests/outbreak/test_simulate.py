"""The simulator against its readable twin, against laws that are formulas, and against a general library of processes.

Samples are compared by the tests stated in `verification.alike`; a sound pair fails once in a thousand runs of a test,
and every seed is fixed.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import expm
from scipy.stats import betabinom, binom, chisquare, poisson
from tests.outbreak.scenes import busy_scene
from verification import process_model
from verification.alike import LEAST, unlike
from verification.twin_likelihood import onset_by_hand
from verification.twin_simulator import simulate

from ashcomb.outbreak.kernel_herd import world_of
from ashcomb.outbreak.kernel_infect import onset_in
from ashcomb.outbreak.rates import rates
from ashcomb.outbreak.scene import NO, Look
from ashcomb.outbreak.simulate import NO_VISITS, Outbreak, Simulator, looked_at, seeds_of

STRONG = {"background": 5e-4, "touching": 1.2e-2, "apiary": 2e-3, "robbing": 3e-3, "latent": 0.2}
VISITS = (np.array([100.0, 130.0, 130.0, 210.0]), np.array([0, 1, 2, 0]), np.array([0.7, 5.0, 1.0]))
GRID = np.array([60.0, 120.0, 180.0, 299.0])


def made_of(given):
    return rates(replaced={name: (rate, "made stronger for the test") for name, rate in given.items()}).vector()


def told(time, onset, source, found, end):
    """What of one outbreak is compared."""
    time, onset, source = np.array(time), np.array(onset), np.array(source)
    row = [x for day in GRID for x in ((time <= day).sum(), (onset <= day).sum())]
    infected = np.isfinite(time)
    mean = time[infected].mean() if infected.any() else 0.0
    row += [(source >= 0).sum(), (source == -2).sum(), np.isfinite(found).sum(), (np.array(end) < 300).sum(), mean]
    return [*row, *infected[[0, 3, 5, 8, 10, 11]]]


def fast(scene, theta, runs, seed, visits=NO_VISITS):
    simulator, gen = Simulator(scene, theta), np.random.default_rng(seed)
    outbreaks = (simulator.run(gen, visits=visits) for _ in range(runs))
    return np.array([told(o.time, o.onset, o.source, o.found, o.end) for o in outbreaks], dtype=float)


def slow(scene, theta, runs, seed, visits=()):
    gen = np.random.default_rng(seed)
    worth = (VISITS[2][0], VISITS[2][1], bool(VISITS[2][2]))
    outbreaks = (simulate(scene, theta, gen, visits, worth) for _ in range(runs))
    return np.array([told(o.h.time, o.h.onset, o.h.source, o.found, o.scene.end) for o in outbreaks], dtype=float)


@pytest.fixture(scope="module")
def twin():
    """Outbreaks of the readable twin in a busy scene, with visits."""
    visits = list(zip(VISITS[0].tolist(), VISITS[1].tolist(), strict=True))
    return slow(busy_scene(3), made_of(STRONG), 400, 1, visits)


def test_outbreaks_are_of_the_law_of_the_readable_twin(twin):
    assert unlike(twin, fast(busy_scene(3), made_of(STRONG), 4000, 2, VISITS)) > LEAST


@pytest.mark.parametrize("change", [{"apiary": 6e-3}, {"touching": 6e-2}, {"latent": 1.0}, {"robbing": 8e-3}])
def test_another_rate_is_noticed(twin, change):
    assert unlike(twin, fast(busy_scene(3), made_of(STRONG | change), 4000, 2, VISITS)) < LEAST


def test_blind_visits_are_noticed(twin):
    blind = (VISITS[0], VISITS[1], np.array([0.4, 5.0, 1.0]))
    assert unlike(twin, fast(busy_scene(3), made_of(STRONG), 4000, 2, blind)) < LEAST


def test_an_outbreak_that_stops_and_goes_on_is_of_the_same_law():
    """Markov property: 150 days and then 150 more, against 300 at once, dated moves and deaths included."""
    scene, theta = busy_scene(5), made_of(STRONG)
    simulator, gen, halves = Simulator(scene, theta), np.random.default_rng(4), []
    for _ in range(5000):
        o = simulator.run(gen, begin=150.0, after=simulator.run(gen, stop=150.0))
        halves.append(told(o.time, o.onset, o.source, o.found, o.end))
    assert unlike(np.array(halves, dtype=float), fast(scene, theta, 5000, 5)) > LEAST


def test_many_at_once_are_of_the_law_of_one_by_one():
    scene, theta = busy_scene(6), made_of(STRONG)
    singles = fast(scene, theta, 5000, 7, VISITS)
    many = Simulator(scene, theta).many(seeds_of(np.random.default_rng(8), 5000), GRID, visits=VISITS)
    assert unlike(singles[:, :8], many[:, 6:]) > LEAST
    assert unlike(singles[:, [10]], many[:, [3]]) > LEAST


def test_a_run_leaves_no_trace_in_the_next():
    scene, theta = busy_scene(6), made_of(STRONG)
    used, fresh = Simulator(scene, theta), Simulator(scene, theta)
    for k in range(50):
        used.run(np.random.default_rng(k), visits=VISITS)
    one, other = (s.run(np.random.default_rng(99), visits=VISITS) for s in (used, fresh))
    for name in ("time", "onset", "turn", "length", "source", "by", "found", "end", "when"):
        np.testing.assert_array_equal(getattr(one, name), getattr(other, name))


def one_apiary(size, quantile, rate, days, latent, every=0.0, notice=1.0):
    """One colony of an apiary is infected on day 0; removal at the first visit that finds signs."""
    case = process_model.Case(1, size, days, quantile, rate, 0.0, latent, notice, every, 0.0)
    scene, used = process_model.as_scene(case)
    return Simulator(scene, used.vector()), process_model.visits(case)


def test_an_si_outbreak_has_the_law_of_the_pure_birth_process():
    """Number infected after 60 days: row of exp(Q t) with rates k (N - k) b from k to k + 1 (Bailey 1975, ch. 5)."""
    size, rate, days = 8, 0.004, 60.0
    simulator, _ = one_apiary(size, np.array([500.0, 500.0]), rate, 100, latent=1.0)
    number = simulator.many(seeds_of(np.random.default_rng(1), 40_000), np.array([days]))[:, 6].astype(int)
    births = np.array([rate * k * (size - k) for k in range(1, size + 1)])
    law = expm((np.diag(births[:-1], 1) - np.diag(births)) * days)[0]
    assert chisquare(np.bincount(number, minlength=size + 1)[1:], law * len(number)).pvalue > LEAST
    wrong = expm((np.diag(births[:-1], 1) - np.diag(births)) * days * 1.05)[0]
    assert chisquare(np.bincount(number, minlength=size + 1)[1:], wrong * len(number)).pvalue < LEAST


def test_every_contact_is_a_step_also_one_that_is_passed_over():
    """Eight infected of one apiary: contacts come at the rate of eight others each, itself counted, so by Poisson."""
    size, rate, days = 8, 0.004, 100
    case = process_model.Case(1, size, days, np.array([500.0, 500.0]), rate, 0.0, 1.0, 0.0, 0, 0, tuple(range(size)))
    scene, used = process_model.as_scene(case)
    out = Simulator(scene, used.vector()).many(seeds_of(np.random.default_rng(1), 20_000), np.zeros(0))
    law, steps = poisson(size * size * rate * days), out[:, 0]
    edges = np.unique(law.ppf(np.linspace(0.02, 0.98, 25)))
    expected = np.diff(np.concatenate([[0.0], law.cdf(edges), [1.0]])) * len(steps)
    assert (out[:, 1] == size).all()
    assert chisquare(np.bincount(np.searchsorted(edges, steps), minlength=len(expected)), expected).pvalue > LEAST


def test_moves_and_visits_are_steps_also_where_nobody_is_ill():
    scene = busy_scene(3)
    theta, well = np.zeros_like(made_of({})), scene._replace(before=np.zeros(len(scene.before)))
    out = Simulator(well, theta).many(seeds_of(np.random.default_rng(1), 50), np.zeros(0), visits=VISITS)
    assert (out[:, 0] == len(scene.event_kind) + len(VISITS[0])).all()
    early = Simulator(well, theta).many(seeds_of(np.random.default_rng(1), 50), np.zeros(0), 120.0, visits=VISITS)
    assert (early[:, 0] == 1 + 1).all()  # the move of day 110.5 and the visit of day 100


@pytest.mark.parametrize("winter", [0.0, 0.3], ids=["no brood", "little brood"])
def test_onsets_are_those_of_the_readable_twin(winter):
    """Also in winter, at the beginning, and where the days with brood are at an end."""
    brood = np.concatenate([[0.0], np.cumsum(np.where(np.arange(1500) % 365 < 270, 1.0, winter))])
    scene = busy_scene(3)._replace(brood=brood)
    world, rng = world_of(scene), np.random.default_rng(1)
    times = np.concatenate([[0.0, 270.0, 365.0, 1499.5], rng.uniform(0, 1500, 4000)])
    places = np.concatenate([[0.0, 0.5, 0.999, 0.1], rng.random(4000)])
    ours = [onset_in(world, at, chance) for at, chance in zip(times, places, strict=True)]
    theirs = [onset_by_hand(scene, at, chance) for at, chance in zip(times, places, strict=True)]
    assert np.isinf(theirs).any()
    np.testing.assert_allclose(ours, theirs, rtol=1e-12)


def reed_frost(others, escape):
    """Final size of the chain binomial of Reed and Frost: chance that 0 to `others` fall ill after the first.

    A colony meets each other one with chance 1 - escape in its infectious life, whose length is fixed; the generations
    then are a chain on (free, ill) (Bailey 1975, ch. 14).
    """
    from scipy.stats import binom

    law, state = np.zeros(others + 1), {(others, 1): 1.0}
    while state:
        after: dict[tuple[int, int], float] = {}
        for (free, ill), chance in state.items():
            if ill == 0:
                law[others - free] += chance
                continue
            for new, p in enumerate(binom.pmf(np.arange(free + 1), free, 1 - escape**ill)):
                after[free - new, new] = after.get((free - new, new), 0.0) + chance * p
        state = after
    return law


def general_epidemic(others, ratio):
    """Final size when the infectious life is exponential: next comes a removal or an infection, by their rates.

    ratio: of the rate to one other colony to the rate of removal. Embedded chain of the general stochastic epidemic
    (Bailey 1975, ch. 6).
    """
    law, state = np.zeros(others + 1), {(others, 1): 1.0}
    while state:
        after: dict[tuple[int, int], float] = {}
        for (free, ill), chance in state.items():
            if ill == 0:
                law[others - free] += chance
                continue
            p = ratio * free / (ratio * free + 1)
            for key, q in (((free - 1, ill + 1), p), ((free, ill - 1), 1 - p)):
                if q > 0:
                    after[key] = after.get(key, 0.0) + chance * q
        state = after
    return law


@pytest.mark.parametrize("law", ["fixed", "exponential"])
def test_final_size_of_an_sir_outbreak(law):
    """Infectious at once; gone at the first daily look that sees signs: half a day more, of 50, than the delay."""
    others, mean, rate = 9, 50.0, 0.003
    quantile = np.full(2, mean - 0.5) if law == "fixed" else -(mean - 0.5) * np.log1p(-np.linspace(0, 1 - 1e-6, 20_001))
    simulator, visits = one_apiary(others + 1, quantile, rate, 1500, latent=1.0, every=1.0)
    size = simulator.many(seeds_of(np.random.default_rng(3), 6_000), np.zeros(0), visits=visits)[:, 1].astype(int) - 1
    expected = reed_frost(others, np.exp(-rate * mean)) if law == "fixed" else general_epidemic(others, rate * mean)
    counts = np.bincount(size, minlength=others + 1)
    assert chisquare(counts, expected * counts.sum()).pvalue > LEAST
    other = general_epidemic(others, rate * mean) if law == "fixed" else reed_frost(others, np.exp(-rate * mean))
    assert chisquare(counts, other * counts.sum()).pvalue < LEAST


def test_curves_agree_in_mean_and_spread_with_a_library_of_processes():
    """SimPy on a special case: 12 apiaries of 10, signs by a gamma law, looks every 40 days that miss a third."""
    from ashcomb.outbreak.observation import onset_quantiles

    case = process_model.Case(12, 10, 500, onset_quantiles(), 0.0015, 0.0004, 0.3, 0.67, 40.0, 4.0, (55,))
    grid = np.array([100.0, 200.0, 300.0, 400.0, 499.0])
    scene, used = process_model.as_scene(case)
    ours = Simulator(scene, used.vector()).many(
        seeds_of(np.random.default_rng(1), 8000), grid, visits=process_model.visits(case)
    )
    theirs = process_model.curves(case, 800, np.random.default_rng(2), grid)
    assert unlike(theirs, ours[:, [*range(6, ours.shape[1]), 3]]) > LEAST
    strong, _ = process_model.as_scene(case)
    faster = used.vector() * np.where(np.arange(len(used.vector())) == 2, 1.25, 1.0)
    off = Simulator(strong, faster).many(
        seeds_of(np.random.default_rng(1), 8000), grid, visits=process_model.visits(case)
    )
    assert unlike(theirs, off[:, [*range(6, off.shape[1]), 3]]) < LEAST


def test_looks_find_by_their_worth():
    """Shares found of 4,000 looks each: worth with signs, false alarms without, none in a remission."""
    n = 5
    onset, turn = np.array([10.0, np.inf, 10.0, 10.0, 60.0]), np.array([0.9, 1.0, 0.1, 0.1, 0.9])
    nothing, none = np.zeros(n), np.full(n, NO)
    outbreak = Outbreak(nothing, onset, turn, nothing, none, none, nothing, nothing, nothing, 0)
    looks = [Look(j, 50.0, 0.8, 0.05, False) for j in range(n)] + [Look(2, 22.0, 0.8, 0.05, False)]
    gen = np.random.default_rng(3)
    share = np.mean([[x.found for x in looked_at(outbreak, looks, np.array([0.33, 28.0, 7.0, 21.0]), gen)]
                     for _ in range(4000)], axis=0)  # fmt: skip
    want = np.array([0.81, 0.05, 0.81, 0.81, 0.05, 0.05])
    np.testing.assert_allclose(share, want, atol=4.5 * np.sqrt(0.81 * 0.19 / 4000))


def test_looks_that_err_together_find_by_the_beta_binomial_law():
    """Numbers found of five looks each at 4,000 colonies with signs: chi-square against SciPy's law."""
    n, worth, alike = 4000, 0.45, 0.25
    nothing, none = np.zeros(n), np.full(n, NO)
    outbreak = Outbreak(nothing, nothing, nothing + 1.0, nothing, none, none, nothing, nothing, nothing, 0)
    looks = [Look(j, 10.0 * k + 5.0, worth, 0.0, False, alike) for k in range(5) for j in range(n)]
    seen = looked_at(outbreak, looks, np.array([0.33, 28.0, 7.0, 21.0]), np.random.default_rng(8))
    count = np.bincount(np.bincount([look.colony for look in seen], [look.found for look in seen]).astype(int))
    law = betabinom.pmf(np.arange(6), 5, worth / alike, (1 - worth) / alike)
    assert chisquare(count, n * law).pvalue > 0.001
    assert chisquare(count, n * binom.pmf(np.arange(6), 5, worth)).pvalue < 1e-9


def test_the_same_luck_in_a_scene_with_more_removals():
    """Plans are compared on common luck: whoever is infected under both keeps its delay; removing only ever helps."""
    scene, theta = busy_scene(3, colonies=30), made_of(STRONG | {"background": 0.0})
    simulator, spared = Simulator(scene, theta), 0
    for k in range(200):
        plain = simulator.run(np.random.default_rng(k))
        looked = simulator.run(np.random.default_rng(k), visits=VISITS)
        infected = (looked.source != NO) & (plain.source != NO) & (looked.time == plain.time)
        np.testing.assert_array_equal(plain.onset[infected], looked.onset[infected])
        spared += (plain.source != NO).sum() - (looked.source != NO).sum()
    assert spared > 0
