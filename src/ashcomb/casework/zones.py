"""Who is inside the zone."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from ashcomb.casework.case import Case
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.plans.zone import Placed, ZonePlan, zone


def zone_of(
    case: Case, centres: Sequence[str] = (), radii_km: Sequence[float] = (), former_since: date | None = None
) -> ZonePlan:
    """The zone around the index apiary (or other centres) at the radii of the profile (or others)."""
    return zone(case.situation(), case.profile(), centres, radii_km, former_since)


def zone_report(plan: ZonePlan) -> Report:
    """The zone in words: inside first, then near, then what must be confirmed."""
    rings = ", ".join(f"{radius:g} km: {len(plan.within(radius))}" for radius in plan.radii_km)
    inside = [place for place in plan.placed if place.inside]
    rows = [_row(place) for place in inside]
    columns = ("Apiary", "Keeper", "Distance km", "Inside", "Note")
    lines = [place.words for place in plan.placed if place.on_line]
    unplaced = [f"{mark}: {what}" for mark, what in plan.unplaced]
    sections = [
        Section("Inside, edge included", (), table(columns, rows, right=(2,))),
        Section("On the line: confirm position", tuple(lines)),
        Section("Unplaced: confirm", tuple(unplaced)),
        Section("Notes", plan.reasons),
    ]
    filled = [section for section in sections if section.lines or (section.table and section.table.rows)]
    return report(f"Zone around {', '.join(plan.centres)}", f"Apiaries inside – {rings}.", filled, plan)


def _row(place: Placed) -> tuple[str, ...]:
    note = "on the line: confirm position" if place.on_line else ("abandoned" if place.state == "abandoned" else "")
    return (place.apiary, place.keeper, f"{place.distance_m / 1000:.3f}", f"{min(place.inside):g} km", note)
