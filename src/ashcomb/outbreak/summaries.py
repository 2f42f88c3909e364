"""What the draws say: chances of each colony, links between cases, hidden cases of groups, sources of infections."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ashcomb.outbreak.convergence import effective_size
from ashcomb.outbreak.posterior import Draws, Posterior
from ashcomb.outbreak.scene import BEFORE, PRESSURE, Floats, Ints, Scene

Bools = npt.NDArray[np.bool_]
_Z = 1.959963984540054  # two-sided 95 % of the normal law
BACKGROUND, OUTSIDE = -1, -3  # infector of a draw that is no colony
MOVED_IN = -4  # source of a place's first infection: a colony that came there infected


@dataclass(frozen=True)
class Chances:
    """For n colonies. infected: now, and still there.  low, high: 95 % of what drawing leaves open.  error: standard
    error of drawing.  signs: infected and showing signs now.  ever: infected at any time.  link: ever strictly between
    two cases on the way that the disease took.
    """

    infected: Floats
    low: Floats
    high: Floats
    error: Floats
    signs: Floats
    ever: Floats
    link: Floats


@dataclass(frozen=True)
class Hidden:
    """For g groups: cases not known, now. mean; low, high: 95 % of the draws.  none: chance of none.  error: standard
    error of drawing of the mean.
    """

    mean: Floats
    low: Floats
    high: Floats
    none: Floats
    error: Floats


@dataclass(frozen=True, slots=True)
class Source:
    """One way in which it may have come. source: as in a scene (PRESSURE is split: `place` of the infector, or -1 for
    the background).  share of the draws.  error: of drawing.  by: (colony, share), those that gave it most often.
    """

    source: int
    place: int
    share: float
    error: float
    by: tuple[tuple[int, float], ...]


def colony_chances(scene: Scene, posterior: Posterior, cases: Ints) -> Chances:
    """The chances of each colony. cases: numbers of the known cases.

    The chance of signs is that of an infection times the share of signs among the draws that hold it.
    """
    draws, n = posterior.draws, len(scene.first)
    there = scene.end[draws.colony] > scene.horizon
    seen = shows(scene, draws, np.arange(len(draws.draw)), scene.horizon)
    stands, drawn = scene.end > scene.horizon, _share(draws, n, there)
    infected = np.where(stands, posterior.chance, 0.0)
    low, high = wilson(infected, np.maximum(posterior.quality.colony_ess, 1.0))
    error = np.where(stands, posterior.error, 0.0)
    signs = infected * _share(draws, n, there & seen) / np.where(drawn > 0.0, drawn, 1.0)
    link = np.zeros(len(draws.draw), dtype=bool)
    link[links(draws, cases)] = True
    return Chances(infected, low, high, error, signs, _share(draws, n, np.ones_like(there)),
                   _share(draws, n, link))  # fmt: skip


def wilson(share: Floats, size: Floats) -> tuple[Floats, Floats]:
    """95 % interval of a share among so many independent draws; any shape, 0 to 1.

    E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209.
    """
    middle = (share + _Z**2 / (2 * size)) / (1 + _Z**2 / size)
    half = _Z * np.sqrt(share * (1 - share) / size + _Z**2 / (4 * size**2)) / (1 + _Z**2 / size)
    return np.maximum(middle - half, 0.0), np.minimum(middle + half, 1.0)


def shows(scene: Scene, draws: Draws, rows: Ints, at: float | Floats) -> Bools:
    """Whether the infected colonies of these rows show signs at a time: after the onset, not in a remission."""
    share, within, least, most = scene.remission
    onset, turn = draws.onset[rows], draws.turn[rows]
    begins = onset + within * turn / max(share, 1e-300)
    gone = (turn < share) & (begins <= at) & (at < begins + least + (most - least) * draws.length[rows])
    return np.asarray((onset <= at) & ~gone)


def links(draws: Draws, cases: Ints) -> Ints:
    """Rows of colonies that lie strictly between two cases on the tree of who infected whom.

    From such a colony at least two ways lead to cases: to its own source, or to colonies that it infected.
    """
    known = np.zeros(max(int(draws.colony.max(initial=0)), int(cases.max(initial=0))) + 1, dtype=bool)
    known[cases] = True
    up = parents(draws)
    below = known[draws.colony].astype(np.int64)  # cases in the subtree of each row, itself included
    ways = np.zeros(len(up), dtype=np.int64)
    depth = _depth(up)
    for level in range(int(depth.max(initial=0)), 0, -1):
        rows = np.flatnonzero(depth == level)
        np.add.at(below, up[rows], below[rows])
        np.add.at(ways, up[rows], below[rows] > 0)
    root = _root(up)
    ways += (below[root] > below) & (up >= 0)
    return np.flatnonzero(ways >= 2).astype(np.int64)


def parents(draws: Draws) -> Ints:
    """Row of the infector of each row in the same draw, or -1 where it came from no colony of the scene."""
    width = max(int(draws.colony.max(initial=0)), int(draws.infector.max(initial=0))) + 1
    key = draws.draw * width + draws.colony
    order = np.argsort(key, kind="stable")
    wanted = draws.draw * width + draws.infector
    at = np.minimum(np.searchsorted(key[order], wanted), max(len(key) - 1, 0))
    found = order[at] if len(order) else order
    return np.where((draws.infector >= 0) & (key[found] == wanted), found, -1).astype(np.int64)


def _depth(up: Ints) -> Ints:
    depth, at = np.zeros(len(up), dtype=np.int64), up.copy()
    while (at >= 0).any():
        depth += at >= 0
        at = np.where(at >= 0, up[at], -1)
    return depth


def _root(up: Ints) -> Ints:
    root = np.arange(len(up))
    while True:
        above = up[root]
        if not (above >= 0).any():
            return root
        root = np.where(above >= 0, above, root)


def hidden_cases(scene: Scene, draws: Draws, cases: Ints, group: Ints, groups: int) -> Hidden:
    """Infected colonies that are no known case, now. group (n): number of each colony's group, or -1 for none."""
    known = np.zeros(len(scene.first), dtype=bool)
    known[cases] = True
    rows = (scene.end[draws.colony] > scene.horizon) & ~known[draws.colony] & (group[draws.colony] >= 0)
    cell = group[draws.colony[rows]] * draws.count + draws.draw[rows]
    found, number = np.unique(cell, return_counts=True)
    mean, low, high, none, error = (np.zeros(groups) for _ in range(5))
    none[:] = 1.0
    start = np.searchsorted(found, np.arange(groups + 1) * draws.count)
    for g in np.flatnonzero(np.diff(start)):
        counts = np.zeros(draws.count)
        counts[found[start[g] : start[g + 1]] - g * draws.count] = number[start[g] : start[g + 1]]
        mean[g], none[g] = counts.mean(), (counts == 0).mean()
        low[g], high[g] = np.quantile(counts, (0.025, 0.975), method="inverted_cdf")
        error[g] = counts.std() / np.sqrt(_size(draws, counts))
    return Hidden(mean, low, high, none, error)


