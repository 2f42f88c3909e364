"""Where signs were found in a yard: the newest look with signs of each hive, its class, its samples and results."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.casework.sheets.desk import Desk
from ashcomb.records.looks import Inspection, LabResult, Sample
from ashcomb.records.state import cases, hive_places, suspects
from ashcomb.sources.library import value
from ashcomb.sources.model import Sourced

CLASS_VALUES = ("disease.few_cells", "disease.many_cells")


@dataclass(frozen=True, slots=True)
class Find:
    """One hive with signs or a positive test. look: the newest with signs, or None.  state: case or suspect."""

    hive: str
    state: str
    look: Inspection | None
    evidence: str


def finds_at(desk: Desk) -> tuple[Find, ...]:
    """Every case and suspect hive that stands at the yard of the paper."""
    if desk.blank:
        return ()
    situation = desk.situation
    places = hive_places(situation, desk.today)
    states = dict.fromkeys(suspects(situation), "suspect") | dict.fromkeys(cases(situation), "case")
    looks = {look.hive: look for look in situation.rows(Inspection) if look.signs != "none seen"}
    return tuple(Find(hive, states[hive], looks.get(hive), _evidence(desk, hive)) for hive in sorted(states)
                 if places.get(hive) == desk.yard)  # fmt: skip


def class_words(cells: int | None) -> str:
    """The class of a count of diseased cells: exactly the limit belongs to the lower class."""
    few, many = (int(found.value) for found in class_values())
    if cells is None:
        return ""
    if cells <= few:
        return f"1: up to {few}"
    return f"2: {few + 1} to {many}" if cells <= many else f"3: over {many}"


def class_values() -> tuple[Sourced, ...]:
    """The sourced limits of the classes."""
    return tuple(value(key) for key in CLASS_VALUES)


def _evidence(desk: Desk, hive: str) -> str:
    samples = [sample.mark for sample in desk.situation.rows(Sample) if hive in sample.hives]
    results = [r for r in desk.situation.rows(LabResult) if r.sample in samples]
    found = [f"sample {mark}" for mark in samples]
    found += [f"{r.method}: {r.outcome}, {r.document or 'no report number'}" for r in results]
    return "; ".join(found)
