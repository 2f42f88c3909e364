"""Everything that was looked at or tested in a hive and found nothing, as chances to have found an infection there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.followup_dates import Brood
from ashcomb.plans.look_judge import Judge, judge_of
from ashcomb.plans.looks import looks_at
from ashcomb.plans.methods import method, method_named
from ashcomb.plans.season import Season
from ashcomb.records.looks import Inspection, LabResult, Sample
from ashcomb.records.situation import Situation
from ashcomb.science.evidence import all_missed
from ashcomb.science.onset import signs_by_gamma


@dataclass(frozen=True, slots=True)
class Evidence:
    """One look or test that found nothing. with_signs, before: chance to find an infected hive, 0 to 1.

    method: key of the method.
    """

    day: date
    method: str
    with_signs: float
    before: float


@dataclass(frozen=True, slots=True)
class Findings:
    """What was found and not found in some hives. signs: hives with signs or a positive test.  notes: for people."""

    by_hive: Mapping[str, tuple[Evidence, ...]]
    signs: tuple[str, ...]
    notes: tuple[str, ...]


def findings(
    situation: Situation, figures: Figures, hives: Sequence[str], first: date, last: date, season: Season
) -> Findings:
    """Looks and test results from first to last, both included, hive by hive in order of time.

    A look is worth what its frames were worth if the signs lay on one brood frame, by the inspector's own record and
    in the light that was noted; in months without brood it is worth nothing. A result counts on the day the sample was
    taken.
    """
    found: dict[str, list[Evidence]] = defaultdict(list)
    signs, notes = set(), []
    judge = judge_of(situation, figures, season)
    idle = 0
    for look in looks_at(situation, hives, first, last):
        if look.signs != "none seen":
            signs.add(look.hive)
            continue
        chance = _worth(look, judge)
        idle += not judge.counts(look)
        if chance and judge.counts(look):
            found[look.hive].append(Evidence(look.happened.first, "look", chance, 0.0))
    if idle:
        notes.append(f"{idle} looks fell into months without brood and count as nothing.")
    tested, said = _tests(situation, figures, set(hives), first, last)
    for hive, tests in tested.items():
        found[hive] += tests
    signs |= said
    ordered = {hive: tuple(sorted(each, key=lambda e: e.day)) for hive, each in found.items()}
    return Findings(ordered, tuple(sorted(signs)), (*notes, *(record.words for record in judge.own.values())))


class Missed:
    """Chance that everything at a hive missed an infection that came on some day; remembers what it worked out."""

    def __init__(self, brood: Brood) -> None:
        self._share = lru_cache(maxsize=None)(lambda since, day: signs_by_gamma(brood.months(since, day)))

    def share(self, since: date, day: date) -> float:
        """Share of hives infected on `since` that show signs by `day`."""
        return self._share(since, day)

    def of(self, evidence: Sequence[Evidence], since: date) -> float:
        """Chance that all of it from `since` on found nothing though the hive was infected on `since`."""
        later = [each for each in evidence if each.day >= since]
        if not later:
            return 1.0
        shown = [self.share(since, each.day) for each in later]
        return all_missed(shown, [each.with_signs for each in later], [each.before for each in later])


def _worth(look: Inspection, judge: Judge) -> float:
    worth = judge.worth(look)
    return float(worth.chances[0]) if worth.chances else 0.0


def _tests(
    situation: Situation, figures: Figures, hives: set[str], first: date, last: date
) -> tuple[dict[str, list[Evidence]], set[str]]:
    samples = situation.by_mark(Sample)
    found: dict[str, list[Evidence]] = defaultdict(list)
    positive: set[str] = set()
    loss = figures.ours("detection.pool_loss")
    for result in situation.rows(LabResult):
        sample = samples.get(result.sample)
        if sample is None or not first <= sample.happened.first <= last or not hives & set(sample.hives):
            continue
        if result.outcome == "positive":
            positive |= hives & set(sample.hives)
        key = method_named(result.method, sample.material)
        if result.outcome != "not detected" or not key:
            continue
        one = method(key, figures)
        try:
            one = one.pooled(len(sample.hives), loss)
        except UserError:
            continue  # a test of one hive's larva says nothing about the other hives that a record names
        for hive in sorted(hives & set(sample.hives)):
            found[hive].append(Evidence(sample.happened.first, key, float(one.signs), float(one.before)))
    return found, positive
