"""What looks and tests that found nothing leave of a suspicion, and how sure a whole group of them makes us.

Everything found at one hive shares the hive's one onset of signs. A group is judged as a whole: which of its hives is
infected is not known, so what each hive would have hidden is averaged over all ways to choose the infected ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import log2

import numpy as np
import numpy.typing as npt

from ashcomb.kernel.errors import UserError
from ashcomb.science.formula import Quantity, formula

_SHARE = Quantity("1", 0, 1, "chance")


@formula(
    returns="1",
    source="afbnz-time-to-signs",
    place="Table 1, with the law of total probability over the onset",
    status="derived",
    shown=_SHARE,
    with_signs=_SHARE,
    before=_SHARE,
)
def all_missed(shown: Sequence[float], with_signs: Sequence[float], before: Sequence[float]) -> float:
    """Chance that every look and test misses one infected hive.

    One entry for each look or test, in order of time.  shown: share of infected hives that show signs by then, not
    falling.  with_signs: chance to find a hive that shows signs.  before: chance to find an infected one that does not.
    None gives 1. Given the onset the tests fail independently; across the onset they do not.
    Raises UserError for lists of different length or a share that falls.
    """
    if not len(shown) == len(with_signs) == len(before):
        raise UserError("Each look needs a share, a chance with signs and one before.", "Give lists of one length.")
    if any(b < a for a, b in pairwise(shown)):
        raise UserError("The share of hives that show signs cannot fall.", "Give the looks in order of time.")
    early = np.cumprod([1.0, *(1.0 - chance for chance in before)])
    late = np.cumprod([1.0, *(1.0 - chance for chance in reversed(with_signs))])[::-1]
    gaps = np.diff([0.0, *shown, 1.0])
    return float(np.sum(gaps * early * late))


@formula(
    returns="1",
    source="cameron-baldock-1998",
    place="distribution of reactors in a finite group, own sensitivity for each unit",
    status="derived",
    missed=_SHARE,
    infected=Quantity("1", 1, 20_000, "infected units that the survey should not miss"),
)
def mixed_group_sensitivity(missed: Sequence[float] | npt.NDArray[np.float64], infected: int) -> float:
    """Chance to find at least one of the infected hives of a group in which each hive was looked at in its own way.

    missed: for each hive of the group, the chance that an infection there stays unseen; 1 where nobody looked.
    infected: number of infected hives, any of them with equal chance, at most as many as there are hives.
    1 - e_D(missed) / C(N, D) with e_D the elementary symmetric polynomial. Raises UserError if D exceeds N.
    """
    units = len(missed)
    if infected > units:
        raise UserError(f"{infected} infected hives are more than the {units} there are.", "Correct one of the two.")
    chances = np.asarray(missed, dtype=np.float64)
    ways = np.zeros(infected + 1)
    ways[0] = 1.0  # mean over all choices of k of the first n hives; stays within 0 to 1 whatever the sizes
    for n, chance in enumerate(chances, 1):
        k = np.arange(1, min(n, infected) + 1)
        ways[k] = ways[k] * (n - k) / n + ways[k - 1] * chance * k / n
    return float(1.0 - ways[infected])


@formula(
    returns="1",
    source="martin-2007",
    place="discounting of historical evidence, introductions kept apart by their month",
    status="derived",
    prior=_SHARE,
    introductions=_SHARE,
    missed=_SHARE,
)
def freedom_with_introductions(prior: float, introductions: Sequence[float], missed: Sequence[float]) -> float:
    """Probability of freedom when disease may have been there from the start or have come in during any later period.

    prior: probability of freedom at the start.  introductions: chance of one during each period, in order.
    missed: chance that everything found nothing although infected, first for the start, then for each period; one entry
    more than introductions. With looks that are independent it is the usual recursion of survey and discount.
    Raises UserError if the lists do not fit, or if nothing is left of all probability.
    """
    if len(missed) != len(introductions) + 1:
        raise UserError("Each period needs its own chance of being missed.", "Give one more than there are periods.")
    free, infected = prior, (1.0 - prior) * missed[0]
    for coming, hidden in zip(introductions, missed[1:], strict=True):
        infected += free * coming * hidden
        free *= 1.0 - coming
    if not free + infected:
        raise UserError("The prior contradicts what was found.", "Give a prior above 0.")
    return free / (free + infected)


@formula(
    returns="1",
    source="lindstrom-thesis",
    place="no dilution trial found",
    status="project choice",
    single=_SHARE,
    hives=Quantity("hives", 1, 1000, "hives in the pool"),
    loss=_SHARE,
)
def pool_sensitivity(single: float, hives: int, loss: float) -> float:
    """Chance that a pooled test finds the one infected hive in the pool: single * (1 - loss)^log2(hives).

    single: chance to find it when tested alone.  loss: share lost at each doubling. All 0 to 1.
    """
    return single * float((1.0 - loss) ** log2(hives))


@formula(
    returns="1",
    source="clopper-pearson-1934",
    place="not a definition: weighted mean of counts and prior, as in a beta distribution",
    status="derived",
    found=Quantity("hives", 0, 1_000_000, "sick hives found"),
    missed=Quantity("hives", 0, 1_000_000, "sick hives missed"),
    assumed=_SHARE,
    weight=Quantity("hives", 0, 1_000_000, "sick hives that the assumed figure counts for"),
)
def own_record(found: int, missed: int, assumed: float, weight: float) -> float:
    """An inspector's own sensitivity: sick hives found, with the assumed figure counting as so many more hives.

    (found + assumed * weight) / (found + missed + weight); the assumed figure where all are 0. 0 to 1.
    """
    whole = found + missed + weight
    return (found + assumed * weight) / whole if whole else assumed
