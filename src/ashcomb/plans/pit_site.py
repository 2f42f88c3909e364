"""What stands too near a pit, or was not measured: warnings by the distances of the profile, never a clearance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Measured distances in m, None where nobody measured. dry_m: dry soil below the floor.  slope: of ground, %."""

    well_m: float | None = None
    watercourse_m: float | None = None
    field_drain_m: float | None = None
    building_m: float | None = None
    dry_m: float | None = None
    slope_percent: float | None = None
    services_searched: bool = False


NEAR = (
    ("well_m", "pit.well_m", "a well, borehole or drinking spring"),
    ("watercourse_m", "pit.watercourse_m", "open water"),
    ("field_drain_m", "pit.field_drain_m", "a field drain"),
    ("building_m", "pit.building_m", "buildings, fences and trees"),
    ("dry_m", "pit.water_table_gap_m", "the water table below the floor"),
)


def check_site(site: Site) -> None:
    """Raises UserError for a distance or a slope below 0; only the water may stand above the floor."""
    for name in ("well_m", "watercourse_m", "field_drain_m", "building_m", "slope_percent"):
        found = getattr(site, name)
        if found is not None and not 0 <= found < float("inf"):
            what = name.removesuffix("_m").removesuffix("_percent").replace("_", " ")
            raise UserError(f"{found:g} cannot be measured on the ground.", "Give a number from 0 up.", what)


def site_warnings(site: Site, figures: Figures) -> Iterator[str]:
    """One sentence for each thing that is too near, too steep, unsearched or unmeasured. None means nobody looked."""
    for name, key, what in NEAR:
        asked, found = figures.maybe(key), getattr(site, name)
        if asked is None:
            yield f"The profile names no distance to {what}: ask the regulator."
        elif found is None:
            yield f"The distance to {what} was not measured; {float(asked):g} m is asked."
        elif found < asked:
            yield f"{found:g} m to {what}, less than {float(asked):g} m: ask the regulator before digging."
    yield from _slope(site.slope_percent, figures)
    if not site.services_searched:
        yield "Nobody has searched for buried cables and pipes yet: do it before the first spade."


def _slope(found: float | None, figures: Figures) -> Iterator[str]:
    steep, warn = figures.maybe("pit.max_slope_percent"), figures.maybe("pit.warn_slope_percent")
    if found is None:
        yield "The slope of the ground was not measured."
    elif steep is not None and found >= steep:
        yield f"Ground slopes {found:g} %; it should be below {float(steep):g} %: choose flatter ground or ask."
    elif warn is not None and found > warn:
        yield f"Ground slopes {found:g} %; better below {float(warn):g} %."
