"""The balance and stock sheet: every counted piece and where it ended, with the register of the hold store."""

from __future__ import annotations

from ashcomb.casework.pieces import mass_balance
from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import Block, Column, Framed, Grid, Sheet, Signatures, filled, rows
from ashcomb.casework.sheets.ground import DEFER, foundations
from ashcomb.plans.balance import Balance, Line
from ashcomb.records.pieces import COMPONENTS
from ashcomb.records.storage import Hold

_NUMBERS = ("counted", "burned", "held", "certified", "treated", "pending", "lost", "missing", "surplus")
_TITLES = ("Counted", "Burned", "In store", "Certified", "Treated", "Waiting", "Named missing", "Missing", "Surplus")
_COLUMNS = (Column("Whose", "mark"), Column("What", "text", 2), *(Column(title, "number", 1) for title in _TITLES))
_REGISTER = (
    Column("Day, hour", "text", 3), Column("Whose", "mark"), Column("What", "text", 2), Column("Count", "number"),
    Column("In/out", "text"), Column("Store", "text", 2), Column("Bee-proof", "text"),
    Column("Purpose, to where", "text", 4),
)  # fmt: skip
MOST_WORDS = 240  # of one condition in the frame at the top
STATEMENT = "Counted by two people, piece by piece, against the marks."
CAUTION = (
    "A box is back in use only with its certificate or its entry in the dip log beside it. Held hives that had fuel "
    "give off vapour for days: no flame, engine or switch near them."
)


def balance_sheet(desk: Desk) -> Sheet:
    """The balance of the condemned hives (or those that are asked for) and the store register."""
    plan, trouble = desk.attempt(lambda case: mass_balance(case, desk.ask.hives))
    blocks: list[Block] = [
        Framed("CANNOT BE BALANCED YET", tuple(filter(None, [trouble])), loud=True),
        Framed("DOES NOT CLOSE", _unmet(plan), loud=True),
        Grid("All", _COLUMNS, rows(map(_cells, plan.totals if plan else ())), spare=desk.spare(7)),
        *_missing(plan),
        Grid("Hold store, in and out", _REGISTER, rows(_register(desk)), spare=16 if desk.blank else 4),
        Framed("Caution", (CAUTION, DEFER)), Signatures(("Keeper of the store", "Second counter"), STATEMENT),
        *foundations(desk.blank, plan),
    ]  # fmt: skip
    return Sheet("balance", "Balance and stock sheet", head_of(desk), filled(blocks), lead=plan.verdict if plan else "")


def _cells(line: Line) -> tuple[object, ...]:
    return (line.owner, line.component, *(getattr(line, name) for name in _NUMBERS))


def _unmet(plan: Balance | None) -> tuple[str, ...]:
    gates = [gate for gate in plan.gates if not gate.met] if plan else []
    return tuple(f"Not met: {gate.name}. {_brief(gate.why)}" for gate in gates)


def _brief(why: str) -> str:
    return why if len(why) <= MOST_WORDS else f"{why[:MOST_WORDS].rsplit(';', 1)[0]} … all of it is listed below."


def _missing(plan: Balance | None) -> list[Block]:
    """Missing pieces as hive by kind, with where each was last seen."""
    lines = [line for line in plan.lines if line.missing] if plan else []
    if not lines:
        return []
    kinds = [kind for kind in COMPONENTS if any(line.component == kind for line in lines)]
    columns = (Column("Hive", "mark"), *(Column(kind, "number") for kind in kinds), Column("Last seen", "text", 1))
    found = []
    for owner in dict.fromkeys(line.owner for line in lines):
        own = {line.component: line for line in lines if line.owner == owner}
        seen = "; ".join(dict.fromkeys(line.last_seen for line in own.values()))
        found.append((owner, *(own[kind].missing if kind in own else "" for kind in kinds), seen))
    return [Grid("Missing pieces", columns, rows(found))]


def _register(desk: Desk) -> list[tuple[object, ...]]:
    proof = {None: "", True: "yes", False: "NO"}
    return [(h.happened.words(), h.owner, h.component, h.count, h.direction, h.store, proof[h.bee_proof], h.purpose)
            for h in desk.situation.rows(Hold)]  # fmt: skip
