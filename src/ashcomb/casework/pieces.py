"""Accounts for every piece: the mass balance, the shipment to the plant, certificates and treatments."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from ashcomb.casework.case import Case
from ashcomb.casework.report import Report, Section, report, table
from ashcomb.kernel.words import several
from ashcomb.plans.balance import Balance, Line, balance
from ashcomb.plans.irradiation import CertificateMatch, match_certificates
from ashcomb.plans.pieces import pieces_words
from ashcomb.plans.shipment import Parcel, Shipment, ShipmentOrder, plan_shipment
from ashcomb.plans.treatment import TreatmentResult, check_all
from ashcomb.records.acts import Burn, Treatment
from ashcomb.records.pieces import Decision, Loss, Split
from ashcomb.records.places import Component
from ashcomb.records.state import condemned
from ashcomb.records.storage import Hold


@dataclass(frozen=True, slots=True)
class PackAsk:
    """Boxes to send, as (number, kg each), with their outside measure in mm and whether two make a unit."""

    boxes: tuple[tuple[int, float], ...]
    length_mm: int
    width_mm: int
    height_mm: int
    boxes_in_unit: int = 2


def mass_balance(case: Case, hives: Sequence[str] = ()) -> Balance:
    """The balance of these hives, or of all condemned ones."""
    situation = case.situation()
    return balance(situation, case.profile(), hives or condemned(situation))


def loose_balance(case: Case) -> Balance | None:
    """The balance of the loose pieces that anybody has begun to deal with, or None if there are none."""
    situation = case.situation()
    begun = {row.owner for cls in (Burn, Hold, Treatment, Decision, Split, Loss) for row in situation.rows(cls)}
    rows = [row for row in situation.rows(Component) if row.place and not row.hive and row.owner in begun]
    places = sorted({row.place for row in rows})
    return balance(situation, case.profile(), (), places) if places else None


def packing(case: Case, ask: PackAsk) -> Shipment:
    """The packing plan under the limits of the profile."""
    parcels = tuple(
        Parcel(mark=f"{kg:g} kg-{number}", hive="", mass_kg=kg)
        for count, kg in ask.boxes
        for number in range(1, count + 1)
    )
    order = ShipmentOrder(parcels=parcels, length_mm=ask.length_mm, width_mm=ask.width_mm, height_mm=ask.height_mm,
                          boxes_in_unit=ask.boxes_in_unit)  # fmt: skip
    return plan_shipment(case.situation(), case.profile(), order)


def certificates(case: Case) -> CertificateMatch:
    """Every lot that was sent against its certificates."""
    return match_certificates(case.situation(), case.profile())


def treatments(case: Case) -> tuple[TreatmentResult, ...]:
    """Every recorded treatment against the profile."""
    return check_all(case.situation(), case.profile())


def balance_report(plan: Balance) -> Report:
    """The balance in words: the totals, then each line that does not close."""
    columns = (
        "Whose",
        "What",
        "Counted",
        "Burned",
        "In store",
        "Certified",
        "Treated",
        "Waiting",
        "Named missing",
        "Missing",
        "Surplus",
    )
    numbers = tuple(range(2, 11))
    open_lines = [line for line in plan.lines if line.missing or line.surplus]
    lost = tuple(f"{line.owner}: {pieces_words(line.missing, line.component)}, last seen: {line.last_seen}."
                 for line in open_lines if line.missing)  # fmt: skip
    gates = [(gate.name, "met" if gate.met else "NOT MET", gate.why, gate.who) for gate in plan.gates]
    sections = [
        Section("Totals", (), table(columns, map(_cells, plan.totals), numbers)),
        Section("Not accounted for", lost),
        Section("Lines that do not close", (), table(columns, map(_cells, open_lines), numbers)),
        Section("Gates", (), table(("Gate", "", "Why", "Who can meet it"), gates)),
    ]
    filled = [section for section in sections if section.lines or (section.table and section.table.rows)]
    return report("Mass balance", plan.verdict, filled, plan)


def packing_report(plan: Shipment) -> Report:
    """The packing in words, pallet by pallet."""
    rows = []
    for number, pallet in enumerate(plan.packing.chosen.pallets, start=1):
        units = [unit for stack in pallet for unit in stack]
        boxes = sum(len(unit.boxes) for unit in units)
        mass = sum(unit.grams for unit in units) / 1000
        rows.append((number, len(pallet), len(units), boxes, f"{mass:.1f}"))
    columns = ("Pallet", "Stacks", "Units", "Boxes", "kg")
    sections = [Section("Pallets", (), table(columns, rows, right=(0, 1, 2, 3, 4)))]
    if plan.packing.fewer_units:
        other = plan.packing.fewer_units
        words = f"Fewer units would need {several(len(other.pallets), 'pallet')} instead of {plan.pallets}."
        sections.append(Section("The other way", (words,)))
    if plan.refused:
        sections.append(Section("May not travel", (), table(("Box", "Why"), plan.refused)))
    return report("Packing for irradiation", plan.verdict, sections, plan)


def certificates_report(plan: CertificateMatch) -> Report:
    """The match of certificates in words."""
    rows = [
        (lot.consignment, lot.lot, lot.sent, lot.received, lot.returned, _kgy(lot.minimum_kgy), _kgy(lot.required_kgy),
         " ".join(lot.faults) or "matches")
        for lot in plan.lots
    ]  # fmt: skip
    columns = ("Consignment", "Lot", "Sent", "Received", "Returned", "Least kGy", "Asked kGy", "Finding")
    sections = [Section("Lots", plan.strays, table(columns, rows, right=(2, 3, 4, 5, 6)))]
    return report("Certificates of the plant", plan.verdict, sections, plan)


def treatments_report(results: Sequence[TreatmentResult]) -> Report:
    """Each treatment with its verdict."""
    rows = [
        (r.treatment.owner, f"{r.treatment.count} {r.treatment.component}", r.treatment.method, r.treatment.as_written,
         "accepted" if r.accepted else "REFUSED", " ".join((*r.faults, *r.alarms)))
        for r in results
    ]  # fmt: skip
    refused = sum(not result.accepted for result in results)
    columns = ("Whose", "What", "Method", "As written", "Verdict", "Why")
    cautions = tuple(dict.fromkeys(caution for result in results for caution in result.cautions))
    sections = [Section("Caution", cautions)] if cautions else []
    sections.append(Section("Treatments", (), table(columns, rows)))
    return report("Treatments", f"{len(results)} treatments recorded, {refused} refused.", sections)


def _cells(line: Line) -> tuple[str, ...]:
    numbers = (
        line.counted,
        line.burned,
        line.held,
        line.certified,
        line.treated,
        line.pending,
        line.lost,
        line.missing,
        line.surplus,
    )
    return (line.owner, line.component, *(str(number) for number in numbers))


def _kgy(dose: float | None) -> str:
    return "" if dose is None else f"{dose:g}"
