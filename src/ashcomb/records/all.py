"""Every record kind, registered by importing this module; ORDER is the order in which sheets are read."""

from __future__ import annotations

from ashcomb.records import acts, case, looks, movements, places
from ashcomb.records.columns import KINDS, Kind

__all__ = ["KINDS", "ORDER", "Kind", "acts", "case", "looks", "movements", "places"]

ORDER: tuple[str, ...] = (
    "case", "profile", "confirmation", "keeper", "apiary", "premises", "crew", "hive", "component", "lot", "move",
    "cleaning", "inspection", "sample", "result", "milestone", "notice", "duty", "weather", "kill", "pit", "burn",
    "hold", "consignment", "certificate", "treatment", "withdrawal", "settlement", "release",
)  # fmt: skip
