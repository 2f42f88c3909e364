"""Both ways to the earliest days give the same: arrays in rounds for a case, the compiled register for a nation."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.outbreak.networks import columns, worlds
from verification.trace_twin import World

from ashcomb.outbreak import contacts
from ashcomb.outbreak.contacts import Start, earliest


@settings(max_examples=60, deadline=None)
@given(worlds(), st.lists(st.tuples(st.sampled_from("ABC"), st.integers(0, 4)), min_size=1, max_size=3))
def test_the_threshold_changes_nothing(world: World, starts):
    data = columns(world, "ABCHK")
    at = [Start(data.places.index(place), day) for place, day in starts]
    kept = contacts.COMPILED_FROM
    try:
        few = earliest(data.transfers, at, 5)
        contacts.COMPILED_FROM = 0
        many = earliest(data.transfers, at, 5)
    finally:
        contacts.COMPILED_FROM = kept
    assert few[1].tolist() == many[1].tolist()
    reached = few[1] >= 0
    assert np.array_equal(few[0][reached], many[0][reached])


def test_the_compiler_stays_out_until_it_is_needed():
    code = (
        "import sys, ashcomb.cli.main, ashcomb.casework.tracing, ashcomb.casework.register, ashcomb.outbreak.contacts;"
        "assert 'numba' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
