"""The pit: what the real load needs, whether this pit holds it, what digging it takes, and what stands too near."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import ceil, floor
from typing import Literal

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.pieces import boxes_of, counted_of
from ashcomb.plans.pit_site import Site, check_site, site_warnings
from ashcomb.plans.result import Plan
from ashcomb.records.places import Component
from ashcomb.records.situation import Situation
from ashcomb.science.cautions import DIGGING, FIRE
from ashcomb.science.pit import (
    battered_pit_m3,
    cover_m3,
    dig_hours,
    honey_l,
    layer_mm,
    loose_comb_m3,
    needed_depth_m,
    spoil_m3,
)
from ashcomb.sources.profile import CodeProfile


@dataclass(frozen=True, slots=True, kw_only=True)
class PitOrder:
    """The pit that somebody has in mind. Lengths in m, of the floor.

    slope: horizontal run of the walls to one of rise, 0 for upright.  entered: somebody climbs in.  supported: walls
    shored or sloped to the satisfaction of a competent person.  fed: combs go onto the fire few at a time.
    """

    hives: tuple[str, ...]
    length_m: float
    width_m: float
    depth_m: float
    slope: float = 0.0
    ground: Literal["soft", "firm"] = "firm"
    soil: Literal["sand", "loam", "clay"] = "loam"
    people: int = 2
    dark: bool = False
    entered: bool = False
    supported: bool = False
    fed: bool = False
    site: Site = Site()  # noqa: RUF009


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What goes in. honey_kg: as recorded; hives without a figure are in `unweighed`.  comb_m3: loose heap."""

    boxes: int
    frames: int
    comb_m3: float
    honey_kg: float
    honey_l: float
    unweighed: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PitPlan(Plan):
    """One pit. liquid_mm: depth of honey if all of it ran.  soil_m3: settled cover.  place_m3: loose soil for it.

    needed_depth_m: for the heap before the fire and for ash with cover after it, whichever is more.
    against: why it does not fit here.  would: what would fit.  warnings: what stands too near or was not measured.
    """

    order: PitOrder
    load: Load
    area_m2: float
    cover_m: float
    liquid_mm: float
    soil_m3: float
    place_m3: float
    needed_depth_m: float
    dug_m3: float
    spoil_m3: float
    hours: float
    entry_limit_m: float
    against: tuple[str, ...]
    would: tuple[str, ...]
    warnings: tuple[str, ...]
    verdict: str

    @property
    def fits(self) -> bool:
        """Whether the load and its cover fit this pit. Says nothing about lighting a fire."""
        return not self.against


def pit_plan(situation: Situation, profile: CodeProfile, order: PitOrder) -> PitPlan:
    """Plans the pit for the counted combs and the recorded honey of some hives.

    Raises UserError for a pit without floor or depth, nobody to dig, a distance below 0, or hives of which no frame was
    counted.
    """
    if min(order.length_m, order.width_m, order.depth_m) <= 0 or order.people < 1:
        raise UserError("The pit has no floor, no depth, or nobody to dig it.", "Give lengths above 0 and the diggers.")
    check_site(order.site)
    figures = Figures(profile)
    load = _load(situation, order, figures)
    area = order.length_m * order.width_m
    cover = max(float(figures.theirs("pit.cover_m", "pit.cover")), float(figures.maybe("pit.ash_depth_m") or 0))
    residue, settle = float(figures.ours("pit.residue")), float(figures.ours("pit.settle"))
    limit = float(figures.theirs("pit.max_entry_depth_m", "pit.entry_depth"))
    dug = float(battered_pit_m3(order.length_m, order.width_m, order.depth_m, order.slope))
    rate = figures.ours(f"pit.dig_{order.ground}")
    pace = figures.ours("pit.night_pace") if order.dark else 1
    needed = float(needed_depth_m(load.comb_m3, area, cover, residue))
    place = float(cover_m3(area, cover, settle))
    spoil = float(spoil_m3(dug, float(figures.ours(f"pit.swell_{order.soil}"))))
    against = tuple(_against(order, needed, limit, place, spoil))
    would = tuple(_would(order, load, area, cover + residue, needed, limit, figures)) if against else ()
    figures.rule("setbacks")
    return PitPlan(
        order=order, load=load, area_m2=area, cover_m=cover, liquid_mm=float(layer_mm(load.honey_l, area)),
        soil_m3=float(cover_m3(area, cover)), place_m3=place, needed_depth_m=needed, dug_m3=dug, spoil_m3=spoil,
        hours=float(dig_hours(dug, float(rate), order.people, float(pace))), entry_limit_m=limit,
        against=against, would=would, verdict=_verdict(against, order, needed),
        warnings=(*site_warnings(order.site, figures), *_materials(situation, order.hives, figures)),
        uses=figures.taken, rules=figures.rules,
        assumptions=(
            "Frames only: boxes, lids and floors go onto the fire after the combs, and their volume is not counted.",
            "Honey hardly burns. The layer is what would lie on a level floor if all of it ran at once.",
            "The walls of the cover are taken as upright; a sloped pit needs more soil at the top.",
            *([f"No honey is recorded for {', '.join(load.unweighed)}; counted as none."] if load.unweighed else []),
        ),
        cautions=(DIGGING, FIRE),
    )  # fmt: skip


