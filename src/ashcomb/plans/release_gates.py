"""Gates of a release that the records and the profile alone decide."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from ashcomb.kernel.time import day_words
from ashcomb.plans.clocks import Clocks
from ashcomb.plans.followup_dates import LOOK_CLOCKS
from ashcomb.plans.looks import is_full, looks_at, standing
from ashcomb.plans.result import Gate
from ashcomb.records.looks import LabResult, Sample
from ashcomb.records.situation import Situation
from ashcomb.records.state import confirmation, conflicts
from ashcomb.sources.profile import CodeProfile


def rounds_gate(situation: Situation, apiaries: Sequence[str], dates: Clocks, since: date, today: date) -> Gate:
    """Whether every living hive of the apiaries had its full looks without signs since the last burial.

    One look for each of the profile's look clocks that has been reached, each on its own day and not before its date;
    where none is set or reached, one look after `since`, the day of the last burial.
    """
    clocks = [dates.of(key) for key in LOOK_CLOCKS]
    opened = sorted(clock.at.day for clock in clocks if clock and clock.at and clock.at.day <= today)
    wanted, missing, signs = opened or [since], [], []
    for apiary in apiaries:
        hives = standing(situation, apiary, today)
        looks = looks_at(situation, hives, since, today)
        signs += sorted({look.hive for look in looks if look.signs != "none seen"})
        for hive in hives:
            days = [look.happened.first for look in looks if look.hive == hive and is_full(look)]
            missing += [hive] if _short(wanted, sorted(set(days))) else []
    if signs:
        return Gate("rounds", False, f"Signs were seen after the last burial in {', '.join(signs)}.")
    rounds = ", ".join(day_words(day) for day in wanted)
    if missing:
        return Gate(
            "rounds", False, f"A full look without signs is missing (rounds from {rounds}): {', '.join(missing)}."
        )
    return Gate("rounds", True, f"Every living hive had a full look without signs in each round (from {rounds}).")


def spring_gate(situation: Situation, apiaries: Sequence[str], spring: tuple[date, date], today: date) -> Gate:
    """Whether every living hive of the apiaries had a full look without signs in that spring, both days included."""
    window = f"{day_words(spring[0])} to {day_words(spring[1])}"
    if today < spring[0]:
        return Gate("spring check", False, f"The next spring has not come ({window}).")
    missing = []
    for apiary in apiaries:
        hives = standing(situation, apiary, min(today, spring[1]))
        looks = looks_at(situation, hives, spring[0], min(today, spring[1]))
        seen = {look.hive for look in looks if is_full(look)} - {
            look.hive for look in looks if look.signs != "none seen"
        }
        missing += [hive for hive in hives if hive not in seen]
    if missing:
        return Gate("spring check", False, f"No full look without signs from {window}: {', '.join(missing)}.")
    return Gate("spring check", True, f"Every living hive had a full look without signs from {window}.")


def laboratory_gate(situation: Situation) -> Gate:
    """Whether every sample has a result that says something."""
    outcomes = {result.sample: result.outcome for result in situation.rows(LabResult)}
    open_samples = [s.mark for s in situation.rows(Sample) if outcomes.get(s.mark, "unclear") == "unclear"]
    if open_samples:
        return Gate("laboratory", False, f"No clear result yet for {', '.join(open_samples)}.")
    return Gate("laboratory", True, f"Every sample has a result ({len(outcomes)}).")


def profile_gate(situation: Situation, profile: CodeProfile) -> Gate:
    """Whether an officer has confirmed the profile in just this wording."""
    confirmed = confirmation(situation, profile.id, profile.digest)
    if confirmed is None:
        return Gate("profile confirmed", False, f"No officer has confirmed profile “{profile.id}” in this wording.")
    words = f"Confirmed by {confirmed.officer}, {confirmed.role}, on {confirmed.happened.words()}."
    return Gate("profile confirmed", True, words)


def disputes_gate(situation: Situation) -> Gate:
    """Whether no records contradict each other unsettled."""
    open_questions = [conflict.question() for conflict in conflicts(situation)]
    return Gate("disputes settled", not open_questions, " ".join(open_questions) or "No records contradict each other.")


def _short(wanted: Sequence[date], days: Sequence[date]) -> bool:
    """Whether some round has no look of its own: each takes the first unused day that is not before its date."""
    left = list(days)
    for start in wanted:
        fitting = [day for day in left if day >= start]
        if not fitting:
            return True
        left = [day for day in left if day > fitting[0]]
    return False
