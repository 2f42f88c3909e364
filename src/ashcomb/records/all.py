"""Every record kind, registered by importing this module; ORDER is the order in which sheets are read: what
is named comes before what names it."""

from __future__ import annotations

from ashcomb.records import acts, case, looks, movements, pieces, places, storage
from ashcomb.records.columns import KINDS, Kind

__all__ = ["KINDS", "ORDER", "Kind", "acts", "case", "looks", "movements", "pieces", "places", "storage"]

ORDER: tuple[str, ...] = (
    "profile", "confirmation", "keeper", "apiary", "premises", "case", "crew", "hive", "lot", "component", "split",
    "tag", "move", "cleaning", "inspection", "sample", "result", "milestone", "notice", "duty", "weather", "decision",
    "kill", "pit", "burn", "hold", "store_check", "stock_take", "consignment", "unit", "handover", "certificate",
    "treatment", "loss", "exhibit", "price", "insurance", "withdrawal", "settlement", "release",
)  # fmt: skip
