"""Burn day or store: whether anything recorded speaks against a fire, and the store plan that replaces it if so.

No answer here is leave to light. Before that a calibrated meter must read below the limit, at a written hour, with two
named people; and whoever may forbid the fire has the last word.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from ashcomb.kernel.errors import UserError
from ashcomb.plans.balance import Balance, balance
from ashcomb.plans.burn_weather import weather_reasons
from ashcomb.plans.clocks import clocks
from ashcomb.plans.figures import Figures
from ashcomb.plans.notices import valid_notices
from ashcomb.plans.reasons import Hours, Index, Reason
from ashcomb.plans.result import Gate, Plan
from ashcomb.records.places import Hive
from ashcomb.records.situation import Situation
from ashcomb.records.state import events, kill_states
from ashcomb.science.cautions import FIRE, FUEL
from ashcomb.science.sun import sun_night
from ashcomb.sources.profile import CodeProfile

Decision = Literal["go", "caution", "no-go"]
NOT_LEAVE = (
    "This is not leave to light: it only lists what is recorded. The meter, two named people, the fire service and the "
    "permit decide at the pit."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class MeterReading:
    """A reading of a calibrated gas meter at the pit and hives. percent_lel: of the lower explosive limit."""

    percent_lel: float
    at: datetime
    read_by: str
    witness: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BurnOrder:
    """The fire that somebody has in mind. Moments are aware, in the zone of the place.  lat, lon: of the pit."""

    apiary: str
    hives: tuple[str, ...]
    now: datetime
    begins: datetime
    ends: datetime
    zone: str
    lat: float
    lon: float
    meter: MeterReading | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldPlan:
    """What is stored instead. pieces: (hive, component, number) not yet burned or in the store.  checks: days to look.

    latest: last day by which the law wants the pieces destroyed, in words.
    """

    pieces: tuple[tuple[str, str, int], ...]
    steps: tuple[str, ...]
    checks: tuple[date, ...]
    latest: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BurnDecision(Plan):
    """Go, caution or no-go with every reason. clearance: the meter, always apart from the decision.

    indices: fire danger and smoke, with what is missing for each; empty where no fresh weather is recorded.
    """

    order: BurnOrder
    decision: Decision
    reasons: tuple[Reason, ...]
    indices: tuple[Index, ...]
    clearance: Gate
    hold: HoldPlan | None
    verdict: str


def burn_day(situation: Situation, profile: CodeProfile, order: BurnOrder) -> BurnDecision:
    """Decides between the fire and the store from weather, permit, night rule and how far the kill got.

    Raises UserError if no hive or an unknown one is named, ValueError for moments without a zone or a fire that ends
    before it begins.
    """
    if not order.hives:
        raise UserError("No hive is named for the fire.", "Name the hives that are to burn.")
    known = situation.by_mark(Hive)
    if unknown := [hive for hive in order.hives if hive not in known]:
        raise UserError(f"{', '.join(unknown)} is not a known hive.", "Choose hives that are in the records.")
    if order.now.tzinfo is None or order.begins.tzinfo is None or order.ends <= order.begins:
        raise ValueError("a fire needs aware moments, and ends after it begins")
    figures = Figures(profile)
    dark = tuple(_dark(order, figures))
    hours = Hours(now=order.now, begins=order.begins, ends=order.ends, by_day=not dark)
    weather, indices = weather_reasons(situation, order.apiary, order.lat, hours, figures)
    reasons = (
        *_permit(situation, order),
        *_alive(situation, order),
        *weather,
        *dark,
    )
    levels = {reason.level for reason in reasons}
    decision: Decision = "no-go" if "no-go" in levels else "caution" if levels else "go"
    clearance = meter_gate(order.meter, order.now, figures)
    hold = _hold(situation, profile, order, figures) if decision == "no-go" else None
    return BurnDecision(
        order=order, decision=decision, reasons=reasons, indices=indices, clearance=clearance, hold=hold,
        verdict=_verdict(decision, reasons), uses=figures.taken, rules=figures.rules,
        assumptions=(
            "The worst hour decides. An hour that is missing or stale counts against the fire.",
            "Where a drought factor is recorded, the forest fire danger index stands beside the official rating.",
        ),
        cautions=(FIRE, FUEL, NOT_LEAVE),
    )  # fmt: skip


def _permit(situation: Situation, order: BurnOrder) -> Iterator[Reason]:
    if not valid_notices(situation, "fire permit", order.apiary, order.begins.date()):
        yield Reason("no-go", "No fire permit is recorded for this day; if none is needed, record that word as one.")


def _alive(situation: Situation, order: BurnOrder) -> Iterator[Reason]:
    states = kill_states(situation)
    open_ = [hive for hive in order.hives if hive not in states or states[hive].state != "dead confirmed"]
    if open_:
        yield Reason("no-go", f"Not confirmed dead, or disputed: {', '.join(open_)}.")


def _dark(order: BurnOrder, figures: Figures) -> Iterator[Reason]:
    day = order.begins.date()
    rise = sun_night(order.lat, order.lon, order.zone, day - timedelta(days=1)).sunrise
    fall = sun_night(order.lat, order.lon, order.zone, day).sunset
    if rise and fall and rise <= order.begins and order.ends <= fall:
        return
    rule = figures.rule("night_fire")
    said = rule.text if rule else "The profile has no rule for it: ask."
    yield Reason("caution", f"Part of the fire lies between sunset and sunrise. {said}")


def clearance_share(figures: Figures) -> float:
    """Share of the lower explosive limit below which a meter must read; a profile may ask for less, never for more."""
    usual, theirs = figures.ours("vapour.clearance_share"), figures.maybe("clearance.lel_share")
    return float(min(usual, theirs) if theirs is not None else usual)


def meter_gate(meter: MeterReading | None, now: datetime, figures: Figures) -> Gate:
    """Whether a fresh reading below the limit by two named people is there; even then it is read again."""
    share = clearance_share(figures)
    oldest = timedelta(minutes=float(figures.ours("plans_night.meter_age_minutes")))
    name, who, limit = "meter reading", "two named people", share * 100
    if meter is None:
        why = (
            f"No reading. A calibrated meter must read below {limit:g} % of the lower explosive limit at pit and hives."
        )
        return Gate(name, False, why, who)
    faults = []
    if not 0 <= meter.percent_lel < limit:
        faults.append(f"it must be below {limit:g} %")
    if not meter.read_by.strip() or not meter.witness.strip() or _same(meter.read_by, meter.witness):
        faults.append("two different people must be named")
    if not now - oldest <= meter.at <= now:
        faults.append(f"it must be from the last {oldest / timedelta(minutes=1):g} min")
    said = f"{meter.percent_lel:g} % at {meter.at:%H:%M}, read by {meter.read_by or '–'}, with {meter.witness or '–'}"
    return Gate(
        name, not faults, f"{said}{': ' if faults else ''}{', '.join(faults)}. Read again before lighting.", who
    )


def _same(one: str, other: str) -> bool:
    return one.strip().casefold() == other.strip().casefold()


def _verdict(decision: Decision, reasons: tuple[Reason, ...]) -> str:
    if decision == "no-go":
        against = [reason.text for reason in reasons if reason.level == "no-go"]
        return f"No fire: store instead. {' '.join(against)}"
    care = " ".join(reason.text for reason in reasons)
    words = (
        f"Nothing recorded forbids the fire, with care: {care}" if care else "Nothing recorded speaks against the fire."
    )
    return f"{words} {NOT_LEAVE}"


def _hold(situation: Situation, profile: CodeProfile, order: BurnOrder, figures: Figures) -> HoldPlan:
    limit = clocks(profile, events(situation), order.zone, order.now).of("destroy")
    last = limit.at if limit else None
    every = timedelta(days=float(figures.ours("plans_night.hold_check_days")))
    shown = int(figures.ours("plans_night.hold_checks_shown"))
    days = [order.now.date() + every * n for n in range(1, shown + 1)]
    checks = tuple(day for day in days if last is None or day <= last.day) or tuple(days[:1])
    figures.rule("fire_ban_hold"), figures.rule("marking")
    return HoldPlan(
        pieces=_to_store(balance(situation, profile, order.hives)),
        steps=(*_STEPS, *(rule.text for rule in figures.rules if rule.key in ("fire_ban_hold", "marking"))),
        checks=checks,
        latest=limit.words if limit else "The profile names no latest day for destruction: ask the authority for one.",
    )


def _to_store(found: Balance) -> tuple[tuple[str, str, int], ...]:
    return tuple((line.owner, line.component, line.missing) for line in found.lines if line.missing)


_STEPS = (
    "Store inside a building that bees cannot enter, under a cover that lies tight on the floor all round.",
    "Stuff each entrance with something mice do not chew, and tape every gap; check each piece into the hold register.",
    "Mark every box with the disease and the hive on two adjacent sides.",
    "Hives that held petrol give off flammable vapour for days: no flame, engine or switch near them; air the room.",
    "Look at the store on each check date: gaps, robber bees, mice, count against the register.",
)
