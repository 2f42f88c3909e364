"""Follow-up of exposed hives: what looks without signs leave of the suspicion, and when to look next.

It never clears a hive: signs come late, and they come and go.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ashcomb.kernel.time import day_words
from ashcomb.plans.clocks import Clocks
from ashcomb.plans.exposures import Exposure
from ashcomb.plans.figures import Figures
from ashcomb.plans.followup_dates import Brood, look_days
from ashcomb.plans.looks import is_full, looks_at
from ashcomb.plans.result import Plan
from ashcomb.records.looks import Inspection
from ashcomb.records.situation import Situation
from ashcomb.science.exact import percent
from ashcomb.science.onset import still_infected
from ashcomb.sources.library import value
from ashcomb.sources.profile import CodeProfile

ONSET = [f"disease.onset_month_{month}" for month in range(1, 7)]
TRIAL = (
    "The chances at exposure come from one trial with 20 colonies for each way (wet supers, same apiary); "
    "its intervals are wide, and your hives are not that trial."
)
"""Said wherever such a chance is printed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HiveFollowup:
    """One exposed hive. steps: (day, chance after that look).  chance: now, None once signs were seen.

    not_counted: looks that were not full, so not counted.  words: one sentence for the paper.
    """

    hive: str
    exposure: Exposure
    steps: tuple[tuple[date, float], ...]
    chance: float | None
    not_counted: tuple[str, ...]
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NextLook:
    """A date to look. left: largest chance left in any hive if that look, and those before it, show no signs."""

    day: date
    why: str
    left: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FollowupPlan(Plan):
    """The exposed hives with what is left of the suspicion, the worst first, and the next dates."""

    hives: tuple[HiveFollowup, ...]
    signs: tuple[str, ...]
    next_looks: tuple[NextLook, ...]
    reasons: tuple[str, ...]


def followup(
    situation: Situation,
    profile: CodeProfile,
    exposures: Sequence[Exposure],
    today: date,
    dates: Clocks,
    pauses: Sequence[tuple[date, date]] = (),
    sensitivity: float | None = None,
) -> FollowupPlan:
    """What the looks until today leave of the suspicion in each exposed hive, and when to look next.

    exposures: one for each hive.  dates: the clocks of the profile.  pauses: intervals without brood, not overlapping.
    sensitivity: of one full look at a hive that shows signs, 0 to 1; None takes the program's own.
    Only looks at every brood frame with the bees shaken off count. An uncertain day of exposure counts from its last.
    """
    figures = Figures(profile)
    sure = float(figures.ours("surveillance.look_sensitivity")) if sensitivity is None else sensitivity
    brood = Brood(tuple(pauses))
    looks = _looks_by_hive(situation, exposures, today)
    found = [_hive(exposure, looks[exposure.hive], brood, sure) for exposure in exposures]
    found.sort(key=lambda item: (item.chance is not None, -(item.chance or 0.0), item.hive))
    signs = tuple(item.hive for item in found if item.chance is None)
    days = look_days(figures, dates, today)
    return FollowupPlan(
        hives=tuple(found),
        signs=signs,
        next_looks=tuple(
            NextLook(day=day, why=why, left=_largest(found, [d for d, _ in days[: k + 1]], brood, sure))
            for k, (day, why) in enumerate(days)
        ),
        reasons=_reasons(found, signs),
        uses=(*figures.taken, *(value(key) for key in dict.fromkeys([e.key for e in exposures if e.key] + ONSET))),
        rules=figures.rules,
        assumptions=_assumptions(sure, bool(pauses)),
    )


def _looks_by_hive(situation: Situation, exposures: Sequence[Exposure], today: date) -> dict[str, list[Inspection]]:
    found: dict[str, list[Inspection]] = {exposure.hive: [] for exposure in exposures}
    start = min((exposure.since.first for exposure in exposures), default=today)
    for look in looks_at(situation, list(found), start, today):
        found[look.hive].append(look)
    return found


def _hive(exposure: Exposure, looks: Sequence[Inspection], brood: Brood, sensitivity: float) -> HiveFollowup:
    after = [look for look in looks if look.happened.last >= exposure.since.last]
    signs = [look for look in after if look.signs != "none seen"]
    full = [look.happened.first for look in after if is_full(look) and look.signs == "none seen"]
    steps = tuple((day, _left(exposure, full[: k + 1], brood, sensitivity)) for k, day in enumerate(full))
    return HiveFollowup(
        hive=exposure.hive,
        exposure=exposure,
        steps=steps,
        chance=None if signs else steps[-1][1] if steps else float(exposure.prior),
        not_counted=tuple(f"{look.hive}, {look.happened.words()}" for look in after if not is_full(look)),
        words=_words(exposure, steps, signs),
    )


def _largest(found: Sequence[HiveFollowup], days: Sequence[date], brood: Brood, sensitivity: float) -> float | None:
    """The largest chance left in any hive without signs if the looks on these days show none either."""
    left = [_left(hive.exposure, [*(day for day, _ in hive.steps), *days], brood, sensitivity)
            for hive in found if hive.chance is not None]  # fmt: skip
    return max(left, default=None)


def _left(exposure: Exposure, days: Sequence[date], brood: Brood, sensitivity: float) -> float:
    months = [brood.months(exposure.since.last, day) for day in days]
    return still_infected(float(exposure.prior), sensitivity, months)


def _words(exposure: Exposure, steps: Sequence[tuple[date, float]], signs: Sequence[Inspection]) -> str:
    head = f"{exposure.hive}, {exposure.route} on {exposure.since.words()}: {percent(exposure.prior)} at exposure"
    if signs:
        return f"{head}; signs seen on {signs[0].happened.words()}, so it is a suspect and no chance is given."
    if not steps:
        return f"{head}; no full look yet."
    each = ", ".join(f"{percent(chance)} after the look of {day_words(day)}" for day, chance in steps)
    return f"{head}; {each}."


def _reasons(found: Sequence[HiveFollowup], signs: Sequence[str]) -> tuple[str, ...]:
    said = [TRIAL]
    if signs:
        said.append(f"Signs were seen in {', '.join(signs)}: these hives are suspects now, no longer in follow-up.")
    partial = [look for hive in found for look in hive.not_counted]
    if partial:
        said.append(f"Not counted, because not every brood frame was seen shaken: {'; '.join(partial)}.")
    said.append("These numbers say where to look first. They clear no hive and shorten nothing that the law asks.")
    return tuple(said)


def _assumptions(sensitivity: float, paused: bool) -> tuple[str, ...]:
    still = "The onset of signs stands still while there is no brood."
    return (
        f"A full look at a hive that shows signs finds them with {percent(sensitivity)}.",
        "The looks at one hive share its one onset; looks after it fail independently of each other.",
        "Signs that come and go are not counted: in about a third of light cases they vanish for weeks, so the true "
        "chance is higher than printed.",
        still if paused else f"{still} No such time is recorded, so all months count as months with brood.",
    )