def last_place(scene: Scene) -> Ints:
    """Place of each colony at the horizon, or -1."""
    found = np.full(len(scene.first), -1, dtype=np.int64)
    here = (scene.stay_from <= scene.horizon) & (scene.horizon <= scene.stay_to)
    found[scene.stay_of[here]] = scene.stay_place[here]
    return found


def sources_of(scene: Scene, draws: Draws, rows: Ints, came: Bools | None = None, most: int = 5) -> list[Source]:
    """The sources of some infections, at most one row a draw, by their share of the draws that hold one, largest first.

    came: rows of colonies that moved in infected; they count as the source MOVED_IN.  most: givers named for each.
    """
    if not len(rows):
        return []
    source, infector = draws.source[rows], draws.infector[rows]
    if came is not None:
        source, infector = np.where(came, MOVED_IN, source), np.where(came, draws.colony[rows], infector)
    place = np.where((source == PRESSURE) & (infector >= 0), place_at(scene, infector, draws.time[rows]), -1)
    keys, which = np.unique(np.stack([source, place], axis=1), axis=0, return_inverse=True)
    which = which.reshape(-1)
    found = []
    for k, (kind, where) in enumerate(keys):
        mine = which == k
        series = np.zeros(draws.count)
        series[draws.draw[rows[mine]]] = 1.0
        share = float(mine.mean())
        size = _size(draws, series) * len(rows) / draws.count
        colony, number = np.unique(infector[mine], return_counts=True)
        order = [i for i in np.argsort(-number, kind="stable") if colony[i] >= 0][:most]
        by = tuple((int(colony[i]), float(number[i] / len(rows))) for i in order)
        found.append(Source(int(kind), int(where), share, float(np.sqrt(share * (1 - share) / size)), by))
    return sorted(found, key=lambda s: (-s.share, s.source, s.place))


def tells(found: list[Source], least: float) -> bool:
    """Whether a source may be named: the first holds at least that share and leads by more than drawing may do."""
    if not found or found[0].share < least:
        return False
    second = found[1] if len(found) > 1 else Source(BEFORE, -1, 0.0, 0.0, ())
    return found[0].share - second.share > 2 * float(np.hypot(found[0].error, second.error))


def rows_of(draws: Draws, colony: int) -> Ints:
    """Rows of one colony."""
    return np.flatnonzero(draws.colony == colony).astype(np.int64)


def first_rows(scene: Scene, draws: Draws, place: int) -> tuple[Ints, Bools]:
    """For each draw the row of the colony that first stood infected at a place, and whether it came there infected."""
    slot = np.flatnonzero(scene.stay_place == place)
    best = np.full(draws.count, np.inf)
    row = np.full(draws.count, -1, dtype=np.int64)
    came = np.zeros(draws.count, dtype=bool)
    for s in slot:
        mine = rows_of(draws, int(scene.stay_of[s]))
        since = np.maximum(draws.time[mine], scene.stay_from[s])
        mine, since = mine[since < scene.stay_to[s]], since[since < scene.stay_to[s]]
        sooner = since < best[draws.draw[mine]]
        mine, since = mine[sooner], since[sooner]
        best[draws.draw[mine]], row[draws.draw[mine]] = since, mine
        came[draws.draw[mine]] = draws.time[mine] < scene.stay_from[s]
    return row[row >= 0], came[row >= 0]


def place_at(scene: Scene, colony: Ints, at: Floats) -> Ints:
    """Place of each of these colonies at its time, or -1."""
    found = np.full(len(colony), -1, dtype=np.int64)
    for k in range(int(np.diff(scene.stay_ptr).max(initial=0))):
        slot = scene.stay_ptr[colony] + k
        there = slot < scene.stay_ptr[colony + 1]
        slot = np.where(there, slot, 0)
        here = there & (scene.stay_from[slot] <= at) & (at < scene.stay_to[slot])
        found[here] = scene.stay_place[slot[here]]
    return found


def _share(draws: Draws, n: int, kept: Bools) -> Floats:
    return np.bincount(draws.colony, weights=kept, minlength=n) / draws.count


def _size(draws: Draws, series: Floats) -> float:
    """Effective size of a series with one number for each draw."""
    return effective_size(series.reshape(int(draws.chain[-1]) + 1, -1))
