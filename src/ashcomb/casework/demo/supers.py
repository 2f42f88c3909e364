"""What the demo adds to hives and yards: supers of the case's extraction lot in the barn, prices, the firm's insurance.

92 supers that went through the extractor with those of A07: 62 of 11.5 kg and 30 of 14.0 kg with their combs. All of it
is invented; the currency of Orrow Vale is the OVK.
"""

from __future__ import annotations

from datetime import date

from ashcomb.casework.demo.workbook import Row, Sheet

BARN = "S1"
COUNTED = date(2031, 5, 13)
LOTS = (("SB-LIGHT", 62, 4.6, 0.767), ("SB-HEAVY", 30, 4.6, 1.045))  # mark, boxes, kg of a box, kg of a comb
COMBS = 9
PRICES = (
    ("box", 28, 24, 36), ("super frame", 3.2, 2.8, 4), ("brood frame", 4.1, 3.5, 5), ("lid", 14, 12, 18),
    ("floor", 19, 15, 25), ("excluder", 9, 7, 12), ("honey kg", 6.5, 5, 8), ("labour hour", 24, 20, 30),
    ("vehicle km", 0.55, 0.4, 0.8), ("gamma unit", 6.8, 6, 8), ("gamma lot", 90, 60, 150), ("drawn comb", 5, 2, 12),
)  # fmt: skip


def supers() -> Sheet:
    """The lots of loose supers in the barn."""
    head = ("Piece lot", "Place", "Item", "Quantity", "Hive type", "Material", "Use", "Extraction lot", "Weight kg",
            "Condition", "Count date")  # fmt: skip
    rows: list[Row] = []
    for mark, boxes, box_kg, comb_kg in LOTS:
        for item, count, mass in (("box", boxes, box_kg), ("frame", boxes * COMBS, comb_kg)):
            rows.append((mark, BARN, item, count, "Langstroth 10 deep", "wood", "super", None, mass, "good", COUNTED))
    return Sheet("Components", head, tuple(rows))


def prices() -> Sheet:
    """The firm's price list."""
    head = ("Item", "Amount", "Low", "High", "Currency", "Document", "Valid from")
    rows: tuple[Row, ...] = tuple(
        (item, amount, low, high, "OVK", "Fenside supply list 2031", date(2031, 1, 1))
        for item, amount, low, high in PRICES
    )
    return Sheet("Prices", head, rows)


def insurance() -> Sheet:
    """The firm's membership."""
    head = ("Scheme", "Number", "Hives covered", "All covered", "Years claimed", "Paid on")
    return Sheet("Insurance", head, (("own", "OVM-28", 1200, "yes", 0, date(2031, 2, 1)),))
