"""Loads the bibliography, the sourced values and the list of profile keys that come with the program."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from functools import cache
from importlib import resources
from typing import Any, Protocol

from ashcomb.kernel.errors import FaultError
from ashcomb.sources.fields import build
from ashcomb.sources.model import Source, Sourced, Status, read_values
from ashcomb.sources.rules import Rule, Scheme


class Cited(Protocol):
    """Whatever has a key and names a source."""

    @property
    def key(self) -> str: ...
    @property
    def source(self) -> str: ...


@cache
def bibliography() -> dict[str, Source]:
    """Every source by its key; raises FaultError if an entry is incomplete."""
    faults: list[str] = []
    read = [build(Source, e, faults, key=key) for table in tables("bibliography").values() for key, e in table.items()]
    _refuse(faults, "bibliography")
    return {source.key: source for source in read if source}


@cache
def values() -> dict[str, Sourced]:
    """Every sourced value by its dotted key; raises FaultError if the shipped data are incomplete."""
    faults: list[str] = []
    found = [item for subject, table in tables("values").items() for item in read_values(table, subject, faults)]
    _refuse(faults, "values")
    return {item.key: item for item in found}


def value(key: str) -> Sourced:
    """The sourced value of that key; raises KeyError naming the nearest file if there is none."""
    found = values()
    if key not in found:
        raise KeyError(f"no sourced value {key!r}; look in sources/data/values/{key.split('.')[0]}.toml")
    return found[key]


@cache
def gap_values() -> dict[str, Sourced]:
    """Cautious stand-ins by profile key, for profiles that ask to have their gaps filled; raises FaultError.

    Whatever their origin, taking them for a place that sets nothing is a choice of ours, and the reason says so.
    """
    faults: list[str] = []
    data = _data("gaps.toml")
    borrowed = [replace(value(name), key=key) for key, name in data.pop("same_as").items()]
    found = read_values(data, faults=faults)
    _refuse(faults, "gaps.toml")
    return {item.key: _stand_in(item) for item in (*borrowed, *found)}


@cache
def gap_fate() -> dict[str, str]:
    """Permissions by 'component.method' that follow from the material and hold in every place."""
    return {f"{part}.{method}": leave for part, row in _data("fate.toml").items() for method, leave in row.items()}


@cache
def fate_reasons() -> dict[str, Rule]:
    """Why a part may or may not be dealt with in some way, by 'part.method' or 'any.method'; raises FaultError."""
    faults: list[str] = []
    blank = {"source": "", "place": ""}
    read = [build(Rule, blank | entry, faults, key=f"{part}.{method}")
            for part, row in _data("fate_reasons.toml").items() for method, entry in row.items()]  # fmt: skip
    rules = [rule for rule in read if rule]
    _refuse(faults + [fault for rule in rules for fault in rule.faults()] + uncited(rules), "fate_reasons.toml")
    return {rule.key: rule for rule in rules}


@cache
def schemes() -> dict[str, Scheme]:
    """Insurance and compensation schemes by key; raises FaultError if one is incomplete."""
    faults: list[str] = []
    read = [build(Scheme, entry, faults, key=key) for key, entry in _data("schemes.toml").items()]
    found = [scheme for scheme in read if scheme]
    _refuse(faults + [fault for scheme in found for fault in scheme.faults()] + uncited(found), "schemes.toml")
    return {scheme.key: scheme for scheme in found}


@cache
def profile_keys() -> dict[str, Any]:
    """What a profile may set: tables `values` (unit, drives), `clocks`, `rules`; agents, components, methods."""
    return _data("keys.toml")


def uncited(items: Iterable[Cited], own: Mapping[str, Source] | None = None) -> list[str]:
    """One fault for each item whose source is neither in the bibliography nor among `own`."""
    known = bibliography().keys() | (own or {}).keys()
    return [
        f"{item.key} cites “{item.source}”, which is in no bibliography"
        for item in items
        if item.source not in known | {""}
    ]


def tables(folder: str) -> dict[str, dict[str, Any]]:
    """The data files of a folder, by subject, in order of name."""
    files = sorted((resources.files("ashcomb.sources") / "data" / folder).iterdir(), key=lambda file: file.name)
    return {f.name.removesuffix(".toml"): _data(f"{folder}/{f.name}") for f in files if f.name.endswith(".toml")}


def _stand_in(item: Sourced) -> Sourced:
    status: Status = "from memory" if item.status == "from memory" else "project choice"
    return replace(item, status=status, reason=f"Not set by the place; a stand-in. {item.reason}")


def _data(path: str) -> dict[str, Any]:
    return tomllib.loads((resources.files("ashcomb.sources") / "data" / path).read_text("utf-8"))


def _refuse(faults: list[str], where: str) -> None:
    if faults:
        raise FaultError(f"The shipped data are incomplete: {'; '.join(faults)}.", "Correct sources/data.", where)
