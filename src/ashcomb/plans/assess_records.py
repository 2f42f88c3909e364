"""Which records moved the chance of a hive most, by leaving each out in turn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ashcomb.outbreak.leave_out import Kind, without
from ashcomb.outbreak.posterior import Draws
from ashcomb.outbreak.scene import Scene
from ashcomb.outbreak.summaries import rows_of
from ashcomb.plans.scene import Staged
from ashcomb.sources.library import value

NEIGHBOURS = 5  # colonies whose records are tried too: those that gave or got it most often


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """One record. without: chance of the hive if it were not on record; None if so much rests on it that only a new
    run without it could say.  words: the record.  record: its id.
    """

    record: str
    words: str
    without: float | None


def moved_most(stage: Staged, draws: Draws, colony: int, infected: float, most: int = 3) -> tuple[Moved, ...]:
    """The records that moved the chance of a colony most: looks, tests and moves of its own and of those it is tied to.

    Looks at tied colonies count too, since what is known of a giver is known of its receivers. infected: chance of the
    colony as it is printed; the draws say by which factor it would change.
    """
    scene, rows = stage.scene, rows_of(draws, colony)
    there = rows if scene.end[colony] > scene.horizon else rows[:0]
    now = len(there) / draws.count
    scale = infected / now if now else 0.0
    found: list[tuple[float, Moved]] = []
    least = value("assess.reweigh_least").value
    for kind, number in _candidates(scene, draws, colony):
        weighed = without(scene, draws, kind, number)
        told = weighed.share >= least
        chance = min(scale * weighed.chance(draws, there), 1.0) if told else None
        size = abs(chance - infected) if chance is not None else _rests(draws, rows, kind, number) * infected
        record, words = _words(stage, kind, number)
        found.append((size, Moved(record=record, words=words, without=chance)))
    found.sort(key=lambda pair: (-pair[0], pair[1].words))
    return tuple(moved for size, moved in found[:most] if size > 0)


def _rests(draws: Draws, rows: np.ndarray, kind: Kind, number: int) -> float:
    """Share of a colony's draws that came by this event."""
    return float((draws.source[rows] == number).mean()) if kind == "event" and len(rows) else 0.0


def _candidates(scene: Scene, draws: Draws, colony: int) -> list[tuple[Kind, int]]:
    """Looks, tests and events of the colony and of those tied to it most often."""
    mine = draws.infector[rows_of(draws, colony)]
    gave, often = np.unique(mine[mine >= 0], return_counts=True)
    got, much = np.unique(draws.colony[draws.infector == colony], return_counts=True)
    tied = [*gave[np.argsort(-often, kind="stable")][:NEIGHBOURS], *got[np.argsort(-much, kind="stable")][:NEIGHBOURS]]
    found: dict[tuple[Kind, int], None] = {}
    for j in dict.fromkeys([colony, *(int(each) for each in tied)]):
        for k in range(scene.look_ptr[j], scene.look_ptr[j + 1]):
            found[("look", int(k))] = None
        for p in scene.mine[scene.mine_ptr[j] : scene.mine_ptr[j + 1]]:
            found[("pool", int(p))] = None
        for e in scene.in_event[scene.in_ptr[j] : scene.in_ptr[j + 1]]:
            found[("event", int(e))] = None
    for e in scene.out_event[scene.out_ptr[colony] : scene.out_ptr[colony + 1]]:
        found[("event", int(e))] = None
    return list(found)


def _words(stage: Staged, kind: Kind, number: int) -> tuple[str, str]:
    if kind == "event":
        return stage.events[number].record, stage.events[number].words()
    told = (stage.looks if kind == "look" else stage.pools)[number]
    return told.record, told.words
