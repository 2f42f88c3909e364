"""What the looks at one apiary were worth, and what is still to be looked at. It never says that an apiary is free."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.inspection_number import hives_asked
from ashcomb.plans.looks import LookWorth, looks_at, standing, worth_of
from ashcomb.plans.result import Plan
from ashcomb.records.looks import Inspection
from ashcomb.records.places import Apiary
from ashcomb.records.situation import Situation
from ashcomb.science.exact import exact, percent
from ashcomb.sources.profile import CodeProfile


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionPlan(Plan):
    """One round of looks at one apiary.

    standing: hives there.  looks: newest look of each hive, by hive.  not_looked: hives without a look.  signs: hives
    in which signs were seen.  one_hive: chance that this round notices one sick hive with one diseased frame, wherever
    it stands; a look without frames counts as none.  asked: hives that the profile wants looked at, None where it sets
    no number.  reasons: sentences for people.
    """

    apiary: str
    first: date
    last: date
    standing: tuple[str, ...]
    looks: tuple[LookWorth, ...]
    not_looked: tuple[str, ...]
    signs: tuple[str, ...]
    one_hive: Fraction | None
    asked: int | None
    reasons: tuple[str, ...]


def inspection(
    situation: Situation,
    profile: CodeProfile,
    apiary: str,
    first: date,
    last: date,
    notice: float | Fraction | None = None,
) -> InspectionPlan:
    """The worth of the looks at an apiary from `first` to `last`, both included, and the hives still to be looked at.

    notice: chance that a diseased frame is noticed when seen shaken, 0 to 1; None takes the program's own.
    Raises UserError for an unknown apiary.
    """
    if apiary not in situation.by_mark(Apiary):
        raise UserError(f"{apiary} is not a known apiary.", "Add it to the sheet Apiaries first.")
    figures = Figures(profile)
    figures.rule("inspection_scope")
    chance = figures.ours("surveillance.look_sensitivity") if notice is None else exact(notice)
    unshaken = figures.ours("surveillance.unshaken_worth")
    hives = standing(situation, apiary, last)
    done = looks_at(situation, hives, first, last)
    newest: dict[str, Inspection] = {look.hive: look for look in done}
    looks = tuple(worth_of(newest[hive], chance, unshaken) for hive in sorted(newest))
    signs = tuple(sorted({look.hive for look in done if look.signs != "none seen"}))
    missing = tuple(hive for hive in hives if hive not in newest)
    found = sum((look.chances[0] for look in looks if look.chances), Fraction(0))
    one_hive = found / len(hives) if hives else None
    asked, why = hives_asked(situation, figures, apiary, len(hives), signs)
    return InspectionPlan(
        apiary=apiary, first=first, last=last, standing=hives, looks=looks, not_looked=missing, signs=signs,
        one_hive=one_hive, asked=asked, reasons=(*_summary(apiary, hives, looks, signs, one_hive), *why,
                                                 *_todo(asked, looks, missing)),
        uses=figures.taken, rules=figures.rules, assumptions=_assumptions(chance),
    )  # fmt: skip


def _summary(
    apiary: str, hives: Sequence[str], looks: Sequence[LookWorth], signs: Sequence[str], one_hive: Fraction | None
) -> list[str]:
    found = [f"{apiary}: {len(looks)} of {len(hives)} hives looked at, signs seen in {len(signs)}."]
    if signs:
        found.append(f"Signs seen in {', '.join(signs)}: treat as suspect or case until a laboratory has spoken.")
    if one_hive is not None:
        found.append(f"If one hive had one diseased frame, these looks would have noticed it with {percent(one_hive)}.")
    blank = [look.hive for look in looks if not look.chances]
    if blank:
        found.append(f"Frames not noted in {', '.join(blank)}: these looks count as none.")
    found.append("No signs seen does not mean free of disease: signs come weeks to months after infection.")
    return found


def _todo(asked: int | None, looks: Sequence[LookWorth], missing: Sequence[str]) -> list[str]:
    found = []
    short = (asked or 0) - len(looks)
    if short > 0:
        found.append(f"{short} more must be looked at; not looked at yet: {', '.join(missing)}.")
    partial = [look.hive for look in looks if not look.full]
    if partial:
        found.append(f"Look again, every brood frame with the bees shaken off: {', '.join(partial)}.")
    return found


def _assumptions(notice: Fraction) -> tuple[str, ...]:
    return (
        f"A diseased frame is noticed with {percent(notice)} when seen shaken; frames are noticed independently.",
        "Frames not noted as shaken count as seen with bees on them.",
        "The chance is for a hive that already shows signs; a hive that does not yet show them is found by no look.",
    )
