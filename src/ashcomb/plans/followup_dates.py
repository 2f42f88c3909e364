"""When exposed hives are looked at next, and how much time with brood has passed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from ashcomb.kernel.time import day_words
from ashcomb.kernel.words import several
from ashcomb.plans.clocks import Clocks
from ashcomb.plans.figures import Figures
from ashcomb.science.onset import brood_months

LOOK_CLOCKS = ("first_look", "second_look", "reinspect")


@dataclass(frozen=True, slots=True)
class Brood:
    """When colonies had no brood, as intervals that include both days and do not overlap."""

    pauses: tuple[tuple[date, date], ...] = ()

    def months(self, start: date, end: date) -> float:
        """Months with brood from start to end; 0 when end is not later."""
        idle = [(min(end, last + timedelta(days=1)) - max(start, first)).days for first, last in self.pauses]
        return brood_months(max((end - start).days, 0), sum(max(days, 0) for days in idle))


def look_days(figures: Figures, dates: Clocks, today: date) -> list[tuple[date, str]]:
    """The coming days on which to look, each with its reason, in order.

    They are the profile's earliest looks that are still to come; where it sets none, the program's own rounds.
    """
    clocks = [clock for key in LOOK_CLOCKS if (clock := dates.of(key)) and clock.at and clock.at.day >= today]
    found = {clock.at.day: clock.words for clock in clocks if clock.at}
    if not found:
        for key in ("plans.second_round_days", "plans.third_round_days"):
            days = int(figures.ours(key))
            found[today + timedelta(days=days)] = (
                f"The profile sets no date: {several(days, 'day')} from {day_words(today)}."
            )
    return sorted(found.items())
