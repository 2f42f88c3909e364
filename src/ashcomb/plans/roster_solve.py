"""Places jobs and people in one calendar with CP-SAT (OR-Tools): the most that matters, soonest, changing least."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from ashcomb.plans.roster_job import DAY, Person, Placed, RosterJob, Task

FIT = 100_000_000  # one unit of weight outweighs every minute of waiting and every change


@dataclass(frozen=True, slots=True)
class Found:
    """placed: the jobs that fit.  weight: of them.  bound: the most any calendar can hold.  proved: it is that."""

    placed: tuple[Placed, ...]
    weight: int
    bound: int
    proved: bool
    stopped: bool


class _Model:
    def __init__(self, job: RosterJob) -> None:
        from ortools.sat.python import cp_model

        self.job, self.m = job, cp_model.CpModel()
        self.by_mark = {task.mark: task for task in job.tasks}
        self.on = {t.mark: self.m.new_bool_var(f"on {t.mark}") for t in job.tasks}
        self.start = {t.mark: self.m.new_int_var(0, max(0, job.end - t.minutes), f"start {t.mark}") for t in job.tasks}
        self.there: dict[tuple[str, str], Any] = {}
        self.post: dict[tuple[str, str, str], Any] = {}
        self.day: dict[tuple[str, int], Any] = {}
        for task in job.tasks:
            self._hours(task)
            self._crew(task)
        for task in job.tasks:
            self._order(task)
        for person in job.people:
            self._person(person)
        for thing in sorted({thing for task in job.tasks for thing in task.shares}):
            self.m.add_no_overlap([self.m.new_optional_fixed_size_interval_var(
                self.start[t.mark], t.minutes, self.on[t.mark], f"{thing} {t.mark}")
                for t in job.tasks if thing in t.shares])  # fmt: skip

    def _hours(self, task: Task) -> None:
        """The job lies in one of its windows; which day it begins on follows."""
        inside = []
        days: dict[int, list[Any]] = {}
        for n, (first, last) in enumerate(task.windows):
            if last - first < task.minutes:
                continue
            chosen = self.m.new_bool_var(f"window {task.mark} {n}")
            self.m.add(self.start[task.mark] >= first).only_enforce_if(chosen)
            self.m.add(self.start[task.mark] <= last - task.minutes).only_enforce_if(chosen)
            inside.append(chosen)
            days.setdefault(first // DAY, []).append(chosen)
        self.m.add(sum(inside) == self.on[task.mark])
        for day, choices in days.items():
            self.day[task.mark, day] = sum(choices)

    def _crew(self, task: Task) -> None:
        """Every role filled by somebody who may, roles kept apart, and as many people as are needed."""
        on, m = self.on[task.mark], self.m
        for person in self.job.people:
            there = self.there[task.mark, person.mark] = m.new_bool_var(f"{person.mark} at {task.mark}")
            m.add_implication(there, on)
            posts = {}
            for role, _ in task.roles:
                if role in person.roles:
                    post = posts[role] = self.post[task.mark, person.mark, role] = m.new_bool_var(
                        f"{person.mark} {role} {task.mark}")  # fmt: skip
                    m.add_implication(post, there)
            for a, b in self.job.apart:
                if a in posts and b in posts:
                    m.add_at_most_one([posts[a], posts[b]])
            if task.named and person.mark not in task.named:
                m.add(there == 0)
            for day in person.off:
                if (task.mark, day) in self.day:
                    m.add(there + self.day[task.mark, day] <= 1)
        everybody = [self.there[task.mark, person.mark] for person in self.job.people]
        need = len(task.named) or task.people
        m.add(sum(everybody) >= need * on)
        m.add(sum(everybody) <= max(need, sum(count for _, count in task.roles)) * on)
        for role, count in task.roles:
            able = [
                self.post[task.mark, p.mark, role] for p in self.job.people if (task.mark, p.mark, role) in self.post
            ]
            m.add(sum(able) == count * on)

    def _order(self, task: Task) -> None:
        for before, lag in task.after:
            if before in self.by_mark:
                earlier, on = self.by_mark[before], self.on[task.mark]
                self.m.add_implication(on, self.on[before])
                self.m.add(self.start[task.mark] >= self.start[before] + earlier.minutes + lag).only_enforce_if(on)

        if task.kind == "burn":
            self._no_fuel_near_embers(task)

    def _no_fuel_near_embers(self, fire: Task) -> None:
        """At one place no fire is lit before the last night there is over."""
        for night in self.job.tasks:
            if night.kind == "night" and night.where == fire.where:
                both = [self.on[fire.mark], self.on[night.mark]]
                self.m.add(self.start[fire.mark] >= self.start[night.mark] + night.minutes).only_enforce_if(both)

    def _person(self, person: Person) -> None:
        """Nobody is in two places, rests after a night, and works no longer than a day's most."""
        tasks = self.job.tasks
        self.m.add_no_overlap([self.m.new_optional_fixed_size_interval_var(
            self.start[t.mark], t.minutes + t.rest, self.there[t.mark, person.mark], f"{person.mark} {t.mark}")
            for t in tasks])  # fmt: skip
        for day in range(self.job.days):
            terms = []
            for t in tasks:
                if (t.mark, day) in self.day:
                    both = self.m.new_bool_var(f"{person.mark} {t.mark} day {day}")
                    self.m.add(both >= self.there[t.mark, person.mark] + self.day[t.mark, day] - 1)
                    terms.append(t.minutes * both)
            if terms:
                self.m.add(sum(terms) <= self.job.most)

    def aim(self, before: Mapping[str, Placed], move_cost: int) -> None:
        """The most weight; then soonest, the weightier the sooner; then as little moved as can be."""
        terms = [FIT * t.weight * self.on[t.mark] for t in self.job.tasks]
        terms += [-task.weight * self.start[task.mark] for task in self.job.tasks]
        for mark, placed in before.items():
            if mark not in self.on:
                continue
            moved = self.m.new_bool_var(f"moved {mark}")
            self.m.add(self.start[mark] == placed.begins).only_enforce_if(moved.negated())
            for person in (person.mark for person in self.job.people):
                same = self.there[mark, person] == int(person in placed.people)
                self.m.add(same).only_enforce_if([moved.negated(), self.on[mark]])
            terms.append(-move_cost * moved)
            self.m.add_hint(self.start[mark], placed.begins)
        self.m.maximize(sum(terms))


