"""What was measured or seen around a fire pit; whatever is None nobody measured."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Literal

from ashcomb.kernel.errors import UserError


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """The place. Lengths in m; directions in degrees clockwise from north, seen from the pit.

    building_m, bare_m, room_m: from the rim to the next building, width of bare earth, room for people.  hives_m: from
    the rim to the nearest dosed hive.  pit_is: the pit above, level with or below the hives; '' if nobody said.
    """

    building_m: float | None = None
    bare_m: float | None = None
    room_m: float | None = None
    hives_m: float | None = None
    pit_is: Literal["above", "level", "below", ""] = ""
    slope_percent: float | None = None
    wind_from_deg: float | None = None
    hives_deg: float | None = None
    access_deg: float | None = None
    building_deg: float | None = None
    downhill_deg: float | None = None


def check_ground(ground: Ground) -> None:
    """Raises UserError for a length below 0 or a direction that is not between 0 and 360 degrees."""
    for field in fields(ground):
        found = getattr(ground, field.name)
        if isinstance(found, str) or found is None:
            continue
        name = field.name.removesuffix("_m").removesuffix("_deg").replace("_", " ")
        if field.name.endswith("_deg") and not 0 <= found <= 360:
            raise UserError(f"{found:g} is no direction.", "Give degrees clockwise from north, 0 to 360.", name)
        if not field.name.endswith("_deg") and not 0 <= found < 1e6:
            raise UserError(f"{found:g} cannot be measured on the ground.", "Give a number from 0 up.", name)
