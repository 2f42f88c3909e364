"""The zone list: every apiary inside, whose it is, what must be confirmed, and room for what no record knows."""

from __future__ import annotations

from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import Block, Column, Framed, Grid, Lines, Sheet, Signatures, filled, rows
from ashcomb.casework.sheets.ground import DEFER, foundations
from ashcomb.casework.zones import zone_of
from ashcomb.plans.zone import Placed, ZonePlan
from ashcomb.records.places import Apiary, Keeper
from ashcomb.records.state import hives_at

_COLUMNS = (
    Column("Apiary", "mark"), Column("Name, keeper, telephone", "text", 4), Column("km", "number"),
    Column("Inside", "text"), Column("Hives", "number"), Column("Confirm", "text", 2),
    Column("told", "tick"), Column("seen", "tick"),
)  # fmt: skip
FOUND_HERE = 4  # empty rows for apiaries that are found on the spot
CAUTION = (
    "The line of the order decides, not this list. Apiaries that nobody registered are missing here: ask, look and "
    "write them down below."
)


def zone_sheet(desk: Desk) -> Sheet:
    """The zone around the index apiary (or the yard of the paper)."""
    centres = (desk.ask.apiary,) if desk.ask.apiary else ()
    plan, trouble = desk.attempt(lambda case: zone_of(case, centres))
    inside = [place for place in plan.placed if place.inside or place.on_line] if plan else []
    grid = Grid("Inside, edge included, nearest first", _COLUMNS, rows(_row(desk, place) for place in inside),
                spare=14 if desk.blank else FOUND_HERE)  # fmt: skip
    unplaced = tuple(f"{mark}: {what}" for mark, what in plan.unplaced) if plan else ()
    blocks: list[Block] = [
        Framed("CANNOT BE DRAWN YET", tuple(filter(None, [trouble])), loud=True), grid,
        Lines("Unplaced: not outside, confirm where they are", unplaced, "–"),
        Lines("Notes", plan.reasons if plan else (), "–"),
        Framed("Caution", (CAUTION, DEFER)), Signatures(("Officer",)), *foundations(desk.blank, plan),
    ]  # fmt: skip
    return Sheet("zone", "Zone and neighbour list", head_of(desk), filled(blocks), lead=_lead(plan))


def _lead(plan: ZonePlan | None) -> str:
    if plan is None:
        return ""
    rings = "; ".join(f"within {radius:g} km: {len(plan.within(radius))}" for radius in plan.radii_km)
    former = f" Former sites: {', '.join(plan.former)}." if plan.former else ""
    return f"Around {', '.join(plan.centres)}. Apiaries {rings}.{former}"


def _row(desk: Desk, place: Placed) -> tuple[object, ...]:
    apiary = desk.situation.by_mark(Apiary)[place.apiary]
    keeper = desk.situation.by_mark(Keeper).get(place.keeper)
    who = f"{keeper.name} {keeper.phone}".strip() if keeper else place.keeper or "keeper unknown"
    name = "; ".join(part for part in (apiary.name, who) if part)
    inside = f"{min(place.inside):g} km" if place.inside else "outside"
    notes = (
        [f"on the line of {', '.join(f'{r:g}' for r in place.on_line)} km: confirm position"] if place.on_line else []
    )
    notes += ["abandoned"] if place.state == "abandoned" else []
    hives = len(hives_at(desk.situation, place.apiary, desk.today))
    return (place.apiary, name, f"{place.distance_m / 1000:.3f}", inside, hives, "; ".join(notes), "", "")
