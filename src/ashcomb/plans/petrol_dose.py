"""How much petrol one hive got or will get, and where that number is from. Nothing is chosen for the user."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ashcomb.plans.figures import Figures
from ashcomb.records.state import KillState

POURED = ("dosed", "topped up")
DoseFrom = Literal["recorded", "as asked", "profile"]


@dataclass(frozen=True, slots=True)
class Dose:
    """Petrol of one hive. ml: None where there is none, and then `why` says so."""

    ml: float | None
    source: DoseFrom | None = None
    why: str = ""


def boxes_dose(boxes: int | None, figures: Figures) -> float | None:
    """What the profile asks for a hive of so many boxes, in mL, or None."""
    asked = figures.maybe(f"kill.petrol_ml.b{boxes}") if boxes else None
    return float(asked) if asked is not None else None


def petrol_dose(asked_ml: float | None, state: KillState | None, by_boxes: float | None) -> Dose:
    """The dose that was asked for, else what is recorded, else what the profile asks for its boxes."""
    if asked_ml is not None:
        return Dose(asked_ml, "as asked") if asked_ml > 0 else Dose(None, None, "the dose asked for is nothing")
    steps = state.steps if state else ()
    others = {s.agent for s in steps if s.step in POURED and s.agent and "petrol" not in s.agent.casefold()}
    if others:
        return Dose(None, None, f"killed with {', '.join(sorted(others))}, so it holds no petrol")
    if state and state.dose_ml > 0:
        return Dose(state.dose_ml, "recorded")
    if by_boxes:
        return Dose(by_boxes, "profile")
    return Dose(None, None, "no dose is recorded and the profile names none for so many boxes")
