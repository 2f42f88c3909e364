"""What looks, tests and findings say of each colony, as the engine takes them, with the record behind each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from ashcomb.kernel.errors import UserError
from ashcomb.outbreak.observation import alike, worth
from ashcomb.outbreak.scene import Look, Pool
from ashcomb.plans.figures import Figures
from ashcomb.plans.inspector_record import own_records
from ashcomb.plans.methods import method, method_named
from ashcomb.plans.scene_ground import Ground
from ashcomb.plans.scene_notes import Notes
from ashcomb.plans.season import Season
from ashcomb.records.case import Milestone
from ashcomb.records.looks import Inspection, LabResult, Sample
from ashcomb.records.situation import Situation
from ashcomb.records.state import cases
from ashcomb.sources.library import value

DIM = ("torch", "lamp", "dusk", "dark", "night", "poor", "dull", "dim")
EVENING = 0.75  # of a day: a look or sample without an hour counts as taken after what moved that day
_worth_of = lru_cache(maxsize=4096)(worth)  # a few hundred kinds of look make up a register
_BROOD = ("larva", "brood", "scale")


@dataclass(frozen=True, slots=True)
class Told:
    """The record behind a look or a test. record: its id.  words: for people."""

    record: str
    words: str


def looks_of(
    situation: Situation, ground: Ground, figures: Figures, season: Season, notes: Notes
) -> tuple[list[Look], list[Told]]:
    """Every look in order of hive and time, with findings that only a milestone tells."""
    own = own_records(situation, figures)
    assumed = float(figures.ours("surveillance.look_sensitivity"))
    found: list[tuple[Look, Told]] = []
    idle = before = away = 0
    for look in situation.rows(Inspection):
        j = ground.number.get(look.hive)
        if j is None:
            notes.out("Looks at hives that are not on the list", look.hive)
            continue
        seen = look.signs != "none seen"
        day = look.happened.last if seen else look.happened.first
        at = ground.at(day) + (EVENING if look.happened.minute is None else look.happened.minute / 1440)
        if at < 0:
            before += 1
            continue
        if not ground.colonies.first[j] <= at < ground.horizon or (at >= ground.colonies.gone[j] and not seen):
            away += 1
            continue
        if not look.happened.certain:
            notes.guess("A look on an open date counts on its first day, one that found signs on its last",
                        f"{look.hive} {look.happened.words()}")  # fmt: skip
        chance = _worth(look)
        record = own.get(look.inspector or look.by)
        chance = min(chance * float(record.sensitivity) / assumed, 1.0) if record else chance
        if not season.has_brood(day) and not seen:
            idle, chance = idle + 1, 0.0
        chance = chance or (_worth_of(None, None, None) if seen else 0.0)  # it did find something
        together = alike(look.brood_frames, look.frames_seen) if chance else 0.0
        found.append((Look(j, at, chance, _false(look), seen, together),
                      Told(look.id, _look_words(look))))  # fmt: skip
    for count, words in ((before, "before the history begins"), (away, "at hives not there on that day")):
        if count:
            notes.out(f"{count} looks left out", words)
    if idle:
        notes.guess("Looks in months without brood are worth nothing", f"{idle} of them")
    found += _milestones(situation, ground, notes)
    found.sort(key=lambda pair: (pair[0].colony, pair[0].time))
    return [look for look, _ in found], [told for _, told in found]


def _worth(look: Inspection) -> float:
    chance = _worth_of(look.brood_frames, look.frames_seen, look.frames_shaken)
    dim = any(word in look.light.casefold() for word in DIM)
    return chance * (value("assess.poor_light_worth").value if dim else 1.0)


def _false(look: Inspection) -> float:
    if look.signs == "clinical":
        return value("outbreak.case_false").value
    if look.signs == "suspect" and look.ropy:
        return value("assess.ropy_false").value
    return value("outbreak.suspicion_false").value


def _look_words(look: Inspection) -> str:
    signs = "no signs seen" if look.signs == "none seen" else f"{look.signs} signs"
    cells = f", {look.cells} cells" if look.cells else ""
    return f"look at {look.hive} on {look.happened.words()}: {signs}{cells} ({look.inspector or look.by})"


def _milestones(situation: Situation, ground: Ground, notes: Notes) -> list[tuple[Look, Told]]:
    """Hives that only a milestone calls confirmed: a finding on its day."""
    known = cases(situation)
    best, false = value("surveillance.look_sensitivity").value, value("outbreak.case_false").value
    found = []
    for each in situation.rows(Milestone):
        if each.event not in ("confirmed", "last case") or not each.hive or each.hive in known:
            continue
        j, at = ground.number.get(each.hive), ground.at(each.happened.last) + EVENING
        if j is None or not ground.colonies.first[j] <= at < ground.horizon:
            notes.out("Findings told by a milestone that fit no hive of the list", each.hive)
            continue
        found.append((Look(j, at, best, false, True), Told(each.id, f"{each.hive} {each.event}, told by a milestone")))
    return found


def pools_of(situation: Situation, ground: Ground, figures: Figures, notes: Notes) -> tuple[list[Pool], list[Told]]:
    """Every test of a sample, with what its method finds; a result counts on the day the sample was taken."""
    samples = situation.by_mark(Sample)
    found: list[Pool] = []
    told: list[Told] = []
    for result in situation.rows(LabResult):
        sample = samples.get(result.sample)
        words = f"sample {result.sample} ({result.method}, {result.outcome})"
        if sample is None or result.outcome == "unclear":
            notes.out("Results that are unclear or name no sample on record", words)
            continue
        day = sample.happened.last if result.outcome == "positive" else sample.happened.first
        minute = sample.happened.minute
        at = ground.at(day) + (EVENING if minute is None else minute / 1440)
        members = [ground.number[hive] for hive in sample.hives if hive in ground.number]
        members = [j for j in members if ground.colonies.first[j] <= at]
        if not 0 <= at < ground.horizon or not members:
            notes.out("Samples from before the history or from no hive of the list", words)
            continue
        test = _test(result, sample, len(sample.hives), figures, notes, words)
        if test:
            signs, latent, false = test
            found.append(Pool(at, tuple(members), result.outcome == "positive", false, signs, latent))
            told.append(Told(result.id, f"{words} of {', '.join(sample.hives[:4])}, taken {sample.happened.words()}"))
    return found, told


def _test(
    result: LabResult, sample: Sample, hives: int, figures: Figures, notes: Notes, words: str
) -> tuple[float, float, float] | None:
    """Chance to find a hive with signs, one before signs, and to err on sound hives."""
    material = sample.material.casefold()
    of_brood = any(word in material for word in _BROOD)
    sure = value("outbreak.case_false").value
    key = method_named(result.method, sample.material)
    if not key:
        notes.guess("Tests by a method that is not plain take the program's stand-in", words)
        latent = 0.0 if of_brood else value("outbreak.test_sensitivity_latent").value
        return value("outbreak.test_sensitivity").value, latent, sure
    one = method(key, figures)
    try:
        one = one.pooled(hives, figures.ours("detection.pool_loss"))
    except UserError:
        if result.outcome == "positive":
            return float(one.signs), float(one.before), sure
        notes.out("Tests of one hive's material that name several hives", words)
        return None
    false = sure if of_brood and result.outcome == "positive" else 1.0 - float(one.specificity)
    return float(one.signs), float(one.before), max(false, sure)


def known_cases(situation: Situation, ground: Ground, day: date) -> list[int]:
    """Numbers of the colonies that are cases by that day."""
    found = cases(situation)
    return sorted(ground.number[h] for h, when in found.items() if h in ground.number and when.first <= day)
