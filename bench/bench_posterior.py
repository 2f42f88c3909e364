"""The posterior of invented registers: seconds to enough draws, cold and warm, memory, and what compiling takes.

Each run is a process of its own, so that start and memory are its own. `python bench/bench_posterior.py HIVES
APIARIES INDEX [SEED [TIMES]]` runs one, `… demo CASE` the case in a folder, twice. The kernels are compiled before;
`COMPILE=1` shows that time apart, in a new folder.
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ashcomb.outbreak.scene import Scene

SIZES = {"1,200 hives, 28 apiaries": (1204, 28, 1), "5,000 hives, 200 apiaries": (5000, 200, 2),
         "100,000 hives, 4,000 apiaries": (100_000, 4000, 6)}  # fmt: skip
SEED = 1


def one(hives: int, apiaries: int, index: int, seed: int, times: int = 1) -> dict[str, object]:
    """Builds a register, draws until enough, and tells how long that took and how good it is."""
    begun = time.perf_counter()
    from ashcomb.outbreak import kernel_record  # noqa: F401

    start = time.perf_counter() - begun
    from outbreak_scene import register

    return drawn(*register(hives, apiaries, index, seed), start, seed, times)


def case(folder: str) -> dict[str, object]:
    """The same for the case in a folder, twice, as `ashcomb assess` draws it, without reading records and telling."""
    begun = time.perf_counter()
    from ashcomb.casework.case import open_case
    from ashcomb.casework.hand import this_hand
    from ashcomb.outbreak import kernel_record  # noqa: F401
    from ashcomb.plans.scene import staged

    start = time.perf_counter() - begun
    made = open_case(Path(folder), this_hand("reader"))
    stage = staged(made.situation(), made.profile(), made.today())
    return drawn(stage.scene, stage.cases, start, SEED, 2)


def drawn(scene: Scene, cases: Sequence[int], start: float, seed: int, times: int) -> dict[str, object]:
    """Draws until enough, so many times, and tells how long that took and how good it is."""
    import numpy as np

    from ashcomb.outbreak.posterior import sample
    from ashcomb.outbreak.rates import rates

    seconds, work, told = [], [], None
    for _ in range(times):
        begun, used = time.perf_counter(), time.process_time()
        told = sample(scene, rates(), seed, workers=2, cases=np.array(cases, dtype=np.int64))
        seconds.append(time.perf_counter() - begun)
        work.append(time.process_time() - used)
    assert told is not None
    return {
        "cases": len(cases), "events": len(scene.event_kind), "start": start, "seconds": seconds,
        "cpu": work, "ess": told.quality.ess,
        "weakest": told.quality.weakest, "rhat": told.quality.rhat, "stopped": told.stopped, "sweeps": told.sweeps,
        "hidden": float(told.chance.sum()) - len(cases),
        "gib": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20,
    }  # fmt: skip


def apart(hives: int, apiaries: int, index: int, seed: int, times: int, cache: str = "") -> dict[str, object]:
    """The same in a process of its own."""
    command = [sys.executable, __file__, *map(str, (hives, apiaries, index, seed, times))]
    env = os.environ | ({"NUMBA_CACHE_DIR": cache} if cache else {})
    return json.loads(subprocess.run(command, env=env, check=True, capture_output=True, text=True).stdout)


def tables() -> Iterator[object]:
    """One table for each size; its notes tell memory, effective size and R-hat of the first run."""
    from measure import Table

    for words, size in SIZES.items():
        small = size[0] < 50_000
        found = apart(*size, SEED, 2 if small else 1)
        seconds, cpu = found["seconds"], found["cpu"]
        notes = [
            f"cold: {found['start']:.1f} s to start and {seconds[0]:.1f} s to draw (cpu {cpu[0]:.1f} s)"
            + (f"; warm: {seconds[1]:.1f} s (cpu {cpu[1]:.1f} s)" if small else ""),
            f"{found['cases']} cases, {found['events']} events, {found['hidden']:.1f} hidden ones expected; "
            f"{found['stopped']} after {found['sweeps']} sweeps of 4 chains",
            f"least effective size {found['ess']:.0f} ({found['weakest']}), R-hat {found['rhat']:.4f}, "
            f"most memory {found['gib']:.2f} GiB",
        ]
        yield Table(f"Posterior: {words}", [], 1, notes)
    if os.environ.get("COMPILE"):
        with tempfile.TemporaryDirectory() as cache:
            begun = time.perf_counter()
            apart(60, 3, 1, SEED, 1, cache)
            words = f"compiling everything in an empty folder: {time.perf_counter() - begun:.0f} s"
        yield Table("Compiling", [], 1, [words])


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parent))
    if sys.argv[1:2] == ["demo"]:
        print(json.dumps(case(sys.argv[2])))
        sys.exit()
    figures = [int(word) for word in sys.argv[1:]]
    print(json.dumps(one(*(figures + [SEED, 1][len(figures) - 3 :]))))
