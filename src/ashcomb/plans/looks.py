"""What single looks into hives were worth: in words and as exact chances. No look shows that a hive is free."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from ashcomb.kernel.time import Span
from ashcomb.records.looks import Inspection
from ashcomb.records.situation import Situation
from ashcomb.records.state import hives_at, kill_states
from ashcomb.science.detection import look_worth
from ashcomb.science.exact import percent

DISEASED = ("one diseased frame", "two diseased frames")


@dataclass(frozen=True, slots=True, kw_only=True)
class LookWorth:
    """One look and what it was worth. chances: to notice one diseased frame, two; empty where frames were not noted.

    full: every brood frame was seen with the bees shaken off.  shaken, unshaken: brood frames seen so, if noted.
    note: what lowered or raised the worth, in words.
    """

    hive: str
    day: Span
    signs: str
    brood_frames: int | None
    shaken: int | None
    unshaken: int | None
    full: bool
    chances: tuple[Fraction, ...]
    words: str
    note: str = ""


def worth_of(look: Inspection, notice: Fraction, unshaken_worth: Fraction) -> LookWorth:
    """What one look was worth, if the signs lie on one or on two of the brood frames.

    notice: chance that a diseased frame is noticed when seen shaken.  unshaken_worth: worth of a frame with bees on it
    against a shaken one. Both 0 to 1. Frames not noted as shaken count as unshaken; a look without frames has no worth.
    """
    frames, seen = look.brood_frames, look.frames_seen
    shaken = None if seen is None else look.frames_shaken or 0
    unshaken = None if seen is None or shaken is None else seen - shaken
    chances: tuple[Fraction, ...] = ()
    if frames is not None and shaken is not None and unshaken is not None:
        chances = tuple(
            look_worth(frames, shaken, unshaken, diseased, notice, unshaken_worth) if frames else Fraction(0)
            for diseased in range(1, min(len(DISEASED), max(frames, 1)) + 1)
        )
    return LookWorth(
        hive=look.hive,
        day=look.happened,
        signs=look.signs,
        brood_frames=frames,
        shaken=shaken,
        unshaken=unshaken,
        full=is_full(look),
        chances=chances,
        words=f"{look.hive}, {look.happened.words()}: {_signs(look)}; {_frames(look)}{_chances(frames, chances)}.",
    )


def is_full(look: Inspection) -> bool:
    """Whether every brood frame was seen with the bees shaken off; a hive without brood cannot have a full look."""
    return bool(look.brood_frames) and look.frames_shaken == look.frames_seen == look.brood_frames


def standing(situation: Situation, apiary: str, day: date) -> tuple[str, ...]:
    """Hives that stand at the apiary at the end of that day and are not confirmed dead, by mark."""
    dead = {hive for hive, kill in kill_states(situation).items() if kill.state == "dead confirmed"
            and kill.since is not None and kill.since.first <= day}  # fmt: skip
    return tuple(hive.mark for hive in hives_at(situation, apiary, day) if hive.mark not in dead)


def looks_at(situation: Situation, hives: Sequence[str], first: date, last: date) -> tuple[Inspection, ...]:
    """Every look into these hives that certainly happened from `first` to `last`, both included, in order of time."""
    wanted = set(hives)
    return tuple(
        look
        for look in situation.rows(Inspection)
        if look.hive in wanted and first <= look.happened.first and look.happened.last <= last
    )


def _signs(look: Inspection) -> str:
    return "no signs seen" if look.signs == "none seen" else f"{look.signs} signs seen"


def _frames(look: Inspection) -> str:
    if look.frames_seen is None or look.brood_frames is None:
        return "frames not noted, so its worth is unknown"
    if not look.brood_frames:
        return "no brood, so signs could not show"
    shaken = "shaking not noted" if look.frames_shaken is None else f"{look.frames_shaken} of these shaken"
    return f"{look.frames_seen} of {look.brood_frames} brood frames seen, {shaken}"


def _chances(frames: int | None, chances: tuple[Fraction, ...]) -> str:
    if not chances or not frames:
        return ""
    each = (f"{what} {percent(chance)}" for what, chance in zip(DISEASED, chances, strict=False))
    return f"; chance to notice {', '.join(each)}"
