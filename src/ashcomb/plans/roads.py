"""Driving times between places: from a table that somebody gives, else from straight lines and a mean speed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.positions import Position, distance_m
from ashcomb.plans.visit_job import Minutes

KM = 1_000
HOUR = 60


@dataclass(frozen=True)
class Roads:
    """Driving minutes between marked places. km: along the roads.  guessed: pairs that no table held."""

    marks: tuple[str, ...]
    minutes: Minutes
    km: npt.NDArray[np.float64]
    guessed: int

    def row(self, mark: str) -> int:
        """The row of a place."""
        return self.marks.index(mark)


def roads_between(
    places: Mapping[str, Position],
    anchor: tuple[float, float] | None,
    figures: Figures,
    table: Mapping[tuple[str, str], float] | None = None,
) -> Roads:
    """Whole minutes, rounded up, between every two places, both ways.

    table: minutes by (from, to); a pair that it holds one way only counts both ways. What it lacks is guessed from the
    straight line, a road factor and a mean speed. Raises UserError where no distance can be worked out.
    """
    marks, given = tuple(places), dict(table or {})
    factor, speed = float(figures.ours("visits.road_factor")), float(figures.ours("visits.road_speed"))
    minutes, km = np.zeros((len(marks), len(marks))), np.zeros((len(marks), len(marks)))
    guessed = 0
    for i, a in enumerate(marks):
        for j, b in enumerate(marks[:i]):
            line = distance_m(places[a], places[b], anchor)
            there, back = given.get((a, b), given.get((b, a))), given.get((b, a), given.get((a, b)))
            if line is None and there is None:
                raise UserError(f"No distance from {a} to {b} can be worked out.",
                                "Give both a position of one kind, the grid's zero, or a driving time.")  # fmt: skip
            km[i, j] = km[j, i] = (line or 0.0) / KM * factor
            guess = km[i, j] / speed * HOUR
            guessed += there is None
            minutes[i, j], minutes[j, i] = guess if there is None else there, guess if back is None else back
    return Roads(marks, np.ceil(np.round(minutes, 6)).astype(np.int64), km, guessed)


def read_table(rows: Sequence[Sequence[str]], where: str) -> dict[tuple[str, str], float]:
    """A table of driving minutes from its cells: either from, to, minutes in three columns, or a square with marks at
    its top and left. Raises UserError naming the row and what is wrong.
    """
    cells = [[cell.strip() for cell in row] for row in rows if any(cell.strip() for cell in row)]
    if not cells:
        raise UserError("The table of driving times is empty.", "Give from, to and minutes in three columns.", where)
    head = [cell.casefold() for cell in cells[0]]
    if len(head) == 3 and head[:2] == ["from", "to"]:
        return {(row[0], row[1]): _minutes(row, 2, where, n) for n, row in enumerate(cells[1:], 2)}
    tops = cells[0][1:]
    return {(row[0], top): _minutes(row, k, where, n) for n, row in enumerate(cells[1:], 2)
            for k, top in enumerate(tops, 1) if k < len(row) and row[k] and row[0] != top}  # fmt: skip


def _minutes(row: Sequence[str], column: int, where: str, number: int) -> float:
    try:
        found = float(row[column].replace(",", "."))
    except (ValueError, IndexError):
        shown = row[column] if column < len(row) else ""
        place = f"{where}, row {number}"
        raise UserError(f"“{shown}” is no number of minutes.", "Write minutes, like 25.", place) from None
    if not 0 <= found < 24 * HOUR:
        raise UserError(f"{found:g} minutes cannot be a drive.", "Correct it.", f"{where}, row {number}")
    return found
