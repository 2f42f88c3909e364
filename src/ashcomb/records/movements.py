"""What moved: transfers between places, extraction lots, and recorded cleanings that end a carry-over."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.records.columns import Record, Type, col, kind

MOVED = (
    "hives", "nucleus", "package", "swarm", "queens", "brood frames", "wet supers", "dry supers", "used boxes", "honey",
    "feed", "wax", "tools", "people",
)  # fmt: skip
_ANYWHERE = ("apiary", "premises", "keeper")


@kind(
    "move", "Moves", also=("movements", "transfers"), happened_also=("moved on", "when", "day", "move date"), key="mark"
)
@dataclass(frozen=True, slots=True, kw_only=True)
class Move(Record):
    """Things went from one place to another."""

    mark: str = col(Type.MARK, "Move", "Number of the move", also=("move no", "move number", "id", "no"))
    source: str = col(
        Type.MARK,
        "From",
        "Place they left",
        required=True,
        refers=_ANYWHERE,
        also=("from yard", "from apiary", "origin", "source"),
    )
    target: str = col(
        Type.MARK,
        "To",
        "Place they came to",
        required=True,
        refers=_ANYWHERE,
        also=("to yard", "to apiary", "destination", "target"),
    )
    what: str = col(
        Type.CHOICE, "What", "What moved", required=True, options=MOVED, also=("object", "item", "goods", "type")
    )
    hives: tuple[str, ...] = col(
        Type.MARKS,
        "Hives",
        "Marks of the hives, where they are known",
        refers=("hive",),
        also=("hive numbers", "hive nos", "hive marks"),
    )
    count_out: int | None = col(
        Type.WHOLE,
        "Left",
        "How many left",
        low=0,
        also=("count", "number", "departed", "quantity", "qty", "count out", "number sent"),
    )
    count_in: int | None = col(
        Type.WHOLE, "Arrived", "How many arrived", low=0, also=("received", "count in", "number received")
    )
    lot: str = col(Type.MARK, "Lot", "Extraction lot they belong to", also=("extraction lot", "batch"))
    document: str = col(Type.TEXT, "Document", "Delivery note, permit", also=("reference", "permit"))
    note: str = col(Type.TEXT, "Note", "As it was told", also=("notes", "remarks", "comment"))

    def faults(self) -> list[tuple[str, str, str]]:
        """More cannot arrive than left, fewer only with a word about the missing ones; a move goes somewhere else."""
        found = []
        left, arrived = self.count_out, self.count_in
        if left is not None and arrived is not None and arrived > left:
            what = f"{arrived} arrived but only {left} left."
            found.append(("count_in", what, "Check both counts; what joined on the way is a move of its own."))
        if left is not None and arrived is not None and arrived < left and not self.note:
            what = f"{left - arrived} of {left} did not arrive."
            do = "Record what happened to the missing ones: in the note, or as a second move with its own counts."
            found.append(("count_in", what, do))
        if self.source and self.source == self.target:
            found.append(("target", f"starts and ends at {self.source}.", "Name the place where it went."))
        return found


@kind(
    "lot", "Extraction lots", also=("lots", "extraction"), happened="Extracted on", happened_also=("date",), key="mark"
)
@dataclass(frozen=True, slots=True, kw_only=True)
class ExtractionLot(Record):
    """Supers that went through one extractor run together; what one lot holds may have mixed."""

    mark: str = col(Type.MARK, "Lot", "Lot number", required=True, also=("batch", "lot no", "lot number"))
    house: str = col(Type.MARK, "Honey house", "Where", required=True, refers=("premises",), also=("house", "shed"))
    apiaries: tuple[str, ...] = col(
        Type.MARKS, "From apiaries", "Whose supers it holds", refers=("apiary",), also=("apiaries", "yards")
    )
    supers: int | None = col(Type.WHOLE, "Supers", "How many supers", low=0)
    honey_kg: float | None = col(Type.NUMBER, "Honey kg", "Honey taken", unit="kg", low=0, also=("honey",))


@kind("cleaning", "Cleanings", happened="Done on", happened_also=("date",))
@dataclass(frozen=True, slots=True, kw_only=True)
class Cleaning(Record):
    """A honey house, vehicle or tool set was cleaned; ends the possible carry-over of what it handled before."""

    place: str = col(Type.MARK, "Place", "What was cleaned", required=True, refers=("premises", "apiary"))
    method: str = col(Type.TEXT, "Method", "How", required=True)
