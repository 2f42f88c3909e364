"""The best single days of a crew: every route is grown stop by stop, and a route that cannot pay any more is dropped.

Whatever is dropped unfinished leaves its best imaginable value behind, so that the bound holds however early one stops.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ashcomb.plans.visit_job import MINUTES, Job, Minutes

Floats = npt.NDArray[np.float64]
_NEVER = np.iinfo(np.int64).max // 4
_LEAST = 1e-9
ROOM = 3  # times as many grown as kept


@dataclass(frozen=True)
class Priced:
    """Routes as tuples of stops with their reduced value, best first. bound: no route whatever is worth more."""

    routes: tuple[tuple[tuple[int, ...], float], ...]
    bound: float
    complete: bool


@dataclass
class _Labels:
    """Unfinished routes of one length as columns. path: stops in order.  seen: which stops are in it.  sets: a number
    that stands for them, whatever their order.  cleanings: disinfection stops so far.
    """

    path: npt.NDArray[np.int32]
    seen: npt.NDArray[np.bool_]
    sets: Minutes
    clock: Minutes
    value: Floats
    cleanings: Minutes

    def __len__(self) -> int:
        return len(self.clock)

    def take(self, rows: npt.NDArray[np.int64]) -> _Labels:
        return _Labels(self.path[rows], self.seen[rows], self.sets[rows], self.clock[rows], self.value[rows],
                       self.cleanings[rows])  # fmt: skip


class Grower:
    """Grows the routes of one crew on one day. Whoever asks gives the price of each stop."""

    def __init__(self, job: Job, crew: int, day: int) -> None:
        self.job, self.who, self.day = job, job.crews[crew], day
        able = [i for i, s in enumerate(job.stops) if s.windows[day] and s.needs <= self.who.skills]
        out = np.array([job.shortest[self.who.base, job.stops[i].place] for i in able], dtype=np.int64)
        back = np.array([job.shortest[job.stops[i].place, self.who.base] for i in able], dtype=np.int64)
        work = np.array([job.stops[i].minutes for i in able], dtype=np.int64)
        fits = out + work + back <= self.who.home[day] - self.who.leaves[day] if able else np.zeros(0, dtype=bool)
        self.able = np.array(able, dtype=np.int64)[fits]
        self.out, self.back, self.work = out[fits], back[fits], work[fits]
        self.risk = np.array([job.stops[i].risk for i in self.able], dtype=np.int64)
        self.worth = np.array([job.worth(int(i), day) for i in self.able])
        names = [job.stops[i].apiary for i in self.able]
        parts = [job.stops[i].part for i in self.able]
        of = list(zip(names, parts, strict=True))
        self.later = np.array([[not (a == b and q < p) for b, q in of] for a, p in of], dtype=bool)
        self.travel = job.travel[np.ix_(self.able, self.able)] if len(self.able) else np.zeros((0, 0), np.int64)
        widest = max((len(job.stops[i].windows[day]) for i in self.able), default=0)
        self.windows = np.full((len(self.able), widest, 2), -1, dtype=np.int64)
        for row, i in enumerate(self.able):
            for k, window in enumerate(job.stops[i].windows[day]):
                self.windows[row, k] = window
        self.salt = np.random.default_rng(20310506).integers(1, 2**62, size=len(self.able), dtype=np.int64)

    def price(self, prices: Floats, above: float, most: int, keep: int) -> Priced:
        """The routes whose worth less the prices of their stops and the driving exceeds `above`, best first.

        prices: by stop.  most: unfinished routes kept at each length.  keep: routes returned.
        """
        rest = _Rest(self, prices)
        done: list[tuple[float, tuple[int, ...]]] = []
        lost, complete = 0.0, True
        labels = self._start(rest)
        while len(labels):
            home = labels.value - self._cost(self.back[labels.path[:, -1]])
            done += [(float(home[row]), tuple(self.able[labels.path[row]].tolist()))
                     for row in np.flatnonzero(home > above)]  # fmt: skip
            hope = rest.of(labels)
            labels, hope = labels.take(np.flatnonzero(hope > above)), hope[hope > above]
            if len(labels) > most:
                order = np.argsort(-hope, kind="stable")
                lost, complete = max(lost, float(hope[order[most]])), False
                labels = labels.take(np.sort(order[:most]))
            labels, dropped = self._grow(labels, rest, above, ROOM * most)
            lost, complete = max(lost, dropped), complete and not dropped
        best = _best(done, keep)
        bound = max([lost, above, *(value for value, _ in best[:1])])
        return Priced(tuple((stops, value) for value, stops in best), bound, complete and len(done) <= keep)

    def _cost(self, minutes: Minutes) -> Floats:
        return self.job.hour_cost * minutes / MINUTES

    def _start(self, rest: _Rest) -> _Labels:
        arrives = self.who.leaves[self.day] + self.out
        clock = self._begin(np.arange(len(self.able)), arrives) + self.work
        rows = rest.good[clock[rest.good] + self.back[rest.good] <= self.who.home[self.day]]
        seen = np.zeros((len(rows), len(self.able)), dtype=bool)
        seen[np.arange(len(rows)), rows] = True
        value = rest.gain[rows] - self._cost(self.out[rows])
        return _Labels(rows[:, None].astype(np.int32), seen, self.salt[rows], clock[rows], value,
                       np.zeros(len(rows), dtype=np.int64))  # fmt: skip

    def _begin(self, rows: npt.NDArray[np.int64], arrives: Minutes) -> Minutes:
        """When work can begin at stops `rows` for arrivals of the same shape; far away where it cannot."""
        found = np.full(arrives.shape, _NEVER, dtype=np.int64)
        for k in range(self.windows.shape[1]):
            first, last = self.windows[rows, k, 0], self.windows[rows, k, 1]
            start = np.maximum(arrives, first)
            found = np.where((first >= 0) & (start + self.work[rows] <= last), np.minimum(found, start), found)
        return found

    def _grow(self, labels: _Labels, rest: _Rest, above: float, most: int) -> tuple[_Labels, float]:
        """Every label with every further stop that fits, each set of stops with the same last one only at its best.

        At most so many; also what the best of those left out could have been worth, 0 if none was.
        """
        good, last = rest.good, labels.path[:, -1]
        dirty = self.risk[good][None, :] < self.risk[last][:, None]
        drive = self.travel[last][:, good]
        arrives = labels.clock[:, None] + drive + np.where(dirty, self.job.disinfect, 0)
        clock = self._begin(good, arrives) + self.work[good][None, :]
        value = labels.value[:, None] + rest.gain[good][None, :] - self._cost(drive)
        fits = (~labels.seen[:, good] & self.later[last][:, good]
                & (clock + self.back[good][None, :] <= self.who.home[self.day])
                & (labels.cleanings[:, None] + dirty <= self.who.cleanings))  # fmt: skip
        hope = np.where(fits, rest.quick(clock, value), -np.inf)
        row, column = np.nonzero(hope > above)
        dropped = 0.0
        if len(row) > most:
            order = np.argsort(-hope[row, column], kind="stable")
            dropped = float(hope[row[order[most]], column[order[most]]])
            row, column = row[np.sort(order[:most])], column[np.sort(order[:most])]
        stop = good[column]
        seen = labels.seen[row]
        seen[np.arange(len(row)), stop] = True
        made = _Labels(np.column_stack([labels.path[row], stop.astype(np.int32)]), seen,
                       labels.sets[row] + self.salt[stop], clock[row, column], value[row, column],
                       labels.cleanings[row] + dirty[row, column])  # fmt: skip
        return self._undominated(made), dropped

    def _undominated(self, labels: _Labels) -> _Labels:
        """Of the same stops with the same last one and as many cleanings, no route both later and worth less."""
        if not len(labels):
            return labels
        last = labels.path[:, -1]
        order = np.lexsort((-labels.value, labels.clock, labels.cleanings, last, labels.sets))
        key = np.stack([labels.sets[order], last[order], labels.cleanings[order]])
        fresh = np.r_[True, np.any(key[:, 1:] != key[:, :-1], axis=0)]
        kept, best = [], -np.inf
        for row, new, value in zip(order.tolist(), fresh.tolist(), labels.value[order].tolist(), strict=True):
            best = -np.inf if new else best
            if value > best + _LEAST:
                kept.append(row)
                best = value
        return labels.take(np.array(sorted(kept), dtype=np.int64))


class _Rest:
    """What the rest of a day can be worth at most, under given prices of the stops.

    Each further stop takes its work and its shortest way in. The rest of the day is filled by gain for time, the last
    stop cut; and no more stops are taken than the shortest ones that fit. The smaller of the two holds.
    """

    def __init__(self, grower: Grower, prices: Floats) -> None:
        self.gain = grower.worth - prices[grower.able]
        self.good = np.flatnonzero(self.gain > _LEAST)
        good = self.good
        near = grower.travel[np.ix_(good, good)].copy()
        np.fill_diagonal(near, _NEVER)
        into = near.min(axis=0, initial=_NEVER)
        into = np.where(into >= _NEVER, 0, into)
        self.time = np.maximum(grower.work[good] + into, 1)
        self.net = np.maximum(self.gain[good] - grower.job.hour_cost * into / MINUTES, 0.0)
        home = int(grower.back[good].min(initial=_NEVER)) if len(good) else 0
        self.limit = grower.who.home[grower.day] - home
        self.home_cost = grower.job.hour_cost * home / MINUTES
        self.by_ratio = np.argsort(-self.net / self.time, kind="stable")
        self.by_time = np.argsort(self.time, kind="stable")
        self.by_net = np.argsort(-self.net, kind="stable")
        self._times = np.r_[0, np.cumsum(self.time[self.by_ratio])].astype(np.float64)
        self._nets = np.r_[0.0, np.cumsum(self.net[self.by_ratio])]
        self._shortest = np.cumsum(self.time[self.by_time])
        self._richest = np.r_[0.0, np.cumsum(self.net[self.by_net])]

    def quick(self, clock: Minutes, value: Floats) -> Floats:
        """A loose bound that forgets which stops were seen."""
        room = np.maximum(self.limit - clock, 0)
        cut = np.interp(room, self._times, self._nets)
        whole = self._richest[np.searchsorted(self._shortest, room, side="right")]
        return np.asarray(value + np.minimum(cut, whole) - self.home_cost, dtype=np.float64)

    def of(self, labels: _Labels) -> Floats:
        """The bound for labels, without the stops that they have seen."""
        room = (self.limit - labels.clock)[:, None]
        free = ~labels.seen[:, self.good] & (self.net > 0)[None, :] & (self.time[None, :] <= room)
        time, net = self.time[self.by_ratio], self.net[self.by_ratio]
        open_ = free[:, self.by_ratio]
        spent = np.where(open_, time[None, :], 0)
        share = np.clip((room - np.cumsum(spent, axis=1) + spent) / time[None, :], 0.0, 1.0)
        cut = np.sum(np.where(open_, share * net[None, :], 0.0), axis=1)
        shortest = np.cumsum(np.where(free[:, self.by_time], self.time[self.by_time][None, :], 0), axis=1)
        most = np.sum(free[:, self.by_time] & (shortest <= room), axis=1)
        taken = free[:, self.by_net] & (np.cumsum(free[:, self.by_net], axis=1) <= most[:, None])
        whole = np.sum(np.where(taken, self.net[self.by_net][None, :], 0.0), axis=1)
        return np.asarray(labels.value + np.minimum(cut, whole) - self.home_cost, dtype=np.float64)


def _best(done: list[tuple[float, tuple[int, ...]]], keep: int) -> list[tuple[float, tuple[int, ...]]]:
    return sorted(done, key=lambda item: (-item[0], item[1]))[:keep]
