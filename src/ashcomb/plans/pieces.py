"""How many pieces each hive is made of, as counted."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date

from ashcomb.kernel.time import day_words
from ashcomb.records.places import Component, Hive
from ashcomb.records.situation import Situation

Key = tuple[str, str]  # owner: hive or lot mark, or "at " and the place for loose pieces; component kind


@dataclass(frozen=True, slots=True)
class Counted:
    """Pieces as counted. numbers: by owner and kind.  counted_on: last count.  doubts: counts that disagree."""

    numbers: dict[Key, int]
    counted_on: dict[Key, date]
    doubts: tuple[tuple[Key, str], ...]

    def of(self, owner: str, component: str) -> int:
        """Pieces of one kind of one owner."""
        return self.numbers.get((owner, component), 0)


def pieces_words(count: int, component: str) -> str:
    """'1 frame', '2 boxes'."""
    if count == 1 or component == "wax":
        return f"{count} {component}"
    return f"{count} {component}{'es' if component.endswith('x') else 's'}"


def owner_of(piece: Component) -> str:
    """The lot or hive that the pieces belong to, or 'at PLACE' for loose ones."""
    return piece.owner


def counted(pieces: Iterable[Component]) -> Counted:
    """Sums the counts. Rows of one day add up; a second count on another day that differs is a contradiction.

    Pieces of another pattern or material are counted apart and add up. Of counts that contradict each other the larger
    holds until a correction says otherwise, so that no piece is lost by counting again.
    """
    days: dict[tuple[Key, str, str], dict[date, int]] = defaultdict(lambda: defaultdict(int))
    for piece in pieces:
        days[((owner_of(piece), piece.component), piece.pattern, piece.material)][piece.happened.last] += piece.count
    numbers: dict[Key, int] = defaultdict(int)
    last: dict[Key, date] = {}
    doubts = []
    for (key, _, _), by_day in days.items():
        numbers[key] += max(by_day.values())
        last[key] = max(last.get(key, date.min), *by_day)
        if len(set(by_day.values())) > 1:
            found = ", ".join(f"{count} on {day_words(day)}" for day, count in sorted(by_day.items()))
            doubts.append(
                (key, f"{key[0]}: {key[1]} counted as {found}; the larger count holds until one is corrected.")
            )
    return Counted(dict(numbers), last, tuple(doubts))


def counted_of(situation: Situation, owners: Collection[str]) -> Counted:
    """The counted pieces of these owners: hives, lots, or 'at PLACE'."""
    return counted(p for p in situation.rows(Component) if p.owner in owners)


def boxes_of(situation: Situation, hives: Iterable[str]) -> tuple[dict[str, int | None], tuple[str, ...]]:
    """Boxes of each hive, and a sentence for each hive whose sheet and parts list disagree; then the larger holds."""
    known, wanted = situation.by_mark(Hive), tuple(hives)
    parts = counted_of(situation, wanted)
    boxes: dict[str, int | None] = {}
    said = []
    for mark in wanted:
        sheet, listed = (known[mark].boxes or 0) if mark in known else 0, parts.of(mark, "box")
        boxes[mark] = max(sheet, listed) or None
        if sheet and listed and sheet != listed:
            said.append(
                f"{mark}: {sheet} boxes on the hive sheet, {listed} in the parts list; the larger number is used."
            )
    return boxes, tuple(said)
