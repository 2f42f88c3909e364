"""From exposure to visible signs, and what looks without signs leave of the suspicion.

Months are months with brood: the clock stands still while there is none. A curve gives, for a time since exposure, the
share of colonies that will fall ill which show signs by then.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise

import numpy as np
from scipy.special import gammainc
from scipy.stats import norm

from ashcomb.kernel.errors import UserError
from ashcomb.science.formula import Quantity, formula
from ashcomb.sources.library import value

Curve = Callable[[float], float]
DAYS_IN_MONTH = 365.25 / 12
_MONTHS = Quantity("months with brood", 0, 1200, "time since exposure")
_SHARE = Quantity("1", 0, 1, "chance")
_TABLE_MONTHS = 6


@formula(returns="1", source="afbnz-time-to-signs", place="Table 1", status="published", months=_MONTHS)
def signs_by_table(months: float) -> float:
    """Share showing signs by then, from the published table, straight lines between whole months.

    months: 0 or more, with brood. The table ends at six months with nine in a hundred still to come, at an unknown
    time; they count as not yet visible however long one waits.
    """
    shares = [value(f"disease.onset_month_{month}").value for month in range(1, _TABLE_MONTHS + 1)]
    return float(np.interp(months, range(_TABLE_MONTHS + 1), np.cumsum([0.0, *shares])))


@formula(returns="1", source="afbnz-time-to-signs", place="fit to Table 1", status="derived", months=_MONTHS)
def signs_by_gamma(months: float) -> float:
    """Share showing signs by then, from a gamma curve fitted to the table; none before the least time.

    months: 0 or more, with brood.
    """
    if months < _least_months():
        return 0.0
    shape, scale = value("disease.onset_gamma_shape").value, value("disease.onset_gamma_scale").value
    return float(gammainc(shape, months / scale))


@formula(returns="1", source="afbnz-time-to-signs", place="fit to Table 1", status="derived", months=_MONTHS)
def signs_by_lognormal(months: float) -> float:
    """Share showing signs by then, from a lognormal curve fitted to the table; the longer-tailed alternative.

    months: 0 or more, with brood; none before the least time.
    """
    if months < _least_months():
        return 0.0
    median, sd = value("disease.onset_lognormal_median").value, value("disease.onset_lognormal_sd").value
    return float(norm.cdf(np.log(months / median) / sd))


CURVES: dict[str, Curve] = {"table": signs_by_table, "gamma": signs_by_gamma, "lognormal": signs_by_lognormal}


@formula(
    returns="months with brood",
    source="afbnz-time-to-signs",
    place="caveats",
    status="project choice",
    days=Quantity("d", 0, 36525, "days since exposure"),
    broodless_days=Quantity("d", 0, 36525, "of these without brood"),
)
def brood_months(days: float, broodless_days: float = 0.0) -> float:
    """Time since exposure in months with brood: days without brood do not count.

    days, broodless_days: 0 or more. Raises UserError if more days were without brood than there were.
    """
    if broodless_days > days:
        raise UserError("More days were without brood than there were days.", "Correct one of the two.")
    return (days - broodless_days) / DAYS_IN_MONTH


@formula(
    returns="1",
    source="afbnz-time-to-signs",
    place="Table 1, with Bayes' rule",
    status="derived",
    prior=_SHARE,
    sensitivity=_SHARE,
    clear_months=_MONTHS,
)
def still_infected(
    prior: float, sensitivity: float, clear_months: Sequence[float], curve: Curve = signs_by_table
) -> float:
    """Chance that a hive is infected although every look so far showed no signs.

    prior: chance at exposure.  sensitivity: of one look at a hive that shows signs.  clear_months: when the looks were,
    in months with brood since exposure, any order.  All chances 0 to 1; no looks give the prior.  curve: share showing
    signs by then.

    The looks share the hive's one onset: a look before it sees nothing for certain, looks after it fail independently
    of each other. Signs that come and go are not in this; they make the true chance higher. It never clears a hive.
    Raises UserError if prior 1 meets evidence that leaves no chance.
    """
    unseen = _no_signs_if_infected(sensitivity, sorted(clear_months), curve)
    whole = prior * unseen + 1.0 - prior
    if not whole:
        raise UserError("A prior of 1 contradicts looks that could not fail.", "Give a prior below 1.")
    return prior * unseen / whole


def _no_signs_if_infected(sensitivity: float, months: list[float], curve: Curve) -> float:
    """Chance that no look shows signs if the hive is infected: sum over the gaps in which the onset may fall."""
    shown = [0.0, *(curve(month) for month in months), 1.0]
    looks_after = range(len(months), -1, -1)
    return sum((b - a) * (1 - sensitivity) ** after for (a, b), after in zip(pairwise(shown), looks_after, strict=True))


def _least_months() -> float:
    return value("disease.onset_least_days").value / DAYS_IN_MONTH
