"""What may become of a piece: the table of materials and methods, histories, and what is never said."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.stories import vale_night as vn
from tests.stories.vale import record

from ashcomb.plans.fate import FateRule, fate_of
from ashcomb.plans.fate_kinds import PieceClass, material_of
from ashcomb.plans.holdings import holdings
from ashcomb.records.acts import Burn, Kill
from ashcomb.records.pieces import COMPONENTS, FATES, USES, Split
from ashcomb.records.places import Component
from ashcomb.records.situation import situation_of
from ashcomb.sources.library import bibliography, fate_reasons, profile_keys
from ashcomb.sources.profile import load_profile, profile_ids

PROFILES = [name for name in profile_ids() if name != "blank"]
MATERIALS = ("", "wood", "plastic", "foam", "metal", "fibreboard")
pieces = st.builds(
    PieceClass,
    component=st.sampled_from(COMPONENTS),
    material=st.sampled_from(MATERIALS),
    use=st.sampled_from(("", *USES)),
    scale=st.booleans(),
    honey=st.booleans(),
    fuel_wet=st.booleans(),
    agent=st.sampled_from(("", "petrol", "freezing", "sulphur dioxide")),
)


def way(piece: PieceClass, method: str, profile: str) -> FateRule:
    return {rule.method: rule for rule in fate_of(piece, load_profile(profile))}[method]


# Western Australia (Department of Primary Industries and Regional Development, "Preventing spread of American
# foulbrood disease", pages 2 to 4): what is dipped, irradiated, washed or burned; the National Bee Unit on foam hives;
# the New Zealand agency on scorching and bleach; British Columbia (after Melathopoulos 2007) on honey and electrons.
PUBLISHED = [
    ("western-australia", PieceClass("box", "wood"), "wax_dip", "allowed"),
    ("western-australia", PieceClass("box", "wood"), "gamma", "allowed"),
    ("western-australia", PieceClass("frame", "wood", "super"), "wax_dip", "forbidden"),
    ("western-australia", PieceClass("lid", "fibreboard"), "wax_dip", "forbidden"),
    ("western-australia", PieceClass("floor", "fibreboard"), "gamma", "allowed"),
    ("western-australia", PieceClass("excluder", "plastic"), "hypochlorite", "forbidden"),
    ("western-australia", PieceClass("excluder", "metal"), "hypochlorite", "allowed"),
    ("england", PieceClass("box", "foam"), "hypochlorite", "allowed"),
    ("england", PieceClass("box", "wood"), "scorch", "allowed"),
    ("california", PieceClass("box", "wood"), "scorch", "allowed"),
    ("nz", PieceClass("box", "wood"), "scorch", "forbidden"),
    ("nz", PieceClass("frame", "plastic", "super"), "burn", "forbidden"),
    ("nz", PieceClass("frame", "plastic", "super"), "hypochlorite", "forbidden"),
    ("nz", PieceClass("tool", "metal"), "hypochlorite", "forbidden"),
    ("florida", PieceClass("frame", "wood", "brood", scale=True), "gamma", "forbidden"),
    ("florida", PieceClass("frame", "wood", "super"), "gamma", "allowed"),
    ("nz", PieceClass("frame", "wood", "super", honey=True), "ebeam", "forbidden"),
]


@pytest.mark.parametrize(("profile", "piece", "method", "leave"), PUBLISHED, ids=str)
def test_the_table_of_materials_and_methods(profile: str, piece: PieceClass, method: str, leave: str):
    assert way(piece, method, profile).leave == leave


@given(pieces, st.sampled_from(PROFILES))
def test_every_way_has_a_reason_and_nothing_fuel_wet_goes_anywhere_but_the_fire(piece: PieceClass, name: str):
    found = fate_of(piece, load_profile(name))
    assert [rule.method for rule in found] == list(FATES)
    for rule in found:
        assert rule.reason.endswith(".")
        assert bool(rule.source) == bool(rule.place)
        assert rule.source in bibliography() or not rule.source
        assert rule.source or rule.status == "project choice"
        words = rule.words.casefold()
        assert "sterile" not in words
        assert "d10" not in words or "no proof" in words
        if rule.method == "scorch" and rule.open and not piece.fuel_wet:
            assert "surface" in words
        if rule.method == "keep" and piece.component == "frame":
            assert not rule.open or piece.use == "no comb" or rule.leave == "needs leave"
        if piece.fuel_wet:
            assert rule.leave == "forbidden" or rule.method == "burn"


@given(pieces, st.sampled_from(PROFILES))
def test_what_happened_to_a_piece_never_opens_a_way(piece: PieceClass, name: str):
    plain = PieceClass(piece.component, piece.material, piece.use, honey=piece.honey)
    order = ("forbidden", "needs leave", "allowed")
    for worse, better in zip(fate_of(piece, load_profile(name)), fate_of(plain, load_profile(name)), strict=True):
        assert order.index(worse.leave) <= order.index(better.leave)


def test_what_the_profile_does_not_say_needs_leave_and_says_so():
    rule = way(PieceClass("frame", "wood", "brood"), "gamma", "orrow-vale")
    assert (rule.leave, rule.stated) == ("needs leave", False)
    assert "The profile does not say, so leave is needed." in rule.words
    assert "leave is on paper first" in rule.words


def test_every_reason_belongs_to_a_known_cell():
    parts = {"any", *profile_keys()["components"]}
    for key in fate_reasons():
        part, _, method = key.partition(".")
        assert part in parts
        assert method in FATES


@pytest.mark.parametrize(("words", "material"), [
    ("pine", "wood"), ("", ""), ("EPS", "foam"), ("Masonite", "fibreboard"), ("galvanised wire", "metal"),
    ("black plastic", "plastic"), ("Polystyrene", "foam"),
])  # fmt: skip
def test_materials_in_other_words(words: str, material: str):
    assert material_of(words) == material


def test_pieces_out_before_the_dose_are_dry_and_those_left_in_are_fuel_wet():
    rows = [
        record(Component, "2031-05-13", hive="K1", component="frame", count=18, material="wood", use="super",
               honey_kg=18.0),
        record(Split, "2031-05-14T16:00", hive="K1", component="frame", count=9, target="OUT"),
        record(Kill, "2031-05-14T21:00", hive="K1", step="dosed", agent="petrol", amount_ml=250),
        record(Split, "2031-05-14", hive="K1", component="frame", count=2, target="NO-HOUR"),
        record(Split, "2031-05-15T08:00", hive="K1", component="frame", count=3, target="LATE"),
        record(Burn, "2031-05-15", lot="LATE", component="frame", count=1),
    ]  # fmt: skip
    found = holdings(situation_of(rows), vn.ORROW, ("K1",))
    wet = {item.owner: (item.count, item.piece.fuel_wet) for item in found.items}
    assert wet == {"K1": (4, True), "OUT": (9, False), "NO-HOUR": (2, True), "LATE": (2, True)}
    assert found.count == 17
    assert {item.owner: item.honey_kg for item in found.items}["OUT"] == pytest.approx(9.0)
