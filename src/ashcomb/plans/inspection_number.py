"""How many hives of an apiary are to be looked at, by the profile's rules of number."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from ashcomb.plans.figures import Figures
from ashcomb.records.places import Apiary, Hive
from ashcomb.records.situation import Situation
from ashcomb.records.state import cases


def hives_asked(
    situation: Situation, figures: Figures, apiary: str, hives: int, signs: Sequence[str]
) -> tuple[int | None, list[str]]:
    """How many of the `hives` standing at an apiary the profile wants looked at, or None, and why.

    signs: hives of the apiary in which signs were seen in this round.
    """
    cased = _cases(situation, apiary)
    if signs or cased:
        return hives, ["There are signs or cases in this apiary: every hive of it is looked at."]
    if _all_by_share(situation, figures, apiary):
        return hives, ["The operation has more cases than the profile's limit: every hive is looked at."]
    up_to, share = figures.maybe("inspection.all_up_to"), figures.maybe("inspection.fraction")
    least = figures.maybe("inspection.min_hives")
    if up_to is not None and hives <= up_to:
        return hives, [f"The profile wants every hive looked at in apiaries of up to {int(up_to)}."]
    if share is None and least is None:
        return None, ["The profile sets no number of hives to look at."]
    number = min(hives, max(ceil(hives * (share or 0)), int(least or 0)))
    return number, [f"The profile wants {number} of {hives} hives looked at."]


def _all_by_share(situation: Situation, figures: Figures, apiary: str) -> bool:
    """Whether the cases in the whole operation are so many that the profile wants every hive looked at."""
    limit, share = figures.maybe("inspection.cases_all"), figures.maybe("inspection.share_all")
    large = figures.maybe("inspection.large_from")
    apiaries = situation.by_mark(Apiary)
    own = {mark for mark, other in apiaries.items() if other.keeper and other.keeper == apiaries[apiary].keeper}
    hives = {hive.mark for hive in situation.rows(Hive) if hive.apiary in own}
    cased = len(hives & set(cases(situation)))
    if large is not None and len(hives) >= large:
        return share is not None and cased >= share * len(hives)
    return limit is not None and cased > limit


def _cases(situation: Situation, apiary: str) -> list[str]:
    hives = situation.by_mark(Hive)
    return [hive for hive in cases(situation) if hive in hives and hives[hive].apiary == apiary]
