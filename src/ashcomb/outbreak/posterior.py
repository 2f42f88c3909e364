"""What the records leave possible: draws of whole histories by several chains, until they agree and are enough.

The same seed gives the same draws on one worker or two: each chain has its own stream, by its number, and nothing
passes between chains. Nothing here reads a clock; the caller stops a run through `progress`.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np

from ashcomb.outbreak.chain import Chain as Chain
from ashcomb.outbreak.chain import Lacks, Plan, findings, lacking, plan_of, useful, weighed
from ashcomb.outbreak.chain import _infect as _infect
from ashcomb.outbreak.chain import start as start
from ashcomb.outbreak.convergence import Quality, apiary_sizes, colony_sizes, quality, standing
from ashcomb.outbreak.layout import packed
from ashcomb.outbreak.rates import Rates
from ashcomb.outbreak.scene import NO, Floats, Ints, Scene

_STAGES = (0.25, 0.5, 0.75)  # of the first round, after which too what lacks draws gets more moves
_SOME = 0.02  # share of the draws in which an apiary infected a colony, from which it counts as a source
_SELDOM = 0.002  # the same of an apiary that may take the place of another
_SOON = 0.05  # of the past, that is ahead at least
_ROUND = (1.1, 1.25)  # sweeps after the next round against those so far
_MOST_ROWS, _LEAST_KEPT = 10_000_000, 500  # infected colonies over all draws kept; draws of a chain for all that


@dataclass(frozen=True)
class Draws:
    """Draws of histories as rows, one for each infected colony of each draw; chain after chain, in order of drawing.

    draw, colony, source, infector (rows).  time, onset, turn, length (rows).  rates (draws, k).
    opened (m): events with an open date; dates (draws, m): their times.  chain (draws): number of the chain.
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
    opened: Ints = field(default_factory=lambda: np.zeros(0, dtype=np.int64))

    @property
    def count(self) -> int:
        """Number of draws."""
        return len(self.chain)

    def date_of(self, scene: Scene, event: int) -> Floats:
        """Time of one event in each draw."""
        at = np.flatnonzero(self.opened == event)
        return self.dates[:, at[0]] if len(at) else np.full(self.count, scene.event_from[event])


@dataclass(frozen=True)
class Posterior:
    """Draws with how good they are. stopped: 'enough', 'limit' or 'cancelled'.  sweeps: of each chain, burn-in too.

    chance, error (n): chance that each colony was infected by the horizon, with its Monte Carlo standard error. It is
    the mean of the chance at each visit, less noisy than the share of draws in which the colony is infected.
    """

    draws: Draws
    quality: Quality
    stopped: str
    sweeps: int
    seed: int

    @property
    def chance(self) -> Floats:
        """Chance of each colony, shape (n,)."""
        return self.quality.chance

    @property
    def error(self) -> Floats:
        """Its standard error, shape (n,)."""
        return self.quality.error


@dataclass(frozen=True)
class Effort:
    """How long to draw. chains: 2 or more.  burn: share of each chain so far that is thrown away; after that share of
    the first round, slow apiaries get more branches for the first time.

    pilot: sweeps over all colonies before the plan of visits is made; thrown away.  stride: a sweep over all at least
    every so many.  ess, rhat: every printed quantity must reach them.  first: sweeps of the first round; the next ones
    are as long as the first lacked.  most: sweeps of a chain at most.  kept: draws of a chain at most (it is thinned);
    fewer in very large scenes, for memory.
    """

    chains: int = 4
    burn: float = 0.1
    pilot: int = 24
    stride: int = 32
    ess: float = 1000.0
    rhat: float = 1.01
    first: int = 1024
    most: int = 65_536
    kept: int = 2500


Progress = Callable[[int, Quality], bool]


