"""What a look counts for: whose it was, in what light, how much of the brood, and how few cells it could have seen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from ashcomb.plans.figures import Figures
from ashcomb.plans.inspector_record import OwnRecord, own_records
from ashcomb.plans.looks import LookWorth, worth_of
from ashcomb.plans.season import Season
from ashcomb.records.looks import Inspection
from ashcomb.records.situation import Situation
from ashcomb.science.detection import frame_notice
from ashcomb.science.exact import percent

POOR_LIGHT = ("torch", "lamp", "dusk", "dawn", "dark", "night", "overcast", "dull", "rain", "fog")
CELLS = (1, 10, 100)
"""Diseased cells on the one diseased frame for which the worth of a look is given beside the plain figure."""


@dataclass(frozen=True, slots=True)
class Judge:
    """Judges looks. notice: chance that a diseased frame is noticed when seen shaken, by anybody without a record.

    unshaken: worth of a frame with bees on it.  poor_light: worth of a look in poor light.  cell: chance to notice one
    cell on a shaken frame.  All 0 to 1.  own: by inspector.  season: months with brood, None where unknown.
    """

    notice: Fraction
    unshaken: Fraction
    poor_light: Fraction
    cell: Fraction
    own: Mapping[str, OwnRecord]
    season: Season | None = None

    def noticing(self, look: Inspection) -> Fraction:
        """Chance that this inspector, in this light, notices a diseased frame seen shaken."""
        record = self.own.get(look.inspector or look.by)
        return (record.sensitivity if record else self.notice) * (self.poor_light if dim(look) else 1)

    def worth(self, look: Inspection) -> LookWorth:
        """What the look was worth, with what lowered or raised it in words."""
        found = worth_of(look, self.noticing(look), self.unshaken)
        return replace(found, note="; ".join(self._notes(look)))

    def by_cells(self, look: Inspection) -> tuple[Fraction, ...]:
        """Chance to notice the one diseased frame if it bears so few cells, for each of CELLS; empty without frames."""
        whole = self.noticing(look)
        shares = (min(whole, frame_notice(cells, self.cell)) for cells in CELLS)
        return tuple(worth_of(look, share, self.unshaken).chances[:1][0] for share in shares
                     if look.brood_frames is not None and look.frames_seen is not None)  # fmt: skip

    def counts(self, look: Inspection) -> bool:
        """Whether signs could show at that time of the year."""
        return self.season is None or self.season.has_brood(look.happened.first)

    def _notes(self, look: Inspection) -> list[str]:
        record = self.own.get(look.inspector or look.by)
        found = [f"own record of {record.inspector} {percent(record.sensitivity)}"] if record else []
        if dim(look):
            found.append(f"poor light ({look.light.strip()}): counts {float(self.poor_light):g}")
        if not self.counts(look):
            found.append("outside the months with brood: counts for nothing in the proof")
        return found


def dim(look: Inspection) -> bool:
    """Whether the light that was noted is poor; light that was not noted counts as good."""
    return any(word in look.light.casefold() for word in POOR_LIGHT)


def judge_of(
    situation: Situation, figures: Figures, season: Season | None = None, notice: Fraction | None = None
) -> Judge:
    """The judge of a case. notice: None takes the program's figure and each inspector's own record."""
    assumed = figures.ours("surveillance.look_sensitivity") if notice is None else notice
    return Judge(
        notice=assumed, unshaken=figures.ours("surveillance.unshaken_worth"),
        poor_light=figures.ours("surveillance.poor_light_worth"), cell=figures.ours("surveillance.notice_cell"),
        own=own_records(situation, figures) if notice is None else {}, season=season,
    )  # fmt: skip