def _load(situation: Situation, order: PitOrder, figures: Figures) -> Load:
    parts = counted_of(situation, order.hives)
    frames = sum(parts.of(hive, "frame") for hive in order.hives)
    bare = [hive for hive in order.hives if not parts.of(hive, "frame")]
    if bare or not frames:
        raise UserError(
            f"No frames are counted for {', '.join(bare) or 'any hive'}.",
            "Count the frames of each hive and record them under Components.",
        )
    weighed = [row for row in situation.rows(Component) if row.hive in order.hives and row.honey_kg is not None]
    kilograms = sum(row.honey_kg or 0.0 for row in weighed)
    boxes, _ = boxes_of(situation, order.hives)
    size = [float(figures.ours(f"pit.frame_{side}")) for side in ("length", "depth", "spacing")]
    packing = float(figures.ours("pit.packing_fed" if order.fed else "pit.packing"))
    figures.ours("pit.honey_density")
    return Load(
        boxes=sum(count or 0 for count in boxes.values()),
        frames=frames,
        comb_m3=float(loose_comb_m3(frames, size[0], size[1], size[2], packing)),
        honey_kg=kilograms,
        honey_l=float(honey_l(kilograms)),
        unweighed=tuple(sorted(set(order.hives) - {row.hive for row in weighed})),
    )


def _against(order: PitOrder, needed: float, limit: float, place: float, spoil: float) -> Iterator[str]:
    if order.depth_m < needed:
        yield f"{order.depth_m:.2f} m deep, but heap, ash and cover need {needed:.2f} m."
    if order.entered and not order.supported and order.depth_m > limit:
        yield f"{order.depth_m:.2f} m is deeper than the {limit:g} m that a person may enter without supported walls."
    if spoil < place:
        yield f"The dug soil ({spoil:.2f} m³ loose) does not give the {place:.2f} m³ of cover."


def _would(
    order: PitOrder, load: Load, area: float, after_m: float, needed: float, limit: float, figures: Figures
) -> Iterator[str]:
    """What would fit: deeper within reason, a larger floor, slower feeding, or nobody inside."""
    climbed = order.entered and not order.supported
    deepest = limit if climbed else max(order.depth_m, floor(100 * float(figures.ours("pit.protect_depth"))) / 100)
    if needed <= deepest and needed != order.depth_m:
        yield f"This floor, {_up(needed)} m deep."
    elif after_m <= deepest:
        yield f"A floor of {_up(load.comb_m3 / deepest)} m² at {deepest:g} m depth, or two pits."
    if after_m <= order.depth_m <= deepest and load.comb_m3 / order.depth_m > area:
        yield f"A floor of {_up(load.comb_m3 / order.depth_m)} m² at {order.depth_m:g} m depth, or two pits."
    if not order.fed:
        slow = load.comb_m3 * float(figures.ours("pit.packing_fed") / figures.ours("pit.packing"))
        depth = max(slow / area, after_m)
        if depth < needed:
            yield f"Combs fed onto the fire a few at a time: {_up(depth)} m is deep enough."
    if climbed and max(order.depth_m, after_m) > limit:
        yield "Nobody enters: dug and filled from outside, or walls shored or sloped under a competent person."


def _up(number: float) -> str:
    """Rounded up to hundredths, so that what is advised is enough."""
    return f"{ceil(round(100 * number, 6)) / 100:.2f}"


def _verdict(against: tuple[str, ...], order: PitOrder, needed: float) -> str:
    if against:
        return f"Does not fit here. {' '.join(against)}"
    return f"Fits: {order.depth_m:.2f} m deep, {needed:.2f} m needed. This says nothing about lighting."


def _materials(situation: Situation, hives: tuple[str, ...], figures: Figures) -> Iterator[str]:
    rows = [row for row in situation.rows(Component) if row.hive in hives]
    odd = sorted({(row.component, row.material) for row in rows if row.material.casefold() in ("plastic", "foam")})
    rule = figures.rule("plastics") if odd else None
    said = f" {rule.text}" if rule else ""
    for component, material in odd:
        yield f"{component.capitalize()}s of {material}: check whether they may go into an open fire.{said}"
