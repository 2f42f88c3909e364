"""How likely each hive is infected now, and how likely it shows it: what decides where to look first.

Any source of such chances will do; here they come from the ways of exposure and from what was looked at since.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from math import prod

from ashcomb.kernel.errors import UserError
from ashcomb.plans.evidence import Evidence, Missed
from ashcomb.plans.exposures import Exposure
from ashcomb.plans.season import Season


@dataclass(frozen=True, slots=True)
class Chance:
    """infected: chance that the hive is infected now.  visible: chance that it is, and shows signs. 0 to 1."""

    infected: float
    visible: float

    def __post_init__(self) -> None:
        if not 0.0 <= self.visible <= self.infected <= 1.0:
            raise UserError(
                f"A chance of signs of {self.visible:g} does not fit a chance of infection of {self.infected:g}.",
                "Give shares from 0 to 1, signs at most as likely as infection.",
            )


Assessment = Mapping[str, Chance]
"""Chances by hive."""


def from_exposures(
    exposures: Iterable[Exposure], evidence: Mapping[str, tuple[Evidence, ...]], season: Season, today: date
) -> dict[str, Chance]:
    """The chances today by Bayes' rule from how each hive was exposed and from what was found nothing in since.

    An uncertain day of exposure counts from its last. Hives in which signs were seen do not belong in here.
    """
    listed = list(exposures)
    start = min((e.since.last for e in listed), default=today)
    missed = Missed(season.brood(start, today))
    return {e.hive: _chance(e, evidence.get(e.hive, ()), missed, today) for e in listed}


def _chance(exposure: Exposure, evidence: tuple[Evidence, ...], missed: Missed, today: date) -> Chance:
    since, prior = min(exposure.since.last, today), float(exposure.prior)
    before = tuple(each for each in evidence if each.day <= today)
    hidden = missed.of(before, since)
    silent = missed.of((*before, Evidence(today, "", 1.0, 0.0)), since)  # of these, no signs even today
    whole = prior * hidden + 1.0 - prior
    infected = prior * hidden / whole if whole else 1.0
    return Chance(infected, min(infected, prior * max(hidden - silent, 0.0) / whole if whole else 1.0))


def expected_finds(assessment: Assessment, hives: Iterable[str], look: float) -> float:
    """Infected hives that one look into each of these is expected to find. look: chance to find a hive with signs."""
    return sum(assessment[hive].visible * look for hive in hives)


def any_infected(assessment: Assessment, hives: Iterable[str], look: float = 0.0) -> float:
    """Chance that at least one of the hives is infected; with `look`, after a look into each that found nothing."""
    return 1.0 - prod(
        (1.0 - assessment[hive].infected) / max(1.0 - assessment[hive].visible * look, 1e-300) for hive in hives
    )


def completed(assessment: Assessment, hives: Iterable[str], least: float) -> dict[str, Chance]:
    """Chances of all these hives: one that nothing points at gets the least, half of it with signs."""
    return {hive: assessment.get(hive, Chance(least, least / 2)) for hive in hives}
