"""Chooses a pit for the real load: a hole or a trench, how deep, with what walls, dug by hand or by machine."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil, sqrt

from ashcomb.plans.figures import Figures
from ashcomb.plans.pit import PitOrder, PitPlan, pit_plan
from ashcomb.plans.result import Plan
from ashcomb.records.situation import Situation
from ashcomb.science.pit import steepest_slope
from ashcomb.sources.profile import CodeProfile

WALLS = {
    "sand": "C",
    "loam": "B",
    "clay": "A",
}  # soil by feel -> class of 29 CFR 1926 App. B, the weaker where in doubt


@dataclass(frozen=True, slots=True, kw_only=True)
class PitChoice(Plan):
    """The pits that would do, the least digging first. none: why there is none, '' if there are some.

    by: for each, how it is dug, in words.
    """

    plans: tuple[tuple[str, PitPlan], ...]
    by: tuple[str, ...]
    none: str = ""


def choose_pit(situation: Situation, profile: CodeProfile, wish: PitOrder) -> PitChoice:
    """The hole and the trench that need the least digging for the load of `wish`, whose size is not looked at.

    Depth goes from what ash and cover need to what the ground and the rule allow; the walls are sloped where somebody
    enters unsupported ground below the depth of entry. Raises UserError as `pit_plan` does.
    """
    figures = Figures(profile)
    step = float(figures.ours("pit.depth_step"))
    limit = float(figures.theirs("pit.max_entry_depth_m", "pit.entry_depth"))
    deepest = limit if wish.entered and not wish.supported else float(figures.ours("pit.protect_depth"))
    deepest = min(deepest, _dry(wish, figures))
    found: list[tuple[str, PitPlan]] = []
    for shape in ("hole", "trench"):
        fitting = [plan for order in _orders(situation, profile, wish, shape, step, deepest, figures)
                   if (plan := pit_plan(situation, profile, order)).fits]  # fmt: skip
        if fitting:
            found.append((shape, min(fitting, key=lambda plan: (plan.dug_m3, plan.order.depth_m))))
    found.sort(key=lambda item: item[1].dug_m3)
    first = found[0][1] if found else None
    return PitChoice(
        plans=tuple(found), by=tuple(_dug_by(plan, figures) for _, plan in found),
        none="" if found else _none(deepest),
        uses=(*figures.taken, *(first.uses if first else ())), rules=first.rules if first else figures.rules,
        assumptions=first.assumptions if first else (), cautions=first.cautions if first else (),
    )  # fmt: skip


def _orders(
    situation: Situation,
    profile: CodeProfile,
    wish: PitOrder,
    shape: str,
    step: float,
    deepest: float,
    figures: Figures,
) -> Iterator[PitOrder]:
    trial = pit_plan(situation, profile, replace(wish, length_m=1.0, width_m=1.0, depth_m=1.0, slope=0.0))
    least = trial.cover_m + float(figures.ours("pit.residue"))
    width, ratio = float(figures.ours("pit.trench_width")), float(figures.ours("pit.floor_ratio"))
    slope = steepest_slope(WALLS[wish.soil]) if wish.entered and not wish.supported else 0.0  # type: ignore[arg-type]
    for number in range(ceil(round(least / step, 9)), int(deepest / step + 1e-9) + 1):
        depth = round(number * step, 3)
        area = trial.load.comb_m3 / depth
        across = width if shape == "trench" else _up(sqrt(area / ratio), step)
        dry = None if wish.site.dry_m is None else wish.depth_m + wish.site.dry_m - depth
        yield replace(wish, length_m=_up(area / across, step), width_m=across, depth_m=depth, slope=slope,
                      site=replace(wish.site, dry_m=dry))  # fmt: skip


def _dry(wish: PitOrder, figures: Figures) -> float:
    """How deep the floor may lie above the water, where somebody knows how far the wished floor lies above it."""
    gap = figures.maybe("pit.water_table_gap_m")
    if wish.site.dry_m is None or gap is None:
        return float("inf")
    return wish.depth_m + wish.site.dry_m - float(gap)


def _dug_by(plan: PitPlan, figures: Figures) -> str:
    most = float(figures.ours("pit.machine_hours"))
    people = plan.order.people
    if plan.hours <= most:
        return f"by hand, {plan.hours:.1f} h with {people} people"
    return f"by machine: by hand it is {plan.hours:.1f} h with {people} people"


def _none(deepest: float) -> str:
    return (
        f"No pit fits here: ash and cover need more than the {deepest:.2f} m that may be dug. Look for higher ground, "
        "bring soil for a mound over two shallow pits, or use the hold store until another place is found."
    )


def _up(number: float, step: float) -> float:
    return round(ceil(round(number / step, 9)) * step, 3)
