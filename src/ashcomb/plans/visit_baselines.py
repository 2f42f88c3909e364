"""The orders that people use without a solver: nearest first and worst first. Plans start from them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from ashcomb.plans.visit_job import Job, Route, route_of

Choice = Callable[[Job, int, int, Sequence[int]], list[int]]


def nearest_first(job: Job, crew: int, at: int, left: Sequence[int]) -> list[int]:
    """From where the crew stands always to the nearest apiary left."""
    return sorted(left, key=lambda i: (job.shortest[at, job.stops[i].place], job.stops[i].part, i))


def worst_first(job: Job, crew: int, at: int, left: Sequence[int]) -> list[int]:
    """Always to the stop with the most infected hives to expect, wherever it lies."""
    return sorted(left, key=lambda i: (-job.stops[i].value, i))


def best_ratio(job: Job, crew: int, at: int, left: Sequence[int]) -> list[int]:
    """Always to the stop that is worth most for each minute of the way and the work."""

    def ratio(i: int) -> float:
        stop = job.stops[i]
        return stop.value / (stop.minutes + int(job.shortest[at, stop.place]) + 1)

    return sorted(left, key=lambda i: (-ratio(i), i))


def greedy(job: Job, choice: Choice, crews: Sequence[int] | None = None) -> list[Route]:
    """Routes built one stop after the other: each day, each crew in turn, as long as another stop fits.

    Where the choice breaks the order of dirtiness the crew cleans up, as often as it can, else it takes the next one.
    """
    left, found = list(range(len(job.stops))), []
    for day in range(job.days):
        for crew in crews if crews is not None else range(len(job.crews)):
            stops: list[int] = []
            while True:
                at = job.stops[stops[-1]].place if stops else job.crews[crew].base
                grown = (i for i in choice(job, crew, at, left) if _ready(job, i, left))
                fits = next((i for i in grown if route_of(job, crew, day, [*stops, i])), None)
                if fits is None:
                    break
                stops.append(fits)
                left.remove(fits)
            if stops and (route := route_of(job, crew, day, stops)):
                found.append(route)
    return found


def _ready(job: Job, stop: int, left: Sequence[int]) -> bool:
    """Whether the earlier parts of the same apiary are done: the worst hives of an apiary come first."""
    own = job.stops[stop]
    return not any(job.stops[i].apiary == own.apiary and job.stops[i].part < own.part for i in left)
