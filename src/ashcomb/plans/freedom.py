"""Are we free? Answered with how sure a round of looks makes us, and what would raise it; never with yes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.words import several
from ashcomb.plans.figures import Figures
from ashcomb.plans.looks import is_full, looks_at, standing
from ashcomb.plans.result import Plan
from ashcomb.records.situation import Situation
from ashcomb.science.exact import exact, percent
from ashcomb.science.sampling import SampleSize, group_sensitivity, least_number
from ashcomb.sources.library import value
from ashcomb.sources.profile import CodeProfile

Share = float | Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """A round without signs. hives: in the group, 1 or more.  inspected: fully looked at, as if drawn at random.

    design: infected hives that must not be missed.  look: chance that a look finds a hive that shows signs.
    visible: share of infected hives that show signs by now.
    """

    hives: int
    inspected: int
    design: int
    look: Fraction
    visible: Fraction

    def confidence(self, inspected: int | None = None, look: Fraction | None = None) -> Fraction:
        """Chance that the round finds at least one of the infected hives, exact; with other numbers on request."""
        number = self.inspected if inspected is None else inspected
        return group_sensitivity(self.hives, self.design, number, (look or self.look) * self.visible)


@dataclass(frozen=True, slots=True, kw_only=True)
class FreedomPlan(Plan):
    """How sure one round makes us. All chances are exact fractions.

    confidence: reached by the round.  target: wanted.  reached: confidence at or above target, and no signs.
    least: least number of hives that reaches the target.  all_hives: confidence if every hive were looked at.
    signs: hives in which signs were seen.  answer, raise_it: sentences for people.
    """

    survey: Survey
    confidence: Fraction
    target: Fraction
    reached: bool
    least: SampleSize
    all_hives: Fraction
    signs: tuple[str, ...]
    answer: tuple[str, ...]
    raise_it: tuple[str, ...]


def freedom(
    profile: CodeProfile,
    hives: int,
    inspected: int,
    design: int | None = None,
    sensitivity: Share | None = None,
    visible: Share = 1,
    signs: tuple[str, ...] = (),
) -> FreedomPlan:
    """How sure a round of looks makes us that fewer hives than the design are infected.

    hives, inspected, design, sensitivity, visible: as in `Survey`; None takes the program's own number. The target is
    the profile's, else the program's. Raises UserError when the counts do not fit each other.
    """
    figures = Figures(profile)
    survey = Survey(
        hives=hives,
        inspected=inspected,
        design=int(figures.ours("surveillance.design_infected_hives")) if design is None else design,
        look=figures.ours("surveillance.look_sensitivity") if sensitivity is None else exact(sensitivity),
        visible=exact(visible),
    )
    target = figures.theirs("freedom.target", "plans.freedom_target")
    confidence = survey.confidence()
    least = least_number(hives, survey.design, survey.look * survey.visible, target)
    return FreedomPlan(
        survey=survey,
        confidence=confidence,
        target=target,
        reached=confidence >= target and not signs,
        least=least,
        all_hives=survey.confidence(hives),
        signs=signs,
        answer=_answer(survey, confidence, target, signs),
        raise_it=_raise(survey, least, target),
        uses=figures.taken,
        assumptions=_assumptions(survey),
    )


def freedom_of(
    situation: Situation,
    profile: CodeProfile,
    apiary: str,
    first: date,
    last: date,
    design: int | None = None,
    visible: Share = 1,
) -> FreedomPlan:
    """The same for the recorded looks at one apiary from `first` to `last`; only full looks count.

    Raises UserError when no living hive stands there.
    """
    hives = standing(situation, apiary, last)
    if not hives:
        raise UserError(f"No living hive is recorded at {apiary}.", "Add its hives, or name another apiary.")
    looks = looks_at(situation, hives, first, last)
    signs = tuple(sorted({look.hive for look in looks if look.signs != "none seen"}))
    full = {look.hive for look in looks if is_full(look)}
    return freedom(profile, len(hives), len(full), design, None, visible, signs)


def _answer(survey: Survey, confidence: Fraction, target: Fraction, signs: tuple[str, ...]) -> tuple[str, ...]:
    if signs:
        return (f"No: signs were seen in {', '.join(signs)}.",)
    hive, are = ("hive", "is") if survey.design == 1 else ("hives", "are")
    found = [
        f"Nobody can say yes. {survey.inspected} of {several(survey.hives, 'hive')} were fully looked at without "
        f"signs: if {survey.design} {hive} or more {are} infected, this would have been noticed with "
        f"{percent(confidence)}."
    ]
    short = "reaches" if confidence >= target else "falls short of"
    return (*found, f"That {short} the {percent(target, 0)} that is asked for.")


def _raise(survey: Survey, least: SampleSize, target: Fraction) -> tuple[str, ...]:
    """What would raise the confidence, with the number where it can be computed."""
    found = []
    more = (least.number or 0) - survey.inspected
    if more > 0:
        noun = "hive" if more == 1 else "hives"
        found.append(f"Look at {more} more {noun}, {least.number} in all: {percent(least.confidence)}.")
    if least.number is None:
        found.append(f"More hives alone cannot reach {percent(target, 0)}.")
    if survey.inspected < survey.hives:
        found.append(f"All {several(survey.hives, 'hive')}: {percent(survey.confidence(survey.hives))}.")
    best = exact(value("surveillance.look_sensitivity").high)
    if survey.look < best:
        better = percent(survey.confidence(look=best))
        found.append(f"Looks that find {percent(best, 0)} of the hives with signs, every brood frame shaken: {better}.")
    found.append(
        "A later round: more of the infected hives will show signs by then; looks at one hive are not new luck."
    )
    found.append("A laboratory test of bees or debris, which may find hives that show no signs yet.")
    return tuple(found)


def _assumptions(survey: Survey) -> tuple[str, ...]:
    share = (
        "Every infected hive is taken to show signs by now; soon after exposure that is wrong and the answer too good."
        if survey.visible == 1
        else f"{percent(survey.visible)} of the infected hives are taken to show signs by now."
    )
    return (
        "The hives looked at are taken as drawn at random.",
        f"A full look at a hive that shows signs finds them with {percent(survey.look)}; hives are independent.",
        share,
        "Only looks at every brood frame with the bees shaken off count.",
    )
