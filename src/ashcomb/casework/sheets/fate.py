"""The fate list as the crew carries it, hive by hive, and the list of what must leave its hive before the kill."""

from __future__ import annotations

from collections.abc import Sequence

from ashcomb.casework.fates import fate_report, fates, first_words, prepare_list
from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import Block, Column, Framed, Grid, Lines, Sheet, Signatures, filled, rows
from ashcomb.casework.sheets.ground import cautions, foundations
from ashcomb.kernel.time import day_words
from ashcomb.plans.fate import METHOD_WORDS
from ashcomb.plans.fate_build import FateAsk
from ashcomb.plans.fate_choice import FateChoice, FateLine, money
from ashcomb.plans.result import Plan
from ashcomb.science.cautions import FIRE, FUEL
from ashcomb.science.dose import CAUTION as DOSE_CAUTION

_LIST = (
    Column("At", "mark"), Column("Whose", "mark"), Column("Pieces", "number"), Column("What", "text", 5),
    Column("Fate", "text", 2), Column("First", "text", 2), Column("done", "tick"),
)  # fmt: skip
_WHY = (
    Column("What", "text", 3), Column("Fate", "text", 3), Column("Pieces", "number"), Column("By piece", "number"),
    Column("Next best", "text", 3), Column("More for all", "number"),
)  # fmt: skip
_OUT = (
    Column("Hive", "mark"), Column("Pieces", "number"), Column("What comes out", "text", 3),
    Column("Goes to", "text", 3), Column("Tags", "write", 3), Column("out", "tick"), Column("covered", "tick"),
)  # fmt: skip
STATEMENT = "Decided as listed; changes are written on the list and entered."
OUT_CAUTION = (
    "Bees off every comb; carry covered; into the bee-proof store at once. What is still in the hive when the fuel is "
    "poured burns. Nobody opens a sealed or dosed hive to save a comb."
)


def fate_sheet(desk: Desk) -> Sheet:
    """The fate of every piece, hive by hive, then why."""
    plan, trouble = desk.attempt(lambda case: fates(case, FateAsk(agent=desk.ask.agent), desk.ask.hives))
    blocks: list[Block] = [
        Framed("CANNOT BE DECIDED YET", tuple(filter(None, [trouble])), loud=True),
        Framed("NO WAY OPEN: ASK THE OFFICER", _stuck(plan), loud=True),
        Grid("By hive and lot", _LIST, rows(_carried(plan)) if plan else (), desk.spare(16)),
        cautions(FUEL, FIRE, DOSE_CAUTION),
        Signatures(("Officer", "Leader of the crew"), STATEMENT),
        *(_why(plan) if plan else ()), *foundations(desk.blank, _short(plan)),
    ]  # fmt: skip
    return Sheet("fate", "Fate of every box and comb", head_of(desk), filled(blocks), lead=plan.verdict if plan else "")


def prepare_sheet(desk: Desk) -> Sheet:
    """What must be out of its hive before the kill, and by when."""
    plan, trouble = desk.attempt(
        lambda case: prepare_list(
            case, fates(case, FateAsk(agent=desk.ask.agent), desk.ask.hives, more=False), desk.ask.day
        )
    )
    lines = _merged(plan.lines) if plan else ()
    blocks: list[Block] = [
        Framed("CANNOT BE MADE YET", tuple(filter(None, [trouble])), loud=True),
        Grid(f"Out by the evening of {day_words(plan.by)}" if plan else "Out before the kill", _OUT,
             rows((x.owner, x.count, x.words, METHOD_WORDS[x.method], "", "", "") for x in lines),
             desk.spare(14) or 3, room=True),
        Framed("Caution", (OUT_CAUTION, *cautions(FUEL).lines)),
        Signatures(("Who took it out", "Who counted it into the store"), "Taken out, covered, counted, tagged."),
        *foundations(desk.blank, plan),
    ]  # fmt: skip
    return Sheet("prepare", "Out of the hives before the kill", head_of(desk), filled(blocks),
                 lead=plan.verdict if plan else "")  # fmt: skip


def _merged(lines: Sequence[FateLine]) -> tuple[FateLine, ...]:
    """Lines in the order of places and owners."""
    return tuple(sorted(lines, key=lambda x: (x.place, x.owner, x.words, x.method)))


def _carried(plan: FateChoice) -> list[tuple[object, ...]]:
    """One row for each hive or lot and fate: what a crew does there at once."""
    found: dict[tuple[str, str, str, str], list[FateLine]] = {}
    for line in _merged(plan.lines):
        found.setdefault((line.place, line.owner, line.method, first_words(line)), []).append(line)
    return [
        (place, owner, sum(line.count for line in lines), "; ".join(line.told for line in lines),
         METHOD_WORDS.get(method, "NO WAY OPEN"), first, "")
        for (place, owner, method, first), lines in found.items()
    ]  # fmt: skip


def _stuck(plan: FateChoice | None) -> tuple[str, ...]:
    return tuple(f"{x.owner}: {x.told}" for x in plan.stuck) if plan else ()


def _why(plan: FateChoice) -> list[Block]:
    kinds = [(k.words, METHOD_WORDS[k.method], k.count, money(k.cents // max(1, k.count), ""), k.other,
              "" if k.extra is None else f"+{money(k.extra, '')}") for k in plan.kinds]  # fmt: skip
    sections = {section.heading: section for section in fate_report(plan).sections}
    others = tuple(
        f"{b.name}: {'not possible. ' + b.why if b.cents is None else money(b.cents, plan.currency)}"
        for b in plan.beside
    )
    swings = tuple(
        f"{s.item}: {s.low:g} to {s.high:g}, used {s.used:g}; "
        f"cost {money(s.cents_low, '')} to {money(s.cents_high, '')}; "
        f"{s.pieces_low} or {s.pieces_high} pieces would go another way" for s in plan.swings
    )  # fmt: skip
    return [
        Grid("Why, by kind", _WHY, rows(kinds), lines=sections["Fees"].lines),
        Lines("Other ways for the whole", others, "–"),
        Lines("The prices that matter most", swings, "–"),
        Lines("Needs leave before anything", plan.leave_only, "–"),
        Lines("Not clear in the records", plan.doubts, "–"),
        Lines("Reasons", tuple(dict.fromkeys(f"{x.words}: {x.reason}" for x in plan.lines)), "–", small=True),
    ]


def _short(plan: FateChoice | None) -> Plan | None:
    """What the plan rests on, but of its many prices only those that matter most."""
    if plan is None:
        return None
    names = {f"fate.price.{swing.item.replace(' ', '_')}" for swing in plan.swings}
    uses = tuple(u for u in plan.uses if u.key in names or not u.key.startswith(("fate.", "hives.")))
    guessed = (
        f"No price is recorded for {len(plan.guessed)} things; orders of magnitude stand in, listed in the program."
    )
    return Plan(uses=uses, rules=plan.rules, assumptions=(*plan.assumptions, *((guessed,) if plan.guessed else ())))
