"""The brood clock: how many days with brood went by, for an onset that stands still while there is no brood."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from ashcomb.science.arrays import Array, Numbers, array


@dataclass(frozen=True)
class BroodClock:
    """Days with brood since day 0, on a daily grid. grid[k]: days with brood before day k; never falls."""

    grid: Array

    def brood_days(self, day: Numbers) -> Array:
        """Days with brood from day 0 until that time; straight lines inside a day, held at both ends."""
        return array(np.interp(array(day), np.arange(len(self.grid)), self.grid))

    def day_of(self, brood_days: Numbers) -> Array:
        """First time at which so many days with brood have gone by; beyond the grid it goes on as brood only."""
        wanted = array(brood_days)
        k = np.clip(np.searchsorted(self.grid, wanted, side="left"), 1, len(self.grid) - 1)
        step = np.maximum(self.grid[k] - self.grid[k - 1], 1e-12)
        inside = k - 1 + (wanted - self.grid[k - 1]) / step
        beyond = len(self.grid) - 1 + (wanted - self.grid[-1])
        return array(np.where(wanted > self.grid[-1], beyond, np.where(wanted <= 0, wanted, inside)))


def brood_clock(first: date, days: int, broodless_first_month: int = 0, broodless_last_month: int = 0) -> BroodClock:
    """The clock from a first day over so many days.

    days: 1 or more.  broodless_first_month, broodless_last_month: 1 to 12, both included, may run over the new year
    (11 to 2); 0 and 0 mean that there is brood all year.
    """
    months = np.array([(first + timedelta(k)).month for k in range(days)])
    first_month, last_month = broodless_first_month, broodless_last_month
    if not first_month:
        without = np.zeros(days, dtype=bool)
    elif first_month <= last_month:
        without = (months >= first_month) & (months <= last_month)
    else:
        without = (months >= first_month) | (months <= last_month)
    return BroodClock(np.concatenate([[0.0], np.cumsum(1.0 - without)]))
