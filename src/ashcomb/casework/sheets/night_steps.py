"""What a crew does when something goes wrong in the night, and in the morning after it."""

from __future__ import annotations

from ashcomb.casework.sheets.desk import Desk
from ashcomb.casework.sheets.form import Lines
from ashcomb.kernel.time import moment_words
from ashcomb.plans.night import NightPlan


def stop_conditions(desk: Desk, plan: NightPlan | None) -> Lines:
    """When everybody stops: said aloud by anyone, obeyed by all."""
    used = {value.key: value for value in plan.uses} if plan else {}
    near = used.get("exclusion.ignition_m") or used.get("vapour.ignition_exclusion")
    away = f"{near.value:g} m" if near else "____ m"
    return Lines("STOP – anyone says it, all obey: cans shut, walk upwind, count people", (
        f"Flame, spark, engine or telephone within {away} of open fuel; fuel spilled, or on skin or clothing.",
        "Headache, dizziness, sickness, a sting reaction, or anybody tired enough to stumble.",
        "Thunder, a wind that gets up, or dead calm with a smell of fuel in the hollow.",
        "Bees still flying, or an entrance that leaks; strangers, stock or children near.",
        "A person or a hive that the count does not find; the leader or the smoker keeper leaves.",
    ), "–")  # fmt: skip


def if_not_dead(desk: Desk, plan: NightPlan | None) -> Lines:
    """What is done with hives that are still heard when the time is up."""
    by = f"{plan.limit:%H:%M}" if plan and plan.limit else "____:____"
    fly = plan.window.next_flight if plan else None
    return Lines(f"If not all are dead by {by}", (
        "The heard hives stay sealed, taped, marked and guarded; write them down. Nobody opens or moves them.",
        f"Dose and listen again only within the window and the curfew; else be back before bees fly "
        f"({f'{fly:%H:%M}' if fly else '____:____'}).",
        "Tell the officer and the landowner tonight. No fire is lit while one hive is heard.",
    ), "1")  # fmt: skip


def morning(desk: Desk, plan: NightPlan | None) -> Lines:
    """The steps of the morning after."""
    at = moment_words(plan.recheck) if plan and plan.recheck else "________"
    return Lines("Morning", (
        f"Listen to every hive again before any is opened: {at}.",
        "Open one at a time; one moving bee means dose again, wait, and write it down.",
        "Meter, permit, fire ban, wind and two named people before anybody speaks of lighting; else into the store.",
        "Combs first, few at a time; every piece counted into the fire; ash stirred, covered, marked, photographed.",
    ), "1")  # fmt: skip
