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
    return {key: Source(key=key, **entry) for table in _tables("bibliography").values() for key, entry in table.items()}


@cache
def values() -> dict[str, Sourced]:
    """Every sourced value by its dotted key; raises FaultError if the shipped data are incomplete."""
    found = {item.key: item for subject, table in _tables("values").items() for item in read_values(table, subject)}
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


def _tables(folder: str) -> dict[str, dict[str, Any]]:
    files = sorted((resources.files("ashcomb.sources") / "data" / folder).iterdir(), key=lambda file: file.name)
    return {
        file.name.removesuffix(".toml"): tomllib.loads(file.read_text("utf-8"))
        for file in files
        if file.name.endswith(".toml")
    }
