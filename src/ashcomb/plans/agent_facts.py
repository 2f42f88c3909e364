"""What is known of each agent: amount, wait, check of death, and what it does to comb and wood afterwards.

Poisons that are obsolete or are no agents for bees stand nowhere here, so nothing can offer them.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from ashcomb.plans.figures import Figures
from ashcomb.plans.night_fuel import fuel
from ashcomb.plans.petrol_dose import boxes_dose

Boxes = Mapping[str, int | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """One agent. amount: words for hives with their boxes.  wait: words.  source, place: where it is from.

    fuel_wet: whether comb and wood count as wet with fuel afterwards.
    """

    amount: Callable[[Boxes, Figures], str]
    wait: Callable[[Figures], str]
    repeat: str
    comb: str
    wood: str
    risk: str
    source: str
    place: str
    fuel_wet: bool = False


def _petrol(boxes: Boxes, figures: Figures) -> str:
    counts = sorted({count for count in boxes.values() if count})
    doses = [(count, boxes_dose(count, figures)) for count in counts]
    by_boxes = ", ".join(f"{count} box{'es' if count > 1 else ''} {dose:.0f} mL" for count, dose in doses if dose)
    found = fuel(boxes, figures)
    missing = f" No dose for {', '.join(found.undosed)}." if found.undosed else ""
    return f"{by_boxes}. {found.words}{missing}" if by_boxes else f"The profile gives no dose.{missing}"


def _soap(boxes: Boxes, figures: Figures) -> str:
    each, strength = (float(figures.ours(f"agents.soapy_water.{name}")) for name in ("litres", "strength"))
    return (f"About {each:g} L for one colony, {each * len(boxes):g} L in all, about {strength:g} % detergent, poured "
            "from the top until everything is wet; more boxes need more.")  # fmt: skip


def _sulphur(_: Boxes, figures: Figures) -> str:
    charges = float(figures.ours("agents.sulphur.charges"))
    return f"{charges:g} charges of strips burned in an empty box; how many strips a colony needs was not verified."


def _cold(_: Boxes, figures: Figures) -> str:
    degrees = float(figures.ours("agents.freezing.temperature"))
    return f"The whole sealed hive at {degrees:g} °C or colder, bee-proof on the way."


def _after_minutes(figures: Figures) -> str:
    return f"{float(figures.theirs('kill.wait_min', 'night.wait_minutes')):g} min undisturbed before anybody listens."


FACTS: dict[str, Facts] = {
    "petrol": Facts(
        amount=_petrol, wait=_after_minutes, fuel_wet=True,
        repeat="If one bee moves: the same dose again, wait again, write both down.",
        comb="Wet with fuel: fire only. It is meant to kill, never to feed the fire; wax burns well enough.",
        wood="Wet with fuel: no irradiation, no wax dip, no store with other goods. It gives off vapour for days.",
        risk="Burns and explodes, poisons whoever leans over it, runs downhill. Cans shut, no flame, two people.",
        source="nz-kill-colonies", place="dose by boxes, 10 to 15 min"),
    "sulphur dioxide": Facts(
        amount=_sulphur,
        wait=lambda _: "Exposed bees fall in seconds; those under a heap are only stunned and wake.",
        repeat="Always a second charge, whatever is heard.",
        comb="Honey in the combs is unusable. No fuel is left in them.",
        wood="No fuel is left: what the profile allows for wood still stands.",
        risk="Burning sulphur is a flame, and its gas chokes: mask, upwind, away from any fuel.",
        source="sulphur-practice-de-ch", place="charge twice"),
    "soapy water": Facts(
        amount=_soap,
        wait=lambda figures: f"{float(figures.ours('agents.soapy_water.closed_h')):g} h closed before a check.",
        repeat="Dry bees live: pour again over every comb that stayed dry.",
        comb="Wet, heavy and leaking: drain before burning, burns slowly. Caught run-off is waste of the case.",
        wood="Wet: poor for irradiation by weight and leaks; dry it bee-proof first.",
        risk="Slippery ground and heavy boxes in the dark; run-off must not reach water.",
        source="flottum-2021-soap", place="2 to 3 US gallons, closed about a day"),
    "freezing": Facts(
        amount=_cold,
        wait=lambda figures: f"{float(figures.ours('agents.freezing.days')):g} days for a whole colony.",
        repeat="Thaw sealed, look, and freeze again if anything moves.",
        comb="Nothing is added. Spores live on: the comb stays infectious.",
        wood="Nothing is added: best kept for irradiation.",
        risk="Moving a living sick colony needs leave, straps, nets and a cold room that takes nothing else.",
        source="beebook-freezing", place="sections 3.2.3.2.3 and 2.1.3.1.1"),
    "carbon dioxide": Facts(
        amount=lambda _, __: "No amount for a hive was verified.",
        wait=lambda _: "Elsewhere it only stuns: a long exposure, of which no figure was found.",
        repeat="Look long after airing: stunned bees wake. Then again, or with another agent.",
        comb="Nothing is left in it.",
        wood="Nothing is left in it: what the profile allows for wood still stands.",
        risk="Chokes people in hollows and closed rooms; dry ice burns skin.",
        source="dk-inspector-2013", place="named beside petrol, weak"),
    "as ordered": Facts(
        amount=lambda _, __: "As the order says, in writing.", wait=lambda _: "As the order says.",
        repeat="As the order says; no sign of life twice is asked all the same.",
        comb="Depends on what is ordered: ask for it. After an insecticide no comb or honey is used again.",
        wood="Depends on what is ordered: ask for it in the order.",
        risk="The one who orders names the safety sheet; nobody uses what has no label for it without leave.",
        source="mutinelli-2023-euthanasia", place="any suitable substance, as reported"),
}  # fmt: skip
