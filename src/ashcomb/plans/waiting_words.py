"""What the waiting plan says about its numbers: the band that burns, why a dose is enough or not, what warmth does."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ashcomb.plans.figures import Figures
from ashcomb.plans.hive_vapour import HiveVapour


def reading(hive: HiveVapour, lel: float, uel: float, share: float) -> tuple[str, ...]:
    """The slowest hive in words."""
    swift, _, slow = hive.below_clearance_h
    lel_swift, _, lel_slow = hive.below_lel_h
    return (
        f"{hive.hive}, shut tight: {hive.evaporated_share * 100:.0f} % of {hive.dose_ml:.0f} mL evaporates, "
        f"{hive.liquid_ml:.0f} mL stay liquid; the air holds {hive.vapour_vol_pct:.1f} vol% vapour, "
        f"{hive.lel_multiple:.0f} times the lower limit.",
        f"It leaks, nobody knows how fast: below the limit after {hours_words(lel_swift)} to {hours_words(lel_slow)}, "
        f"below {share * 100:g} % of it after {hours_words(swift)} to {hours_words(slow)}.",
        f"Air with {lel:g} to {uel:g} vol% burns. Whatever stands inside, that band lies at every leak, and fills the "
        "hive when a lid is lifted or the vapour thins. Too rich inside is not safe.",
    )


def why_dose(hives: Sequence[HiveVapour], figures: Figures) -> tuple[str, ...]:
    """Why these doses are enough or not, as far as numbers can tell."""
    return tuple(_why_dose(hives, figures))


def _why_dose(hives: Sequence[HiveVapour], figures: Figures) -> Iterator[str]:
    short = [f"{h.hive} ({h.dose_ml:.0f} of {h.boxes_dose_ml:.0f} mL)" for h in hives
             if h.boxes_dose_ml is not None and h.dose_ml < h.boxes_dose_ml]  # fmt: skip
    if short:
        yield f"Not enough by the profile: {', '.join(short)}."
    dry = [h.hive for h in hives if h.liquid_ml < 0.5]
    if dry:
        yield f"All evaporates in {', '.join(dry)}: no liquid is left to keep the vapour up, a leak thins it at once."
    wet = [h for h in hives if h.hive not in dry]
    if wet:
        least = min(wet, key=lambda h: h.more_vol_pct / h.vapour_vol_pct)
        most = max(wet, key=lambda h: h.more_vol_pct / h.vapour_vol_pct)
        step = float(figures.ours("waiting.more_dose")) * 100
        low, high = (100 * (h.more_vol_pct / h.vapour_vol_pct - 1) for h in (least, most))
        yield (f"A dose {step:g} % larger makes the vapour {low:.0f} to {high:.0f} % stronger: liquid is left, so more "
               "petrol lasts longer but hardly kills faster, and leaves more to wait for.")  # fmt: skip
    yield "Which strength kills honey bees was never published for petrol: the listener tells, not the number."


def warnings_of(hive: HiveVapour, temperature_c: float, figures: Figures) -> tuple[str, ...]:
    """What cold, warmth and the vapour itself do."""
    return tuple(_warnings(hive, temperature_c, figures))


def _warnings(hive: HiveVapour, temperature_c: float, figures: Figures) -> Iterator[str]:
    cold = float(figures.ours("night.cold_kill"))
    if temperature_c < cold:
        yield f"{temperature_c:g} °C is below {cold:g} °C: vapour forms slowly. Lengthen the wait before listening."
    if hive.liquid_at_lel_ml >= 1:
        yield (f"When the gas in {hive.hive} falls below the limit, about {hive.liquid_at_lel_ml:.0f} mL are still "
               "liquid: sun on the hive brings the vapour back. Such a fall clears nothing.")  # fmt: skip
    harm = hive.vapour_vol_pct / float(figures.ours("vapour.human_rapid"))
    yield f"The air in the hive is {harm:.0f} times what overcomes a person in minutes: nobody leans over an open box."
    yield "Colder air makes it last longer: ask again with the coldest hour of the night."
    yield "A hive that stands taped is still flammable next morning. Vapour creeps downhill and lies in the pit."
    yield "Petrol is never poured to light or to feed a fire."


def hours_words(hours: float) -> str:
    """'40 min', '2.9 h', '13 h', '8.7 days'."""
    if hours < 1:
        return f"{hours * 60:.0f} min"
    if hours < 72:
        return f"{hours:.1f} h" if hours < 10 else f"{hours:.0f} h"
    return f"{hours / 24:.1f} days"
