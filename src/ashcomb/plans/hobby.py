"""The small keeper's case: a few hives, one of them sick. What to do today, what with the other hive, and the dates.

Short on purpose: it fills two printed pages. The steps are common practice where no rule of the profile stands beside
them, and an order of the authority overrides each of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ashcomb.kernel.errors import UserError
from ashcomb.plans.clocks import Clock, Clocks
from ashcomb.plans.figures import Figures
from ashcomb.plans.followup import FollowupPlan
from ashcomb.plans.looks import standing
from ashcomb.plans.result import Plan
from ashcomb.records.places import Apiary
from ashcomb.records.situation import Situation
from ashcomb.records.state import cases, suspects
from ashcomb.sources.profile import CodeProfile

RULES = ("notify_whom", "standstill", "honey", "marking", "burn_place", "compensation")
CAUTIONS = (
    "Killing and burning a hive means petrol, fire and night work. Do not do it alone and not without the order: ask "
    "the inspector who does it, or who stands beside you. Local fuel, fire and animal-health law and licensed practice "
    "override this paper.",
    "Nothing here says that it is safe to light a fire, or that a hive is free of disease.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class HobbyPlan(Plan):
    """Two pages. sick, other: hives.  today, other_hive: what to do, in order.  dates: coming first, then not started.

    follow: one sentence for each exposed hive with what is left of the suspicion; empty when none was worked out.
    """

    apiary: str
    keeper: str
    sick: tuple[str, ...]
    other: tuple[str, ...]
    today: tuple[str, ...]
    other_hive: tuple[str, ...]
    dates: tuple[str, ...]
    follow: tuple[str, ...]


def hobby(
    situation: Situation,
    profile: CodeProfile,
    apiary: str,
    today: date,
    dates: Clocks,
    follow: FollowupPlan | None = None,
) -> HobbyPlan:
    """The short plan for one small apiary today.

    dates: the clocks of the profile.  follow: follow-up of the hives that are not sick, where it was worked out.
    Raises UserError for an apiary that is unknown or that has no living hive.
    """
    place = situation.by_mark(Apiary).get(apiary)
    if place is None:
        raise UserError(f"{apiary} is not a known apiary.", "Add it to the sheet Apiaries first.")
    hives = standing(situation, apiary, today)
    if not hives:
        raise UserError(f"No living hive is recorded at {apiary}.", "Add its hives first.")
    ill = {*cases(situation), *suspects(situation)}
    sick, other = tuple(h for h in hives if h in ill), tuple(h for h in hives if h not in ill)
    figures = Figures(profile)
    rules = [rule.text for key in RULES if (rule := figures.rule(key))]
    return HobbyPlan(
        apiary=apiary,
        keeper=place.keeper,
        sick=sick,
        other=other,
        today=(*_today(sick, dates), *rules),
        other_hive=_other(other, sick),
        dates=_dates(dates),
        follow=(*(hive.words for hive in follow.hives), *follow.reasons) if follow else (),
        uses=follow.uses if follow else (),
        rules=(*figures.rules, *dates.rules),
        assumptions=(*dates.assumptions, *(follow.assumptions if follow else ())),
        cautions=CAUTIONS,
    )


def _today(sick: tuple[str, ...], dates: Clocks) -> tuple[str, ...]:
    notify = dates.of("notify")
    told = notify is not None and notify.state in ("done", "done late")
    found = f"Signs or a positive test: {', '.join(sick)}. Mark it, and do not open it again without the inspector."
    none = "No signs and no positive test are on record here. If you see signs: mark the hive, close it, ring, wait."
    return (
        found if sick else none,
        "The authority has been told." if told else f"Tell the authority. {notify.words if notify else ''}".strip(),
        "Nothing leaves and nothing comes: no bees, combs, honey, wax, feed or tools, not even to a friend.",
        "Leave no comb, honey or dead hive open to robbers; a dead hive is closed bee-tight and stays where it is.",
        "Write down who gave you bees, frames or boxes and who got some from you, with the days as well as you know.",
        "Wash hands and tools with soda and hot water before you touch another hive; burn gloves that are sticky.",
    )


def _other(other: tuple[str, ...], sick: tuple[str, ...]) -> tuple[str, ...]:
    if not other:
        return ("No other living hive stands here.",)
    names, it = ", ".join(other), "It" if len(other) == 1 else "Each"
    return (
        f"{names}: {it.lower()} stays where it stands and is not sold, given away, split or united.",
        "Nothing goes from one hive into another: no frame, no box, no honey, no feeder.",
        f"{it} is looked at before {', '.join(sick) or 'the sick hive'}, never after, with tools of its own.",
        "At each date overleaf: every brood frame, bees shaken off, in good light; open every odd cell.",
        "Signs: close it and ring the inspector the same day. No signs: that look clears nothing, keep the next date.",
        "Whether it is killed too is the order's decision, not this paper's.",
    )


def _dates(dates: Clocks) -> tuple[str, ...]:
    """Words of every clock that is not done: by date, and after them those that have not started."""
    left = [clock for clock in dates.clocks if clock.state not in ("done", "done late", "closed")]
    return tuple(_words(clock) for clock in sorted(left, key=_order))


def _order(clock: Clock) -> tuple[bool, date]:
    return clock.at is None, clock.at.day if clock.at else date.max


def _words(clock: Clock) -> str:
    return f"{clock.words} {'This limit has passed: ring today.' if clock.state == 'passed' else ''}".strip()
