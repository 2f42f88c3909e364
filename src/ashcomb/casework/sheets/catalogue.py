"""The papers by name."""

from __future__ import annotations

from collections.abc import Callable

from ashcomb.casework.sheets.desk import Desk
from ashcomb.casework.sheets.form import Sheet
from ashcomb.casework.sheets.night import night_sheet
from ashcomb.kernel.errors import UserError

SHEETS: dict[str, tuple[str, Callable[[Desk], Sheet]]] = {
    "night": ("One-night sheet", night_sheet),
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
