"""What a paper rests on: the cautions in front, the assumptions, rules and sourced values at its end."""

from __future__ import annotations

from collections.abc import Sequence

from ashcomb.casework.report import rule_words, source_words
from ashcomb.casework.sheets.form import Block, Framed, Lines
from ashcomb.plans.clocks import Clocks
from ashcomb.plans.result import Gate, Plan
from ashcomb.sources.model import Sourced

DEFER = "Local law, codes and orders, and licensed or trained practice, override this paper."
BLANK = "Blank form: no calculation and no record stands behind it. It clears nothing."


def cautions(*words: str) -> Framed:
    """The cautions in a frame, each once, with the sentence that defers to local codes and licensed practice."""
    return Framed("Caution", (*dict.fromkeys(words), DEFER))


def foundations(blank: bool, *plans: Plan | None) -> list[Block]:
    """Assumptions, rules and sourced values of the plans, each once, in small type."""
    there = [plan for plan in plans if plan is not None]
    if blank:
        return [Lines("What this paper rests on", (BLANK,), small=True)]
    assumed = tuple(dict.fromkeys(line for plan in there for line in plan.assumptions))
    rules = tuple(dict.fromkeys(rule_words(rule) for plan in there for rule in plan.rules))
    values = tuple(dict.fromkeys(value_words(value) for plan in there for value in plan.uses))
    found: list[Block] = [
        Lines("Taken for granted", assumed, "–", small=True),
        Lines("Rules of the place", rules, "–", small=True),
        Lines("Values and their sources", values, "–", small=True),
    ]
    return found


def clock_ground(dates: Clocks | None, *keys: str) -> Plan:
    """What some clocks rest on: their rules and how dates are counted."""
    if dates is None:
        return Plan()
    return Plan(rules=tuple(rule for rule in dates.rules if rule.key in keys), assumptions=dates.assumptions)


def value_words(value: Sourced) -> str:
    """'kill.wait_min = 15 min (10 to 30; published; Author 2013, p. 4)'."""
    unit = "" if value.unit == "1" else f" {value.unit}"
    span = f"{value.low:g} to {value.high:g}; " if value.low != value.high else ""
    return f"{value.key} = {value.value:g}{unit} ({span}{value.status}; {source_words(value.source, value.place)})"


def unmet_words(gates: Sequence[Gate]) -> tuple[str, ...]:
    """One line for each gate that is not met: its name, why, and who can meet it."""
    return tuple(f"{g.name.upper()}: {g.why}{f' ({g.who})' if g.who else ''}" for g in gates if not g.met)


def met_words(gates: Sequence[Gate]) -> tuple[str, ...]:
    """One line for each gate that is met."""
    return tuple(f"{g.name}: {g.why}" for g in gates if g.met)
