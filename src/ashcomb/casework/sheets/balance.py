"""The balance and stock sheet: every counted piece and where it ended, with the register of the hold store."""

from __future__ import annotations

from ashcomb.casework.pieces import mass_balance
from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import Block, Column, Framed, Grid, Lines, Sheet, Signatures, filled, rows
from ashcomb.casework.sheets.ground import DEFER, foundations, unmet_words
from ashcomb.plans.balance import Balance, Line
from ashcomb.records.acts import Hold

_NUMBERS = ("counted", "burned", "held", "certified", "treated", "pending", "missing", "surplus")
_TITLES = ("Counted", "Burned", "In store", "Certified", "Treated", "Waiting", "Missing", "Surplus")
_COLUMNS = (Column("Whose", "mark"), Column("What", "text", 2), *(Column(title, "number", 1) for title in _TITLES))
_REGISTER = (
    Column("Day, hour", "text", 3), Column("Hive", "mark"), Column("What", "text", 2), Column("Count", "number"),
    Column("In/out", "text"), Column("Store", "text", 2), Column("Bee-proof", "text"), Column("Purpose, to where", "text", 4),
)  # fmt: skip
STATEMENT = "Counted by two people, piece by piece, against the marks."
CAUTION = (
    "A box is back in use only with its certificate or its entry in the dip log beside it. Held hives that had fuel give "
    "off vapour for days: no flame, engine or switch near them."
)


def balance_sheet(desk: Desk) -> Sheet:
    """The balance of the condemned hives (or those that are asked for) and the store register."""
    plan, trouble = desk.attempt(lambda case: mass_balance(case, desk.ask.hives))
    open_lines = [line for line in plan.lines if line.missing or line.surplus or line.pending or line.held] if plan else []
    blocks: list[Block] = [
        Framed("CANNOT BE BALANCED YET", tuple(filter(None, [trouble])), loud=True),
        Framed("DOES NOT CLOSE", unmet_words(plan.gates) if plan else (), loud=True),
        Grid("All", _COLUMNS, rows(map(_cells, plan.totals if plan else ())), spare=desk.spare(7)),
        *([Grid("Hives that are not closed", _COLUMNS, rows(map(_cells, open_lines)))] if open_lines else []),
        Lines("Missing, and where it was last seen", _missing(plan), "–"),
        Grid("Hold store, in and out", _REGISTER, rows(_register(desk)), spare=16 if desk.blank else 4),
        Framed("Caution", (CAUTION, DEFER)), Signatures(("Keeper of the store", "Second counter"), STATEMENT),
        *foundations(desk.blank, plan),
    ]  # fmt: skip
    return Sheet("balance", "Balance and stock sheet", head_of(desk), filled(blocks), lead=plan.verdict if plan else "")


def _cells(line: Line) -> tuple[object, ...]:
    return (line.owner, line.component, *(getattr(line, name) for name in _NUMBERS))


def _missing(plan: Balance | None) -> tuple[str, ...]:
    lines = [line for line in plan.lines if line.missing] if plan else []
    return tuple(f"{line.owner}: {line.missing} {line.component}, {line.last_seen}." for line in lines)


def _register(desk: Desk) -> list[tuple[object, ...]]:
    proof = {None: "", True: "yes", False: "NO"}
    return [(h.happened.words(), h.hive, h.component, h.count, h.direction, h.store, proof[h.bee_proof], h.purpose)
            for h in desk.situation.rows(Hold)]  # fmt: skip
