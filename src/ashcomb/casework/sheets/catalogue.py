"""The papers by name."""

from __future__ import annotations

from collections.abc import Callable

from ashcomb.casework.sheets.balance import balance_sheet
from ashcomb.casework.sheets.consignment import consignment_sheet, labels_sheet
from ashcomb.casework.sheets.crewday import crewday_sheet
from ashcomb.casework.sheets.desk import Desk
from ashcomb.casework.sheets.destruction import destruction_sheet
from ashcomb.casework.sheets.fate import fate_sheet, prepare_sheet
from ashcomb.casework.sheets.form import Sheet
from ashcomb.casework.sheets.hobby import hobby_sheet
from ashcomb.casework.sheets.inspection import inspection_sheet
from ashcomb.casework.sheets.night import night_sheet
from ashcomb.casework.sheets.notification import notification_sheet
from ashcomb.casework.sheets.pit import pit_sheet
from ashcomb.casework.sheets.proof import proof_sheet
from ashcomb.casework.sheets.release import release_sheet
from ashcomb.casework.sheets.standstill import standstill_sheet
from ashcomb.casework.sheets.store import claim_sheet, stocktake_sheet
from ashcomb.casework.sheets.trace import trace_sheet
from ashcomb.casework.sheets.zone import zone_sheet
from ashcomb.kernel.errors import UserError

SHEETS: dict[str, tuple[str, Callable[[Desk], Sheet]]] = {
    "notification": ("Notification", notification_sheet),
    "standstill": ("Standstill notice", standstill_sheet),
    "trace": ("Trace list", trace_sheet),
    "zone": ("Zone and neighbour list", zone_sheet),
    "crewday": ("Day sheets of the crews", crewday_sheet),
    "inspection": ("Inspection of a yard", inspection_sheet),
    "fate": ("Fate of every box and comb", fate_sheet),
    "prepare": ("Out of the hives before the kill", prepare_sheet),
    "night": ("One-night sheet", night_sheet),
    "pit": ("Pit and fire sheet", pit_sheet),
    "destruction": ("Destruction record", destruction_sheet),
    "balance": ("Balance and stock sheet", balance_sheet),
    "consignment": ("Consignment for irradiation", consignment_sheet),
    "labels": ("Labels for units", labels_sheet),
    "stocktake": ("Stock-take of the hold store", stocktake_sheet),
    "claim": ("Claim for what was destroyed", claim_sheet),
    "proof": ("Proof of freedom of an apiary", proof_sheet),
    "release": ("Release, or what is missing for it", release_sheet),
    "hobby": ("A small keeper's case on two pages", hobby_sheet),
}


def paper_names() -> tuple[str, ...]:
    """The names of all papers, in the order of the work."""
    return tuple(SHEETS)


def paper_titles() -> dict[str, str]:
    """What each paper is called, by its name."""
    return {name: title for name, (title, _) in SHEETS.items()}


def make_sheet(desk: Desk, name: str) -> Sheet:
    """One paper in words; raises UserError for an unknown name."""
    if name not in SHEETS:
        raise UserError(f"There is no paper “{name}”.", f"Choose one of {', '.join(SHEETS)}.")
    return SHEETS[name][1](desk)
