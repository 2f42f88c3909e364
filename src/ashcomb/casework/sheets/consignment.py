"""The consignment set: pack list with pallets drawn and the hand-over chain, and the labels of its units."""

from __future__ import annotations

from ashcomb.casework.consigning import consignment, loaded_pallets, next_mark
from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import (
    Block,
    Column,
    Facts,
    Framed,
    Grid,
    Label,
    Labels,
    Lines,
    Picture,
    Sheet,
    Signatures,
    facts,
    filled,
    rows,
)  # fmt: skip
from ashcomb.casework.sheets.ground import cautions, foundations, unmet_words
from ashcomb.drawings.pallet import draw_pallet, qr_svg
from ashcomb.kernel.words import several
from ashcomb.plans.consignment import ConsignmentPlan, UnitPlan, custody, leaving_gates, recorded_units
from ashcomb.plans.irradiation import match_certificates
from ashcomb.records.acts import Consignment
from ashcomb.records.places import Premises
from ashcomb.records.storage import Handover
from ashcomb.science.dose import CAUTION as DOSE_CAUTION

_UNITS = (
    Column("Unit", "mark"), Column("Pallet", "number"), Column("Stack", "number"), Column("Boxes", "number"),
    Column("kg", "number"), Column("Contents", "text", 3), Column("Whose", "text", 2), Column("Seal", "write", 1),
    Column("no honey", "tick"),
)  # fmt: skip
_CHAIN = (
    Column("Day, hour", "write", 2), Column("From: name, signature", "write", 4),
    Column("To: name, signature", "write", 4), Column("Units", "number", 1), Column("Seals whole", "write", 1),
)  # fmt: skip
_MATCH = (
    Column("Lot", "mark"), Column("Sent", "number"), Column("Received", "number"), Column("Returned", "number"),
    Column("Least kGy", "number"), Column("Asked kGy", "number"), Column("Finding", "text", 4),
)  # fmt: skip
HELD = (
    "Every unit stays held until sent, received and returned agree and the least dose meets the rules. A mean "
    "counts for nothing."
)
BLANK_LABELS = 8
WARNING = ("AMERICAN FOULBROOD", "Keep closed. Keep bees away.")


def consignment_sheet(desk: Desk) -> Sheet:
    """Pack list, pallets, hand-overs, and the match with the certificate."""
    mark = _mark(desk)
    plan, trouble, units = _planned(desk, mark)
    gates = () if desk.blank or not units else plan.gates if plan else leaving_gates(desk.situation, desk.profile, mark)
    steps = [] if desk.blank else [s for s in desk.situation.rows(Handover) if s.consignment == mark]
    breaks = custody(desk.situation, mark).breaks if steps else ()
    blocks: list[Block] = [
        Framed("CANNOT BE PACKED YET", tuple(filter(None, [trouble])), loud=True),
        Framed("NOT READY TO LEAVE", unmet_words(gates), loud=True),
        _facts(desk, mark, units),
        Grid("Units", _UNITS, rows(map(_cells, units)), desk.spare(16)),
        Lines("Stays behind", tuple(f"{what}: {why}" for what, why in plan.left) if plan else (), "–"),
        *(Picture(loaded.title, draw_pallet(loaded)) for loaded in loaded_pallets(desk.profile, mark, units)),
        Grid("From hand to hand", _CHAIN, rows(_step(s) for s in steps), spare=5, lines=breaks, room=True),
        Grid("Match with the plant's certificate", _MATCH, rows(_match(desk, mark)), spare=2, lines=(HELD,)),
        cautions(DOSE_CAUTION), Signatures(("Packer", "Second counter"), "Looked at, counted, sealed, as listed."),
        *foundations(desk.blank, plan),
    ]  # fmt: skip
    return Sheet("consignment", f"Consignment for irradiation{f' {mark}' if mark else ''}", head_of(desk),
                 filled(blocks), lead=_lead(plan, mark, units))  # fmt: skip


