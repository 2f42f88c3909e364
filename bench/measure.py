"""The frame of every benchmark: cases of one table are timed in turns, so a busy machine slows all of them alike."""

from __future__ import annotations

import statistics
from collections.abc import Callable
from dataclasses import dataclass, field
from time import perf_counter


@dataclass(frozen=True)
class Case:
    """One way to do the work. evaluations: how many results one call of `run` gives."""

    name: str
    run: Callable[[], object]
    evaluations: int = 1


@dataclass
class Table:
    """Cases compared with the first of `cases`, per evaluation. notes: printed under the table."""

    title: str
    cases: list[Case]
    rounds: int = 5
    notes: list[str] = field(default_factory=list)


def show(table: Table) -> str:
    """The table as text: median and spread of seconds a call, time per evaluation, ratio to the first case."""
    seconds: dict[str, list[float]] = {case.name: [] for case in table.cases}
    for case in table.cases:
        case.run()  # the first call may compile or fill caches
    for _ in range(table.rounds):
        for case in table.cases:
            begun = perf_counter()
            case.run()
            seconds[case.name].append(perf_counter() - begun)
    each = {case.name: statistics.median(seconds[case.name]) / case.evaluations for case in table.cases}
    width = max((len(case.name) for case in table.cases), default=4)
    lines = [table.title, f"  {'case':<{width}}  {'median':>10}  {'spread':>7}  {'each':>10}  {'ratio':>8}"]
    for case in table.cases:
        times = seconds[case.name]
        spread = max(times) / min(times)
        lines.append(
            f"  {case.name:<{width}}  {_time(statistics.median(times)):>10}  {spread:6.2f}x  "
            f"{_time(each[case.name]):>10}  {each[case.name] / each[table.cases[0].name]:7.2f}x"
        )
    return "\n".join(lines + [f"  {note}" for note in table.notes])


def _time(seconds: float) -> str:
    for unit, size in (("s", 1.0), ("ms", 1e-3), ("µs", 1e-6)):
        if seconds >= size:
            return f"{seconds / size:.3g} {unit}"
    return f"{seconds / 1e-9:.3g} ns"
