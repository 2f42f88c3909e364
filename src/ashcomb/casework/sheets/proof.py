"""The proof of freedom on paper: how sure everything makes us of an apiary, the curve, and what would raise it."""

from __future__ import annotations

from ashcomb.casework.proving import ProvingAsk, curve_of, proof_at, rounds_at
from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import (
    Block,
    Column,
    Facts,
    Framed,
    Grid,
    Lines,
    Picture,
    Sheet,
    Signatures,
    facts,
    filled,
    rows,
)
from ashcomb.casework.sheets.ground import DEFER, foundations
from ashcomb.kernel.time import day_words
from ashcomb.plans.proof import ProofPlan
from ashcomb.plans.rounds import RoundsPlan
from ashcomb.science.exact import percent

_COLUMNS = (Column("Round", "number"), Column("Day", "text", 2), Column("Free after it", "number"),
            Column("What for", "text", 4), Column("Truly on", "write", 2), Column("By", "write", 2))  # fmt: skip
CAUTION = "This paper releases nothing and clears no hive. A release is the signed paper of the competent authority."


def proof_sheet(desk: Desk) -> Sheet:
    """The proof for the apiary that is asked for, with the rounds that are planned."""
    ask = ProvingAsk(mark=desk.yard)
    plan, trouble = desk.attempt(lambda case: proof_at(case, ask))
    signs = bool(plan and plan.groups[0].signs)
    coming, _ = desk.attempt(lambda case: rounds_at(case, ask)) if not signs else (None, "")
    blocks: list[Block] = [
        Framed("CANNOT BE WORKED OUT", tuple(filter(None, [trouble])), loud=True),
        _numbers(plan),
        Lines("Answer", (plan.groups[0].answer,) if plan else ()),
        *([Picture("", curve_of(plan.groups[0], float(plan.target), coming))] if plan else []),
        Lines("What would raise it", plan.groups[0].raise_it if plan else (), "–"),
        _rounds(desk, coming),
        Framed("Caution", (CAUTION, DEFER)),
        Signatures(("Inspector", "Officer")),
        *foundations(desk.blank, plan, coming),
    ]
    return Sheet("proof", f"Proof of freedom of {desk.yard}".strip(), head_of(desk), filled(blocks))


def _numbers(plan: ProofPlan | None) -> Facts:
    if plan is None:
        names = ("Day", "Hives", "Looked at or tested", "Would have found one", "Probability of freedom", "Asked for")
        return Facts("In numbers", facts((name, "") for name in names), columns=3)
    group = plan.groups[0]
    free = "signs: no" if group.signs else percent(group.free)
    return Facts("In numbers", facts((
        ("Day", day_words(plan.today)), ("Hives", str(group.hives)), ("Looked at or tested", str(group.looked)),
        ("Would have found one", percent(group.sensitivity)), ("Probability of freedom", free),
        ("Asked for", percent(plan.target, 0)),
    )), columns=3)  # fmt: skip


def _rounds(desk: Desk, plan: RoundsPlan | None) -> Grid:
    made = [(n, day_words(each.day), percent(each.free), each.why, "", "")
            for n, each in enumerate(plan.rounds if plan else (), 1)]  # fmt: skip
    lines = plan.answer if plan else ()
    return Grid("Rounds still to come", _COLUMNS, rows(made), spare=desk.spare(5), lines=lines, room=True)
