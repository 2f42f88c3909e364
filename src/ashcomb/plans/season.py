"""When colonies have brood: only then can signs show and can a look find them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from ashcomb.kernel.time import add_months
from ashcomb.plans.figures import Figures
from ashcomb.plans.followup_dates import Brood

_HALF_YEAR = 6


@dataclass(frozen=True, slots=True)
class Season:
    """Months with brood, first and last, 1 to 12, both included; first may lie after last (southern hemisphere)."""

    first: int
    last: int

    def has_brood(self, day: date) -> bool:
        """Whether colonies have brood on that day."""
        inside = self.first <= day.month <= self.last
        return inside if self.first <= self.last else day.month >= self.first or day.month <= self.last

    def pauses(self, since: date, until: date) -> tuple[tuple[date, date], ...]:
        """The times without brood that touch since to until, as intervals that include both days."""
        found, month = [], date(since.year - 1, 1, 1)
        while month <= until:
            if self.has_brood(month) and not self.has_brood(_next(month)):
                start = _next(month)
                end = start
                while not self.has_brood(end):
                    end = _next(end)
                found.append((start, end - timedelta(days=1)))
            month = _next(month)
        return tuple(pause for pause in found if pause[1] >= since and pause[0] <= until)

    def brood(self, since: date, until: date) -> Brood:
        """The clock that stands still while there is no brood, for days from since to until."""
        return Brood(self.pauses(since, until))

    def spring(self, after: date) -> date:
        """First day with brood of the first season that begins after a day."""
        first = date(after.year, self.first, 1)
        return first if first > after else date(after.year + 1, self.first, 1)

    def autumn(self, after: date) -> date:
        """The middle of the last month with brood that comes after a day."""
        middle = date(after.year, self.last, 15)
        return middle if middle > after else date(after.year + 1, self.last, 15)


def season_of(figures: Figures, latitude: float | None) -> Season:
    """The program's months with brood, six months off south of the equator; an unknown latitude counts as north."""
    first, last = (int(figures.ours(f"detection.brood_{name}_month")) for name in ("first", "last"))
    shift = _HALF_YEAR if latitude is not None and latitude < 0 else 0
    return Season((first + shift - 1) % 12 + 1, (last + shift - 1) % 12 + 1)


def _next(month: date) -> date:
    return add_months(month, 1)
