"""What must be in order before a dosed hive is opened or a flame comes near: the wait, and death checked twice."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from ashcomb.plans.figures import Figures
from ashcomb.plans.night_timeline import later
from ashcomb.plans.result import Gate
from ashcomb.records.acts import Kill
from ashcomb.records.state import KillState

LOOKED = ("listened: quiet", "dead confirmed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Floor:
    """The least wait, whatever a calculation says. hours: from the last dose.  until: that moment, None if unknown."""

    hours: float
    why: str
    until: datetime | None


def floor_of(figures: Figures, last_dose: datetime | None) -> Floor:
    """The latest of the profile's wait, its look in the morning, and the hours that keepers leave a hive shut."""
    minutes = figures.theirs("kill.wait_min", "night.wait_minutes")
    recheck = figures.theirs("kill.recheck_h", "night.recheck_hours")
    custom = figures.ours("waiting.hours_before_fire")
    hours, why = max(
        (float(minutes) / 60, "the wait after pouring"),
        (float(recheck), "the second look at death, before any hive is opened"),
        (float(custom), "common practice before a fire, no source"),
    )
    return Floor(hours=hours, why=why, until=later(last_dose, hours * 60) if last_dose else None)


def wait_gate(floor: Floor, now: datetime) -> Gate:
    """Whether the least wait is over; being over clears nothing."""
    name, who = "least wait over", "leader"
    if floor.until is None:
        return Gate(name, False, f"No hour of a dose is recorded. At least {floor.hours:g} h: {floor.why}.", who)
    words = f"{floor.hours:g} h from the last dose end {floor.until:%H:%M} on {floor.until:%d %b}: {floor.why}."
    return Gate(name, now >= floor.until, words, who)


def death_gate(hives: Iterable[str], states: dict[str, KillState], apart_h: float) -> Gate:
    """Whether each hive was found dead, and looked at again without a sign of life at least `apart_h` hours later."""
    name, who = "dead check repeated", "listener"
    not_dead = [h for h in hives if h not in states or states[h].state != "dead confirmed"]
    once = [h for h in hives if h not in not_dead and not _again(states[h].steps, apart_h)]
    faults = [f"Not confirmed dead, or disputed: {', '.join(not_dead)}."] if not_dead else []
    faults += [f"Looked at only once, or less than {apart_h:g} h apart: {', '.join(once)}."] if once else []
    return Gate(name, not faults, " ".join(faults) or f"Every hive was quiet again {apart_h:g} h later.", who)


def moment_of(step: Kill) -> datetime | None:
    """The local moment of a step without its zone, or None where its hour is not known."""
    at = step.happened
    if at.minute is None:
        return None
    return datetime(at.first.year, at.first.month, at.first.day) + timedelta(minutes=at.minute)


def _again(steps: Iterable[Kill], apart_h: float) -> bool:
    """Steps without an hour count as apart only when a whole day lies between them."""
    looks = [step for step in steps if step.step in LOOKED]
    dead = next((step for step in looks if step.step == "dead confirmed"), None)
    if dead is None:
        return False
    for look in looks:
        first, second = moment_of(dead), moment_of(look)
        if first and second and second - first >= timedelta(hours=apart_h):
            return True
        if (first is None or second is None) and (look.happened.first - dead.happened.last).days > apart_h / 24 + 1:
            return True
    return False
