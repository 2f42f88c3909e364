"""People and places: keepers, apiaries, premises, hives and what hives are made of."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.records.columns import Record, Type, col, kind
from ashcomb.records.pieces import COMPONENTS, USES, owner_faults, owner_words

PREMISES = ("honey house", "dealer", "store", "irradiation plant", "laboratory", "other")


@kind("keeper", "Keepers", also=("beekeepers", "owners"), happened="Known since", happened_required=False, key="mark")
@dataclass(frozen=True, slots=True, kw_only=True)
class Keeper(Record):
    """A person or firm that keeps bees."""

    mark: str = col(Type.MARK, "Keeper", "Short mark", required=True, also=("keeper id", "keeper mark", "owner"))
    name: str = col(Type.TEXT, "Name", "Full name", required=True, personal=True, also=("keeper name", "owner name"))
    address: str = col(Type.TEXT, "Address", "Postal address", personal=True)
    phone: str = col(Type.TEXT, "Phone", "Telephone", personal=True, also=("telephone", "mobile", "tel"))
    registration: str = col(Type.TEXT, "Registration", "Registration number", also=("reg no", "registration number"))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Positioned(Record):
    lat: float | None = col(Type.NUMBER, "Latitude", "WGS84 latitude", unit="deg", low=-90, high=90, also=("lat",))
    lon: float | None = col(
        Type.NUMBER, "Longitude", "WGS84 longitude", unit="deg", low=-180, high=180, also=("lon", "long", "lng")
    )
    x_km: float | None = col(
        Type.NUMBER,
        "Grid x km",
        "East on the local grid",
        unit="km",
        also=("x", "x km", "grid x", "easting km", "east"),
    )
    y_km: float | None = col(
        Type.NUMBER,
        "Grid y km",
        "North on the local grid",
        unit="km",
        also=("y", "y km", "grid y", "northing km", "north"),
    )
    error_m: float | None = col(
        Type.NUMBER,
        "Position error m",
        "How far off the position may be",
        unit="m",
        low=0,
        also=("error m", "accuracy", "accuracy m"),
    )
    access: str = col(Type.TEXT, "Access", "Gate, track, key", also=("track", "gate", "directions"))

    @property
    def placed(self) -> bool:
        """Whether it has a usable position, geographic or on the grid."""
        return (self.lat is not None and self.lon is not None) or (self.x_km is not None and self.y_km is not None)


@kind("apiary", "Apiaries", also=("yards", "sites", "apiary list"), happened="In use since",
      happened_also=("since", "established", "opened", "start"), key="mark")  # fmt: skip
@dataclass(frozen=True, slots=True, kw_only=True)
class Apiary(_Positioned):
    """A place where hives stand."""

    mark: str = col(
        Type.MARK, "Apiary", "Short mark", required=True, also=("yard", "site", "apiary code", "yard code", "apiary id")
    )
    name: str = col(Type.TEXT, "Name", "What people call it", also=("apiary name", "yard name", "site name"))
    keeper: str = col(Type.MARK, "Keeper", "Whose hives stand there", refers=("keeper",), also=("owner", "beekeeper"))
    state: str = col(Type.CHOICE, "State", "Kept or abandoned", options=("kept", "abandoned"), also=("status",))
    landowner: str = col(Type.TEXT, "Landowner", "Whose land it is", personal=True, also=("farmer", "land owner"))
    landowner_phone: str = col(
        Type.TEXT, "Landowner phone", "To be called before a night", personal=True, also=("farmer phone",)
    )
    curfew: str = col(
        Type.CLOCK, "Curfew", "Latest hour at night that the landowner allows", also=("leave by", "latest hour")
    )


@kind(
    "premises",
    "Premises",
    also=("honey houses", "dealers", "stores"),
    happened="Known since",
    happened_required=False,
    key="mark",
)
@dataclass(frozen=True, slots=True, kw_only=True)
class Premises(_Positioned):
    """A place that is no apiary but handles hive parts: honey house, dealer, store, plant, laboratory."""

    mark: str = col(Type.MARK, "Premises", "Short mark", required=True, also=("place", "code", "id"))
    name: str = col(Type.TEXT, "Name", "Full name")
    type: str = col(Type.CHOICE, "Type", "What it is", required=True, options=PREMISES, also=("kind",))
    keeper: str = col(Type.MARK, "Keeper", "Whose it is", refers=("keeper",), also=("owner",))


@kind("hive", "Hives", also=("hive list", "colonies"), happened="In use since",
      happened_also=("since", "first seen", "start", "date"), key="mark")  # fmt: skip
@dataclass(frozen=True, slots=True, kw_only=True)
class Hive(Record):
    """A numbered stand with a colony (or what is left of one), as first recorded; later changes are moves and looks."""

    mark: str = col(
        Type.MARK,
        "Hive",
        "Painted number or tag",
        required=True,
        also=("hive number", "hive no", "hive id", "number", "no", "tag"),
    )
    apiary: str = col(
        Type.MARK,
        "Apiary",
        "Where it stood when first recorded",
        required=True,
        refers=("apiary",),
        also=("yard", "site", "location"),
    )
    place: str = col(
        Type.TEXT, "Row and stand", "Where in the apiary: row 3, fifth from the gate", also=("row", "stand", "position")
    )
    holds: str = col(
        Type.CHOICE,
        "Holds",
        "What lives in it",
        options=("colony", "nucleus", "swarm", "dead-out"),
        also=("type", "stock"),
    )
    pattern: str = col(Type.TEXT, "Pattern", "Hive pattern", also=("hive type", "model", "format"))
    boxes: int | None = col(
        Type.WHOLE, "Boxes", "Boxes with comb", low=0, high=20, also=("number of boxes", "supers", "no of boxes")
    )
    brood_frames: int | None = col(Type.WHOLE, "Brood frames", "Frames with brood", low=0, high=60)


@kind("component", "Components", also=("parts", "inventory"), happened="Counted on",
      happened_also=("count date", "since"), key="mark", unique=False)  # fmt: skip
@dataclass(frozen=True, slots=True, kw_only=True)
class Component(Record):
    """Pieces of one kind that belong to one hive or lie at one place, as counted: a lot of pieces."""

    hive: str = col(Type.MARK, "Hive", "Hive they belong to", refers=("hive",), also=("hive number", "hive no"))
    place: str = col(Type.MARK, "Place", "Where loose pieces lie", refers=("apiary", "premises"))
    mark: str = col(Type.MARK, "Piece lot", "Mark of the lot, if it is kept apart from the hive")
    component: str = col(
        Type.CHOICE, "Component", "What it is", required=True, options=COMPONENTS, also=("part", "item")
    )
    count: int = col(
        Type.WHOLE, "Count", "How many", required=True, low=0, also=("number", "quantity", "qty", "pieces")
    )
    pattern: str = col(Type.TEXT, "Pattern", "Hive pattern", also=("hive type", "format"))
    material: str = col(Type.TEXT, "Material", "Wood, plastic, foam, metal, fibreboard")
    use: str = col(Type.CHOICE, "Use", "What combs were used for", options=USES)
    scale: bool | None = col(Type.FLAG, "Scale seen", "Dried remains of larvae were seen in it")
    fuel_wet: bool | None = col(Type.FLAG, "Fuel-wet", "Petrol ran over it")
    extraction: str = col(Type.MARK, "Extraction lot", "Lot with which it was last extracted", refers=("lot",))
    condition: str = col(Type.TEXT, "Condition", "New, good, worn, damaged, as two people agree")
    mass_kg: float | None = col(
        Type.NUMBER, "Mass kg", "Mass of one piece", unit="kg", low=0, also=("weight", "weight kg")
    )
    honey_kg: float | None = col(Type.NUMBER, "Honey kg", "Honey in all of them", unit="kg", low=0, also=("honey",))
    length_mm: float | None = col(Type.NUMBER, "Length mm", "Measured outside, of one", unit="mm", low=1, high=5000)
    width_mm: float | None = col(Type.NUMBER, "Width mm", "Measured outside, of one", unit="mm", low=1, high=5000)
    height_mm: float | None = col(Type.NUMBER, "Height mm", "Measured outside, of one", unit="mm", low=1, high=5000)

    @property
    def owner(self) -> str:
        """Mark of the lot, else of the hive, else 'at PLACE'."""
        return owner_words(self.mark, self.hive, self.place)

    def faults(self) -> list[tuple[str, str, str]]:
        """Pieces must belong to a hive or lie at a place."""
        return owner_faults("", self.hive, self.place)
