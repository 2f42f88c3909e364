"""The price list of an operation: the newest recorded price of each thing that holds on a day, else an order of
magnitude from the program."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import day_words
from ashcomb.records.situation import Situation
from ashcomb.records.storage import PRICED, Price
from ashcomb.sources.library import value
from ashcomb.sources.model import Sourced


@dataclass(frozen=True)
class Prices:
    """Money by thing. currency: '' while no price is recorded.  words: where each recorded price comes from."""

    sourced: Mapping[str, Sourced]
    currency: str = ""
    words: Mapping[str, str] = field(default_factory=dict)

    def __getitem__(self, item: str) -> float:
        return self.sourced[item].value

    def with_value(self, item: str, amount: float) -> Prices:
        """The same list with another amount for one thing."""
        known = self.sourced[item]
        changed = replace(known, value=amount, low=min(known.low, amount), high=max(known.high, amount))
        return Prices({**self.sourced, item: changed}, self.currency, self.words)

    @property
    def guessed(self) -> tuple[str, ...]:
        """Things for which no price is recorded."""
        return tuple(item for item in self.sourced if item not in self.words)


def price_list(situation: Situation, day: date) -> Prices:
    """The prices that hold on that day. Raises UserError if they are in more than one currency."""
    newest: dict[str, Price] = {}
    for row in situation.rows(Price):
        if row.happened.last <= day:  # rows come in the order of their days
            newest[row.item] = row
    currencies = sorted({row.currency.upper() for row in newest.values()})
    if len(currencies) > 1:
        raise UserError(
            f"Prices are recorded in {' and '.join(currencies)}.", "Record all of them in one currency.", "Prices"
        )
    sourced = {item: value(f"fate.price.{item.replace(' ', '_')}") for item in PRICED}
    for item, row in newest.items():
        amount = float(row.amount or 0)
        low, high = (amount if bound is None else bound for bound in (row.low, row.high))
        sourced[item] = Sourced(sourced[item].key, amount, row.currency.upper(), low, high, "", "", "project choice",
                                f"Recorded price: {row.document or 'no document named'}.")  # fmt: skip
    words = {item: f"{row.document or 'no document named'}, valid from {day_words(row.happened.first)}"
             for item, row in newest.items()}  # fmt: skip
    return Prices(sourced, currencies[0] if currencies else "", words)
