"""What a look was worth, against counts of all ways to draw frames."""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ashcomb.kernel.errors import UserError
from ashcomb.science.detection import cell_class, frame_notice, look_worth, look_worth_spread
from ashcomb.science.exact import percent
from ashcomb.sources.library import value

HALF = Fraction(1, 2)


def test_three_of_ten_frames():
    # By hand: 3/10 for one diseased frame, 1 - C(8,3)/C(10,3) for two
    assert percent(look_worth(10, 3, 0, 1, 1, HALF)) == "30.0 %"
    assert percent(look_worth(10, 3, 0, 2, 1, HALF)) == "53.3 %"


def test_one_cell_on_one_frame():
    # Construction rule: Se = q*k/F when one diseased cell lies on one of F frames and k are seen
    assert look_worth(10, 4, 0, 1, frame_notice(1, 0.6), HALF) == Fraction(6, 10) * Fraction(4, 10)


def test_unshaken_frames_count_for_their_fraction():
    assert look_worth(10, 0, 6, 1, 1, HALF) == Fraction(3, 10)
    assert look_worth(10, 2, 8, 1, 1, HALF) == Fraction(6, 10)
    assert value("surveillance.unshaken_worth").value == 0.5
    assert value("surveillance.unshaken_worth").status == "project choice"


@settings(max_examples=60)
@given(st.data())
def test_against_every_place_of_the_diseased_frames(data: st.DataObject):
    frames = data.draw(st.integers(1, 6))
    shaken = data.draw(st.integers(0, frames))
    unshaken = data.draw(st.integers(0, frames - shaken))
    diseased = data.draw(st.integers(1, frames))
    notice, worth = (data.draw(st.fractions(0, 1, max_denominator=6)) for _ in range(2))
    chance = [notice] * shaken + [worth * notice] * unshaken + [Fraction(0)] * (frames - shaken - unshaken)
    places = list(combinations(range(frames), diseased))
    missed = Fraction(0)
    for place in places:
        miss = Fraction(1)
        for frame in place:
            miss *= 1 - chance[frame]
        missed += miss
    assert look_worth(frames, shaken, unshaken, diseased, notice, worth) == 1 - missed / len(places)


def test_spread_cells_against_every_place():
    frames, shaken, unshaken, cells, cell = 4, 1, 2, 3, Fraction(1, 3)
    missed = Fraction(0)
    for place in product(range(frames), repeat=cells):
        miss = Fraction(1)
        for frame in range(frames):
            noticed = frame_notice(place.count(frame), cell)
            miss *= 1 - noticed * (1 if frame < shaken else HALF if frame < shaken + unshaken else 0)
        missed += miss / frames**cells
    assert look_worth_spread(frames, shaken, unshaken, cells, cell, HALF) == 1 - missed


def test_classes_of_the_published_score():
    # de Graaf et al. 2013, section 4.3.1: none, fewer than 10, 11 to 100, more; ten itself is put into class 1
    assert [cell_class(n) for n in (0, 1, 9, 10, 11, 100, 101)] == [0, 1, 1, 1, 2, 2, 3]


def test_more_frames_than_there_are_is_refused():
    for call in (lambda: look_worth(10, 6, 5, 1, 1, HALF), lambda: look_worth(10, 3, 0, 11, 1, HALF)):
        with pytest.raises(UserError):
            call()
