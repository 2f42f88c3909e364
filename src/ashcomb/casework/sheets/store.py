"""The stock-take sheet of the hold store, and the claim bundle."""

from __future__ import annotations

from ashcomb.casework.holding import claim, scheme_words, store_state
from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import (
    Block,
    Column,
    Facts,
    Framed,
    Grid,
    Lines,
    Sheet,
    Signatures,
    facts,
    filled,
    rows,
)
from ashcomb.casework.sheets.ground import DEFER, foundations, unmet_words
from ashcomb.kernel.time import day_words
from ashcomb.plans.claim import Claim
from ashcomb.plans.hold_store import HoldStore, StoreState
from ashcomb.records.storage import Insurance

_STOCK = (
    Column("Whose", "mark"), Column("What", "text", 2), Column("Book", "number"), Column("Spot", "text", 2),
    Column("Wrap", "text", 2), Column("Since", "text", 2), Column("Days", "number"), Column("Counted", "write", 2),
    Column("Tags, remarks", "write", 3),
)  # fmt: skip
_LOOKS = (
    Column("Day, hour", "write", 2), Column("Gaps, mice, bees", "write", 4), Column("Bee-proof", "write", 1),
    Column("Name", "write", 2),
)  # fmt: skip
_LOST = (
    Column("What", "text", 3), Column("Count", "number"), Column("", "text"), Column("Each", "number"),
    Column("Sum", "number"), Column("Price from", "text", 3), Column("Condition", "text", 2),
    Column("Hives", "text", 3),
)  # fmt: skip
_PROOF = (Column("What", "text", 5), Column("Where", "text", 3))
STORE_CAUTION = (
    "Held hives that had fuel give off vapour for days: air the room first; no flame, engine or switch near them. "
    "Count without opening a wrap: the label says what is inside."
)


def stocktake_sheet(desk: Desk) -> Sheet:
    """One table a store, with room to count, and the looks that are due."""
    plan, trouble = desk.attempt(store_state)
    stores = plan.stores if plan else ()
    blocks: list[Block] = [
        Framed("CANNOT BE MADE YET", tuple(filter(None, [trouble])), loud=True),
        Framed("PUT RIGHT", unmet_words(plan.gates) if plan else (), loud=True),
        *(block for store in stores for block in _store(store)),
        *([Grid("In the store", _STOCK, (), 16)] if not stores else []),
        Grid("Looks", _LOOKS, (), spare=10 if desk.blank else 5),
        Framed("Caution", (STORE_CAUTION, DEFER)),
        Signatures(("Keeper of the store", "Second counter"), "Counted by two people, piece by piece."),
        *foundations(desk.blank, plan),
    ]  # fmt: skip
    return Sheet("stocktake", "Stock-take of the hold store", head_of(desk), filled(blocks), lead=_lead(plan))


def claim_sheet(desk: Desk) -> Sheet:
    """What was destroyed and what it was worth, with what proves it."""
    plan, trouble = desk.attempt(lambda case: claim(case, desk.ask.scheme, desk.ask.hives, desk.ask.day))
    sums = rows(_sums(plan)) if plan else ()
    blocks: list[Block] = [
        Framed("CANNOT BE CLAIMED YET", tuple(filter(None, [trouble])), loud=True),
        Framed("STILL MISSING FOR THE CLAIM", unmet_words(plan.gates) if plan else (), loud=True),
        _who(desk, plan),
        Lines("What the scheme says", scheme_words(plan) if plan else (), "–"),
        Grid("Destroyed", _LOST, rows(_lost(plan)) if plan else (), desk.spare(14)),
        Grid("Sum", (Column("", "text", 3), Column(plan.currency if plan else "", "number", 1)), sums, desk.spare(3)),
        Grid("Evidence", _PROOF, rows(plan.evidence if plan else ()), desk.spare(8)),
        Framed("Caution", ("A valuation is no promise of payment; whoever pays decides.", DEFER)),
        Signatures(("Keeper", "Officer or inspector"), "The counts and the condition are as listed."),
        *foundations(desk.blank, plan),
    ]  # fmt: skip
    return Sheet(
        "claim", "Claim for what was destroyed", head_of(desk), filled(blocks), lead=plan.verdict if plan else ""
    )


def _store(store: StoreState) -> list[Block]:
    looked = f"Last looked at {day_words(store.last_check)}" if store.last_check else "Never looked at"
    risk = f"Robbing risk {store.risk}: {' '.join(store.reasons)}"
    lines = (f"{looked}; next look by {day_words(store.next_check)}. {risk}", *store.differences)
    cells = ((x.owner, x.component, x.count, x.spot, x.wrap, day_words(x.since), x.days, "", "") for x in store.lines)
    return [Grid(f"Store {store.store or 'unnamed'}", _STOCK, rows(cells), spare=3, lines=lines, room=True)]


def _lead(plan: HoldStore | None) -> str:
    return f"{day_words(plan.day)}: {plan.verdict}" if plan else ""


def _who(desk: Desk, plan: Claim | None) -> Facts:
    cover = next(reversed(desk.situation.rows(Insurance)), None)
    paid = cover.happened.words() if cover else ""
    covered = {True: "yes", False: "NO", None: ""}[cover.all_covered if cover else None]
    return Facts("Insured", facts((
        ("Scheme", plan.scheme.title if plan else ""), ("Membership or policy", plan.number if plan else ""),
        ("Paid on", paid), ("All colonies on the site covered", covered), ("Inspector's report, number", ""),
        ("Valued on", day_words(plan.day) if plan else ""),
    )))  # fmt: skip


def _lost(plan: Claim) -> list[tuple[object, ...]]:
    return [(x.words, x.count, x.unit, "not covered" if x.cents is None else f"{x.cents / 100:.2f}",
             f"{x.total / 100:.2f}", x.basis, x.condition, " ".join(x.hives)) for x in plan.lines]  # fmt: skip


def _sums(plan: Claim) -> list[tuple[object, ...]]:
    return [("Sum", f"{plan.subtotal / 100:,.2f}"),
            (f"Cut for earlier claims, {float(plan.cut_share):.0%}", f"–{plan.cut / 100:,.2f}"),
            ("Claimed", f"{plan.total / 100:,.2f}")]  # fmt: skip
