"""Starting plans from the routing library of OR-Tools: all crews and days at once, improved until no step helps.

It knows the dirtiness rule, skills and working hours; where the hours of a landowner differ from day to day it takes
those that hold on each of them, and what then does not fit is left to the search that follows.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from ashcomb.plans.visit_job import MINUTES, Job, Route, route_of

SCALE = 1_000_000
BRANCHES = 1_000_000  # of the guided search: ends it where no further solution is to be found
FIRST = ("PATH_CHEAPEST_ARC", "PARALLEL_CHEAPEST_INSERTION")


def routed(job: Job, first: str = FIRST[0], steps: int = 0) -> list[Route]:
    """Routes by the routing library, from one of its first solutions and local search.

    steps: further solutions by guided local search; 0 stops at the first local optimum. Neither reads a clock.
    """
    from ortools.constraint_solver import pywrapcp, routing_enums_pb2

    vehicles = [(c, d) for d in range(job.days) for c, who in enumerate(job.crews) if who.home[d] > who.leaves[d]]
    if not vehicles or not job.stops:
        return []
    bases = sorted({job.crews[c].base for c, _ in vehicles})
    at = [bases.index(job.crews[c].base) for c, _ in vehicles]
    manager = pywrapcp.RoutingIndexManager(len(bases) + len(job.stops), len(vehicles), at, at)
    model: Any = pywrapcp.RoutingModel(manager)
    _costs(job, model, vehicles, bases)
    _times(job, model, manager, vehicles, bases)
    for index, stop in enumerate(job.stops):
        node = manager.NodeToIndex(len(bases) + index)
        able = [v for v, (c, d) in enumerate(vehicles) if stop.windows[d] and stop.needs <= job.crews[c].skills]
        model.AddDisjunction([node], round(SCALE * job.worth(index, 0)))
        model.VehicleVar(node).SetValues([-1, *able])
    asked = pywrapcp.DefaultRoutingSearchParameters()
    asked.first_solution_strategy = getattr(routing_enums_pb2.FirstSolutionStrategy, first)
    if steps:
        asked.local_search_metaheuristic = routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
        asked.solution_limit = steps
        model.AddSearchMonitor(model.solver().BranchesLimit(BRANCHES))
    found = model.SolveWithParameters(asked)
    return _read(job, model, manager, found, vehicles, len(bases)) if found else []


def _costs(job: Job, model: Any, vehicles: list[tuple[int, int]], bases: list[int]) -> None:
    """Driving, and for each day later what a stop loses by it."""
    places = [*bases, *(stop.place for stop in job.stops)]
    drive = job.shortest[np.ix_(places, places)] * (SCALE * job.hour_cost / MINUTES)
    by_day = {}
    for vehicle, (_, day) in enumerate(vehicles):
        if day not in by_day:
            late = [0.0] * len(bases) + [job.worth(i, 0) - job.worth(i, day) for i in range(len(job.stops))]
            cost = np.rint(drive + SCALE * np.array(late)[None, :]).astype(np.int64)
            by_day[day] = model.RegisterTransitMatrix(cost.tolist())
        model.SetArcCostEvaluatorOfVehicle(by_day[day], vehicle)


def _times(job: Job, model: Any, manager: Any, vehicles: list[tuple[int, int]], bases: list[int]) -> None:
    places = [*bases, *(stop.place for stop in job.stops)]
    work = np.array([0] * len(bases) + [stop.minutes for stop in job.stops])
    risk = np.array([-1] * len(bases) + [stop.risk for stop in job.stops])
    cleans = (risk[None, :] < risk[:, None]) & (risk[None, :] >= 0)
    spent = work[:, None] + job.shortest[np.ix_(places, places)] + np.where(cleans, job.disinfect, 0)
    latest = max(job.crews[c].home[d] for c, d in vehicles)
    model.AddDimension(model.RegisterTransitMatrix(spent.tolist()), latest, latest, False, "time")
    most = [job.crews[c].cleanings for c, _ in vehicles]
    model.AddDimensionWithVehicleCapacity(
        model.RegisterTransitMatrix(cleans.astype(int).tolist()), 0, most, True, "clean"
    )
    clock = model.GetDimensionOrDie("time")
    for vehicle, (c, d) in enumerate(vehicles):
        clock.CumulVar(model.Start(vehicle)).SetRange(job.crews[c].leaves[d], job.crews[c].leaves[d])
        clock.CumulVar(model.End(vehicle)).SetRange(job.crews[c].leaves[d], job.crews[c].home[d])
    for index, stop in enumerate(job.stops):
        open_ = [window for day in stop.windows for window in day]
        if open_:
            first = max(min(w[0] for w in day) for day in stop.windows if day)
            last = min(max(w[1] for w in day) for day in stop.windows if day) - stop.minutes
            node = manager.NodeToIndex(len(bases) + index)
            if first <= last:
                clock.CumulVar(node).SetRange(first, last)


def _read(
    job: Job, model: Any, manager: Any, found: Any, vehicles: list[tuple[int, int]], bases: int
) -> list[Route]:  # fmt: skip
    routes = []
    for vehicle, (crew, day) in enumerate(vehicles):
        index, stops = model.Start(vehicle), []
        while not model.IsEnd(index):
            node = manager.IndexToNode(index)
            stops += [node - bases] if node >= bases else []
            index = found.Value(model.NextVar(index))
        while stops and (route := route_of(job, crew, day, stops)) is None:
            stops.pop()
        if stops and route:
            routes.append(route)
    return routes
