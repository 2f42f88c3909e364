"""What was measured or seen around a fire pit; whatever is None nobody measured."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


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
