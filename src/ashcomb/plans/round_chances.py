"""How sure further rounds of full looks would make us, for any choice of dates, worked out fast.

Every hive is looked at in full in each round. What was looked at before stays as it was; given the onset of signs the
looks fail independently, so the past enters each hive as three numbers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np
import numpy.typing as npt

from ashcomb.plans.evidence import Evidence, Missed
from ashcomb.plans.followup_dates import Brood
from ashcomb.plans.hiding import Introductions, Own, month_ends
from ashcomb.science.evidence import all_missed

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True)
class _Rows:
    """One row for each kind of hive and day of infection. seen: chance missed so far with signs shown by the last look.

    silent: chance missed by tests that need no signs.  shown: share with signs by the last look.  period: 0 for the
    first exposure, else the month of the introduction.  share: of the hives of the group.
    """

    seen: Floats
    silent: Floats
    shown: Floats
    period: npt.NDArray[np.int64]
    share: Floats
    by_day: Floats


class Rounds:
    """Chances for rounds on some of the candidate days. look: chance that a full look finds a hive with signs."""

    def __init__(self, own: Own, since: Mapping[str, date], days: Sequence[date], brood: Brood, prior: float,
                 coming: Introductions, look: float) -> None:  # fmt: skip
        self.days, self.prior, self.look = tuple(days), prior, look
        self.ends = month_ends(min(since.values()), max(days))
        self.monthly = coming.of(len(since))
        kinds = Counter((own[hive], day) for hive, day in since.items())
        missed = Missed(brood)
        periods = list(enumerate([None, *self.ends]))
        rows = [_row(missed, evidence, max(day, end or day), period, count / len(since), self.days)
                for (evidence, day), count in kinds.items() for period, end in periods]  # fmt: skip
        self.rows = _Rows(*(np.array([row[k] for row in rows]) for k in range(6)))

    def free(self, chosen: Sequence[int]) -> float:
        """Probability of freedom after the last of the chosen rounds, rows of `days` in order, if none finds signs."""
        rows, left = self.rows, 1.0 - self.look
        hidden = rows.seen * left ** len(chosen)
        shown = rows.shown
        for place, k in enumerate(chosen):
            now = np.maximum(rows.by_day[:, k], shown)
            hidden = hidden + rows.silent * (now - shown) * left ** (len(chosen) - place)
            shown = now
        hidden = hidden + rows.silent * (1.0 - shown)
        by_period = np.bincount(rows.period, weights=hidden * rows.share)
        until = self.days[chosen[-1]] if chosen else self.days[0]
        months = sum(end <= until for end in self.ends)
        free, infected = self.prior, (1.0 - self.prior) * float(by_period[0])
        for period in range(1, months + 1):
            infected += free * self.monthly * float(by_period[period])
            free *= 1.0 - self.monthly
        return free / (free + infected)


def _row(
    missed: Missed, evidence: tuple[Evidence, ...], since: date, period: int, share: float, days: Sequence[date]
) -> tuple[float, float, float, int, float, list[float]]:
    past = [each for each in evidence if each.day >= since]
    shown = [missed.share(since, each.day) for each in past]
    last = shown[-1] if shown else 0.0
    silent = float(np.prod([1.0 - each.before for each in past]))
    whole = all_missed(shown, [each.with_signs for each in past], [each.before for each in past]) if past else 1.0
    by_day = [missed.share(since, day) if day >= since else 0.0 for day in days]
    return whole - silent * (1.0 - last), silent, last, period, share, by_day
