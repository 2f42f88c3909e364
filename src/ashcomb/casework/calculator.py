"""Pocket use of every science formula: the list with inputs, units and sources, and one call by named arguments."""

from __future__ import annotations

import dataclasses
import importlib
import inspect
import pkgutil
from collections.abc import Mapping
from datetime import date
from typing import Any

from ashcomb import science
from ashcomb.kernel.errors import UserError
from ashcomb.plans.result import as_json
from ashcomb.science.formula import REGISTRY, Formula
from ashcomb.sources.library import bibliography

_WORDS = {"true": True, "false": False, "yes": True, "no": False, "none": None}


def formulas() -> dict[str, Formula]:
    """Every formula by name."""
    for module in pkgutil.iter_modules(science.__path__, "ashcomb.science."):
        importlib.import_module(module.name)
    return dict(sorted(REGISTRY.items()))


def describe(formula: Formula) -> dict[str, Any]:
    """One formula as JSON: summary, inputs with unit, range and default, result unit, source, status, caution."""
    entry = bibliography().get(formula.source)
    inputs = []
    for name, parameter in inspect.signature(formula.function).parameters.items():
        quantity = formula.inputs.get(name)
        inputs.append({
            "name": name,
            "unit": quantity.unit if quantity else str(parameter.annotation),
            "low": _finite(quantity.low) if quantity else None,
            "high": _finite(quantity.high) if quantity else None,
            "meaning": quantity.meaning if quantity else "",
            "required": parameter.default is inspect.Parameter.empty,
            "default": None if parameter.default is inspect.Parameter.empty else as_json(parameter.default),
        })  # fmt: skip
    return {"name": formula.name, "summary": formula.summary, "inputs": inputs, "returns": formula.returns,
            "source": entry.cite() if entry else formula.source, "place": formula.place, "status": formula.status,
            "caution": formula.caution}  # fmt: skip


def calculate(name: str, given: Mapping[str, str]) -> dict[str, Any]:
    """Calls one formula with arguments as text; raises UserError for an unknown name, a wrong argument or value."""
    known = formulas()
    if name not in known:
        close = [other for other in known if name.lower() in other]
        hint = f"Did you mean {', '.join(close)}?" if close else "See `ashcomb calc --list`."
        raise UserError(f"There is no formula “{name}”.", hint)
    formula = known[name]
    signature = inspect.signature(formula.function)
    unknown = [key for key in given if key not in signature.parameters]
    missing = [key for key, parameter in signature.parameters.items()
               if parameter.default is inspect.Parameter.empty and key not in given]  # fmt: skip
    if unknown or missing:
        words = [f"“{key}” is not one of its inputs." for key in unknown] + [f"“{key}” is missing." for key in missing]
        wanted = ", ".join(f"{key} [{formula.inputs[key].unit}]" if key in formula.inputs else key
                           for key in signature.parameters)  # fmt: skip
        raise UserError(f"{name}: {' '.join(words)}", f"Its inputs are {wanted}.")
    try:
        result = formula.function(**{key: _value(text) for key, text in given.items()})
    except (TypeError, ValueError, ArithmeticError, AttributeError) as error:
        raise UserError(f"{name} cannot be worked out: {error}.", "Check the values and their units.") from None
    return {"formula": describe(formula), "given": dict(given), "result": _plain(result)}


def _value(text: str) -> Any:
    lowered = text.strip().lower()
    if lowered in _WORDS:
        return _WORDS[lowered]
    if "," in text:
        return [_value(part) for part in text.split(",") if part.strip()]
    for reader in (int, float, date.fromisoformat):
        try:
            return reader(text)
        except ValueError:
            continue
    return text


def _plain(result: Any) -> Any:
    if dataclasses.is_dataclass(result) or not hasattr(result, "tolist"):
        return as_json(result)
    return result.tolist()


def _finite(number: float) -> float | None:
    return number if abs(number) != float("inf") else None
