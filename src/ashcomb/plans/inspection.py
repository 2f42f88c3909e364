"""What the looks at one apiary were worth, and what is still to be looked at. It never says that an apiary is free."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.words import several
from ashcomb.plans.figures import Figures
from ashcomb.plans.inspection_number import hives_asked
from ashcomb.plans.look_judge import CELLS, Judge, judge_of
from ashcomb.plans.looks import LookWorth, looks_at, standing
from ashcomb.plans.result import Plan
from ashcomb.plans.season import season_of
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
    it stands; a look without frames counts as none.  by_cells: (cells, the same if that frame bears so few diseased
    cells).  asked: hives that the profile wants looked at, None where it sets
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
    by_cells: tuple[tuple[int, Fraction], ...]
    asked: int | None
    reasons: tuple[str, ...]


def inspection(
    situation: Situation,
    profile: CodeProfile,
    apiary: str,
    first: date,
    last: date,
    notice: float | Fraction | None = None,
    latitude: float | None = None,
) -> InspectionPlan:
    """The worth of the looks at an apiary from `first` to `last`, both included, and the hives still to be looked at.

    notice: chance that a diseased frame is noticed when seen shaken, 0 to 1; None takes the program's own, and each
    inspector's own record.  latitude: degrees, for the months with brood.
    Raises UserError for an unknown apiary.
    """
    if apiary not in situation.by_mark(Apiary):
        raise UserError(f"{apiary} is not a known apiary.", "Add it to the sheet Apiaries first.")
    figures = Figures(profile)
    figures.rule("inspection_scope")
    judge = judge_of(situation, figures, season_of(figures, latitude), None if notice is None else exact(notice))
    hives = standing(situation, apiary, last)
    done = looks_at(situation, hives, first, last)
    newest: dict[str, Inspection] = {look.hive: look for look in done}
    looks = tuple(judge.worth(newest[hive]) for hive in sorted(newest))
    signs = tuple(sorted({look.hive for look in done if look.signs != "none seen"}))
    missing = tuple(hive for hive in hives if hive not in newest)
    found = sum((look.chances[0] for look in looks if look.chances), Fraction(0))
    one_hive = found / len(hives) if hives else None
    by_cells = _by_cells(judge, list(newest.values()), len(hives))
    asked, why = hives_asked(situation, figures, apiary, len(hives), signs)
    return InspectionPlan(
        apiary=apiary, first=first, last=last, standing=hives, looks=looks, not_looked=missing, signs=signs,
        one_hive=one_hive, by_cells=by_cells, asked=asked,
        reasons=(*_summary(apiary, hives, looks, signs, one_hive), *_few_cells(by_cells), *why,
                 *_todo(asked, looks, missing)),
        uses=figures.taken, rules=figures.rules, assumptions=_assumptions(judge),
    )  # fmt: skip


def _by_cells(judge: Judge, looks: Sequence[Inspection], hives: int) -> tuple[tuple[int, Fraction], ...]:
    """For each number of cells the chance that the round notices one sick hive, wherever it stands."""
    sums = [sum((judge.by_cells(look)[k] for look in looks if judge.by_cells(look)), Fraction(0))
            for k in range(len(CELLS))]  # fmt: skip
    return tuple((cells, found / hives) for cells, found in zip(CELLS, sums, strict=True)) if hives else ()


def _few_cells(by_cells: Sequence[tuple[int, Fraction]]) -> list[str]:
    each = ", ".join(f"{cells} cell{'s' if cells > 1 else ''} {percent(chance)}" for cells, chance in by_cells)
    return [f"If that frame bore few diseased cells: {each}."] if each else []


def _summary(
    apiary: str, hives: Sequence[str], looks: Sequence[LookWorth], signs: Sequence[str], one_hive: Fraction | None
) -> list[str]:
    found = [f"{apiary}: {len(looks)} of {several(len(hives), 'hive')} looked at, signs seen in {len(signs)}."]
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


def _assumptions(judge: Judge) -> tuple[str, ...]:
    own = " An inspector's own record, where there is one, takes the place of that figure." if judge.own else ""
    return (
        f"A diseased frame is noticed with {percent(judge.notice)} when seen shaken; frames are noticed independently."
        + own,
        f"One diseased cell on a shaken frame is noticed with {percent(judge.cell)}, cells independently, and no frame "
        "better than said above.",
        "Light that was not noted counts as good.",
        "Frames not noted as shaken count as seen with bees on them.",
        "The chance is for a hive that already shows signs; a hive that does not yet show them is found by no look.",
    )
