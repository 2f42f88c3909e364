"""The simulator against its readable twin and against SimPy, with ten times the runs of the quick tests."""

from __future__ import annotations

import numpy as np
import pytest
from tests.outbreak.scenes import busy_scene
from tests.outbreak.test_simulate import STRONG, VISITS, fast, made_of, slow
from verification import process_model
from verification.alike import LEAST, unlike

from ashcomb.outbreak.observation import onset_quantiles
from ashcomb.outbreak.simulate import Simulator, seeds_of


@pytest.mark.timeout(1800)
@pytest.mark.parametrize("scene", [11, 12])
def test_outbreaks_are_of_the_law_of_the_readable_twin(scene):
    visits = list(zip(VISITS[0].tolist(), VISITS[1].tolist(), strict=True))
    twin = slow(busy_scene(scene), made_of(STRONG), 3000, 1, visits)
    assert unlike(twin, fast(busy_scene(scene), made_of(STRONG), 40_000, 2, VISITS)) > LEAST


@pytest.mark.timeout(1800)
def test_curves_agree_in_mean_and_spread_with_a_library_of_processes():
    case = process_model.Case(20, 15, 700, onset_quantiles(), 0.0011, 0.0003, 0.2, 0.6, 50.0, 5.0, (150,))
    grid = np.linspace(70.0, 699.0, 10)
    scene, used = process_model.as_scene(case)
    seeds = seeds_of(np.random.default_rng(1), 50_000)
    ours = Simulator(scene, used.vector()).many(seeds, grid, visits=process_model.visits(case))
    theirs = process_model.curves(case, 4000, np.random.default_rng(2), grid)
    assert unlike(theirs, ours[:, [*range(6, ours.shape[1]), 3]]) > LEAST
