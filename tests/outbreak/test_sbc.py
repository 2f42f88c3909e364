"""Calibration by simulation, quick: a thousand data sets, nine quantities; three planted faults must be caught.

`make verify` runs five thousand.
"""

from __future__ import annotations

import pytest
from verification.sbc import BRANCHES, DUOS, QUANTITIES, p_values, places

LEAST = 1e-3


@pytest.fixture(scope="module")
def sound():
    """Places of the truth: as drawn, and with every posterior made ten in a hundred too narrow."""
    return places(1000, ("", "narrow"))


def test_the_truth_lies_anywhere_among_the_draws(sound):
    found = p_values(sound[0])
    assert len(found) == len(QUANTITIES) >= 6
    assert min(found.values()) > LEAST, found


@pytest.mark.parametrize("plan", [BRANCHES, DUOS], ids=["branches", "one side anew"])
def test_it_does_so_where_one_move_does_most_of_the_work(plan):
    found = p_values(places(1000, plan=plan)[0])
    assert min(found.values()) > LEAST, found


def test_a_posterior_ten_in_a_hundred_too_narrow_is_caught(sound):
    found = p_values(sound[1])
    assert max(found["background rate"], found["same-apiary rate"]) < LEAST, found


def test_a_shifted_rate_is_caught():
    assert min(p_values(places(500, ("shifted rate",))[0]).values()) < LEAST


def test_a_dropped_look_is_caught_by_the_chance_of_what_was_seen():
    """A sampler that ignores a look is right about the rest: only a quantity that knows the look can tell."""
    found = p_values(places(400, ("dropped look",))[0])
    assert [name for name, p in found.items() if p < LEAST] == ["chance of what was seen"]
