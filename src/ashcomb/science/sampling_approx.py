"""Published approximations to the exact sample size; kept because authorities quote them."""

from __future__ import annotations

from fractions import Fraction
from math import ceil

from ashcomb.kernel.errors import UserError
from ashcomb.science.exact import exact
from ashcomb.science.formula import Quantity, formula
from ashcomb.science.sampling import INFECTED, SENSITIVITY, TESTED, UNITS, SampleSize

_TARGET = Quantity("1", 0, 0.999999, "confidence wanted")


@formula(
    returns="1",
    source="usda-aphis-ceah",
    place="group sensitivity, finite group",
    status="published",
    units=UNITS,
    infected=INFECTED,
    tested=TESTED,
    sensitivity=SENSITIVITY,
)
def group_sensitivity_approx(units: int, infected: int, tested: int, sensitivity: float | Fraction) -> Fraction:
    """Approximate chance to find at least one infected unit: 1 - (1 - n*Se/N)^D.

    Arguments and result as for `sampling.group_sensitivity`.
    """
    if max(infected, tested) > units:
        raise UserError("More are infected or tested than there are units.", "Correct the counts.")
    return 1 - (1 - Fraction(tested, units) * exact(sensitivity)) ** infected


@formula(
    returns="number [1], confidence [1]",
    source="cannon-2001",
    place="sample size with imperfect test",
    status="published",
    units=UNITS,
    infected=INFECTED,
    sensitivity=SENSITIVITY,
    target=_TARGET,
)
def least_number_cannon(
    units: int, infected: int, sensitivity: float | Fraction, target: float | Fraction
) -> SampleSize:
    """Cannon's approximate least number, N/Se * [1 - (1-target)^(1/D)] rounded up; None when it exceeds N.

    Arguments as for `sampling.least_number`. Rounded on exact fractions: N=80, D=1, target 0.95 gives 76, not 77.
    """
    worth = exact(sensitivity) / units
    number = _least(worth, infected, 1 - exact(target), units)
    if number is None:
        return SampleSize(None, group_sensitivity_approx(units, infected, units, sensitivity))
    return SampleSize(number, group_sensitivity_approx(units, infected, number, sensitivity))


@formula(
    returns="1",
    source="cannon-roe-1982",
    place="approximate formula",
    status="published",
    units=UNITS,
    infected=INFECTED,
    target=_TARGET,
)
def least_number_cannon_roe(units: int, infected: int, target: float | Fraction) -> int:
    """Least number by Cannon and Roe for a perfect test: [1 - (1-target)^(1/D)] * [N - (D-1)/2], rounded up.

    units, infected: whole numbers, infected at most units.  target: below 1.
    """
    effective = Fraction(2 * units - infected + 1, 2)
    number = _least(1 / effective, infected, 1 - exact(target), units)
    return units if number is None else number


def _least(worth: Fraction, infected: int, left: Fraction, most: int) -> int | None:
    """Smallest n with (1 - n*worth)^D <= left, or None if it is larger than `most`; exact."""
    if not worth:
        return 0 if left == 1 else None
    guess = (1 - float(left) ** (1 / infected)) / float(worth)
    number = max(0, ceil(guess) - 1)
    while (1 - min(number * worth, Fraction(1))) ** infected > left:
        number += 1
    return number if number <= most else None
