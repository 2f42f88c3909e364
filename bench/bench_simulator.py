"""The outbreak simulator: time of a step on the full model, and of an outbreak beside SimPy and an agent framework.

A step is a contact, a change of a rate, a dated move or a visit, whether it waits for its turn in the queue or is
passed over because it cannot matter; so steps can be compared whatever the simulator does to save work. One thread
each. Compile time stands apart; it is paid once, then the machine code lies on disk.
"""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterator
from pathlib import Path
from time import perf_counter, thread_time

import numpy as np
from measure import Case, Table

from ashcomb.outbreak.build import Colonies, Records, build_scene
from ashcomb.outbreak.observation import onset_quantiles
from ashcomb.outbreak.pressure import exponential_fall, near_apiaries
from ashcomb.outbreak.rates import rates
from ashcomb.outbreak.scene import FOREVER, Event, Scene, Stay
from ashcomb.outbreak.simulate import NO_VISITS, Simulator, seeds_of

sys.path.insert(0, str(Path(__file__).parents[1]))

NO_GRID = np.zeros(0)


def full_model(colonies: int, apiaries: int, days: int, seed: int) -> Scene:
    """Colonies that touch in pairs, apiaries scattered, moves, deaths, dated events of many kinds, winters."""
    rng = np.random.default_rng(seed)
    known = Colonies.plain(colonies, 0.001)
    home = rng.integers(apiaries, size=colonies)
    home.sort()
    for j in range(0, colonies - 1, 2):
        if home[j] == home[j + 1]:
            known.touching[j, 0], known.touching[j + 1, 0] = j + 1, j
    known.dead[rng.choice(colonies, colonies // 50, replace=False)] = 300.0
    stays = []
    for j in range(colonies):
        if j % 10:
            stays.append(Stay(j, int(home[j]), 0, FOREVER))
        else:
            stays += [Stay(j, int(home[j]), 0, 200), Stay(j, int(rng.integers(apiaries)), 200, FOREVER)]
    near = near_apiaries(rng.random((apiaries, 2)) * 30, 5.0, exponential_fall(1.0))
    events = []
    for _ in range(colonies // 5):
        day, among = float(rng.uniform(1, days - 30)), rng.choice(colonies, 9, replace=False).tolist()
        kind = int(rng.choice([1, 2, 6, 8, 11]))
        open_days = 10.0 if rng.random() < 0.2 else 0.0
        events.append(Event(kind, day, day + open_days, 1.0, [(i, 0.2, None) for i in among[:4]], among[4:]))
    brood = np.concatenate([[0.0], np.cumsum((np.arange(2500) % 365 < 270) * 1.0)])
    return build_scene(days, known, Records(stays, near, events, brood=brood))


def _full(scale: float) -> tuple[Simulator, float]:
    names = ("touching", "apiary", "robbing")

    plain = {rate.name: rate.value for rate in rates().rates}
    used = rates(replaced={name: (plain[name] * scale, "size of the benchmark") for name in names})
    return Simulator(full_model(5_000, 100, 730, 1), used.vector()), scale


def tables() -> Iterator[Table]:
    """Full model at three sizes of outbreak; the special case beside SimPy; beside Mesa."""
    yield _steps()
    yield from _beside()


def _steps() -> Table:
    table = Table("Full model, 5,000 colonies, 100 apiaries, 1,000 dated events, 730 days: a step", [], rounds=5)
    begun = perf_counter()
    first, _ = _full(1.0)
    first.many(seeds_of(np.random.default_rng(0), 1), NO_GRID)
    table.notes.append(f"first call, scene and machine code from disk or made anew: {perf_counter() - begun:.1f} s")
    for scale, runs in ((1.0, 400), (3.0, 200), (10.0, 40)):
        simulator, _ = _full(scale)
        out = simulator.many(seeds_of(np.random.default_rng(1), runs), NO_GRID)
        cpu = thread_time()
        simulator.many(seeds_of(np.random.default_rng(1), runs), NO_GRID)
        cpu = thread_time() - cpu
        steps = int(out[:, 0].sum())
        table.cases.append(Case(f"contact rates × {scale:g}", _runner(simulator, runs), steps))
        table.notes.append(
            f"× {scale:g}: {out[:, 1].mean():.0f} infected (sd {out[:, 1].std():.0f}), {steps / runs:.0f} steps an "
            f"outbreak; {cpu / steps * 1e9:.0f} ns of processor time a step, {cpu / runs * 1e6:.0f} µs an outbreak"
        )
    return table


def _runner(simulator: Simulator, runs: int, visits=NO_VISITS):
    return lambda: simulator.many(seeds_of(np.random.default_rng(1), runs), NO_GRID, visits=visits)


def _beside() -> Iterator[Table]:
    from verification.process_model import Case as Special

    for scale in (1.0, 3.0):
        first = tuple(range(0, 5_000, 500))
        yield _special(
            Special(100, 50, 730, onset_quantiles(), scale * 2.2e-4, scale * 3e-5, 0.1, 0, 0, 0, first), scale
        )


def _special(special: object, scale: float) -> Table:
    from verification.agent_model import infected
    from verification.process_model import Row, as_scene

    scene, used = as_scene(special)
    simulator = Simulator(scene, used.vector())
    out = simulator.many(seeds_of(np.random.default_rng(1), 400), NO_GRID)
    theirs = np.array([(Row(special, np.random.default_rng(k)).time < np.inf).sum() for k in range(20)])
    error = np.hypot(out[:, 1].std() / 20, theirs.std() / np.sqrt(len(theirs)))
    words = [
        f"infected: ashcomb {out[:, 1].mean():.0f} (sd {out[:, 1].std():.0f}, {out[:, 0].mean():.0f} steps), SimPy "
        f"{theirs.mean():.0f} (sd {theirs.std():.0f}), {(out[:, 1].mean() - theirs.mean()) / error:+.1f} errors",
        "mean and spread of the curves are tested in tests/outbreak/test_simulate.py",
    ]

    def others() -> object:
        return [int((Row(special, np.random.default_rng(k)).time < np.inf).sum()) for k in range(len(theirs))]

    gc.collect()
    gc.freeze()  # what the library throws away is its own to collect; what else lies in memory is not
    mine = Case("ashcomb", _runner(simulator, 400), 400)
    cases = [mine, Case("SimPy, a process for each colony", others, len(theirs))]
    if scale == 1.0:
        agents: list[int] = []
        cases.append(Case("Mesa, an agent for each colony, by days", lambda: agents.append(infected(special, 1))))
    title = f"Special case, 5,000 colonies in 100 apiaries, 730 days, contact rates × {scale:g}: an outbreak"
    return Table(title, cases, rounds=3, notes=words)
