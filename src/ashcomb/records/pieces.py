"""What hives are made of, piece by piece: whose pieces a record speaks of, lots that split and join, tags, losses."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.kernel.ids import check_character
from ashcomb.records.columns import Record, Type, col, kind

COMPONENTS = ("box", "frame", "lid", "floor", "excluder", "feeder", "drum", "wax", "tool")
USES = ("brood", "super", "honey", "no comb")
FATES = (
    "burn", "bury", "gamma", "ebeam", "wax_dip", "scorch", "hypochlorite", "heat", "render", "extract_honey", "keep",
)  # fmt: skip
_LOTS = ("component", "split")
TAG_LETTERS = 16  # of an owner's mark enter the check character of a tag
_HIVE = {"refers": ("hive",), "also": ("hive number", "hive no", "number", "no")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Owned(Record):
    """Pieces of one kind, named by the hive they belong to, the lot they are in, or the place where they lie loose."""

    hive: str = col(Type.MARK, "Hive", "Which hive they belong to", **_HIVE)
    lot: str = col(Type.MARK, "Piece lot", "Lot of pieces they are in, if it has a mark", refers=_LOTS)
    loose_at: str = col(
        Type.MARK, "Loose at", "Where they lie, if of no hive and no lot", refers=("apiary", "premises")
    )
    component: str = col(Type.CHOICE, "Component", "What", required=True, options=COMPONENTS, also=("part", "item"))
    count: int = col(Type.WHOLE, "Count", "How many", required=True, low=0, also=("quantity", "qty", "pieces"))
    tags: tuple[str, ...] = col(Type.MARKS, "Tags", "Tags read on them", refers=("tag",))

    @property
    def owner(self) -> str:
        """Mark of the lot, else of the hive, else 'at PLACE'."""
        return owner_words(self.lot, self.hive, self.loose_at)

    def faults(self) -> list[tuple[str, str, str]]:
        """Somebody must own them, and no piece has two tags."""
        found = owner_faults(self.lot, self.hive, self.loose_at)
        if len(set(self.tags)) > self.count:
            what = f"{len(set(self.tags))} tags are named for {self.count} pieces."
            found.append(("tags", what, "Count again; each piece has one tag."))
        return found


def owner_words(lot: str, hive: str, place: str) -> str:
    """Mark of the lot, else of the hive, else 'at PLACE'; '' if none is named."""
    return lot or hive or (f"at {place}" if place else "")


def owner_faults(lot: str, hive: str, place: str) -> list[tuple[str, str, str]]:
    """A fault if neither hive nor lot nor place is named."""
    if owner_words(lot, hive, place):
        return []
    return [("hive", "names neither hive nor lot nor place.", "Say whose pieces they are, or where they lie.")]


@kind("split", "Piece lots", also=("splits", "joins", "merges"), happened_also=("when",), key="target", unique=False)
@dataclass(frozen=True, slots=True, kw_only=True)
class Split(Owned):
    """Pieces left a hive, a lot or a place and became a lot of their own, or joined one: nothing else changes."""

    target: str = col(Type.MARK, "Into lot", "Mark of the lot that they are now in", required=True, also=("to lot",))
    material: str = col(Type.TEXT, "Material", "Which of them, where the pieces differ")
    place: str = col(Type.MARK, "Place", "Where the lot lies now", refers=("apiary", "premises"))
    reason: str = col(Type.TEXT, "Reason", "Why: taken out before the kill, wrapped for the plant …", also=("why",))

    def faults(self) -> list[tuple[str, str, str]]:
        """A lot cannot be split into itself."""
        found = Owned.faults(self)
        if self.target and self.target == self.owner:
            found.append(("target", f"{self.target} would be split into itself.", "Name another lot."))
        return found


@kind("tag", "Tags", also=("labels",), happened="Put on", happened_also=("date",), key="mark")
@dataclass(frozen=True, slots=True, kw_only=True)
class Tag(Record):
    """A tag that was put on one piece. Its last character checks the others, so that a slip in the dark is found."""

    mark: str = col(Type.MARK, "Tag", "As it is printed, with its check character", required=True, also=("tag no",))
    hive: str = col(Type.MARK, "Hive", "Which hive the piece belongs to", **_HIVE)
    lot: str = col(Type.MARK, "Piece lot", "Lot it is in, if it has a mark", refers=_LOTS)
    loose_at: str = col(Type.MARK, "Loose at", "Where it lies, if of no hive and no lot", refers=("apiary", "premises"))
    component: str = col(Type.CHOICE, "Component", "What", required=True, options=COMPONENTS, also=("part", "item"))
    note: str = col(Type.TEXT, "Note", "What is seen on it: scale, damage", also=("notes", "remarks"))

    @property
    def owner(self) -> str:
        """Mark of the lot, else of the hive, else 'at PLACE'."""
        return owner_words(self.lot, self.hive, self.loose_at)

    def faults(self) -> list[tuple[str, str, str]]:
        """The check character must fit."""
        found = owner_faults(self.lot, self.hive, self.loose_at)
        if not tag_fits(self.mark):
            found.append(("mark", f"{self.mark} was misread: its check character does not fit.", "Read the tag again."))
        return found


def tag_check(body: str) -> str:
    """The check character of a tag without it; looks at its last letters and digits. Raises ValueError without any."""
    letters = "".join(c for c in body.upper() if c.isascii() and c.isalnum())
    return check_character(letters[-TAG_LETTERS - 6 :])


def tag_fits(mark: str) -> bool:
    """Whether the part after the last hyphen is the check character of what stands before it."""
    body, _, check = mark.rpartition("-")
    return any(c.isascii() and c.isalnum() for c in body) and check.upper() == tag_check(body)


@kind("decision", "Fate decisions", also=("fates",), happened="Decided on", happened_also=("date",))
@dataclass(frozen=True, slots=True, kw_only=True)
class Decision(Owned):
    """What is to become of pieces, decided by a named person. A locked decision is kept by every later plan."""

    method: str = col(Type.CHOICE, "Fate", "What is to be done", required=True, options=FATES, also=("method",))
    locked: bool | None = col(Type.FLAG, "Locked", "Later plans may not change it")
    reason: str = col(Type.TEXT, "Reason", "Why", required=True, also=("why",))


@kind("loss", "Named missing", also=("losses", "missing"), happened="Named on", happened_also=("date",))
@dataclass(frozen=True, slots=True, kw_only=True)
class Loss(Owned):
    """Pieces that nobody finds are named as missing, with the last place where they were seen."""

    last_seen: str = col(
        Type.TEXT, "Last seen", "Where and when they were last seen", required=True, also=("last place",)
    )
    searched: str = col(Type.TEXT, "Searched", "Where was searched, by whom")
    reason: str = col(Type.TEXT, "Reason", "What may have happened", also=("why",))


@kind("exhibit", "Evidence", also=("photos", "photographs", "exhibits"), happened="Made on",
      happened_also=("date",), key="mark")  # fmt: skip
@dataclass(frozen=True, slots=True, kw_only=True)
class Exhibit(Record):
    """A photograph, paper or file that shows something, so that a claim or a record can point to it."""

    mark: str = col(Type.MARK, "Exhibit", "Number of the photograph or paper", required=True, also=("number", "photo"))
    about: str = col(Type.TEXT, "Shows", "What it shows", required=True, also=("what",))
    hives: tuple[str, ...] = col(Type.MARKS, "Hives", "Hives that it shows", refers=("hive",))
    file: str = col(Type.TEXT, "File", "Name of the file, or where the paper lies", also=("where",))
    digest: str = col(Type.TEXT, "SHA-256", "Digest of the file")
