"""How a function of this floor states its inputs, units, valid range and source.

The statement drives three things: the check of every call, `ashcomb calc`, and the table of formulas in the docs.
"""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, ParamSpec, TypeVar

import numpy as np

from ashcomb.kernel.errors import UserError
from ashcomb.sources.model import STATUSES

P = ParamSpec("P")
R = TypeVar("R")


@dataclass(frozen=True, slots=True)
class Quantity:
    """One input: unit, valid range (both ends included) and what it is."""

    unit: str
    low: float = float("-inf")
    high: float = float("inf")
    meaning: str = ""


@dataclass(frozen=True, slots=True)
class Formula:
    """A function with its statement. caution: printed with every result where fuel, fire, digging … are touched."""

    name: str
    function: Callable[..., Any]
    inputs: dict[str, Quantity]
    returns: str
    source: str
    place: str
    status: str
    summary: str
    caution: str


REGISTRY: dict[str, Formula] = {}


def formula(
    *, returns: str, source: str, place: str, status: str, caution: str = "", **inputs: Quantity
) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Registers a pure function as a formula and checks each call against the stated ranges.

    returns: unit of the result, or 'name [unit], …' for a result with several fields.  source: bibliography key.
    Every parameter of the function that is a number must be in `inputs`; the decorator raises TypeError otherwise.
    A call with a number outside its range, or not finite, raises UserError that names the parameter and its range.
    """
    if status not in STATUSES:
        raise TypeError(f"unknown status {status!r}")

    def register(function: Callable[P, R]) -> Callable[P, R]:
        signature = inspect.signature(function)
        unknown = set(inputs) - set(signature.parameters)
        if unknown:
            raise TypeError(f"{function.__name__} has no parameter {unknown}")

        @functools.wraps(function)
        def checked(*args: P.args, **kwargs: P.kwargs) -> R:
            bound = signature.bind(*args, **kwargs)
            for name, given in bound.arguments.items():
                if name in inputs and given is not None:
                    _check(name, given, inputs[name])
            return function(*args, **kwargs)

        summary = inspect.cleandoc(function.__doc__ or "").split("\n", 1)[0]
        REGISTRY[function.__name__] = Formula(
            function.__name__, checked, dict(inputs), returns, source, place, status, summary, caution
        )
        return checked

    return register


def _check(name: str, given: object, quantity: Quantity) -> None:
    try:
        numbers = np.asarray(given, dtype=float)
    except (TypeError, ValueError):
        raise UserError(f"{name} = {given} is not a number.", f"Give it in {quantity.unit}.") from None
    if numbers.size and not bool(np.all((numbers >= quantity.low) & (numbers <= quantity.high) & np.isfinite(numbers))):
        bad = numbers[~((numbers >= quantity.low) & (numbers <= quantity.high) & np.isfinite(numbers))].flat[0]
        unit = "" if quantity.unit == "1" else f" {quantity.unit}"
        raise UserError(
            f"{name} = {bad:g}{unit} is outside the valid range {quantity.low:g} to {quantity.high:g}{unit}.",
            "Give a value inside this range.",
        )
