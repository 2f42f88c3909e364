"""From what a trace starts, and over which window: places, or a hive, an extraction lot, a keeper with all places."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span, add_months, day_number, day_words
from ashcomb.outbreak.contacts import Start
from ashcomb.plans.trace_columns import Columns, columns_of
from ashcomb.records.movements import ExtractionLot
from ashcomb.records.places import Apiary, Keeper, Premises
from ashcomb.records.situation import Situation
from ashcomb.records.state import cases, hive_places
from ashcomb.sources.library import value
from ashcomb.sources.model import Sourced


@dataclass(frozen=True)
class Begin:
    """Everything a trace begins with. units: marks with the day from which each is infectious.

    at: the same by number.  since: first day of the trace back.  until: last day of the trace forward, None no bound.
    """

    columns: Columns
    units: tuple[tuple[str, date], ...]
    at: tuple[Start, ...]
    since: date
    until: date | None
    uses: tuple[Sourced, ...]

    @property
    def words(self) -> str:
        """'A07 from Wed 10 Apr 2030'."""
        return ", ".join(f"{mark} from {day_words(day)}" for mark, day in self.units)

    @property
    def places(self) -> dict[str, date]:
        """The places of the units, with their days."""
        marks = self.columns.transfers.marks
        return {marks[start.place]: day for start, (_, day) in zip(self.at, self.units, strict=True)}


def beginning(
    situation: Situation,
    units: Mapping[str, date] | None,
    since: date | None,
    until: date | None,
    columns: Columns | None = None,
) -> Begin:
    """Finds the units of a trace among the records.

    units: marks to the day from which each is infectious; None takes the index apiary and the day in the case.
    columns: the transfers where they come from elsewhere than the situation.
    Raises UserError for an unknown mark, for a hive that stood nowhere, or when no start is known.
    """
    columns = columns or columns_of(situation)
    named = dict(units) if units is not None else _of_case(situation)
    whole = {mark: day for unit, day in named.items() for mark in _places_of(situation, unit)}
    if not whole:
        raise UserError("No place is named to trace from.", "Name an apiary, or another place of the case.")
    if until is not None and until < min(whole.values()):
        raise UserError(f"The last day, {until}, lies before the day from which the trace starts.", "Give a later day.")
    marks = tuple(sorted(whole.items()))
    at = tuple(_start(situation, columns, mark, day) for mark, day in marks)
    window = value("plans.trace_back_months")
    first = since or add_months(min(whole.values()), -int(window.value))
    if first > max(whole.values()):
        raise UserError(
            f"The first day, {first}, lies after the day from which the trace goes back.", "Give an earlier day."
        )
    return Begin(columns, marks, at, first, until, () if since else (window,))


def _of_case(situation: Situation) -> dict[str, date]:
    case = situation.case
    if case is None or not case.index or not case.infectious_from:
        raise UserError(
            "The case names no index apiary, or no day from which it is infectious.",
            "Fill in Index apiary and Infectious from in the sheet Case.",
        )
    return {case.index: Span.parse(case.infectious_from).first}


def _places_of(situation: Situation, unit: str) -> Iterator[str]:
    """The unit itself; of a keeper also every place that is the keeper's."""
    yield unit
    if unit in situation.by_mark(Keeper):
        owned = {place.mark: place.keeper for place in situation.rows(Apiary)}
        owned |= {place.mark: place.keeper for place in situation.rows(Premises)}
        yield from (mark for mark, keeper in owned.items() if keeper == unit)


def _start(situation: Situation, columns: Columns, mark: str, day: date) -> Start:
    if mark in columns.place:
        known = cases(situation)
        sick = tuple(columns.hives.index(hive) for hive, when in known.items()
                     if hive_places(situation, when.last).get(hive) == mark)  # fmt: skip
        return Start(columns.place[mark], day_number(day), sick)
    if mark in columns.hives:
        stood = hive_places(situation, day).get(mark, "")
        if stood not in columns.place:
            raise UserError(f"No record says where hive {mark} stood on {day_words(day)}.", "Give a later day.")
        return Start(columns.place[stood], day_number(day), (columns.hives.index(mark),))
    if mark in columns.lots:
        lot = columns.lots.index(mark)
        return Start(_shed_of(situation, columns, mark, lot), day_number(day), (), lot)
    raise UserError(f"{mark} is not a known place.", "Name an apiary, another place, a hive or a lot of the case.")


def _shed_of(situation: Situation, columns: Columns, mark: str, lot: int) -> int:
    """The shed that handled a lot: as its record says, else the first to which or from which it went."""
    told = situation.by_mark(ExtractionLot).get(mark)
    if told is not None and told.house in columns.place:
        return columns.place[told.house]
    transfers = columns.transfers
    for move in (transfers.lot == lot).nonzero()[0].tolist():
        for place in (int(transfers.target[move]), int(transfers.source[move])):
            if transfers.shed[place]:
                return place
    raise UserError(f"No shed handled lot {mark}.", "Record the extraction lot with its honey house.")
