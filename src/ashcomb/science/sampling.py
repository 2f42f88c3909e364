"""How sure a sample makes us, exactly: hypergeometric group sensitivity and the least number to inspect.

All results are exact fractions, so a confidence that equals the target reaches it. Approximations are in
`sampling_approx`, the case of false alarms in `sampling_alarms`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil, comb, log1p

from ashcomb.kernel.errors import UserError
from ashcomb.science.exact import exact
from ashcomb.science.formula import Quantity, formula

UNITS = Quantity("1", 1, 20_000, "units in the group, such as hives in the apiary")
INFECTED = Quantity("1", 1, 20_000, "infected units that the survey should not miss")
TESTED = Quantity("1", 0, 20_000, "units looked at, drawn at random")
SENSITIVITY = Quantity("1", 0, 1, "chance that one look at an infected unit finds it")
PREVALENCE = Quantity("1", 0, 1, "share infected")
TARGET = Quantity("1", 0, 1, "confidence wanted, below 1 for large groups")


@dataclass(frozen=True, slots=True)
class SampleSize:
    """Least number to look at.

    number: None when the target cannot be reached.  confidence: reached with `number`, or with all units when None.
    """

    number: int | None
    confidence: Fraction

    @property
    def reached(self) -> bool:
        """Whether some number of looks reaches the target."""
        return self.number is not None


@formula(
    returns="1",
    source="cameron-baldock-1998",
    place="distribution of reactors in a finite group, specificity 1",
    status="derived",
    units=UNITS,
    infected=INFECTED,
    tested=TESTED,
    sensitivity=SENSITIVITY,
)
def group_sensitivity(units: int, infected: int, tested: int, sensitivity: float | Fraction) -> Fraction:
    """Chance that a random sample from a finite group finds at least one of the infected units.

    units, infected, tested: whole numbers, infected and tested at most units.  sensitivity: 0 to 1, looks at different
    units independent, no false alarms.  Returns an exact fraction.
    1 - sum over y of C(D,y) C(N-D,n-y) / C(N,n) * (1-Se)^y.
    Raises UserError if more are infected or tested than there are.
    """
    _fits(units, infected=infected, tested=tested)
    missed, sound = 1 - exact(sensitivity), units - infected
    least, most = max(0, tested - sound), min(infected, tested)
    drawn = comb(infected, least) * comb(sound, tested - least) * missed.numerator**least
    ways = 0
    for found in range(least, most + 1):
        ways = ways * missed.denominator + drawn
        drawn = drawn * missed.numerator * (infected - found) * (tested - found)
        drawn //= (found + 1) * (sound - tested + found + 1)  # exact: the next product of binomials
    return 1 - Fraction(ways, comb(units, tested) * missed.denominator**most)


@formula(
    returns="number [1], confidence [1]",
    source="cameron-baldock-1998",
    place="distribution of reactors in a finite group, specificity 1",
    status="derived",
    units=UNITS,
    infected=INFECTED,
    sensitivity=SENSITIVITY,
    target=TARGET,
)
def least_number(units: int, infected: int, sensitivity: float | Fraction, target: float | Fraction) -> SampleSize:
    """Least number of units to look at so that the group sensitivity reaches the target, or that it cannot be reached.

    Arguments as for `group_sensitivity`; target 0 to 1. Compared as exact fractions. With an imperfect look even
    all units may fall short; then `number` is None and `confidence` is what all units give.
    """
    wanted = exact(target)
    best = group_sensitivity(units, infected, units, sensitivity)
    if best < wanted:
        return SampleSize(None, best)
    low, high = -1, units
    while high - low > 1:
        middle = (low + high) // 2
        if group_sensitivity(units, infected, middle, sensitivity) >= wanted:
            high = middle
        else:
            low = middle
    return SampleSize(high, group_sensitivity(units, infected, high, sensitivity))


@formula(
    returns="1",
    source="usda-aphis-ceah",
    place="group sensitivity, large group",
    status="published",
    prevalence=PREVALENCE,
    tested=Quantity("1", 0, 1_000_000, "units looked at"),
    sensitivity=SENSITIVITY,
)
def large_group_sensitivity(prevalence: float | Fraction, tested: int, sensitivity: float | Fraction) -> Fraction:
    """Chance to find at least one infected unit in a sample from a group that is large against the sample.

    1 - (1 - P*Se)^n with prevalence and sensitivity from 0 to 1. Returns an exact fraction.
    """
    return 1 - (1 - exact(prevalence) * exact(sensitivity)) ** tested


@formula(
    returns="number [1], confidence [1]",
    source="sergeant-2020",
    place="sample size for a large group",
    status="published",
    prevalence=PREVALENCE,
    sensitivity=SENSITIVITY,
    target=TARGET,
)
def least_number_large(
    prevalence: float | Fraction, sensitivity: float | Fraction, target: float | Fraction
) -> SampleSize:
    """Least number to look at in a large group: ln(1-target) / ln(1-P*Se), rounded up, decided on exact fractions.

    prevalence and sensitivity 0 to 1, target 0 to 1. A target of 1 is reached only by P*Se = 1; up to a million looks.
    """
    chance, left = exact(prevalence) * exact(sensitivity), 1 - exact(target)
    if left >= 1:
        return SampleSize(0, Fraction(0))
    if chance == 1:
        return SampleSize(1, Fraction(1))
    if chance == 0 or left == 0:
        return SampleSize(None, Fraction(0))
    guess = log1p(-float(1 - left)) / log1p(-float(chance))
    if guess > 1_000_000:
        raise UserError("More than a million looks would be needed.", "Choose a higher design prevalence.")
    number = max(1, ceil(guess) - 1)
    while (1 - chance) ** number > left:
        number += 1
    return SampleSize(number, 1 - (1 - chance) ** number)


def _fits(units: int, **counts: int) -> None:
    for name, count in counts.items():
        if count > units:
            raise UserError(f"{name} = {count} is more than the {units} units there are.", "Correct one of the two.")
