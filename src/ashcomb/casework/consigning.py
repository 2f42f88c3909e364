"""Consignments to a plant: plan one, enter it with its units, and follow it from hand to hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from ashcomb.casework.case import Case
from ashcomb.casework.fates import fates, to_send
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.drawings.pallet import Block, Loaded
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span
from ashcomb.plans.consignment import ConsignmentPlan, Custody, Sending, UnitPlan, custody, plan_consignment
from ashcomb.plans.fate_build import FateAsk
from ashcomb.records.acts import Consignment
from ashcomb.records.columns import Record
from ashcomb.records.pieces import Tag
from ashcomb.records.places import Hive
from ashcomb.records.registry import Registry
from ashcomb.records.situation import Situation
from ashcomb.science.pallet import stack_places
from ashcomb.sources.library import value
from ashcomb.sources.profile import CodeProfile


def next_mark(situation: Situation) -> str:
    """The next free number of a consignment: C1, C2 …"""
    used = {row.mark for row in situation.rows(Consignment)}
    return next(mark for n in range(1, len(used) + 2) if (mark := f"C{n}") not in used)


def consignment(case: Case, mark: str = "", ask: FateAsk | None = None, boxes_in_unit: int = 2) -> ConsignmentPlan:
    """The consignment of all that the cheapest fates send to a plant; combs still in a hive wait until they are out."""
    choice = fates(case, ask, more=False)
    items = to_send(case, choice)
    situation = case.situation()
    sending = Sending(mark=mark or next_mark(situation), items=items, boxes_in_unit=boxes_in_unit)
    return plan_consignment(situation, case.profile(), sending)


def enter_consignment(case: Case, plan: ConsignmentPlan, plant: str = "") -> int:
    """Writes tags, consignment, units and what is in them, sealed together; returns the number of records.

    Raises UserError if the consignment is entered already.
    """
    situation = case.situation()
    if any(row.mark == plan.mark for row in situation.rows(Consignment)):
        raise UserError(f"Consignment {plan.mark} is entered already.", "Give this one another mark.")
    today = Span.day(case.now().date())
    known = {row.mark for row in situation.rows(Tag)}
    records: list[Record] = [
        case.make("tag", today, mark=tag, component="box", **_owner(situation, owner))
        for unit in plan.units for tag, (owner, component, _) in zip(unit.boxes, unit.pieces, strict=False)
        if tag not in known and component == "box"
    ]  # fmt: skip
    records.append(case.make("consignment", today, mark=plan.mark, lot="1", plant=plant, boxes=plan.boxes,
                             units=len(plan.units), mass_kg=plan.shipment.mass_kg))  # fmt: skip
    records += [
        case.make("unit", today, mark=unit.mark, consignment=plan.mark, boxes=len(unit.boxes), mass_kg=unit.mass_kg,
                  tags=unit.boxes, pallet=unit.pallet, stack=unit.stack, base_mm=float(unit.base_mm),
                  height_mm=float(unit.height_mm))
        for unit in plan.units
    ]  # fmt: skip
    inside: Counter[tuple[str, str]] = Counter()
    for unit in plan.units:
        for owner, component, count in unit.pieces:
            inside[owner, component] += count
    records += [
        case.make("treatment", today, component=component, count=count, method="irradiated", consignment=plan.mark,
                  **_owner(situation, owner))
        for (owner, component), count in sorted(inside.items())
    ]  # fmt: skip
    registry = Registry(situation.everything())
    for record in records:
        faults = registry.faults(record)
        if faults:
            raise UserError(faults[0].what, faults[0].do, faults[0].sheet)
        registry.add(record)
    case.write(records, f"consignment {plan.mark} entered")
    return len(records)


def _owner(situation: Situation, owner: str) -> dict[str, str]:
    if owner.startswith("at "):
        return {"loose_at": owner.removeprefix("at ")}
    hives = {row.mark for row in situation.rows(Hive)}
    return {"hive": owner} if owner in hives else {"lot": owner}


def loaded_pallets(profile: CodeProfile, mark: str, units: Sequence[UnitPlan]) -> tuple[Loaded, ...]:
    """Each pallet as it is drawn; none where the profile sets no pallet or no unit has a place on one."""
    names = ("pallet_length_mm", "pallet_width_mm", "deck_mm", "pallet_height_mm")
    found = [profile.optional(f"irradiation.{name}") for name in names]
    numbers = [int(side.value) for side in found if side]
    if len(numbers) < len(names):
        return ()
    length, width, deck, height = numbers
    box_length, box_width = (int(1000 * value(f"packing.deep_{side}").value) for side in ("length", "width"))
    places = stack_places(box_length, box_width, length, width)
    pallets = sorted({unit.pallet for unit in units if unit.pallet and unit.stack})
    return tuple(
        Loaded(f"Pallet {pallet} of {len(pallets)}", length, width, deck, height, places, tuple(
            Block(short_label(mark, unit), unit.stack, unit.base_mm, unit.height_mm)
            for unit in units if unit.pallet == pallet))
        for pallet in pallets
    )  # fmt: skip


def short_label(mark: str, unit: UnitPlan) -> str:
    """The label without the number of the consignment: 07-K, and its mass."""
    return f"{unit.mark.removeprefix(f'{mark}-')}  {unit.mass_kg:.1f} kg"


def chain(case: Case, mark: str) -> Custody:
    """The hand-overs of one consignment."""
    return custody(case.situation(), mark)


def consignment_report(plan: ConsignmentPlan, followed: Custody | None = None) -> Report:
    """The consignment in words: pallets, units, what stays, gates and the chain of hand-overs."""
    rows = [(u.mark, u.pallet, u.stack, len(u.boxes), f"{u.mass_kg:.1f}", u.contents, " ".join(u.owners))
            for u in plan.units]  # fmt: skip
    gates = [(g.name, "met" if g.met else "NOT MET", g.why, g.who) for g in plan.gates]
    sections = [
        Section("Conditions before it leaves", (), table(("Condition", "", "Why", "Who"), gates)),
        Section("Units", (), table(
            ("Unit", "Pallet", "Stack", "Boxes", "kg", "Contents", "Whose"), rows, right=(1, 2, 3, 4))),
        Section("Stays behind", (), table(("What", "Why"), plan.left)),
    ]  # fmt: skip
    if followed:
        sections.append(custody_section(followed))
    kept = [s for s in sections if s.lines or (s.table and s.table.rows)]
    return report(f"Consignment {plan.mark}", plan.verdict, kept, plan)


def custody_section(followed: Custody) -> Section:
    """Hand-overs and breaks."""
    steps = [(s.happened.words(), s.from_whom, s.to_whom, s.units, "whole" if s.seals_intact else "BROKEN",
              " ".join(s.missing)) for s in followed.steps]  # fmt: skip
    return Section("From hand to hand", followed.breaks, table(
        ("When", "From", "To", "Units", "Seals", "Missing"), steps, right=(3,)))  # fmt: skip
