"""A consignment to a plant: boxes with their combs as parcels, units with labels, pallets, and what must hold first."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.words import several
from ashcomb.plans.fate import ways
from ashcomb.plans.figures import Figures
from ashcomb.plans.holdings import Holding
from ashcomb.plans.patterns import measure_of
from ashcomb.plans.result import Gate, Plan
from ashcomb.plans.shipment import Parcel, Shipment, ShipmentOrder, plan_shipment
from ashcomb.plans.tags import new_tags, unit_mark
from ashcomb.records.acts import Consignment
from ashcomb.records.situation import Situation
from ashcomb.records.storage import Handover, Unit
from ashcomb.sources.profile import CodeProfile


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitPlan:
    """One unit. boxes: tags from the bottom up.  contents: in words.  pallet, stack: from 1.  base_mm: under it.

    pieces: (owner, component, number) of what is in it.
    """

    mark: str
    boxes: tuple[str, ...]
    owners: tuple[str, ...]
    contents: str
    mass_kg: float
    pallet: int
    stack: int
    base_mm: int
    height_mm: int
    pieces: tuple[tuple[str, str, int], ...] = ()

    @property
    def text(self) -> str:
        """What its QR code says: short, and of use without any program."""
        return f"AFB UNIT {self.mark} BOXES {' '.join(self.boxes)} {self.mass_kg:.1f} KG"


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsignmentPlan(Plan):
    """A consignment. left: pieces that do not travel, with the reason.  gates: what must hold before it leaves."""

    mark: str
    units: tuple[UnitPlan, ...]
    shipment: Shipment
    left: tuple[tuple[str, str], ...]
    gates: tuple[Gate, ...]
    verdict: str

    @property
    def boxes(self) -> int:
        """Boxes in all units."""
        return sum(len(unit.boxes) for unit in self.units)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sending:
    """What is to be sent. mark: number of the consignment.  sizes: outside length, width, height of a box in mm."""

    mark: str
    items: tuple[Holding, ...]
    boxes_in_unit: int = 2
    sizes: tuple[int, int, int] | None = None


def plan_consignment(situation: Situation, profile: CodeProfile, sending: Sending) -> ConsignmentPlan:
    """Units, labels and pallets for these pieces. Raises UserError if nothing of it may travel or the profile sets no
    limits for irradiation."""
    figures = Figures(profile)
    go, left = _travellers(sending.items, profile)
    boxes, spare = _boxes(situation, go, figures)
    left += spare
    parcels = [
        Parcel(mark=b.tag, hive=b.owner, mass_kg=round(b.grams / 1000, 2), honey=b.honey) for b in boxes.values()
    ]
    if not parcels:
        raise UserError("Nothing of this may travel to the plant.", "See the fate list for what may.", sending.mark)
    length, width, height = sending.sizes or (
        int(1000 * figures.ours(f"packing.deep_{side}")) for side in ("length", "width", "height")
    )
    order = ShipmentOrder(parcels=tuple(parcels), length_mm=length, width_mm=width, height_mm=height,
                          boxes_in_unit=sending.boxes_in_unit)  # fmt: skip
    shipment = plan_shipment(situation, profile, order)
    units = _units(sending.mark, shipment, boxes)
    figures.rule("certificate_match"), figures.rule("sterilising"), figures.rule("marking")
    gates = leaving_gates(situation, profile, sending.mark, go)
    short = sum(not gate.met for gate in gates)
    return ConsignmentPlan(
        mark=sending.mark, units=units, shipment=shipment, left=(*left, *shipment.refused), gates=gates,
        verdict=f"Consignment {sending.mark}: {shipment.verdict}" + (f" {short} conditions not met." if short else ""),
        uses=tuple(dict.fromkeys((*shipment.uses, *figures.taken))), rules=figures.rules, cautions=shipment.cautions,
        assumptions=(
            *shipment.assumptions, "Boxes stay held until the certificate of the whole consignment matches.",
            "Frames travel in the boxes of their own hive or lot; what does not fit, in others with room.",
        ),
    )  # fmt: skip


def _travellers(items: Iterable[Holding], profile: CodeProfile) -> tuple[list[Holding], list[tuple[str, str]]]:
    go, left = [], []
    for item in items:
        rule = ways(item.piece, profile).get("gamma")
        if rule:
            go.append(item)
        else:
            left.append((f"{item.count} {item.piece.words} of {item.owner}", "Irradiation is forbidden for it."))
    return go, left


@dataclass(slots=True)
class _Box:
    tag: str
    owner: str
    grams: int
    room: int
    combs: Counter[str]
    honey: bool = False


def _boxes(
    situation: Situation, items: Sequence[Holding], figures: Figures
) -> tuple[dict[str, _Box], list[tuple[str, str]]]:
    """Boxes by tag with combs in them, evenly those of their own lot first; what does not fit, with the reason."""
    boxes: dict[str, _Box] = {}
    spare: list[tuple[str, str]] = []
    waiting: list[Holding] = []
    for owner, own in _by_owner(items).items():
        shells = [box for item in own if item.piece.component == "box" for box in [item] * item.count]
        for tag, box in zip(new_tags(situation, owner, "box", len(shells)), shells, strict=True):
            measure = measure_of(box, figures)
            boxes[tag] = _Box(tag, owner, measure.grams, measure.frames, Counter())
        frames = [frame for item in own if item.piece.component == "frame" for frame in [item] * item.count]
        mine = [box for box in boxes.values() if box.owner == owner]
        waiting += _load(frames, mine, figures)
        spare += [
            (f"{item.count} {item.piece.words} of {item.owner}", "Travels strapped to the pallet if the plant agrees.")
            for item in own if item.piece.component not in ("box", "frame")
        ]  # fmt: skip
    left = Counter(frame.owner for frame in _load(waiting, list(boxes.values()), figures))
    spare += [(f"{count} frames of {owner}", "No box to travel in: give it one.") for owner, count in left.items()]
    return boxes, spare


def _by_owner(items: Iterable[Holding]) -> dict[str, list[Holding]]:
    found: dict[str, list[Holding]] = defaultdict(list)
    for item in items:
        found[item.owner].append(item)
    return found


def _load(frames: list[Holding], boxes: list[_Box], figures: Figures) -> list[Holding]:
    """Puts each comb into the box with fewest combs that has room; returns those that found none."""
    left = []
    for frame in frames:
        open_ = [box for box in boxes if box.combs.total() < box.room]
        if not open_:
            left.append(frame)
            continue
        box = min(open_, key=lambda box: box.combs.total())
        box.combs[frame.owner] += 1
        box.grams += measure_of(frame, figures).grams
        box.honey = box.honey or frame.piece.honey
    return left


def _units(mark: str, shipment: Shipment, boxes: dict[str, _Box]) -> tuple[UnitPlan, ...]:
    units: list[UnitPlan] = []
    for pallet, stacks in enumerate(shipment.packing.chosen.pallets, start=1):
        for stack, column in enumerate(stacks, start=1):
            base = 0
            for unit in column:
                inside = [boxes[tag] for tag in unit.boxes]
                words = "; ".join(f"box, {n} combs" if (n := box.combs.total()) else "box, empty" for box in inside)
                pieces = [(box.owner, "box", 1) for box in inside]
                pieces += [(owner, "frame", n) for box in inside for owner, n in box.combs.items()]
                units.append(UnitPlan(
                    mark=unit_mark(mark, len(units) + 1), boxes=unit.boxes, contents=words, mass_kg=unit.mass_kg,
                    owners=tuple(dict.fromkeys(owner for owner, _, _ in pieces)), pallet=pallet, stack=stack,
                    base_mm=base, height_mm=unit.height_mm, pieces=tuple(pieces),
                ))  # fmt: skip
                base += unit.height_mm
    return tuple(units)


def recorded_units(situation: Situation, mark: str) -> tuple[UnitPlan, ...]:
    """The units of a consignment as they were entered."""
    return tuple(
        UnitPlan(mark=row.mark, boxes=row.tags, owners=row.hives, contents=several(row.boxes, "box"),
                 mass_kg=row.mass_kg or 0.0, pallet=row.pallet or 0, stack=row.stack or 0,
                 base_mm=int(row.base_mm or 0), height_mm=int(row.height_mm or 0))
        for row in situation.rows(Unit) if row.consignment == mark
    )  # fmt: skip


def leaving_gates(
    situation: Situation, profile: CodeProfile, mark: str, items: Sequence[Holding] = ()
) -> tuple[Gate, ...]:
    """What must hold before a consignment leaves. items: what is to be in it, while it is not entered."""
    kinds = dict.fromkeys(item.piece for item in items)
    asked = [piece.words for piece in kinds if ways(piece, profile)["gamma"].leave != "allowed"]
    honey = sorted({item.owner for item in items if item.honey_kg})
    known = {row.mark for row in situation.rows(Consignment)}
    marks = [row for row in situation.rows(Unit) if row.consignment == mark]
    unlooked = [row.mark for row in marks if not row.honey_free]
    unsealed = [row.mark for row in marks if not row.seal_no]
    return (
        Gate("leave", not asked, f"Leave must be on paper for: {', '.join(asked)}." if asked else
             _allowed(profile),
             "officer"),
        Gate("no honey", not honey, f"Honey is recorded in: {', '.join(honey)}." if honey else "No honey is recorded.",
             "packer"),
        Gate("entered", mark in known and bool(marks), f"Consignment with {several(len(marks), 'unit')} entered.",
             "packer"),
        Gate("looked at", bool(marks) and not unlooked, f"{len(unlooked)} of {several(len(marks), 'unit')} not entered "
             "as honey-free.", "packer"),
        Gate("sealed", bool(marks) and not unsealed, f"{len(unsealed)} of {several(len(marks), 'unit')} without a "
             "seal.", "packer"),
    )  # fmt: skip


def _allowed(profile: CodeProfile) -> str:
    rule = profile.rules.get("sterilising")
    return f"The table of the profile asks for none. {rule.text if rule else ''}".strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Custody:
    """The way of one consignment from hand to hand. breaks: where the chain has a gap, in words."""

    consignment: str
    steps: tuple[Handover, ...]
    breaks: tuple[str, ...]

    @property
    def whole(self) -> bool:
        """Whether each taker is the next giver, with all units and whole seals."""
        return bool(self.steps) and not self.breaks


def custody(situation: Situation, mark: str) -> Custody:
    """The chain of one consignment: each hand-over's giver is the taker before; units and seals at each step."""
    steps = tuple(row for row in situation.rows(Handover) if row.consignment == mark)
    sent = next((row.units for row in situation.rows(Consignment) if row.mark == mark), None)
    breaks = [] if steps else ["No hand-over is recorded."]
    for before, step in pairwise(steps):
        if before.to_whom.strip().casefold() != step.from_whom.strip().casefold():
            breaks.append(f"{before.to_whom} took it, {step.from_whom} gave it on ({step.happened.words()}).")
    for step in steps:
        if sent is not None and step.units != sent:
            gone = f": {', '.join(step.missing)} missing" if step.missing else ""
            breaks.append(f"{step.units} of {several(sent, 'unit')} at {step.happened.words()}{gone}.")
        if not step.seals_intact:
            breaks.append(f"A seal was broken at {step.happened.words()}, from {step.from_whom} to {step.to_whom}.")
    return Custody(consignment=mark, steps=steps, breaks=tuple(breaks))
