"""What every plan carries beside its numbers: the values, rules, assumptions and cautions that it rests on."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from fractions import Fraction
from typing import Any

from ashcomb.kernel.time import Span
from ashcomb.sources.model import Sourced
from ashcomb.sources.profile import Rule


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Base of all plans.

    uses: sourced values that entered.  rules: rules in words that entered.  assumptions: sentences that were taken for
    granted.  cautions: printed wherever the plan is shown; they defer to local codes and licensed practice.
    """

    uses: tuple[Sourced, ...] = ()
    rules: tuple[Rule, ...] = ()
    assumptions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Gate:
    """One condition that must be met before a step. met: whether it is.  who: who can meet it when it is not."""

    name: str
    met: bool
    why: str
    who: str = ""


def as_json(value: Any) -> Any:
    """A plan, or any part of it, as JSON values: days and moments in ISO form, exact fractions as decimals."""
    if dataclasses.is_dataclass(value) and not isinstance(value, Span | type):
        return {item.name: as_json(getattr(value, item.name)) for item in dataclasses.fields(value)}
    if isinstance(value, Span):
        return str(value)
    if isinstance(value, date | datetime):
        return value.isoformat()
    if isinstance(value, Fraction):
        return float(value)
    if isinstance(value, Mapping):
        return {str(key): as_json(item) for key, item in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [as_json(item) for item in (sorted(value) if isinstance(value, set | frozenset) else value)]
    if hasattr(value, "item") and not isinstance(value, str):  # numpy scalars
        return value.item()
    return value
