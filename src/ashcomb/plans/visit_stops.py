"""Cuts the hives to be looked at into visits: the likeliest hives of an apiary first, none longer than a day allows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from ashcomb.plans.assessed import Assessment
from ashcomb.plans.figures import Figures
from ashcomb.plans.visit_job import Stop
from ashcomb.plans.visit_windows import Window, widest

CLASSES = ("nothing points at it", "in the zone", "exposed", "signs or cases")
"""How dirty an apiary is taken to be, from the least."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Yard:
    """One apiary to be visited. risk: index in CLASSES.  windows: for each day.  needs: what somebody must know."""

    mark: str
    hives: tuple[str, ...]
    place: int
    risk: int
    windows: tuple[tuple[Window, ...], ...]
    needs: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Pace:
    """Minutes for each hive, for each arrival, and of the longest part. look: chance to find a hive with signs."""

    hive: int
    arrive: int
    part: int
    look: float


def pace_of(figures: Figures) -> Pace:
    """The program's pace of work."""
    names = ("hive_minutes", "arrive_minutes", "part_minutes")
    hive, arrive, part = (int(figures.ours(f"visits.{name}")) for name in names)
    return Pace(hive, arrive, part, float(figures.ours("surveillance.look_sensitivity")))


def stops_of(yards: Sequence[Yard], assessment: Assessment, pace: Pace, longest: int) -> list[Stop]:
    """The visits that all the yards make. longest: minutes that a crew can work in one go.

    A visit is worth the infected hives that it is expected to find.
    """
    return [stop for yard in yards for stop in _cut(yard, assessment, pace, longest)]


def _cut(yard: Yard, assessment: Assessment, pace: Pace, longest: int) -> list[Stop]:
    room = min([pace.part, longest, *([max(widest(w) for w in yard.windows)] if any(yard.windows) else [])])
    most = max(1, (room - pace.arrive) // pace.hive)
    ranked = sorted(yard.hives, key=lambda hive: (-assessment[hive].visible, hive))
    parts = ceil(len(ranked) / most)
    size = ceil(len(ranked) / max(parts, 1))
    groups = [ranked[k : k + size] for k in range(0, len(ranked), size)]
    return [_stop(yard, n, groups, assessment, pace) for n in range(len(groups))]


def _stop(yard: Yard, number: int, groups: Sequence[Sequence[str]], assessment: Assessment, pace: Pace) -> Stop:
    hives = tuple(groups[number])
    name = yard.mark if len(groups) == 1 else f"{yard.mark} {number + 1}/{len(groups)}"
    value = sum(assessment[hive].visible for hive in hives) * pace.look
    return Stop(mark=name, apiary=yard.mark, hives=tuple(sorted(hives)), place=yard.place, part=number, value=value,
                minutes=pace.arrive + pace.hive * len(hives), risk=yard.risk, windows=yard.windows,
                needs=yard.needs)  # fmt: skip
