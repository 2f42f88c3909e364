"""How well an infection somewhere in a group could hide from everything that was looked at and tested."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from ashcomb.kernel.time import add_months
from ashcomb.plans.evidence import Evidence, Missed
from ashcomb.plans.figures import Figures
from ashcomb.plans.followup_dates import Brood
from ashcomb.plans.methods import method
from ashcomb.science.evidence import freedom_with_introductions, mixed_group_sensitivity
from ashcomb.science.freedom import plateau
from ashcomb.science.onset import DAYS_IN_MONTH, signs_by_gamma

Own = Mapping[str, tuple[Evidence, ...]]
_MONTHS_IN_YEAR = 12


@dataclass(frozen=True, slots=True)
class Introductions:
    """Chance for one hive to catch the disease from outside within a month."""

    hive_month: float

    def of(self, hives: int) -> float:
        """Chance that at least one of so many hives catches it within a month."""
        return 1.0 - float((1.0 - self.hive_month) ** hives)


def introductions(figures: Figures, yearly: float | None, standstill: bool) -> Introductions:
    """From a yearly chance for one hive (None takes the program's), less while nothing moves in or out."""
    year = float(figures.ours("detection.introduction_hive_year")) if yearly is None else yearly
    share = float(figures.ours("detection.standstill_share")) if standstill else 1.0
    return Introductions(1.0 - (1.0 - year * share) ** (1 / _MONTHS_IN_YEAR))


class Hiding:
    """Works out chances for groups of hives; remembers each kind of hive. design: infected hives at least."""

    def __init__(self, brood: Brood, design: int) -> None:
        self.design = design
        self._missed = Missed(brood)
        self._known: dict[tuple[tuple[Evidence, ...], date], float] = {}

    def missed(self, evidence: tuple[Evidence, ...], since: date) -> float:
        """Chance that everything at one hive missed an infection of that day."""
        key = (evidence, since)
        if key not in self._known:
            self._known[key] = self._missed.of(evidence, since)
        return self._known[key]

    def found(self, own: Own, since: Mapping[str, date], until: date, at_least: date | None = None) -> float:
        """Chance that everything until a day would have found the infected hives of a group.

        since: day of infection of each hive.  at_least: a later day of infection, for what came in anew.
        """
        kinds = Counter((tuple(e for e in own[hive] if e.day <= until), max(day, at_least or day))
                        for hive, day in since.items())  # fmt: skip
        design = min(self.design, len(since))
        if design == 1:
            return 1.0 - sum(n * self.missed(*kind) for kind, n in kinds.items()) / len(since)
        chances = [self.missed(*kind) for kind, n in kinds.items() for _ in range(n)]
        return mixed_group_sensitivity(chances, design)

    def free(self, own: Own, since: Mapping[str, date], until: date, prior: float, coming: Introductions) -> float:
        """Probability that the group is free on a day, with introductions in each month since the first exposure."""
        ends = month_ends(min(since.values()), until)
        monthly = coming.of(len(since))
        missed = [1.0 - self.found(own, since, until), *(1.0 - self.found(own, since, until, end) for end in ends)]
        return freedom_with_introductions(prior, [monthly] * len(ends), missed)

    def plateau(self, since: Mapping[str, date], coming: Introductions, figures: Figures) -> float:
        """About where a full look at all hives every six weeks levels off; each counts what shows after six weeks."""
        days = int(figures.ours("plans.second_round_days"))
        months = days / DAYS_IN_MONTH
        sure = float(method("look", figures).signs) * signs_by_gamma(months)
        return float(plateau(sure, 1.0 - (1.0 - coming.of(len(since))) ** months).after)


def month_ends(first: date, last: date) -> list[date]:
    """The last day of each period of a month from first, as far as last."""
    found, number = [], 1
    while (end := add_months(first, number) - timedelta(days=1)) <= last:
        found.append(end)
        number += 1
    return found