def sample(
    scene: Scene, rates: Rates, seed: int, effort: Effort | None = None, workers: int = 1,
    progress: Progress | None = None, cases: Ints | None = None,
) -> Posterior:  # fmt: skip
    """Draws histories given everything in the scene.

    seed: any whole number, 0 or more.  progress: called after each round with the sweeps so far and their quality;
    returns False to stop.  cases: colonies known as cases, left out of the hidden ones. Stops when effective sample
    size and R-hat suffice, at the limit, or when told; says which. After each quarter of the first round, and
    after each round, what lacks draws gets more moves and the rest fewer.
    """
    asked = effort or Effort()
    streams = np.random.SeedSequence(seed).spawn(asked.chains)
    memory = packed(scene)
    chains = [Chain(scene, memory, rates, np.random.Generator(np.random.SFC64(stream))) for stream in streams]
    known = np.zeros(0, dtype=np.int64) if cases is None else cases
    until = asked.first
    with ThreadPoolExecutor(workers) as pool:
        pilots = list(pool.map(lambda chain: chain.pilot(asked.pilot), chains))
        visits = np.maximum(sum(visits for _, visits in pilots), 1)
        plan = plan_of(scene, chains[0].theta, sum(sums for sums, _ in pilots) / visits, asked.stride, useful(chains))
        for chain in chains:
            chain.follow(plan)
        rows = sum(int((chain.state.wholes("source") > NO).sum()) for chain in chains)
        effort = replace(asked, kept=min(asked.kept, max(_MOST_ROWS // max(rows, 1), _LEAST_KEPT)))
        for part in (effort.burn, *(stage for stage in _STAGES if stage > effort.burn)):
            end = int(part * until) - chains[0].span
            list(pool.map(lambda chain, n=end, t=_thin(until, effort): chain.go_on(n, t), chains))
            if chains[0].sweeps:
                kept, tallies = part > effort.burn, [chain.tallies for chain in chains]
                draws = _joined(chains, effort if kept else replace(effort, burn=0.0))
                sizes = colony_sizes(tallies, chains[0].span, effort.burn) if kept else None
                plan = _followed(plan, chains, _lacking(scene, draws, known, sizes, effort, until / chains[0].sweeps))
                del draws  # in a large register they fill a third of the memory, and the next ones come before these go
        while True:
            list(pool.map(lambda chain, n=until, t=_thin(until, effort): chain.go_on(n, t), chains))
            draws, done = _joined(chains, effort), chains[0].sweeps
            found = quality(scene, draws, known, [chain.tallies for chain in chains],
                            chains[0].span, effort.burn)  # fmt: skip
            stopped = _stopped(done, found, effort, progress)
            if stopped:
                return Posterior(draws, found, stopped, done, seed)
            until = _next(done, found, effort)
            plan = _followed(plan, chains, _lacking(scene, draws, known, found.colony_ess, effort, until / done))
            del draws


def _stopped(done: int, found: Quality, effort: Effort, progress: Progress | None) -> str:
    """Why to stop now (see `Posterior`); empty to go on."""
    if found.ess >= effort.ess and found.rhat < effort.rhat:
        return "enough"
    if done >= effort.most:
        return "limit"
    return "cancelled" if progress is not None and not progress(done, found) else ""


def _thin(until: int, effort: Effort) -> int:
    return 1 << max(0, -(-until // (2 * effort.kept)) - 1).bit_length()


def _lacking(scene: Scene, draws: Draws, cases: Ints, sizes: Floats | None, effort: Effort, times: float) -> Lacks:
    """What each apiary and each colony lacks. An apiary lacks what its colonies lack, and its rivals (see `_rivals`).

    sizes (n): effective sizes of the colonies so far; none where the draws so far are thrown away.  times: sweeps until
    the next look, against those so far.
    """
    ahead = max(times - 1.0, _SOON)
    places = lacking(apiary_sizes(scene, draws, cases), effort.ess, ahead, 0.0 if sizes is None else 1.0)
    now = standing(scene, cases)
    known = np.isin(np.arange(len(now)), list(findings(scene)))
    feeds, fed = _feeding(draws, known, now, len(places)), _fed(draws, now, len(places))
    colonies = behind = None
    if sizes is not None:
        colonies, there = lacking(sizes, effort.ess, ahead), np.flatnonzero(now >= 0)
        np.maximum.at(places, now[there], colonies[there])
        behind = _behind(fed, len(now), places)
    return Lacks(np.maximum(places, _rivals(fed, known, places)), colonies, behind, feeds)


def _feeding(draws: Draws, case: np.ndarray, now: Ints, places: int) -> Floats:
    """Share of the draws in which a colony that stands at an apiary infected a known case, shape (places,).

    case (n): whether each colony is one.  now (n): see `standing`.
    """
    rows = np.flatnonzero(case[draws.colony] & (draws.infector >= 0))
    at = now[draws.infector[rows]]
    pairs = np.unique(at[at >= 0] * draws.count + draws.draw[rows[at >= 0]])
    return np.bincount(pairs // draws.count, minlength=places) / draws.count


class _Fed(NamedTuple):
    """Pairs of a colony and an apiary that infected it, and the share of the draws in which it did."""

    colony: Ints
    place: Ints
    share: Floats


def _fed(draws: Draws, now: Ints, places: int) -> _Fed:
    rows = np.flatnonzero(draws.infector >= 0)
    rows = rows[now[draws.infector[rows]] >= 0]
    pairs, counts = np.unique(draws.colony[rows] * places + now[draws.infector[rows]], return_counts=True)
    return _Fed(pairs // places, pairs % places, counts / draws.count)


def _behind(fed: _Fed, colonies: int, places: Floats) -> Floats:
    """For each colony the most that an apiary lacks from which it was infected in some of the draws."""
    found, often = np.zeros(colonies), fed.share >= _SOME
    np.maximum.at(found, fed.colony[often], places[fed.place[often]])
    return found


def _rivals(fed: _Fed, case: np.ndarray, places: Floats) -> Floats:
    """For each apiary the most that one lacks which infected the same known case in some of the draws.

    A spell in which an apiary feeds a case ends when the case finds another source just then. So the others that may
    be one must come and go as often as it.
    """
    wanted, found, known = np.zeros(len(case)), np.zeros(len(places)), case[fed.colony]
    often, seldom = known & (fed.share >= _SOME), known & (fed.share >= _SELDOM)
    np.maximum.at(wanted, fed.colony[often], places[fed.place[often]])
    np.maximum.at(found, fed.place[seldom], wanted[fed.colony[seldom]])
    return found


def _followed(plan: Plan, chains: list[Chain], lacks: Lacks) -> Plan:
    plan = weighed(plan, lacks)
    for chain in chains:
        chain.follow(plan)
    return plan


def _next(done: int, found: Quality, effort: Effort) -> int:
    """Sweeps after which to look again: what the effective size or R-hat lacks and a little more, within `_ROUND`."""
    lacks = max(effort.ess / max(found.ess, 1.0), (found.rhat - 1.0) / (effort.rhat - 1.0))
    return min(int(done * min(max(1.05 * lacks, _ROUND[0]), _ROUND[1])), max(effort.most, done))


def _joined(chains: list[Chain], effort: Effort) -> Draws:
    """The draws of all chains after their burn-in, thinned alike to at most `effort.kept` a chain."""
    parts = [_kept(chain, effort) for chain in chains]
    offset = np.concatenate([[0], np.cumsum([len(p["rates"]) for p in parts])])
    columns = {name: np.concatenate([p.pop(name) for p in parts]) for name in [*parts[0]] if name != "draw"}
    return Draws(
        draw=np.concatenate([p["draw"] + shift for p, shift in zip(parts, offset, strict=False)]),
        opened=chains[0].opened,
        chain=np.repeat(np.arange(len(parts)), np.diff(offset)),
        **columns,
    )


def _kept(chain: Chain, effort: Effort) -> dict[str, np.ndarray]:
    at = np.concatenate([p[5] for p in chain.pieces])
    late = np.flatnonzero(at > effort.burn * chain.sweeps)
    most = min(effort.kept, len(late))
    chosen = late[(np.arange(1, most + 1) * len(late)) // max(most, 1) - 1]  # as evenly as may be, with the last
    number = np.full(len(at), -1, dtype=np.int64)
    number[chosen] = np.arange(len(chosen))
    numbers = np.split(number, np.cumsum([len(p[5]) for p in chain.pieces])[:-1])
    draw = [np.repeat(some, np.diff(p[2], prepend=0)) for some, p in zip(numbers, chain.pieces, strict=True)]
    rows = [some >= 0 for some in draw]

    def column(field: int, k: int) -> np.ndarray:
        return np.concatenate([p[field][some, k] for p, some in zip(chain.pieces, rows, strict=True)])

    return {
        "draw": np.concatenate([one[some] for one, some in zip(draw, rows, strict=True)]),
        **{name: column(0, k).astype(np.int64) for k, name in enumerate(("colony", "source", "infector"))},
        **{name: column(1, k) for k, name in enumerate(("time", "onset", "turn", "length"))},
        "rates": np.concatenate([p[3] for p in chain.pieces])[chosen],
        "dates": np.concatenate([p[4] for p in chain.pieces])[chosen],
    }
