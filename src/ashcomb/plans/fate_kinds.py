"""Which rows of a profile's table of fates a piece falls under, by what it is, what it is made of and what happened to
it. A piece may fall under several rows; then the strictest holds."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.records.places import Component

METAL = ("metal", "wire", "steel", "zinc", "iron", "aluminium", "aluminum")
FOAM = ("foam", "eps", "polystyrene", "styrofoam", "polystyrol")
BOARD = ("fibreboard", "masonite", "hardboard", "mdf", "chipboard")
PLASTIC = ("plastic", "polypropylene", "polyethylene", "pvc")
FORBIDDEN, LEAVE, ALLOWED = "forbidden", "needs leave", "allowed"
STRICT = (FORBIDDEN, LEAVE, ALLOWED)


@dataclass(frozen=True, slots=True, order=True)
class PieceClass:
    """What decides the fate of a piece. material: wood, plastic, foam, metal, fibreboard or '' for not recorded.

    use: of combs and boxes (brood, super, honey, no comb or '').  honey: holds some.  agent: what the colony was killed
    with while the piece was in the hive, or ''.
    """

    component: str
    material: str = ""
    use: str = ""
    pattern: str = ""
    scale: bool = False
    honey: bool = False
    fuel_wet: bool = False
    agent: str = ""

    @property
    def words(self) -> str:
        """'super frame, plastic, with honey'."""
        notes = (self.material, "scale seen" if self.scale else "", "with honey" if self.honey else "",
                 "fuel-wet" if self.fuel_wet else "")  # fmt: skip
        return ", ".join(part for part in (f"{self.use} {self.component}".strip(), *notes) if part)


def material_of(words: str) -> str:
    """The material in one of the five words the rules know; '' for none or an unknown one."""
    text = words.casefold()
    for name, known in (("foam", FOAM), ("fibreboard", BOARD), ("metal", METAL), ("plastic", PLASTIC)):
        if any(word in text for word in known):
            return name
    return "wood" if text else ""


def class_of(row: Component, agent: str = "") -> PieceClass:
    """The class of counted pieces, of which `agent` killed the colony while they were in the hive."""
    wet = bool(row.fuel_wet) or "petrol" in agent.casefold()
    return PieceClass(
        component=row.component, material=material_of(row.material), use=row.use, pattern=row.pattern,
        scale=bool(row.scale), honey=bool(row.honey_kg), fuel_wet=wet, agent=agent,
    )  # fmt: skip


def fate_rows(piece: PieceClass) -> tuple[str, ...]:
    """The rows of the table of fates that the piece falls under; never empty."""
    rows = [*_history(piece), *_matter(piece)]
    return tuple(dict.fromkeys(rows))


def _history(piece: PieceClass) -> list[str]:
    return ["fuel_wet"] if piece.fuel_wet else []


def _matter(piece: PieceClass) -> list[str]:
    material = piece.material
    match piece.component:
        case "frame":
            rows = ["brood_comb"] if piece.scale or piece.use in ("brood", "") else ["super_comb"]
            rows += ["honey_frame"] if piece.honey or piece.use == "honey" else []
            return rows + (["plastic_frame"] if material == "plastic" else [])
        case "box":
            return {"foam": ["foam_box"], "plastic": ["foam_box"], "fibreboard": ["fibreboard"]}.get(
                material, ["wooden_box"]
            )
        case "lid" | "floor" as part:
            other = {"fibreboard": "fibreboard", "metal": "metal_excluder", "plastic": "plastic_excluder"}
            return [other.get(material, "foam_box" if material == "foam" else part)]
        case "excluder":
            return ["metal_excluder" if material == "metal" else "plastic_excluder"]
        case "feeder":
            return ["feeder"] + (["plastic_excluder"] if material in ("plastic", "foam") else [])
        case part:
            return [part]


def strictest(leaves: list[str]) -> str:
    """The strictest of several permissions."""
    return min(leaves, key=STRICT.index)
