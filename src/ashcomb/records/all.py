"""Every record kind, registered by importing this module; ORDER is the order in which sheets are read: what
is named comes before what names it."""

from __future__ import annotations

from ashcomb.records import acts, case, looks, movements, places
from ashcomb.records.columns import KINDS, Kind

__all__ = ["KINDS", "ORDER", "Kind", "acts", "case", "looks", "movements", "places"]

ORDER: tuple[str, ...] = (
    "profile", "confirmation", "keeper", "apiary", "premises", "case", "crew", "hive", "component", "lot", "move",
    "cleaning", "inspection", "sample", "result", "milestone", "notice", "duty", "weather", "kill", "pit", "burn",
    "hold", "consignment", "certificate", "treatment", "withdrawal", "settlement", "release",
)  # fmt: skip
