"""Loads the bibliography and the sourced values that come with the program."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any

from ashcomb.kernel.errors import FaultError
from ashcomb.sources.model import Source, Sourced, read_values


@cache
def bibliography() -> dict[str, Source]:
    """Every source by its key."""
    return {key: Source(key=key, **entry) for key, entry in _toml("bibliography.toml").items()}


@cache
def values() -> dict[str, Sourced]:
    """Every sourced value by its dotted key; raises FaultError if the shipped data are incomplete."""
    found: dict[str, Sourced] = {}
    folder = resources.files("ashcomb.sources") / "data" / "values"
    for file in sorted(folder.iterdir(), key=lambda item: item.name):
        if file.name.endswith(".toml"):
            table = tomllib.loads(file.read_text("utf-8"))
            found.update({item.key: item for item in read_values(table, file.name.removesuffix(".toml"))})
    faults = [fault for value in found.values() for fault in value.faults()]
    if faults:
        raise FaultError(f"The shipped values are incomplete: {'; '.join(faults)}.", "Correct sources/data.")
    return found


def value(key: str) -> Sourced:
    """The sourced value of that key; raises KeyError naming the nearest file if there is none."""
    found = values()
    if key not in found:
        raise KeyError(f"no sourced value {key!r}; look in sources/data/values/{key.split('.')[0]}.toml")
    return found[key]


def _toml(name: str) -> dict[str, Any]:
    return tomllib.loads((resources.files("ashcomb.sources") / "data" / name).read_text("utf-8"))
