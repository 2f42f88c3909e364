"""Samples read with tests that also give false alarms: cut-points and two-sided sample sizes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import comb

from scipy.stats import binom

from ashcomb.kernel.errors import UserError
from ashcomb.science.exact import exact
from ashcomb.science.formula import Quantity, formula
from ashcomb.science.sampling import INFECTED, PREVALENCE, SENSITIVITY, TESTED, UNITS

SPECIFICITY = Quantity("1", 0, 1, "chance that a look at a sound unit raises no alarm")
_ERROR = Quantity("1", 1e-6, 0.5, "error that is accepted")
_MOST = 20_000


@dataclass(frozen=True, slots=True)
class GroupTest:
    """What a sample with a cut-point is worth. sensitivity, specificity: of the group, exact fractions."""

    sensitivity: Fraction
    specificity: Fraction


@dataclass(frozen=True, slots=True)
class CutPoint:
    """Number to test, and the most reactors that still count as free."""

    number: int
    reactors: int


@formula(
    returns="sensitivity [1], specificity [1]",
    source="cameron-baldock-1998",
    place="distribution of reactors in a finite group",
    status="from memory",
    units=UNITS,
    infected=INFECTED,
    tested=TESTED,
    cut_point=Quantity("1", 1, 20_000, "reactors from which the group counts as infected"),
    sensitivity=SENSITIVITY,
    specificity=SPECIFICITY,
)
def group_test(
    units: int,
    infected: int,
    tested: int,
    cut_point: int,
    sensitivity: float | Fraction,
    specificity: float | Fraction,
) -> GroupTest:
    """Sensitivity and specificity of a sample from a finite group that counts as infected from `cut_point` reactors on.

    units, infected, tested: whole numbers, infected and tested at most units.  sensitivity, specificity of one look:
    0 to 1, looks independent. Exact. Raises UserError if the counts do not fit each other.
    """
    if max(infected, tested) > units:
        raise UserError("More are infected or tested than there are units.", "Correct the counts.")
    hit, false = exact(sensitivity), 1 - exact(specificity)
    below = range(cut_point)
    missed = Fraction(0)
    for found in range(max(0, tested - (units - infected)), min(infected, tested) + 1):
        drawn = Fraction(comb(infected, found) * comb(units - infected, tested - found), comb(units, tested))
        missed += drawn * sum(_reactors(found, tested - found, count, hit, false) for count in below)
    return GroupTest(1 - missed, sum((_binomial(tested, count, false) for count in below), Fraction(0)))


@formula(
    returns="number [1], reactors [1]",
    source="oie-aquatic-surveillance",
    place="table of sample sizes and cut-points",
    status="from memory",
    prevalence=PREVALENCE,
    sensitivity=SENSITIVITY,
    specificity=SPECIFICITY,
    error=_ERROR,
)
def least_number_two_sided(prevalence: float, sensitivity: float, specificity: float, error: float) -> CutPoint:
    """Least number to test in a large group so that neither a false 'free' nor a false 'infected' exceeds `error`.

    All from 0 to 1, error 1e-6 to 0.5. Binomial. Raises UserError if more than 20,000 would be needed.
    """
    apparent = prevalence * sensitivity + (1 - prevalence) * (1 - specificity)
    for number in range(1, _MOST + 1):
        reactors = int(binom.ppf(1 - error, number, 1 - specificity))
        if binom.cdf(reactors, number, apparent) <= error:
            return CutPoint(number, reactors)
    raise UserError("More than 20,000 looks would be needed.", "Choose a higher prevalence or a better test.")


def _reactors(infected: int, sound: int, count: int, hit: Fraction, false: Fraction) -> Fraction:
    pairs = ((true, count - true) for true in range(min(infected, count) + 1))
    return sum((_binomial(infected, true, hit) * _binomial(sound, rest, false) for true, rest in pairs), Fraction(0))


def _binomial(number: int, count: int, chance: Fraction) -> Fraction:
    return comb(number, count) * chance**count * (1 - chance) ** (number - count) if count <= number else Fraction(0)
