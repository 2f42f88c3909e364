"""What one look into a hive was worth, from the frames that were seen.

A shaken frame shows its cells with a stated chance; a frame with bees on it is worth a fraction of that, which is the
same as being truly seen with that chance. So a look is a sample of frames, and its worth a mixture of exact samples.
"""

from __future__ import annotations

from fractions import Fraction
from math import comb

from ashcomb.kernel.errors import UserError
from ashcomb.science.exact import exact
from ashcomb.science.formula import Quantity, formula
from ashcomb.science.sampling import group_sensitivity
from ashcomb.sources.library import value

_FRAMES = Quantity("frames", 0, 1000, "frames")
_BROOD = Quantity("frames", 1, 1000, "frames with brood in the hive")
_SHARE = Quantity("1", 0, 1, "chance")
_WORTH = Quantity("1", 0, 1, "worth of an unshaken frame against a shaken one")
_CELLS = Quantity("cells", 0, 100_000, "diseased cells")


@formula(
    returns="1",
    source="degraaf-2013",
    place="section 4.3.1, every brood frame must be seen",
    status="derived",
    brood_frames=_BROOD,
    shaken=_FRAMES,
    unshaken=_FRAMES,
    diseased_frames=_FRAMES,
    notice=_SHARE,
    unshaken_worth=_WORTH,
)
def look_worth(
    brood_frames: int,
    shaken: int,
    unshaken: int,
    diseased_frames: int,
    notice: float | Fraction,
    unshaken_worth: float | Fraction,
) -> Fraction:
    """Chance that a look notices disease whose signs lie on some of the brood frames.

    brood_frames: present.  shaken, unshaken: brood frames seen without and with bees on them, together at most
    brood_frames.  diseased_frames: with signs, 0 to brood_frames, anywhere among them.  notice: chance that a
    diseased frame is noticed when seen shaken; unshaken_worth times that when seen unshaken. Frames are noticed
    independently. Returns an exact fraction; raises UserError if the frames do not fit each other.
    """
    _seen_fit(brood_frames, shaken, unshaken)
    if diseased_frames > brood_frames:
        raise UserError("More frames are diseased than there are brood frames.", "Correct the counts.")
    if not diseased_frames:
        return Fraction(0)
    return sum(
        (
            chance * group_sensitivity(brood_frames, diseased_frames, seen, notice)
            for seen, chance in _truly_seen(shaken, unshaken, unshaken_worth)
        ),
        Fraction(0),
    )


@formula(
    returns="1",
    source="degraaf-2013",
    place="section 4.3.1, every brood frame must be seen",
    status="derived",
    brood_frames=_BROOD,
    shaken=_FRAMES,
    unshaken=_FRAMES,
    cells=_CELLS,
    notice_cell=_SHARE,
    unshaken_worth=_WORTH,
)
def look_worth_spread(
    brood_frames: int,
    shaken: int,
    unshaken: int,
    cells: int,
    notice_cell: float | Fraction,
    unshaken_worth: float | Fraction,
) -> Fraction:
    """Chance that a look notices disease whose cells are spread, each on a brood frame of its own chance.

    Arguments as for `look_worth`; cells: diseased cells, 0 or more.  notice_cell: chance to notice one cell on a
    shaken frame, cells noticed independently. Returns an exact fraction; raises UserError if the frames do not fit.
    """
    _seen_fit(brood_frames, shaken, unshaken)
    cell = exact(notice_cell)
    return sum(
        (
            chance * (1 - (1 - cell * Fraction(seen, brood_frames)) ** cells)
            for seen, chance in _truly_seen(shaken, unshaken, unshaken_worth)
        ),
        Fraction(0),
    )


@formula(
    returns="1",
    source="degraaf-2013",
    place="section 4.3.1",
    status="derived",
    cells=_CELLS,
    notice_cell=_SHARE,
)
def frame_notice(cells: int, notice_cell: float | Fraction) -> Fraction:
    """Chance that one shaken frame with that many diseased cells is noticed: 1 - (1-q)^cells.

    cells: 0 or more.  notice_cell: chance to notice one cell, 0 to 1, cells independent. Exact. No measured value of q
    was found; it is an expert's guess.
    """
    return 1 - (1 - exact(notice_cell)) ** cells


@formula(returns="class 0 to 3", source="degraaf-2013", place="section 4.3.1", status="published", cells=_CELLS)
def cell_class(cells: int) -> int:
    """Class of a frame by its diseased cells: 0 none, 1 up to ten, 2 up to a hundred, 3 more.

    cells: 0 or more. The published classes leave out exactly ten; here ten belongs to class 1.
    """
    return sum(cells > limit for limit in (0, value("disease.few_cells").value, value("disease.many_cells").value))


def _seen_fit(brood_frames: int, shaken: int, unshaken: int) -> None:
    if shaken + unshaken > brood_frames:
        raise UserError(
            f"{shaken + unshaken} brood frames were seen, but the hive has {brood_frames}.", "Correct the counts."
        )


def _truly_seen(shaken: int, unshaken: int, worth: float | Fraction) -> list[tuple[int, Fraction]]:
    """How many frames a look amounts to, with the chance of each number; the chances sum to 1."""
    share = exact(worth)
    return [(shaken + j, comb(unshaken, j) * share**j * (1 - share) ** (unshaken - j)) for j in range(unshaken + 1)]
