"""What is due and when: the clocks of the profile, counted from the events in the records."""

from __future__ import annotations

from ashcomb.casework.case import Case
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.plans.clocks import Clock, Clocks, clocks
from ashcomb.plans.profile_change import ProfileChange, compare
from ashcomb.records.state import events


def due_dates(case: Case, profile: str = "") -> Clocks:
    """Every clock of the profile in force (or the one named) at this moment."""
    return clocks(case.profile(profile), events(case.situation()), case.head.timezone, case.now())


def profile_effect(case: Case, other: str) -> ProfileChange:
    """What another profile would change in the dates, and why."""
    facts = events(case.situation())
    return compare(case.profile(), case.profile(other), facts, case.head.timezone, case.now())


def dates_report(plan: Clocks) -> Report:
    """The clocks in words: the running limits first."""
    running = [clock for clock in plan.clocks if clock.state in ("running", "passed")]
    headline = " ".join(clock.words for clock in running) or "No time limit is running."
    rows = [(clock.rule.title, clock.state, _when(clock), clock.why) for clock in plan.clocks]
    section = Section("Clocks", (), table(("Clock", "State", "When", "Why"), rows))
    return report(f"Dates under profile {plan.profile}", headline, (section,), plan)


def effect_report(plan: ProfileChange) -> Report:
    """The difference between two profiles in words."""
    rows = [(change.title, change.before, change.after, change.why) for change in plan.changes]
    headline = f"{len(plan.changes)} dates or rules differ between profile {plan.old} and profile {plan.new}."
    section = Section("Differences", (), table(("Clock", plan.old, plan.new, "Why"), rows))
    return report("What another profile would change", headline, (section,), plan)


def _when(clock: Clock) -> str:
    return clock.words.removeprefix(f"{clock.rule.title}: ").rstrip(".")
