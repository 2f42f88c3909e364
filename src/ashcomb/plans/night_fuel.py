"""Petrol to carry: a dose for each hive by its boxes as the profile states it, a reserve, rounded up, within limits."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from ashcomb.plans.figures import Figures
from ashcomb.plans.result import Gate


@dataclass(frozen=True, slots=True, kw_only=True)
class Fuel:
    """What to carry. doses_ml: by hive; a hive for which no dose is stated is missing there and named in `undosed`.

    doses_l, needed_l: sum of the doses, and with the reserve.  carry_l: rounded up.  cans: of the largest plastic size
    allowed, or None where the place states no size.
    """

    doses_ml: tuple[tuple[str, Fraction], ...]
    undosed: tuple[str, ...]
    doses_l: Fraction
    needed_l: Fraction
    carry_l: Fraction
    cans: int | None
    gate: Gate
    words: str


def fuel(boxes: Mapping[str, int | None], figures: Figures) -> Fuel:
    """Fuel for the hives with their numbers of boxes (None: unknown)."""
    found = {hive: _dose(count, figures) for hive, count in boxes.items()}
    doses = tuple((hive, dose) for hive, dose in found.items() if dose is not None)
    undosed = tuple(hive for hive, dose in found.items() if dose is None)
    sum_l = sum((dose for _, dose in doses), Fraction(0)) / 1000
    reserve = figures.theirs("kill.reserve", "night.fuel_reserve")
    step = figures.ours("night.fuel_step")
    needed = sum_l * (1 + reserve)
    carry = math.ceil(needed / step) * step
    largest, limit = figures.maybe("fuel.can_max_l"), figures.maybe("fuel.site_max_l")
    cans = math.ceil(carry / largest) if largest else None
    words = (
        f"{litres(sum_l)} L in {len(doses)} doses + {float(reserve) * 100:g} % reserve = {litres(needed)} L, "
        f"carry {float(carry):.1f} L; the reserve covers top-ups."
        if doses
        else "No dose is known for any hive, so no fuel is reckoned."
    )
    gate = _gate(undosed, carry, cans, largest, limit)
    return Fuel(doses_ml=doses, undosed=undosed, doses_l=sum_l, needed_l=needed, carry_l=carry, cans=cans, gate=gate,
                words=words)  # fmt: skip


def _dose(boxes: int | None, figures: Figures) -> Fraction | None:
    return figures.maybe(f"kill.petrol_ml.b{boxes}") if boxes else None


def _gate(
    undosed: tuple[str, ...], carry: Fraction, cans: int | None, largest: Fraction | None, limit: Fraction | None
) -> Gate:
    name, who = "fuel within the limits", "officer"
    if undosed:
        why = f"No dose for {', '.join(undosed)}: boxes not counted, or the profile names no dose for so many."
        return Gate(name, False, why, who)
    if cans is None or largest is None or limit is None:
        return Gate(name, False, "The profile states no largest can or no most fuel on site; ask and add both.", who)
    size = f"{float(carry):.1f} L in {cans} can{'s' if cans > 1 else ''} of {float(largest):g} L at most"
    if carry > limit:
        return Gate(name, False, f"{size} is more than the {float(limit):g} L allowed on the site.", who)
    return Gate(name, True, f"{size}; up to {float(limit):g} L may be on the site.", who)


def litres(amount: Fraction) -> str:
    """Litres without needless zeros: 4.375, 9.5."""
    return f"{float(amount):.3f}".rstrip("0").rstrip(".")
