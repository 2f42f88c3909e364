"""Calibration by simulation, full: five thousand data sets on nine quantities."""

from __future__ import annotations

import pytest
from verification.sbc import p_values, places


@pytest.mark.timeout(3600)
def test_the_truth_lies_anywhere_among_the_draws_of_five_thousand():
    found = p_values(places(5000, first=100_000)[0])
    assert min(found.values()) > 1e-3, found
