"""From samples to freedom: two stages, risk weights, combining surveys, and what time takes away again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import prod

from scipy.stats import beta

from ashcomb.kernel.errors import UserError
from ashcomb.science.exact import exact
from ashcomb.science.formula import Quantity, formula
from ashcomb.science.sampling import PREVALENCE, SENSITIVITY, TARGET, SampleSize, least_number_large

Share = float | Fraction
_SHARE = Quantity("1", 0, 1, "share")
_RISK = Quantity("1", 1e-9, 1e9, "risk against the group with risk 1")
_COUNT = Quantity("1", 0, 1_000_000, "count")


@dataclass(frozen=True, slots=True)
class TwoStage:
    """Survey of apiaries and hives. apiaries, hives_each: sample sizes for large numbers of both."""

    apiaries: SampleSize
    hives_each: SampleSize


@formula(
    returns="apiaries [1], hives each [1]",
    source="sergeant-2020",
    place="two-stage survey, large numbers",
    status="published",
    apiary_prevalence=PREVALENCE,
    hive_prevalence=PREVALENCE,
    sensitivity=SENSITIVITY,
    apiary_sensitivity=SENSITIVITY,
    target=TARGET,
)
def two_stage(
    apiary_prevalence: Share, hive_prevalence: Share, sensitivity: Share, apiary_sensitivity: Share, target: Share
) -> TwoStage:
    """Apiaries to visit, and hives to open in each, so that the whole survey reaches the target.

    apiary_sensitivity: what the sample of hives must reach within one infected apiary; all numbers 0 to 1.
    """
    hives = least_number_large(hive_prevalence, sensitivity, apiary_sensitivity)
    return TwoStage(least_number_large(apiary_prevalence, apiary_sensitivity, target), hives)


@formula(
    returns="1",
    source="martin-2007",
    place="combining independent components",
    status="published",
    sensitivities=SENSITIVITY,
)
def combined_sensitivity(sensitivities: Sequence[Share]) -> Fraction:
    """Chance that at least one of several independent surveys finds infection: 1 - product of (1 - Se_j).

    sensitivities: any number of values 0 to 1; none gives 0. Exact. Repeated looks at one hive are not independent.
    """
    return 1 - prod((1 - exact(each) for each in sensitivities), start=Fraction(1))


@formula(
    returns="1",
    source="martin-2007",
    place="sensitivity of a surveillance system",
    status="published",
    apiary_prevalence=PREVALENCE,
    apiary_sensitivities=SENSITIVITY,
)
def system_sensitivity(apiary_prevalence: Share, apiary_sensitivities: Sequence[Share]) -> Fraction:
    """Chance that a survey of apiaries finds infection: 1 - product over apiaries of (1 - P*SeH). 0 to 1, exact."""
    return combined_sensitivity([exact(apiary_prevalence) * exact(each) for each in apiary_sensitivities])


@formula(
    returns="1 each",
    source="martin-2007",
    place="adjusted risk",
    status="published",
    relative_risks=_RISK,
    shares=_SHARE,
)
def adjusted_risks(relative_risks: Sequence[Share], shares: Sequence[Share]) -> tuple[Fraction, ...]:
    """Risk of each group against the average: RR_k / sum(RR_i * share_i).

    relative_risks: above 0.  shares: of the population, one for each risk, sum 1. Raises UserError if they do not fit.
    """
    risks, parts = [exact(r) for r in relative_risks], [exact(s) for s in shares]
    if len(risks) != len(parts) or sum(parts) != 1:
        raise UserError("Risk groups need one share each, and the shares must sum to 1.", "Correct the shares.")
    mean = sum((r * s for r, s in zip(risks, parts, strict=True)), Fraction(0))
    return tuple(r / mean for r in risks)


@formula(
    returns="1",
    source="martin-2007",
    place="sensitivity with risk groups",
    status="published",
    prevalence=PREVALENCE,
    relative_risks=_RISK,
    shares=_SHARE,
    tested=_COUNT,
    sensitivity=SENSITIVITY,
)
def risk_weighted_sensitivity(
    prevalence: Share,
    relative_risks: Sequence[Share],
    shares: Sequence[Share],
    tested: Sequence[int],
    sensitivity: Share,
) -> Fraction:
    """Chance to find infection when the groups at higher risk are looked at more: 1 - product of (1 - EPI_k*Se)^n_k.

    prevalence: design prevalence of the whole population; each group's own, prevalence times adjusted risk, is capped
    at 1.  tested: number looked at in each group. Exact. Raises UserError if the lists do not fit.
    """
    risks = adjusted_risks(relative_risks, shares)
    if len(tested) != len(risks):
        raise UserError("Each risk group needs a number tested.", "Give as many numbers as groups.")
    own = [min(exact(prevalence) * risk, Fraction(1)) * exact(sensitivity) for risk in risks]
    return 1 - prod(((1 - each) ** n for each, n in zip(own, tested, strict=True)), start=Fraction(1))


@formula(
    returns="1",
    source="martin-2007",
    place="probability of freedom after a negative survey",
    status="published",
    prior=_SHARE,
    sensitivity=SENSITIVITY,
)
def freedom(prior: Share, sensitivity: Share) -> Fraction:
    """Probability of freedom after a survey that found nothing: prior / [1 - SSe * (1 - prior)]. Exact.

    Raises UserError for a prior of 0 with a sensitivity of 1: then finding nothing contradicts the prior.
    """
    before = exact(prior)
    nothing_found = 1 - exact(sensitivity) * (1 - before)
    if not nothing_found:
        raise UserError("A prior of 0 contradicts a perfect survey that found nothing.", "Give a prior above 0.")
    return before / nothing_found


@formula(
    returns="1",
    source="martin-2007",
    place="discounting of historical evidence",
    status="published",
    free=_SHARE,
    introduction=_SHARE,
)
def discounted(free: Share, introduction: Share) -> Fraction:
    """Probability of freedom at the start of the next period: free * (1 - chance of introduction). Exact."""
    return exact(free) * (1 - exact(introduction))


@dataclass(frozen=True, slots=True)
class Plateau:
    """Where repeated surveys level off. before, after: probability of freedom just before and after each survey."""

    before: Fraction
    after: Fraction


@formula(
    returns="before [1], after [1]",
    source="martin-2007",
    place="fixed point of survey and discounting",
    status="derived",
    sensitivity=Quantity("1", 1e-9, 1, "sensitivity of each survey"),
    introduction=Quantity("1", 0, 0.999999, "chance of introduction in each period"),
)
def plateau(sensitivity: Share, introduction: Share) -> Plateau:
    """Level that repeated negative surveys approach: before 1 - p/SSe, after (1 - p/SSe)/(1 - p). Exact; at least 0."""
    risk = exact(introduction)
    before = max(1 - risk / exact(sensitivity), Fraction(0))
    return Plateau(before, before / (1 - risk))


@formula(
    returns="low [1], high [1]",
    source="clopper-pearson-1934",
    place="exact interval",
    status="published",
    cases=_COUNT,
    trials=Quantity("1", 1, 1_000_000, "trials"),
    confidence=Quantity("1", 0.5, 0.9999, "confidence of the interval"),
)
def exact_interval(cases: int, trials: int, confidence: float = 0.95) -> tuple[float, float]:
    """Exact interval of a share from counted cases. cases at most trials; raises UserError otherwise."""
    if cases > trials:
        raise UserError(f"{cases} cases cannot come from {trials} trials.", "Correct the counts.")
    tail = (1 - confidence) / 2
    low = float(beta.ppf(tail, cases, trials - cases + 1)) if cases else 0.0
    return low, float(beta.ppf(1 - tail, cases + 1, trials - cases)) if cases < trials else 1.0
