"""How many hives, in how many apiaries, a survey needs: at random, in two stages, and where the risk is first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, log1p

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.methods import EXACT_UP_TO, Method, method
from ashcomb.plans.result import Plan
from ashcomb.plans.visit_stops import CLASSES
from ashcomb.science.exact import exact, percent
from ashcomb.science.freedom import adjusted_risks, risk_weighted_sensitivity
from ashcomb.science.sampling import least_number, least_number_large
from ashcomb.science.sampling_approx import least_number_cannon, least_number_cannon_roe
from ashcomb.science.sampling_big import group_sensitivity_big, least_number_big
from ashcomb.sources.profile import CodeProfile

WITHIN = tuple(Fraction(n, 20) for n in range(10, 20))  # chances to find an infected apiary that are tried: 50 to 95 %
APPROXIMATE_UP_TO = 20_000  # hives for which the approximations are worked out
RISKS = ("surveillance.risk_nothing", "surveillance.risk_zone", "surveillance.risk_exposed", "surveillance.risk_signs")


@dataclass(frozen=True, slots=True)
class Herd:
    """The hives of one apiary. hives: 1 or more.  risk: row of CLASSES."""

    mark: str
    hives: int
    risk: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyAsk:
    """What must not be missed. apiaries: infected ones.  hives: infected in each of them.  method: key of a method.

    visible: share of infected hives that show signs by now, 0 to 1.  target: 0 to 1, None takes the profile's.
    risks: of each class against the first, None takes the program's.
    """

    apiaries: int = 1
    hives: int = 1
    method: str = "look"
    visible: float = 1.0
    target: float | None = None
    risks: tuple[float, ...] | None = None


@dataclass(frozen=True, slots=True)
class Way:
    """One way to work out a number. number: None where it cannot be reached.  truly: what that number truly gives."""

    name: str
    number: int | None
    truly: float | None
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TwoStages:
    """Some hives in some apiaries. within: chance wanted to find an infected apiary.  apiaries: to be drawn at random.

    hives: to be looked at in each apiary, if it is drawn.  expected: hives in all.  reached: confidence, at least.
    """

    within: Fraction
    apiaries: int
    hives: tuple[tuple[str, int], ...]
    expected: float
    reached: Fraction


@dataclass(frozen=True, slots=True)
class Layer:
    """Apiaries of one class of risk. adjusted: risk against the average.  looked: hives, the riskiest class first."""

    name: str
    hives: int
    adjusted: float
    looked: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyPlan(Plan):
    """Numbers for one survey. best: with every hive looked at once.  stages: None where they cannot reach the target.

    first, even: confidence if that many hives are looked at where the risk is first, and spread evenly.
    """

    hives: int
    infected: int
    target: Fraction
    method: Method
    best: float
    ways: tuple[Way, ...]
    stages: TwoStages | None
    layers: tuple[Layer, ...]
    first: float
    even: float
    false_alarm: float
    answer: tuple[str, ...]


def survey(profile: CodeProfile, herds: Sequence[Herd], ask: SurveyAsk) -> SurveyPlan:
    """Sizes of a survey over all these apiaries; raises UserError for counts that do not fit each other."""
    herds, figures = tuple(herd for herd in herds if herd.hives), Figures(profile)
    _fits(herds, ask)
    one = method(ask.method, figures)
    chance, whole = one.overall(exact(ask.visible)), sum(herd.hives for herd in herds)
    infected = ask.apiaries * ask.hives
    target = figures.theirs("freedom.target", "plans.freedom_target") if ask.target is None else exact(ask.target)
    ways = _ways(whole, infected, chance, target)
    stages = _two_stages(herds, ask, chance, target)
    risks = [exact(r) for r in ask.risks] if ask.risks else [figures.ours(key) for key in RISKS]
    layers, first, even = _by_risk(herds, risks, Fraction(infected, whole), chance, target)
    best = 1.0 - float(1 - chance) ** infected
    alarm = 1.0 - float(one.specificity) ** (ways[0].number or whole)
    return SurveyPlan(
        hives=whole, infected=infected, target=target, method=one, best=best, ways=ways, stages=stages, layers=layers,
        first=first, even=even, false_alarm=alarm, uses=figures.taken, assumptions=_ASSUMED,
        answer=tuple(_answer(whole, infected, ask, target, ways[0], stages, layers, first, even, alarm)),
    )  # fmt: skip


_ASSUMED = (
    "Hives are drawn at random among those that they stand for; tests of different hives fail independently.",
    "Two stages: apiaries are drawn at random, and each counts only with the chance that was wanted within it.",
    "Where the risk is first: the formula for large groups, and the risk of each class as given, which is a guess.",
    "After sick hives were destroyed one hive is enough to start again; a prevalence of one in a hundred is too easy.",
    "Looks at hives that show no signs yet find nothing; repeat looks at one hive are not new hives.",
)


def _fits(herds: Sequence[Herd], ask: SurveyAsk) -> None:
    if not herds:
        raise UserError("There is no hive to be surveyed.", "Name apiaries with living hives.")
    able = sorted((herd.hives for herd in herds), reverse=True)
    if not 1 <= ask.apiaries <= len(herds) or not 1 <= ask.hives <= able[ask.apiaries - 1]:
        raise UserError(f"{ask.hives} infected hives in each of {ask.apiaries} apiaries do not fit the apiaries.",
                        "Correct one of the two.")  # fmt: skip
    if ask.risks is not None and (len(ask.risks) != len(CLASSES) or min(ask.risks) <= 0):
        raise UserError("The risks do not fit the classes.", f"Give {len(CLASSES)} numbers above 0.")


def _ways(whole: int, infected: int, chance: Fraction, target: Fraction) -> tuple[Way, ...]:
    """The exact number, and the published approximations with what each would truly give."""

    def way(name: str, number: int | None, words: str) -> Way:
        fits = number is not None and number <= whole
        truly = group_sensitivity_big(whole, infected, number or 0, float(chance)) if fits else None
        return Way(name, number if fits else None, truly, words)

    if whole <= EXACT_UP_TO:
        own, perfect = least_number(whole, infected, chance, target).number, least_number(whole, infected, 1, target)
        sure = perfect.number
    else:
        own, sure = (least_number_big(whole, infected, each, float(target)) for each in (float(chance), 1.0))
    large = least_number_large(Fraction(infected, whole), chance, target).number if chance else None
    found = [
        way("exact, this method", own, "hypergeometric, every sample counted"),
        way("large group, this method", large, "as if drawn with putting back"),
        way("exact, perfect method", sure, "too few for a method that misses some"),
    ]
    if whole <= APPROXIMATE_UP_TO:
        cannon, roe = least_number_cannon(whole, infected, chance, target), least_number_cannon_roe
        found.append(way("Cannon 2001, this method", cannon.number, "approximation"))
        found.append(way("Cannon and Roe 1982, perfect method", roe(whole, infected, target), "approximation"))
    return tuple(found)


def _two_stages(herds: Sequence[Herd], ask: SurveyAsk, chance: Fraction, target: Fraction) -> TwoStages | None:
    """The split between apiaries and hives that needs the fewest looks, of those tried."""
    found = []
    for within in WITHIN:
        each = [(herd.mark, least_number(herd.hives, min(ask.hives, herd.hives), chance, within).number)
                for herd in herds]  # fmt: skip
        drawn = least_number(len(herds), ask.apiaries, within, target)
        sizes = tuple((mark, number) for mark, number in each if number is not None)
        if drawn.number is not None and len(sizes) == len(herds):
            expected = drawn.number * sum(number for _, number in sizes) / len(herds)
            found.append(TwoStages(within=within, apiaries=drawn.number, hives=sizes, expected=expected,
                                   reached=drawn.confidence))  # fmt: skip
    return min(found, key=lambda stages: stages.expected, default=None)


def _by_risk(
    herds: Sequence[Herd], risks: Sequence[Fraction], prevalence: Fraction, chance: Fraction, target: Fraction
) -> tuple[tuple[Layer, ...], float, float]:
    """Hives by class, the riskiest first until the target is reached; and what as many spread evenly would give."""
    counts = {k: sum(herd.hives for herd in herds if herd.risk == k) for k in range(len(CLASSES))}
    rows = [k for k in sorted(counts, reverse=True) if counts[k]]
    whole = sum(counts.values())
    shares = [Fraction(counts[k], whole) for k in rows]
    adjusted = adjusted_risks([risks[k] for k in rows], shares)
    looked, left = [], -log1p(-float(target)) if target < 1 else float("inf")
    for k, risk in zip(rows, adjusted, strict=True):
        own = min(float(prevalence * risk), 1.0) * float(chance)
        worth = -log1p(-own) if own < 1 else float("inf")
        number = min(counts[k], ceil(left / worth - 1e-9)) if worth and left > 0 else 0
        looked.append(number)
        left -= number * worth if number else 0.0
    even = [round(sum(looked) * float(share)) for share in shares]
    made = [float(risk_weighted_sensitivity(prevalence, adjusted, shares, spread, chance)) for spread in (looked, even)]
    layers = tuple(Layer(CLASSES[k], counts[k], float(risk), number)
                   for k, risk, number in zip(rows, adjusted, looked, strict=True))  # fmt: skip
    return layers, made[0], made[1]


def _answer(
    whole: int, infected: int, ask: SurveyAsk, target: Fraction, own: Way, stages: TwoStages | None,
    layers: Sequence[Layer], first: float, even: float, alarm: float,
) -> list[str]:  # fmt: skip
    wanted, seen = percent(target, 0), sum(layer.looked for layer in layers)
    missed = f"{infected} infected among {whole} hives"
    if own.number is None:
        lines = [
            f"{wanted} cannot be reached with this method: for {missed}, looking at all of them once is not enough."
        ]
    else:
        lines = [f"{own.number} hives drawn at random reach {wanted} for {missed}."]
    if stages:
        lines.append(f"In two stages: {stages.apiaries} apiaries drawn at random, about {stages.expected:.0f} hives in "
                     f"all, each infected apiary found with {percent(stages.within, 0)}.")  # fmt: skip
    else:
        lines.append(f"In two stages {wanted} cannot be reached with this method for {ask.apiaries} infected "
                     f"apiar{'y' if ask.apiaries == 1 else 'ies'} with {ask.hives} infected each.")  # fmt: skip
    lines.append(f"Where the risk is first: {seen} hives give {percent(first)}; as many spread evenly {percent(even)}.")
    if alarm > 0:
        lines.append(f"With no infection at all such a survey would still give a positive with {percent(alarm)}: each "
                     "positive is confirmed before it counts.")  # fmt: skip
    return lines
