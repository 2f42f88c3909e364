"""Where the fields of a scene and of a state lie: none in the place of another, each read back as it was entered."""

from __future__ import annotations

import numpy as np
from tests.outbreak.scenes import busy_scene

from ashcomb.outbreak import layout
from ashcomb.outbreak.layout import SCENE_FLOATS, SCENE_WHOLES, STATE_FLOATS, STATE_WHOLES, State, packed


def test_every_field_of_a_scene_is_read_back():
    scene = busy_scene(5)
    memory = packed(scene)
    num, idx = memory
    for names, numbers in ((SCENE_FLOATS, num), (SCENE_WHOLES, idx)):
        for name in names:
            if hasattr(scene, name):
                begin, told = idx[getattr(layout, f"AT_{name.upper()}")], np.ravel(getattr(scene, name))
                stride = layout._GROUP.get(name, (1,))[0]
                found = numbers[begin + stride * np.arange(len(told))]
                assert np.array_equal(found, told.astype(found.dtype), equal_nan=found.dtype == float), name
                assert np.array_equal(memory.view(name, len(told)), found, equal_nan=found.dtype == float), name


def test_no_field_of_a_state_lies_in_another():
    state = State(busy_scene(5))
    head = len(STATE_FLOATS) + len(STATE_WHOLES)
    table = state.pos[:head].copy()
    for names, view in ((STATE_FLOATS, state.floats), (STATE_WHOLES, state.wholes)):
        for k, name in enumerate(names, 1):
            view(name)[:] = k
        for k, name in enumerate(names, 1):
            assert (view(name) == k).all(), name
    assert (state.pos[:head] == table).all()
