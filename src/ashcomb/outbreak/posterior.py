"""What the records leave possible: draws of whole histories by several chains, until they agree and are enough.

The same seed gives the same draws on one worker or two: each chain has its own stream, by its number, and nothing
passes between chains. Nothing here reads a clock; the caller stops a run through `progress`.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np

from ashcomb.outbreak.convergence import Quality, quality
from ashcomb.outbreak.layout import Packed, State, packed
from ashcomb.outbreak.rates import Rates
from ashcomb.outbreak.scene import BEFORE, NEVER, NO, PRESSURE, Floats, Ints, Scene
from ashcomb.outbreak.season import BroodClock


@dataclass(frozen=True)
class Draws:
    """Draws of histories as rows, one for each infected colony of each draw; chain after chain, in order of drawing.

    draw, colony, source, infector (rows).  time, onset, turn, length (rows).  rates (draws, k), dates (draws, m).
    chain (draws): number of the chain.
    """

    draw: Ints
    colony: Ints
    source: Ints
    infector: Ints
    time: Floats
    onset: Floats
    turn: Floats
    length: Floats
    rates: Floats
    dates: Floats
    chain: Ints

    @property
    def count(self) -> int:
        """Number of draws."""
        return len(self.chain)


@dataclass(frozen=True)
class Posterior:
    """Draws with how good they are. stopped: 'enough', 'limit' or 'cancelled'.  sweeps: of each chain, burn-in too."""

    draws: Draws
    quality: Quality
    stopped: str
    sweeps: int
    seed: int


@dataclass(frozen=True)
class Effort:
    """How long to draw. chains: 2 or more.  burn: share of each round's draws so far that is thrown away.

    ess, rhat: every printed quantity must reach them.  first: sweeps of the first round; each next one doubles all.
    most: sweeps of a chain at most.  kept: draws of a chain at most (it is thinned to keep no more).
    """

    chains: int = 4
    burn: float = 0.2
    ess: float = 1000.0
    rhat: float = 1.01
    first: int = 500
    most: int = 40_000
    kept: int = 2500


Progress = Callable[[int, Quality], bool]


def sample(
    scene: Scene, rates: Rates, seed: int, effort: Effort | None = None, workers: int = 1,
    progress: Progress | None = None, cases: Ints | None = None,
) -> Posterior:  # fmt: skip
    """Draws histories given everything in the scene.

    seed: any whole number, 0 or more.  progress: called after each round with the sweeps so far and their quality;
    returns False to stop.  cases: colonies known as cases, left out of the hidden ones. Stops when effective sample
    size and R-hat suffice, at the limit, or when told; says which.
    """
    effort = effort or Effort()
    streams = np.random.SeedSequence(seed).spawn(effort.chains)
    memory = packed(scene)
    chains = [Chain(scene, memory, rates, np.random.Generator(np.random.Philox(stream))) for stream in streams]
    known = np.zeros(0, dtype=np.int64) if cases is None else cases
    done, sweeps, stopped = 0, effort.first, ""
    with ThreadPoolExecutor(workers) as pool:
        while not stopped:
            thin = max(1, -(-sweeps // (effort.kept * 2)))
            list(pool.map(lambda chain, n=sweeps - done, t=thin: chain.run(n, t), chains))
            done = sweeps
            draws = _joined(chains, effort)
            found = quality(scene, draws, known)
            if found.ess >= effort.ess and found.rhat < effort.rhat:
                stopped = "enough"
            elif done >= effort.most:
                stopped = "limit"
            elif progress is not None and not progress(done, found):
                stopped = "cancelled"
            sweeps = min(max(2 * done, done + 1), effort.most)
    return Posterior(draws, found, stopped, done, seed)


@dataclass
class Chain:
    """One chain with its own stream of randomness. pieces: what it drew, with the sweeps that lie behind each draw."""

    scene: Scene
    memory: Packed
    rates: Rates
    gen: np.random.Generator
    pieces: list[tuple[Ints, Floats, Ints, Floats, Floats, Ints]] = field(default_factory=list)
    sweeps: int = 0

    def __post_init__(self) -> None:
        from ashcomb.outbreak.kernels import rebuild

        self.theta = self.rates.vector()
        self.theta[0] = max(self.theta[0], 1e-15)
        self.bounds = self.rates.bounds()
        self.state = start(self.scene, self.gen)
        rebuild(*self.memory, self.state.mem, self.state.pos, self.theta)

    def run(self, sweeps: int, thin: int) -> None:
        from ashcomb.outbreak.kernel_record import advance

        left = max(1, sweeps // thin)
        room = 4 * len(self.theta) + 64 * left + 4 * int((self.state.wholes("source") > NO).sum() + 16) * left
        while left > 0:
            whole, part = np.empty((room, 3), dtype=np.int64), np.empty((room, 4))
            ends, rates = np.empty(left, dtype=np.int64), np.empty((left, len(self.theta)))
            dates = np.empty((left, len(self.scene.event_kind)))
            made = advance(*self.memory, self.state.mem, self.state.pos, self.theta, self.bounds, left, thin, whole,
                           part, ends, rates, dates, self.gen)  # fmt: skip
            rows = ends[made - 1] if made else 0
            at = self.sweeps + thin * np.arange(1, made + 1)
            self.pieces.append((whole[:rows].copy(), part[:rows].copy(), ends[:made], rates[:made], dates[:made], at))
            self.sweeps += made * thin
            left -= made
            room *= 1 if made else 2


def start(scene: Scene, gen: np.random.Generator) -> State:
    """A first history: every colony with a positive finding is infected early enough to show it, no other is."""
    state = State(scene)
    open_days = scene.event_to - scene.event_from
    state.floats("when")[:] = scene.event_from + gen.random(len(open_days)) * open_days
    for j, at in _findings(scene).items():
        _infect(scene, state, j, at, gen)
    return state


def _findings(scene: Scene) -> dict[int, float]:
    """Colonies with a positive finding of their own, and its first time; of a pool the first member stands for all."""
    found: dict[int, float] = {}
    owner = np.repeat(np.arange(len(scene.first)), np.diff(scene.look_ptr))
    for k in np.flatnonzero(scene.look_found):
        found[int(owner[k])] = min(found.get(int(owner[k]), np.inf), float(scene.look_time[k]))
    for p in np.flatnonzero(scene.pool_found):
        members = scene.pool[scene.pool_ptr[p] : scene.pool_ptr[p + 1]]
        if len(members) and not any(int(j) in found for j in members):
            found[int(members[0])] = float(scene.pool_time[p])
    return found


def _infect(scene: Scene, state: State, j: int, at: float, gen: np.random.Generator) -> None:
    first, last = scene.first[j], min(at, scene.infectable[j])
    if last <= first:
        if scene.before[j] <= 0.0:
            return
        time, source = first, BEFORE
    else:
        time, source = max(first, last - 20.0 - gen.random() * 200.0), PRESSURE
    begun, wait = _brood(scene, time), _brood(scene, at) - _brood(scene, time)
    steps = len(scene.quantile) - 1
    chance = max(int(np.searchsorted(scene.quantile, wait, side="right")) - 1, 0) / steps * gen.random()
    delay = float(np.interp(chance * steps, np.arange(steps + 1), scene.quantile))
    state.floats("time")[j], state.wholes("source")[j], state.floats("chance")[j] = time, source, chance
    state.floats("onset")[j] = _day_of(scene, begun + delay)


def _brood(scene: Scene, day: float) -> float:
    return float(np.interp(day, np.arange(len(scene.brood)), scene.brood))


def _day_of(scene: Scene, brood: float) -> float:
    if not brood <= scene.brood[-1]:
        return NEVER
    return float(BroodClock(scene.brood).day_of(brood))


def _joined(chains: list[Chain], effort: Effort) -> Draws:
    """The draws of all chains after their burn-in, thinned alike to at most `effort.kept` a chain."""
    parts = [_kept(chain, effort) for chain in chains]
    offset = np.concatenate([[0], np.cumsum([len(p["rates"]) for p in parts])])
    columns = {name: np.concatenate([p[name] for p in parts]) for name in parts[0] if name != "draw"}
    return Draws(
        draw=np.concatenate([p["draw"] + shift for p, shift in zip(parts, offset, strict=False)]),
        chain=np.repeat(np.arange(len(parts)), np.diff(offset)),
        **columns,
    )


def _kept(chain: Chain, effort: Effort) -> dict[str, np.ndarray]:
    whole = np.concatenate([p[0] for p in chain.pieces])
    part = np.concatenate([p[1] for p in chain.pieces])
    sizes = np.concatenate([np.diff(p[2], prepend=0) for p in chain.pieces])
    at = np.concatenate([p[5] for p in chain.pieces])
    late = np.flatnonzero(at > effort.burn * chain.sweeps)
    stride = max(1, -(-len(late) // effort.kept))
    chosen = late[::-1][::stride][::-1]
    number = np.full(len(at), -1, dtype=np.int64)
    number[chosen] = np.arange(len(chosen))
    draw = np.repeat(number, sizes)
    rows = draw >= 0
    return {
        "draw": draw[rows], "colony": whole[rows, 0], "source": whole[rows, 1], "infector": whole[rows, 2],
        "time": part[rows, 0], "onset": part[rows, 1], "turn": part[rows, 2], "length": part[rows, 3],
        "rates": np.concatenate([p[3] for p in chain.pieces])[chosen],
        "dates": np.concatenate([p[4] for p in chain.pieces])[chosen],
    }  # fmt: skip