def place(
    job: RosterJob,
    before: Mapping[str, Placed] | None = None,
    move_cost: int = 0,
    effort: float = 8.0,
    tell: Callable[[int, int], None] = lambda weight, bound: None,
    stop: Callable[[], bool] = lambda: False,
) -> Found:
    """The calendar that holds the most weight of jobs, then has them soonest, then moves the fewest from `before`.

    effort: deterministic seconds; no clock is read, so the same question gives the same calendar.  tell: weight placed
    and bound, at each better one.  stop: asked at each better one.
    """
    from ortools.sat.python import cp_model

    model = _Model(job)
    model.aim(before or {}, move_cost)
    solver = cp_model.CpSolver()
    solver.parameters.max_deterministic_time = effort
    solver.parameters.num_workers = 2
    solver.parameters.interleave_search = True
    solver.parameters.random_seed = 1
    halted: list[bool] = []

    class Watch(cp_model.CpSolverSolutionCallback):
        def on_solution_callback(self) -> None:
            tell(_weight(self.objective_value), _weight(self.best_objective_bound))
            if stop():
                halted.append(True)
                self.stop_search()

    status = solver.solve(model.m, Watch())
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found((), 0, sum(task.weight for task in job.tasks), False, bool(halted))
    placed = tuple(sorted((_placed(model, solver, t) for t in job.tasks if solver.boolean_value(model.on[t.mark])),
                          key=lambda p: (p.begins, p.mark)))  # fmt: skip
    weight = sum(model.by_mark[p.mark].weight for p in placed)
    bound = max(weight, _weight(solver.best_objective_bound))
    return Found(placed, weight, bound, status == cp_model.OPTIMAL, bool(halted))


def _weight(objective: float) -> int:
    return -int(-objective // FIT)


def _placed(model: _Model, solver: Any, task: Task) -> Placed:
    begins = solver.value(model.start[task.mark])
    people = tuple(p.mark for p in model.job.people if solver.boolean_value(model.there[task.mark, p.mark]))
    posts = tuple((role, person) for (mark, person, role), post in model.post.items()
                  if mark == task.mark and solver.boolean_value(post))  # fmt: skip
    return Placed(task.mark, begins, begins + task.minutes, people, tuple(sorted(posts)))
