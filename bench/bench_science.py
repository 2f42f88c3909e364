"""Each formula of the science floor over a million evaluations: by whole arrays, and one call for each number."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Callable, Iterator
from functools import partial
from math import sqrt
from time import perf_counter
from typing import Any

import numpy as np
from measure import Case, Table
from ordinary import ORDINARY

import ashcomb.science
from ashcomb.kernel.errors import AshcombError
from ashcomb.science.formula import REGISTRY, Formula, Quantity

SIZE = 1_000_000
SINGLE = 1_000
PATIENCE_S = 3.0


def tables() -> Iterator[Table]:
    """Formulas by whole arrays against one square root of each number; single calls against `math.sqrt`."""
    for found in pkgutil.iter_modules(ashcomb.science.__path__):
        importlib.import_module(f"ashcomb.science.{found.name}")
    numbers = np.random.default_rng(1).random(SIZE)
    arrays = Table(
        f"Science formulas, arrays of {SIZE:,}", [Case("numpy square root", partial(np.sqrt, numbers), SIZE)]
    )
    plain = numbers[:SINGLE].tolist()
    single = Table(
        "Science formulas, one call for each number", [Case("math.sqrt", lambda: list(map(sqrt, plain)), SINGLE)]
    )
    for formula in REGISTRY.values():
        _add(arrays, formula, partial(_by_array, formula))
        _add(single, formula, partial(_one_by_one, formula))
    yield arrays
    yield single


def _add(table: Table, formula: Formula, make: Callable[[], Case]) -> None:
    """Adds the case, or a note why there is none; a formula that takes no arrays or no plain numbers is no fault."""
    parameters = inspect.signature(formula.function).parameters.values()
    known = {*formula.inputs, *ORDINARY.get(formula.name, {})}
    others = [p.name for p in parameters if p.name not in known and p.default is p.empty]
    try:
        if others or not known:
            raise ValueError(f"needs more than numbers: {', '.join(others)}")
        table.cases.append(make())
    except (AshcombError, TypeError, ValueError, AttributeError, LookupError, MemoryError) as error:
        table.notes.append(f"not timed: {formula.name} ({type(error).__name__}: {str(error)[:70]})")


def _by_array(formula: Formula) -> Case:
    trial = _arrays(formula, SINGLE)
    formula.function(**trial)  # the first call may load values
    begun = perf_counter()
    result = formula.function(**trial)
    each = (perf_counter() - begun) / SINGLE
    if not any(np.shape(part)[:1] == (SINGLE,) for part in _parts(result)):
        raise ValueError("gives one result for all numbers")
    if each * SIZE > PATIENCE_S:
        raise ValueError(f"{each * 1e6:.0f} µs each even by arrays, too long for a million")
    given = _arrays(formula, SIZE)
    formula.function(**given)
    return Case(formula.name, partial(formula.function, **given), SIZE)


def _one_by_one(formula: Formula) -> Case:
    drawn = {name: given.tolist() if _many(given) else [given] * SINGLE
             for name, given in _arrays(formula, SINGLE).items()}  # fmt: skip
    rows = [dict(zip(drawn, row, strict=True)) for row in zip(*drawn.values(), strict=True)]
    begun = perf_counter()
    formula.function(**rows[0])
    several = rows[: max(1, min(SINGLE, int(PATIENCE_S / 10 / (perf_counter() - begun))))]
    for row in several:
        formula.function(**row)
    return Case(formula.name, lambda: [formula.function(**row) for row in several], len(several))


def _arrays(formula: Formula, size: int) -> dict[str, Any]:
    """Drawn columns of numbers, and what is given as it stands."""
    generator, given = np.random.default_rng(2), ORDINARY.get(formula.name, {})
    asked = {**{name: _range(quantity) for name, quantity in formula.inputs.items()}, **given}
    return {name: _draw(span, generator, size) for name, span in asked.items()}


def _draw(span: Any, generator: np.random.Generator, size: int) -> Any:
    if not isinstance(span, tuple):
        return span
    low, high = span
    return generator.integers(low, high + 1, size) if isinstance(low, int) else generator.uniform(low, high, size)


def _range(quantity: Quantity) -> tuple[float, float]:
    low = quantity.low if np.isfinite(quantity.low) else min(0.0, quantity.high - 100.0)
    high = quantity.high if np.isfinite(quantity.high) else max(100.0, low + 100.0)
    return float(low), float(high)


def _many(given: Any) -> bool:
    return isinstance(given, np.ndarray)


def _parts(result: object) -> list[Any]:
    if hasattr(result, "__dataclass_fields__"):
        return [getattr(result, name) for name in result.__dataclass_fields__]
    return list(result) if isinstance(result, tuple) else [result]