def labels_sheet(desk: Desk) -> Sheet:
    """The labels of the units, to cut out: QR code, unit, boxes, mass, and what they say to whoever finds one."""
    _, trouble, units = _planned(desk, _mark(desk))
    labels = tuple(_label(unit) for unit in units)
    blank = (Label("", ("Boxes:", "kg:", *WARNING)),) * BLANK_LABELS
    blocks: list[Block] = [
        Framed("NO LABELS YET", tuple(filter(None, [trouble])), loud=True),
        Lines("", ("One label on each of two adjacent sides of the unit, inside the outer wrap. The last character "
                   "checks the others: read it aloud too.",)),
        Labels(labels or (blank if desk.blank else ())),
        cautions(DOSE_CAUTION), *foundations(desk.blank),
    ]  # fmt: skip
    return Sheet("labels", "Labels for units", head_of(desk), filled(blocks))


def _planned(desk: Desk, mark: str) -> tuple[ConsignmentPlan | None, str, tuple[UnitPlan, ...]]:
    """Plan, trouble and units: as entered in the records, else as planned now."""
    entered = () if desk.blank else recorded_units(desk.situation, mark)
    if entered:
        return None, "", entered
    plan, trouble = desk.attempt(lambda case: consignment(case, mark))
    return plan, trouble, plan.units if plan else ()


def _mark(desk: Desk) -> str:
    if desk.blank:
        return ""
    sent = [row.mark for row in desk.situation.rows(Consignment)]
    return desk.ask.consignment or (sent[-1] if sent else next_mark(desk.situation))


def _facts(desk: Desk, mark: str, units: tuple[UnitPlan, ...]) -> Facts:
    places = desk.situation.by_mark(Premises).values()
    plant = next((f"{p.mark} {p.name}; {p.access}".strip("; ") for p in places if p.type == "irradiation plant"), "")
    mass = sum(unit.mass_kg for unit in units)
    return Facts("Consignment", facts((
        ("Number", mark), ("Plant", plant), ("Units", str(len(units)) if units else ""),
        ("Boxes", str(sum(len(u.boxes) for u in units)) if units else ""), ("Mass, kg", f"{mass:.1f}" if units else ""),
        ("Pallets", str(len({u.pallet for u in units})) if units else ""), ("Least dose asked, kGy", _dose(desk)),
        ("Carrier", ""),
    )))  # fmt: skip


def _dose(desk: Desk) -> str:
    found = desk.profile.optional("irradiation.min_dose_kgy")
    return f"{found.value:g}" if found and not desk.blank else ""


def _cells(unit: UnitPlan) -> tuple[object, ...]:
    return (unit.mark, unit.pallet or "", unit.stack or "", len(unit.boxes), f"{unit.mass_kg:.1f}", unit.contents,
            ", ".join(unit.owners), "", "")  # fmt: skip


def _step(step: Handover) -> tuple[object, ...]:
    return (step.happened.words(), step.from_whom, step.to_whom, step.units, "yes" if step.seals_intact else "NO")


def _match(desk: Desk, mark: str) -> list[tuple[object, ...]]:
    if desk.blank or mark not in {row.mark for row in desk.situation.rows(Consignment)}:
        return []
    lots = match_certificates(desk.situation, desk.profile).lots
    return [(x.lot, x.sent, x.received, x.returned, x.minimum_kgy, x.required_kgy, " ".join(x.faults) or "matches")
            for x in lots if x.consignment == mark]  # fmt: skip


def _label(unit: UnitPlan) -> Label:
    lines = (*unit.boxes, f"{unit.mass_kg:.1f} kg" + (f", pallet {unit.pallet}" if unit.pallet else ""),
             *WARNING)  # fmt: skip
    return Label(unit.mark, lines, qr_svg(unit.text))


def _lead(plan: ConsignmentPlan | None, mark: str, units: tuple[UnitPlan, ...]) -> str:
    entered = f"Consignment {mark}: {several(len(units), 'unit')} entered." if units else ""
    return plan.verdict if plan else entered
