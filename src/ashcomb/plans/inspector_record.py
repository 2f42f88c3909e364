"""What an inspector's own looks found and missed, as far as the records show it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from fractions import Fraction

from ashcomb.plans.figures import Figures
from ashcomb.plans.looks import is_full
from ashcomb.records.looks import Inspection
from ashcomb.records.situation import Situation
from ashcomb.records.state import cases
from ashcomb.science.evidence import own_record
from ashcomb.science.exact import exact


@dataclass(frozen=True, slots=True)
class OwnRecord:
    """One inspector. found, missed: full looks at sick hives.  sensitivity: with the program's figure mixed in."""

    inspector: str
    found: int
    missed: int
    sensitivity: Fraction
    words: str


def own_records(situation: Situation, figures: Figures) -> dict[str, OwnRecord]:
    """Each inspector's own sensitivity, from the hives that turned out to be cases.

    A full look with signs at such a hive was a find; a full look without, so few days before the signs that cells must
    have been there, was a miss. It flatters whoever looks where signs are plain; few hives hardly move the figure.
    """
    assumed = figures.ours("surveillance.look_sensitivity")
    weight, days = figures.ours("detection.record_weight"), int(figures.ours("detection.record_days"))
    sick = cases(situation)
    counts: dict[str, list[int]] = {}
    for look in situation.rows(Inspection):
        if look.hive in sick and is_full(look):
            first = sick[look.hive].first
            count = counts.setdefault(look.inspector or look.by, [0, 0])
            if look.signs != "none seen":
                count[0] += 1
            elif first - timedelta(days=days) <= look.happened.first <= first:
                count[1] += 1
    return {
        who: _record(who, count[0], count[1], assumed, weight) for who, count in sorted(counts.items()) if any(count)
    }


def _record(who: str, found: int, missed: int, assumed: Fraction, weight: Fraction) -> OwnRecord:
    sure = exact(round(own_record(found, missed, float(assumed), float(weight)), 6))
    words = f"{who}: {found} sick hives found, {missed} missed; counts as {float(sure):.1%}"
    return OwnRecord(who, found, missed, sure, f"{words}.")
