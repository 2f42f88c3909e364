"""Sample sizes for groups of up to ten million: hypergeometric weights by logarithms, not by exact fractions."""

from __future__ import annotations

import numpy as np
from scipy.special import gammaln

from ashcomb.kernel.errors import UserError
from ashcomb.science.formula import Quantity, formula

UNITS = Quantity("1", 1, 10_000_000, "units in the group")
INFECTED = Quantity("1", 1, 10_000_000, "infected units that the survey should not miss")
TESTED = Quantity("1", 0, 10_000_000, "units looked at, drawn at random")
SENSITIVITY = Quantity("1", 0, 1, "chance that one look at an infected unit finds it")
_FAINT = 60.0  # weights smaller than e^-60 of the largest change no digit that is printed


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
def group_sensitivity_big(units: int, infected: int, tested: int, sensitivity: float) -> float:
    """Chance that a random sample from a finite group, however large, finds at least one infected unit.

    As `group_sensitivity`, in floats; good to about 1e-9. Raises UserError if more are infected or tested than exist.
    """
    if infected > units or tested > units:
        raise UserError("More are infected or tested than there are.", "Correct the counts.")
    found = np.arange(max(0, tested - (units - infected)), min(infected, tested) + 1, dtype=np.float64)
    weights = _choose(infected, found) + _choose(units - infected, tested - found) - _choose(units, float(tested))
    if sensitivity == 1.0:
        return 1.0 - float(np.exp(weights[0])) if found[0] == 0 else 1.0
    weights = weights + found * np.log1p(-sensitivity)
    top = weights.max()
    return 1.0 - float(np.exp(top) * np.sum(np.exp(weights[weights > top - _FAINT] - top)))


@formula(
    returns="number [1] or none",
    source="cameron-baldock-1998",
    place="distribution of reactors in a finite group, specificity 1",
    status="derived",
    units=UNITS,
    infected=INFECTED,
    sensitivity=SENSITIVITY,
    target=Quantity("1", 0, 1, "confidence wanted"),
)
def least_number_big(units: int, infected: int, sensitivity: float, target: float) -> int | None:
    """Least number to look at in a group of any size, or None where even all units fall short of the target.

    As `least_number`, in floats: a confidence that equals the target to twelve digits reaches it.
    """
    wanted = target - 1e-12
    all_units = 1.0 - (1.0 - sensitivity) ** infected
    if all_units < wanted:
        return None
    low, high = -1, 1
    while high < units and group_sensitivity_big(units, infected, high, sensitivity) < wanted:
        low, high = high, min(2 * high, units)
    while high - low > 1:
        middle = (low + high) // 2
        if group_sensitivity_big(units, infected, middle, sensitivity) >= wanted:
            high = middle
        else:
            low = middle
    return high


def _choose(whole: float, part: float | np.ndarray) -> np.ndarray:
    return np.asarray(gammaln(whole + 1) - gammaln(np.asarray(part) + 1) - gammaln(whole - np.asarray(part) + 1))
