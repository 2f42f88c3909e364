"""Writes docs/formulas.md, docs/values.md, docs/sources.md and docs/profiles.md from what the program itself knows."""

from __future__ import annotations

import importlib
import pkgutil
from collections.abc import Iterable
from pathlib import Path

import ashcomb.science
from ashcomb.science.formula import REGISTRY
from ashcomb.sources import tables
from ashcomb.sources.library import bibliography, values

HERE = Path(__file__).parent


def main() -> None:
    """Writes the files and says so."""
    for found in pkgutil.iter_modules(ashcomb.science.__path__):
        importlib.import_module(f"ashcomb.science.{found.name}")
    formulas = [
        (
            f.name,
            f.summary,
            "; ".join(f"{name} [{q.unit}] {q.low:g} to {q.high:g}" for name, q in f.inputs.items()),
            f.returns,
            f"{f.source}, {f.place}" if f.source else "",
            f.status,
            f.caution,
        )
        for f in REGISTRY.values()
    ]
    numbers = [
        (
            v.key,
            f"{v.value:g}",
            v.unit,
            f"{v.low:g} to {v.high:g}",
            f"{v.source}, {v.place}".strip(", "),
            v.status,
            v.reason,
        )
        for v in values().values()
    ]
    works = [(s.key, s.cite(), s.seen) for s in bibliography().values()]
    tables.main(HERE)
    _write("formulas", "Formulas", ("name", "what", "inputs", "result", "source", "status", "caution"), formulas)
    _write("values", "Values", ("key", "value", "unit", "range", "source", "status", "reason"), numbers)
    _write("sources", "Sources", ("key", "work", "what of it was read"), works)


def _write(name: str, title: str, head: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> None:
    lines = [head, tuple("---" for _ in head), *sorted(rows)]
    body = "\n".join(
        "| " + " | ".join(cell.replace("|", "\\|").replace("\n", " ") for cell in row) + " |" for row in lines
    )
    path = HERE / f"{name}.md"
    path.write_text(
        f"# {title}\n\nWritten by `make docs`; change the data or the code, not this file.\n\n{body}\n", "utf-8"
    )
    print(f"docs/{path.name}")


if __name__ == "__main__":
    main()
