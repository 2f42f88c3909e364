"""Each formula of the science floor over a million evaluations: whole arrays against one call for each number."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from collections.abc import Iterator
from functools import partial
from typing import Any

import numpy as np
from measure import Case, Table

import ashcomb.science
from ashcomb.kernel.errors import AshcombError
from ashcomb.science.formula import REGISTRY, Formula, Quantity

SIZE = 1_000_000
SINGLE = 1_000


def tables() -> Iterator[Table]:
    """One table for all formulas by arrays, against reading the numbers once; one for arrays against single calls."""
    for found in pkgutil.iter_modules(ashcomb.science.__path__):
        importlib.import_module(f"ashcomb.science.{found.name}")
    numbers = np.random.default_rng(1).random(SIZE)
    floor = Case("square root of a million numbers", partial(np.sqrt, numbers), SIZE)
    fast, pairs, skipped = [floor], [], []
    for formula in REGISTRY.values():
        case, reason = _by_array(formula)
        if case is None:
            skipped.append(f"{formula.name}: {reason}")
        else:
            fast.append(case)
            pairs.append((case, _one_by_one(formula)))
    note = [f"not timed: {entry}" for entry in skipped]
    yield Table(f"Science formulas, arrays of {SIZE:,}", fast, notes=note)
    for case, single in pairs:
        yield Table(f"{case.name}: arrays against single calls", [case, single], rounds=3)


def _by_array(formula: Formula) -> tuple[Case | None, str]:
    """The case, or None with the reason why the formula takes no arrays."""
    parameters = inspect.signature(formula.function).parameters.values()
    others = [p.name for p in parameters if p.name not in formula.inputs and p.default is p.empty]
    if others or not formula.inputs:
        return None, f"needs more than numbers ({', '.join(others) or 'no inputs'})"
    generator = np.random.default_rng(2)
    given = {name: _draw(quantity, generator, SIZE) for name, quantity in formula.inputs.items()}
    try:
        result = formula.function(**given)
    except AshcombError as error:
        return None, f"its ranges depend on each other ({error.what})"
    except (TypeError, ValueError, AttributeError, IndexError) as error:
        return None, f"takes no arrays ({type(error).__name__})"
    if not any(np.size(part) == SIZE for part in _parts(result)):
        return None, "gives one result for all numbers"
    return Case(formula.name, partial(formula.function, **given), SIZE), ""


def _one_by_one(formula: Formula) -> Case:
    generator = np.random.default_rng(3)
    columns = {name: _draw(quantity, generator, SINGLE).tolist() for name, quantity in formula.inputs.items()}
    rows = [dict(zip(columns, row, strict=True)) for row in zip(*columns.values(), strict=True)]
    return Case("one call for each number", lambda: [formula.function(**row) for row in rows], SINGLE)


def _draw(quantity: Quantity, generator: np.random.Generator, size: int) -> np.ndarray[Any, np.dtype[np.float64]]:
    low = quantity.low if np.isfinite(quantity.low) else min(0.0, quantity.high - 100.0)
    high = quantity.high if np.isfinite(quantity.high) else max(100.0, low + 100.0)
    return generator.uniform(low, high, size)


def _parts(result: object) -> list[Any]:
    if hasattr(result, "__dataclass_fields__"):
        return [getattr(result, name) for name in result.__dataclass_fields__]
    return list(result) if isinstance(result, tuple) else [result]
