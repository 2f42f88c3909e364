"""The standstill notice: what may not move, since when, and how it ends."""

from __future__ import annotations

from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.finds import finds_at
from ashcomb.casework.sheets.form import (
    Block,
    Column,
    Fact,
    Facts,
    Grid,
    Lines,
    Sheet,
    Signatures,
    facts,
    filled,
    rows,
)
from ashcomb.casework.sheets.ground import cautions, foundations
from ashcomb.kernel.time import Span
from ashcomb.plans.result import Plan
from ashcomb.records.acts import Notice
from ashcomb.records.movements import Move

BOUND = (
    "Bees: colonies, nuclei, swarms, packages, queens and brood, living or dead.",
    "Hives and their parts, with or without comb; combs, frames, wax.",
    "Honey, pollen and feed; used tools, clothing and vehicles that touched hives, unless cleaned as ordered.",
    "Nothing comes in either: what comes in does not leave again.",
)
INSTRUCTIONS = (
    "Close empty hives and dead ones bee-tight; leave no comb or honey open to robbers.",
    "Marks on hives, boxes and seals stay until written leave.",
    "Report swarms, new dead hives and anything that was moved before this notice.",
    "This notice ends only in writing, signed by the authority. Good looks and passed dates do not end it.",
)


def standstill_sheet(desk: Desk) -> Sheet:
    """The standstill notice for the yard of the paper."""
    notices = [n for n in desk.situation.rows(Notice) if n.type == "standstill" and n.apiary in ("", desk.yard)]
    notice = notices[-1] if notices and not desk.blank else None
    ill = ", ".join(find.hive for find in finds_at(desk))
    rule = desk.rule("standstill")
    used = Plan(rules=tuple(found for key in ("standstill", "marking") if (found := desk.profile.rules.get(key))))
    blocks: list[Block] = [
        Facts("Notice", facts((
            ("Number", notice.mark if notice else ""), ("Served on", notice.happened.words() if notice else ""),
            ("Disease", "American foulbrood (Paenibacillus larvae)"), ("Issued by", notice.issued_by if notice else ""),
            ("Colonies affected", ill), ("Conditions", notice.text if notice else ""),
        ))),
        Lines("May not move, into or out of the apiary", (*([rule] if rule else []), *BOUND), "–"),
        Facts("Exceptions, only with a permit in writing", (Fact("Permit, what, from, to, until"), Fact("")), 1),
        Lines("Until then", INSTRUCTIONS, "–"),
        _clashes(desk, notice.happened if notice else None),
        cautions(), Signatures(("Served by", "Received by")), *foundations(desk.blank, used),
    ]  # fmt: skip
    return Sheet("standstill", "Standstill notice", head_of(desk), filled(blocks))


def _clashes(desk: Desk, since: Span | None) -> Grid:
    known = desk.situation.rows(Move) if since else ()
    moves = [m for m in known if since and desk.yard in (m.source, m.target) and m.happened.last >= since.first]
    cells = [(m.mark, m.happened.words(), f"{m.source} to {m.target}", m.what, m.count_out) for m in moves]
    columns = (Column("Move", "mark"), Column("Day", "text", 2), Column("From, to", "text", 2),
               Column("What", "text", 2), Column("Count", "number"))  # fmt: skip
    heading = "Moves on record on or after that day: stop them, or say where they are"
    return Grid(heading, columns, rows(cells), spare=4 if desk.blank else 0 if moves else 2)
