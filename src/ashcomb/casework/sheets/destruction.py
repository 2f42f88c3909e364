"""The destruction record: hive by hive from the dose to the covered ash."""

from __future__ import annotations

from collections import Counter

from ashcomb.casework.dates import due_dates
from ashcomb.casework.pieces import mass_balance
from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import Block, Column, Facts, Grid, Lines, Sheet, Signatures, facts, filled, rows
from ashcomb.casework.sheets.ground import cautions, clock_ground, foundations
from ashcomb.plans.balance import Balance
from ashcomb.plans.clocks import Clocks
from ashcomb.records.acts import Burn, Kill, Notice, Pit
from ashcomb.records.places import Hive
from ashcomb.records.state import KillState, condemned, kill_states
from ashcomb.science.cautions import DIGGING, FIRE, FUEL

PARTS = ("box", "frame", "lid", "floor", "excluder", "feeder")
STATEMENT = "We saw every listed colony dead, every listed piece burned, and the ash covered, as written here."
_KILLED = (
    Column("Hive", "mark"), Column("Boxes", "number"), Column("Agent", "text"), Column("Dose mL", "number"),
    Column("Dosed at", "text", 2), Column("Top-up mL", "number"), Column("Dead confirmed at, by", "text", 3),
)  # fmt: skip
_BURNED = (Column("Hive", "mark"), *(Column(part, "number", 1) for part in PARTS), Column("other", "number", 1))


def destruction_sheet(desk: Desk) -> Sheet:
    """The record for the condemned hives of the yard of the paper."""
    hives = () if desk.blank else desk.ask.hives or condemned(desk.situation, desk.yard)
    states = kill_states(desk.situation)
    boxes = desk.situation.by_mark(Hive)
    killed = [_killed(mark, boxes[mark].boxes if mark in boxes else None, states.get(mark)) for mark in hives]
    plan, trouble = desk.attempt(lambda case: mass_balance(case, hives))
    dates, _ = desk.attempt(due_dates)
    spare = desk.spare(14)
    blocks: list[Block] = [
        _papers(desk, dates), Grid("Killed", _KILLED, rows(killed), spare, room=len(states) < len(hives)),
        Grid("Burned, pieces counted into the fire", _BURNED, rows(_burned(desk, hives)), spare,
             room=not desk.situation.rows(Burn)),
        Lines("Balance", (plan.verdict, *_open(plan)) if plan else tuple(filter(None, [trouble]))),
        _fire(desk), cautions(FUEL, FIRE, DIGGING),
        Signatures(("Leader", "Second person", "Officer or witness"), STATEMENT),
        *foundations(desk.blank, plan, clock_ground(dates, "destroy", "residue_check")),
    ]  # fmt: skip
    return Sheet("destruction", "Destruction record", head_of(desk), filled(blocks))


def _papers(desk: Desk, dates: Clocks | None) -> Facts:
    found = dict.fromkeys(("destruction order", "fire permit", "permit"), "")
    for notice in desk.situation.rows(Notice):
        if notice.type in found and notice.apiary in ("", desk.yard):
            found[notice.type] = f"{notice.mark}, {notice.issued_by or 'issuer not noted'}, {notice.happened.words()}"
    return Facts("Papers", facts((
        ("Order", found["destruction order"]), ("Fire permit", found["fire permit"]),
        ("Landowner's consent", found["permit"]), ("Weather at the fire: wind, rain, ban", ""),
        ("Time limit", _clock(dates, "destroy")), ("Look at the covered pit", _clock(dates, "residue_check")),
    )))  # fmt: skip


def _clock(dates: Clocks | None, key: str) -> str:
    found = dates.of(key) if dates else None
    return found.words if found else ""


def _killed(mark: str, boxes: int | None, state: KillState | None) -> tuple[object, ...]:
    if state is None:
        return (mark, boxes, "", "", "", "", "")
    dosed = [step for step in state.steps if step.step == "dosed"]
    more = [step for step in state.steps if step.step == "topped up"]
    agent = ", ".join(dict.fromkeys(step.agent for step in dosed if step.agent))
    hours = "; ".join(step.happened.words() for step in dosed)
    dead = [
        f"{step.happened.words()}, {step.person or step.by}" for step in state.steps if step.step == "dead confirmed"
    ]
    verdict = "DISPUTED: settle it" if state.conflict else "; ".join(dead)
    return (mark, boxes, agent, _sum(dosed), hours, _sum(more), verdict)


def _sum(steps: list[Kill]) -> str:
    amounts = [step.amount_ml for step in steps if step.amount_ml is not None]
    return f"{sum(amounts):g}" if amounts else ""


def _burned(desk: Desk, hives: tuple[str, ...]) -> list[tuple[object, ...]]:
    found: dict[str, Counter[str]] = {mark: Counter() for mark in hives}
    for burn in desk.situation.rows(Burn):
        if burn.hive in found:
            found[burn.hive][burn.component if burn.component in PARTS else "other"] += burn.count
    lines = [(mark, *(count[part] or "" for part in (*PARTS, "other"))) for mark, count in found.items()]
    total = sum(found.values(), Counter())
    return [*lines, ("all", *(total[part] or "" for part in (*PARTS, "other")))] if hives else []


def _open(plan: Balance) -> tuple[str, ...]:
    hives = dict.fromkeys(line.owner for line in plan.lines if line.missing)
    return (f"Pieces are missing of {', '.join(hives)}: see the balance sheet.",) if hives else ()


def _fire(desk: Desk) -> Facts:
    pits = [pit for pit in desk.situation.rows(Pit) if pit.apiary == desk.yard and not desk.blank]
    at = {pit.state: f"{pit.happened.words()}, {pit.person or pit.by}" for pit in pits}
    sized = [pit for pit in pits if pit.length_m and pit.width_m and pit.depth_m]
    covered = [pit.cover_m for pit in pits if pit.cover_m]
    size = f"{sized[-1].length_m:g} × {sized[-1].width_m:g} m, {sized[-1].depth_m:g} m deep" if sized else ""
    return Facts("Pit and fire", facts((
        ("Pit, size", " ".join(filter(None, [pits[-1].mark if pits else "", size]))), ("Position of the pit", ""),
        ("Lit at, by two named people, after the meter read", at.get("lit", "")), ("Ash at", at.get("ash", "")),
        ("Covered at", at.get("covered", "")), ("Settled soil over the ash, m", f"{covered[-1]:g}" if covered else ""),
        ("Looked at next day: bees, comb, animals", at.get("checked", "")), ("Photographs, numbers", ""),
    )))  # fmt: skip
