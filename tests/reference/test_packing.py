"""Packing against published limits, counts by hand, and every possible packing of small loads."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.units import to_base
from ashcomb.science.packing import Box, UnitSpec, pack, pair_up
from ashcomb.science.pallet import PalletSpec, bulk_density, load_height, stacks_on_pallet

PLANT = UnitSpec(25)


def boxes(*kinds: tuple[int, float], height: int = 250) -> list[Box]:
    return [Box(f"{mass:g}-{i}", mass, height) for number, mass in kinds for i in range(number)]


def test_sixty_two_light_and_thirty_heavy_boxes():
    # By hand. Pallet 1200 × 1240 mm, below 2 m, 1000 kg: DPIRD Western Australia, p. 3. Deck 150 mm: from memory.
    room = load_height(2000, 150)
    footprint = stacks_on_pallet(514, 412, 1200, 1240)
    assert footprint.number == footprint.at_most == 6
    choice = pack(boxes((62, 11.5), (30, 14.0)), PLANT, PalletSpec(6, room, 1000))
    chosen = choice.chosen
    assert sorted({(unit.mass_kg, len(unit.boxes)) for unit in chosen.units}) == [(14.0, 1), (23.0, 2)]
    assert sum(len(unit.boxes) == 2 for unit in chosen.units) == 31
    assert (len(chosen.units), chosen.mass_kg) == (61, 1133.0)
    assert (len(chosen.pallets), chosen.bound) == (3, 3)  # 92 boxes, 42 places on a pallet; by mass alone two would do
    assert choice.fewer_units is None
    for pallet in chosen.pallets:
        assert len(pallet) <= 6
        assert sum(unit.grams for stack in pallet for unit in stack) <= 1_000_000
        assert all(sum(unit.height_mm for unit in stack) <= room for stack in pallet)
    assert sorted(mark for unit in chosen.units for mark in unit.boxes) == sorted(
        box.mark for box in boxes((62, 11.5), (30, 14.0))
    )


def test_a_single_saves_a_pallet():
    # By hand: 42 boxes fill six stacks of seven only if each stack holds a single; 21 pairs need a second pallet
    choice = pack(boxes((42, 11.5)), PLANT, PalletSpec(6, 1849, 1000))
    assert (len(choice.chosen.pallets), len(choice.chosen.units)) == (1, 24)
    assert choice.fewer_units is not None
    assert (len(choice.fewer_units.pallets), len(choice.fewer_units.units)) == (2, 21)


def test_lid_and_base_add_mass_and_height():
    bare, closed = UnitSpec(25), UnitSpec(25, 2, ends_kg=2.5, ends_mm=60)
    assert len(pair_up(boxes((2, 11.5)), bare)) == 1
    assert len(pair_up(boxes((2, 11.5)), closed)) == 2  # 23 + 2.5 kg is over 25 kg
    unit = pack(boxes((2, 11.0)), closed, PalletSpec(1, 560, 1000)).chosen.units[0]
    assert (unit.mass_kg, unit.height_mm) == (24.5, 560)


def test_mass_of_exactly_the_limit_is_taken_and_a_full_box_refused():
    assert len(pair_up(boxes((2, 12.5)), PLANT)) == 1
    full = to_base("80 lb", "mass", "kg")  # common size tables: a deep box full of honey weighs 80 to 90 lb
    assert full == pytest.approx(36.3, abs=0.1)
    with pytest.raises(UserError):
        pair_up([Box("A", full, 244)], PLANT)


def test_singles_only():
    # ACT Beekeepers: singles only, below 25 kg
    assert len(pair_up(boxes((10, 11.5)), UnitSpec(25, max_boxes=1))) == 10


def test_pallet_at_its_limits():
    # DPIRD Western Australia, p. 3: 1200 × 1240 mm, 2 m, 1000 kg; arithmetic
    assert bulk_density(1000, 1.2, 1.24, 2.0) == pytest.approx(336, rel=0.01)
    choice = pack(boxes((41, 25.0)), UnitSpec(25), PalletSpec(6, 1849, 1000))
    assert len(choice.chosen.pallets) == 2  # 40 units of 25 kg are 1000 kg
    assert len(pack(boxes((40, 25.0)), UnitSpec(25), PalletSpec(6, 1849, 1000)).chosen.pallets) == 1


def test_turned_boxes_share_a_pallet():
    assert stacks_on_pallet(3, 2, 5, 6).number == 5  # two columns upright, one row turned; 30 / 6 is the bound
    assert stacks_on_pallet(3, 2, 5, 6).at_most == 5


def test_what_fits_no_pallet_is_refused():
    with pytest.raises(UserError):
        pack(boxes((1, 11.5), height=2500), PLANT, PalletSpec(6, 1849, 1000))


def groupings(marks: tuple[int, ...]) -> Iterator[list[tuple[int, ...]]]:
    """All ways to make singles and pairs."""
    if not marks:
        yield []
        return
    first, *rest = marks
    for other in (None, *rest):
        group = (first,) if other is None else (first, other)
        for more in groupings(tuple(mark for mark in rest if mark != other)):
            yield [group, *more]


def fits(units: list[tuple[int, int]], number: int, pallet: PalletSpec) -> bool:
    """Whether units of (height, grams) fit on that many pallets; tries every place."""
    stacks, masses = [[0] * pallet.stacks for _ in range(number)], [0] * number

    def place(index: int) -> bool:
        if index == len(units):
            return True
        height, grams = units[index]
        tried = set()
        for p in range(number):
            for s in range(pallet.stacks):
                state = (tuple(sorted(stacks[p])), masses[p], stacks[p][s])
                if state in tried or stacks[p][s] + height > pallet.height_mm:
                    continue
                if masses[p] + grams > pallet.max_kg * 1000:
                    continue
                tried.add(state)
                stacks[p][s] += height
                masses[p] += grams
                if place(index + 1):
                    return True
                stacks[p][s] -= height
                masses[p] -= grams
        return False

    return place(0)


def best(load: list[Box], spec: UnitSpec, pallet: PalletSpec) -> tuple[int, int]:
    """Fewest pallets, then fewest units, over every grouping and every placement."""
    found = []
    for groups in groupings(tuple(range(len(load)))):
        heights = [sum(load[i].height_mm for i in g) + spec.ends_mm for g in groups]
        masses = [round(sum(load[i].mass_kg for i in g) * 1000) + round(spec.ends_kg * 1000) for g in groups]
        units = list(zip(heights, masses, strict=True))
        if all(grams <= spec.max_kg * 1000 and height <= pallet.height_mm for height, grams in units):
            number = next(n for n in range(1, len(load) + 1) if fits(units, n, pallet))
            found.append((number, len(units)))
    return min(found)


@settings(max_examples=80, deadline=None)
@given(
    st.lists(st.sampled_from([9.0, 11.5, 14.0]), min_size=1, max_size=7),
    st.integers(1, 2),
    st.integers(2, 4),
    st.sampled_from([0, 60]),
)
def test_small_loads_of_one_height_against_every_packing(masses, stacks, high, ends):
    load = [Box(str(i), mass, 250) for i, mass in enumerate(masses)]
    spec, pallet = UnitSpec(25, 2, 1.0 if ends else 0.0, ends), PalletSpec(stacks, 250 * high + ends, 1000)
    choice = pack(load, spec, pallet)
    assert choice.chosen.bound <= len(choice.chosen.pallets)
    assert (len(choice.chosen.pallets), len(choice.chosen.units)) == best(load, spec, pallet)


@settings(max_examples=80, deadline=None)
@given(
    st.lists(st.tuples(st.sampled_from([8.0, 12.0]), st.sampled_from([150, 190, 250])), min_size=1, max_size=6),
    st.integers(1, 2),
    st.sampled_from([30, 1000]),
)
def test_small_mixed_loads_never_claim_too_much(kinds, stacks, max_kg):
    load = [Box(str(i), mass, height) for i, (mass, height) in enumerate(kinds)]
    pallet = PalletSpec(stacks, 600, max_kg)
    choice = pack(load, PLANT, pallet)
    pallets, _ = best(load, PLANT, pallet)
    assert choice.chosen.bound <= pallets <= len(choice.chosen.pallets)


def test_every_pair_of_two_is_the_most_pairs():
    load = boxes((3, 9.0), (3, 14.0), (2, 17.0))
    most = max(sum(len(g) == 2 for g in groups) for groups in groupings(tuple(range(len(load))))
               if all(sum(load[i].mass_kg for i in g) <= 25 for g in groups))  # fmt: skip
    assert sum(len(group) == 2 for group in pair_up(load, PLANT)) == most
    assert len(list(combinations(load, 2))) == 28
