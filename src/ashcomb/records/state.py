"""What is true at a moment, derived from the records: events, where hives stand, how far each kill got, conflicts."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from ashcomb.kernel.time import Span
from ashcomb.records.acts import Kill, Notice, Pit
from ashcomb.records.case import Milestone, ProfileChoice, ProfileConfirmed
from ashcomb.records.columns import Record
from ashcomb.records.looks import Inspection, LabResult, Sample
from ashcomb.records.movements import Move
from ashcomb.records.places import Hive
from ashcomb.records.situation import Situation, sort_key

LATEST = {"last case", "killed", "burned", "buried", "inspector's visit"}  # of these the newest counts, else the first
_STATE = {"prepared": "prepared", "sealed": "sealed", "dosed": "dosed", "topped up": "dosed",
          "listened: buzzing": "dosed", "listened: quiet": "dosed", "dead confirmed": "dead confirmed"}  # fmt: skip
_ALIVE = {"listened: buzzing", "topped up", "dosed"}


@dataclass(frozen=True, slots=True)
class Conflict:
    """Records that cannot all be true. They stay side by side until a named person settles which one holds."""

    about: str
    records: tuple[Record, ...]

    def question(self) -> str:
        """The question that a person must answer."""
        told = "; ".join(
            f"{_says(r)} ({r.happened.words()}, {r.by}, {r.device or 'no device named'})" for r in self.records
        )
        return f"{self.about}: {told}. Which one holds?"


@dataclass(frozen=True, slots=True)
class KillState:
    """How far the kill of one hive got. state: unseen, prepared, sealed, dosed, dead confirmed or disputed."""

    hive: str
    state: str
    since: Span | None
    dose_ml: float
    steps: tuple[Kill, ...]
    conflict: Conflict | None


def events(situation: Situation) -> dict[str, Span]:
    """When each event of `records.case.EVENTS` happened, as far as the records say.

    Of `LATEST` events the newest counts, of the others the first. Killing and burial before the newest case do not
    count: with a new case these clocks wait for its own killing and burial.
    """
    found: dict[str, list[Span]] = defaultdict(list)
    for milestone in situation.rows(Milestone):
        found[milestone.event].append(milestone.happened)
    found["confirmed"] += [r.happened for r in situation.rows(LabResult) if r.outcome == "positive"]
    found["suspected"] += [r.happened for r in situation.rows(Inspection) if r.signs != "none seen"]
    found["last case"] += found["confirmed"] + [r.happened for r in situation.rows(Inspection) if r.signs == "clinical"]
    found["killed"] += [k.happened for k in situation.rows(Kill) if k.step == "dead confirmed"]
    found["burned"] += [p.happened for p in situation.rows(Pit) if p.state == "ash"]
    found["buried"] += [p.happened for p in situation.rows(Pit) if p.state == "covered"]
    chosen = {event: (max if event in LATEST else min)(spans) for event, spans in found.items() if spans}
    newest = chosen.get("last case")
    for event in ("killed", "burned", "buried"):
        if newest is not None and event in chosen and chosen[event].last < newest.first:
            del chosen[event]
    return chosen


def hive_places(situation: Situation, day: date) -> dict[str, str]:
    """Where each hive stood at the end of that day, by the moves that name it; a move with an open date counts from
    its last possible day."""
    places = {hive.mark: hive.apiary for hive in situation.rows(Hive) if hive.happened.first <= day}
    for move in sorted(situation.rows(Move), key=lambda m: (m.happened.last, *sort_key(m))):
        if move.happened.last <= day and move.what in ("hives", "nucleus"):
            places |= {mark: move.target for mark in move.hives if mark in places}
    return places


def hives_at(situation: Situation, apiary: str, day: date) -> list[Hive]:
    """The hives that stood at an apiary at the end of that day, in order of their marks."""
    places = hive_places(situation, day)
    return [hive for mark, hive in sorted(situation.by_mark(Hive).items()) if places.get(mark) == apiary]


def kill_states(situation: Situation) -> dict[str, KillState]:
    """How far the kill of each hive got that has any kill record."""
    steps: dict[str, list[Kill]] = defaultdict(list)
    for kill in situation.rows(Kill):
        steps[kill.hive].append(kill)
    return {hive: _kill_state(hive, done) for hive, done in sorted(steps.items())}


def conflicts(situation: Situation) -> list[Conflict]:
    """Every conflict that nobody has settled yet: a hive both dead and alive, two corrections of one record."""
    found = [state.conflict for state in kill_states(situation).values() if state.conflict]
    corrected: dict[str, list[Record]] = defaultdict(list)
    for record in situation.everything():
        if record.corrects:
            corrected[record.corrects].append(record)
    rivals = [tuple(sorted(records, key=sort_key)) for records in corrected.values() if len(records) > 1]
    return found + [Conflict("Two corrections of one record", records) for records in rivals]


def cases(situation: Situation) -> dict[str, Span]:
    """Hives with clinical signs or a positive test, and when that was first found."""
    found: dict[str, Span] = {}
    pools = {sample.mark: sample.hives for sample in situation.rows(Sample)}
    for result in situation.rows(LabResult):
        hives = pools.get(result.sample, ())
        if result.outcome == "positive" and len(hives) == 1:
            _earliest(found, hives, result.happened)
    for look in situation.rows(Inspection):
        if look.signs == "clinical":
            _earliest(found, (look.hive,), look.happened)
    return dict(sorted(found.items()))


def suspects(situation: Situation) -> dict[str, Span]:
    """Hives whose newest look was suspect and that are no case yet."""
    newest = {look.hive: look for look in situation.rows(Inspection)}
    known = cases(situation)
    return {
        hive: look.happened for hive, look in sorted(newest.items()) if look.signs == "suspect" and hive not in known
    }


def condemned(situation: Situation, apiary: str = "") -> tuple[str, ...]:
    """Hives that are cases or are named in a destruction order, by mark; only those at `apiary` if it is given."""
    ordered = {hive for n in situation.rows(Notice) if n.type == "destruction order" for hive in n.hives}
    marks = sorted(ordered | set(cases(situation)))
    if not apiary:
        return tuple(marks)
    places = hive_places(situation, date.max)
    return tuple(mark for mark in marks if places.get(mark) == apiary)


def profile_in_force(situation: Situation) -> ProfileChoice | None:
    """The newest choice of a code profile."""
    choices = situation.rows(ProfileChoice)
    return max(choices, key=lambda choice: (choice.noted, choice.id)) if choices else None


def confirmation(situation: Situation, profile: str, digest: str) -> ProfileConfirmed | None:
    """Who confirmed the profile in just this wording, or None."""
    fitting = [c for c in situation.rows(ProfileConfirmed) if c.profile == profile and c.digest == digest]
    return fitting[-1] if fitting else None


def _earliest(found: dict[str, Span], hives: Iterable[str], happened: Span) -> None:
    for hive in hives:
        if hive not in found or happened < found[hive]:
            found[hive] = happened


def _kill_state(hive: str, steps: list[Kill]) -> KillState:
    dead = [step for step in steps if step.step == "dead confirmed"]
    after = [step for step in steps if dead and step.step in _ALIVE and sort_key(step)[:2] >= sort_key(dead[0])[:2]]
    dose = sum(step.amount_ml or 0.0 for step in steps if step.step in ("dosed", "topped up"))
    if after and sort_key(dead[-1])[:2] <= sort_key(after[-1])[:2]:
        conflict = Conflict(f"Hive {hive}", tuple(sorted({*dead, *after}, key=sort_key)))
        return KillState(hive, "disputed", conflict.records[0].happened, dose, tuple(steps), conflict)
    reached = dead[-1] if dead else steps[-1]
    return KillState(hive, _STATE[reached.step], reached.happened, dose, tuple(steps), None)


def _says(record: Record) -> str:
    if isinstance(record, Kill):
        return record.step
    return f"{type(record).__name__} {record.id}"
