"""The hold store and the way to the plant: in and out, checks, stock-takes, units, hand-overs; prices and insurance."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.records.columns import Record, Type, col, kind
from ashcomb.records.pieces import Owned

PRICED = (
    "box", "super frame", "brood frame", "lid", "floor", "excluder", "feeder", "drum", "tool", "wax kg", "honey kg",
    "colony", "labour hour", "vehicle km", "gamma unit", "gamma lot", "ebeam unit", "ebeam lot", "wax dip box",
    "wax dip day", "bleach piece", "bleach day", "heat piece", "heat day", "wrap", "season box", "drawn comb",
    "burial", "rendering kg", "extraction frame", "store box week", "remaining risk",
)  # fmt: skip
_STORE = {"refers": ("premises", "apiary"), "also": ("place",)}


@kind("hold", "Hold store", also=("hold register", "store"), happened_also=("when",))
@dataclass(frozen=True, slots=True, kw_only=True)
class Hold(Owned):
    """Pieces came into the hold store or left it."""

    direction: str = col(
        Type.CHOICE,
        "In or out",
        "Into the store or out of it",
        required=True,
        options=("in", "out"),
        also=("direction",),
    )
    store: str = col(Type.MARK, "Store", "Which store", **_STORE)
    spot: str = col(Type.TEXT, "Spot", "Where in the store: row, shelf", also=("row", "shelf"))
    wrap: str = col(Type.TEXT, "Wrap", "How it is wrapped")
    bee_proof: bool | None = col(Type.FLAG, "Bee-proof", "Checked bee-proof", also=("tight", "bee proof"))
    purpose: str = col(Type.TEXT, "Purpose", "Why in, or where to")


@kind("store_check", "Store checks", also=("bee-proof checks",), happened="Checked on", happened_also=("date", "when"))
@dataclass(frozen=True, slots=True, kw_only=True)
class StoreCheck(Record):
    """Somebody looked whether bees can get into a store, and whether they had tried."""

    store: str = col(Type.MARK, "Store", "Which store", required=True, **_STORE)
    bee_proof: bool | None = col(Type.FLAG, "Bee-proof", "No way in for a bee", required=True, also=("tight",))
    robbers: bool | None = col(Type.FLAG, "Robbers", "Bees at it or in it", also=("bees seen", "robbing"))
    person: str = col(Type.TEXT, "Person", "Who looked", also=("by", "name"))
    note: str = col(Type.TEXT, "Note", "Gaps, mice, what was mended", also=("notes", "remarks"))


@kind("stock_take", "Stock-takes", also=("stocktake", "stock take"), happened="Counted on", happened_also=("date",))
@dataclass(frozen=True, slots=True, kw_only=True)
class StockTake(Owned):
    """Pieces counted in a store; all rows of one store and day are one stock-take."""

    store: str = col(Type.MARK, "Store", "Which store", required=True, **_STORE)
    person: str = col(Type.TEXT, "Person", "Who counted", also=("by", "name"))
    note: str = col(Type.TEXT, "Note", "Anything else", also=("notes", "remarks"))


@kind("unit", "Units", happened="Packed on", happened_also=("date",), key="mark")
@dataclass(frozen=True, slots=True, kw_only=True)
class Unit(Record):
    """One unit as the plant takes it: its label, what is in it, where it stands on the pallet, its seal."""

    mark: str = col(Type.MARK, "Unit", "As on its label", required=True, also=("unit no", "label"))
    consignment: str = col(Type.MARK, "Consignment", "Consignment it goes with", required=True, refers=("consignment",))
    boxes: int = col(Type.WHOLE, "Boxes", "Boxes in it", required=True, low=1)
    mass_kg: float | None = col(Type.NUMBER, "Mass kg", "As weighed", unit="kg", low=0, also=("mass", "weight"))
    hives: tuple[str, ...] = col(Type.MARKS, "Hives", "Whose boxes", refers=("hive",), also=("hive marks",))
    tags: tuple[str, ...] = col(Type.MARKS, "Tags", "Tags of the boxes", refers=("tag",))
    pallet: int | None = col(Type.WHOLE, "Pallet", "Which pallet", low=1)
    stack: int | None = col(Type.WHOLE, "Stack", "Which stack on it", low=1)
    base_mm: float | None = col(Type.NUMBER, "Base mm", "What is under it on the stack", unit="mm", low=0)
    height_mm: float | None = col(Type.NUMBER, "Height mm", "Its height", unit="mm", low=0)
    seal_no: str = col(Type.TEXT, "Seal", "Number of its seal", also=("seal no",))
    honey_free: bool | None = col(Type.FLAG, "Honey-free", "Looked at: no honey, brood, bees", also=("honey free",))


@kind("handover", "Hand-overs", also=("handovers", "custody"), happened_also=("when", "time"))
@dataclass(frozen=True, slots=True, kw_only=True)
class Handover(Record):
    """A consignment passed from one hand to the next."""

    consignment: str = col(Type.MARK, "Consignment", "Which", required=True, refers=("consignment",))
    from_whom: str = col(Type.TEXT, "From", "Who gave it", required=True)
    to_whom: str = col(Type.TEXT, "To", "Who took it", required=True)
    units: int = col(Type.WHOLE, "Units", "Units counted", required=True, low=0)
    seals_intact: bool | None = col(Type.FLAG, "Seals intact", "All seals whole", required=True, also=("seals",))
    missing: tuple[str, ...] = col(Type.MARKS, "Missing units", "Labels that were not there", refers=("unit",))
    note: str = col(Type.TEXT, "Note", "Anything else", also=("notes", "remarks"))


@kind("price", "Prices", also=("price list",), happened="Valid from", happened_also=("since", "date"))
@dataclass(frozen=True, slots=True, kw_only=True)
class Price(Record):
    """What one thing costs or is worth from a day on; the newest that holds counts."""

    item: str = col(Type.CHOICE, "Item", "What", required=True, options=PRICED, also=("what", "thing"))
    amount: float | None = col(
        Type.NUMBER, "Amount", "For one of them", required=True, unit="money", low=0, also=("price", "value")
    )
    low: float | None = col(Type.NUMBER, "Low", "It may be as low as", unit="money", low=0)
    high: float | None = col(Type.NUMBER, "High", "It may be as high as", unit="money", low=0)
    currency: str = col(Type.TEXT, "Currency", "Three letters, EUR", required=True)
    document: str = col(Type.TEXT, "Document", "Price list, offer, invoice", also=("source", "reference"))

    def faults(self) -> list[tuple[str, str, str]]:
        """The amount lies between its bounds."""
        low = self.amount if self.low is None else self.low
        high = self.amount if self.high is None else self.high
        if self.amount is None or low is None or high is None or low <= self.amount <= high:
            return []
        return [("amount", f"{self.amount:g} does not lie from {low:g} to {high:g}.", "Check the three numbers.")]


@kind("insurance", "Insurance", also=("cover", "policy"), happened="Paid on", happened_also=("date",), key="number")
@dataclass(frozen=True, slots=True, kw_only=True)
class Insurance(Record):
    """What the keeper is insured with, and what the insurer asks about it."""

    scheme: str = col(Type.TEXT, "Scheme", "Name of the scheme as the program knows it, or its own name", required=True)
    number: str = col(Type.MARK, "Number", "Membership or policy number", required=True, also=("policy", "member"))
    hives: int | None = col(Type.WHOLE, "Hives covered", "For how many hives was paid", low=0)
    all_covered: bool | None = col(Type.FLAG, "All covered", "All colonies on the site are covered")
    years_claimed: int | None = col(Type.WHOLE, "Years claimed", "Years in a row before this one with a claim", low=0)
