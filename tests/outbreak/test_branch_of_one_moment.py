"""Two colonies infected at the very same moment: neither infected the other, and a branch with both comes to an end.

Run in a process of its own, without the compiler: machine code that goes round for ever, or writes beyond its arrays,
would take the other tests with it.
"""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
from verification.tiny import COIN, NEAR, NONE

from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.chain import Chain, Plan
from ashcomb.outbreak.kernel_branch import regrow
from ashcomb.outbreak.layout import RARE, packed
from ashcomb.outbreak.rates import rates
from ashcomb.outbreak.scene import FOREVER, NEVER, NO, PRESSURE, Look, Stay

ROOT = Path(__file__).parents[2]
TIMES = 40


def moved(apiaries: int) -> None:
    """Grows branches anew, each time from two infections by pressure on day 30; both may go, or all stays as it is.

    apiaries: 1, both in one block; 2, the other outside of it.
    """
    stays = [Stay(j, j % apiaries, 0, FOREVER) for j in range(2)]
    looks = [Look(j, 150, 0.9, 0.2, True) for j in range(2)]
    scene = build_scene(160, Colonies.plain(2, 0.0), Records(stays, NEAR, (), looks, (), None, COIN, NONE))
    used = rates(replaced=dict.fromkeys(("apiary", "robbing"), (0.006, "made stronger for the test")))
    chain = Chain(scene, packed(scene), used, np.random.default_rng(5))
    nobody, alike, yards = np.zeros(0, dtype=np.int64), np.ones(2, dtype=np.int64), np.arange(apiaries)
    went = 0
    for _ in range(TIMES):
        for name, value in (("time", 30.0), ("onset", 50.0), ("chance", 0.25), ("turn", 1.0), ("length", 0.0)):
            chain.state.floats(name)[:] = value
        chain.state.wholes("source")[:] = PRESSURE
        chain.follow(Plan(nobody, alike, 0, 10**9, yards=yards, branches=1))
        regrow(*chain.memory, chain.state.mem, chain.state.pos, chain.theta, chain.gen)
        time, source, kept = chain.state.floats("time"), chain.state.wholes("source"), chain.state.floats("rate").copy()
        assert np.array_equal(time == NEVER, source == NO)
        assert chain.state.wholes("plan")[RARE] == np.count_nonzero(source != NO)
        went += not np.all(time == 30.0)
        chain.rebuild()
        assert np.allclose(kept, chain.state.floats("rate"))
    assert 0 < went < TIMES, went


def test_a_branch_with_a_tie_ends():
    paths = os.pathsep.join([str(ROOT / "src"), str(ROOT)])
    without = {**os.environ, "NUMBA_DISABLE_JIT": "1", "PYTHONPATH": paths}
    done = subprocess.run([sys.executable, __file__], cwd=ROOT, env=without, timeout=120,
                          capture_output=True, text=True)  # fmt: skip
    assert done.returncode == 0, done.stderr


if __name__ == "__main__":
    moved(1)
    moved(2)
