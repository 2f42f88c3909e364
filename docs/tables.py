"""Writes the pages of docs/ that the program itself knows: formulas, values, sources, profiles, record kinds, commands.

`pages()` gives each page by its file name; a test compares them with what stands in docs/, so they cannot go stale.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path

import typer

from ashcomb.casework.calculator import formulas
from ashcomb.cli.main import app
from ashcomb.records.schema import kinds_page
from ashcomb.science.formula import Formula
from ashcomb.sources import tables
from ashcomb.sources.library import bibliography, values

HERE = Path(__file__).parent
TESTS = HERE.parent / "tests"


def pages() -> dict[str, str]:
    """Every made page by its file name."""
    return {
        "formulas.md": _formulas(),
        "values.md": _values(),
        "sources.md": _sources(),
        "profiles.md": tables.profiles_page(),
        "records.md": kinds_page(),
        "commands.md": _commands(),
    }


def _formulas() -> str:
    checks = _checks()
    rows = [
        (f.name, f.summary, _inputs(f), f.returns, f"{f.source}, {f.place}".strip(", "), f.status,
         "; ".join(checks.get(f.name, ())) or "–", f.caution.split(". ")[0])
        for f in formulas().values()
    ]  # fmt: skip
    head = ("Formula", "What", "Inputs [unit] and valid range", "Result", "Source", "Status", "Checked in", "Caution")
    return _page("Formulas", head, rows)


def _inputs(formula: Formula) -> str:
    return "; ".join(f"{name} [{q.unit}] {q.low:g} to {q.high:g}" for name, q in formula.inputs.items())


def _checks() -> dict[str, list[str]]:
    """Formula -> tests against outside values that call it."""
    found: dict[str, list[str]] = {}
    for file in sorted([*(TESTS / "reference").glob("test_*.py"), *(TESTS / "science").glob("test_*.py")]):
        for test in re.split(r"\n(?=def test_|@pytest)", file.read_text("utf-8")):
            name = re.search(r"def (test_\w+)", test)
            for word in sorted(set(re.findall(r"\w+", test))) if name else ():
                found.setdefault(word, []).append(f"{file.stem}: {name[1].removeprefix('test_')}" if name else "")
    return found


def _values() -> str:
    rows = [
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
    return _page("Values", ("Key", "Value", "Unit", "Range", "Source", "Status", "Reason"), rows)


def _sources() -> str:
    rows = [(s.key, s.cite(), s.seen) for s in bibliography().values()]
    return _page("Sources", ("Key", "Work", "What of it was read"), rows)


def _commands() -> str:
    group = typer.main.get_command(app)
    rows = []
    for name, command in getattr(group, "commands", {}).items():
        options = ", ".join(max(p.opts, key=len) for p in command.params if p.param_type_name == "option")
        arguments = " ".join(p.metavar or p.name.upper() for p in command.params if p.param_type_name == "argument")
        rows.append((f"`ashcomb {name} {arguments}".strip() + "`", command.help or "", options))
    return _page("Commands", ("Command", "What it does", "Options"), rows)


def _page(title: str, head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    lines = [head, ["---"] * len(head), *sorted(rows)]
    body = "\n".join(
        "| " + " | ".join(cell.replace("|", "\\|").replace("\n", " ") for cell in row) + " |" for row in lines
    )
    return f"# {title}\n\nWritten by `make docs`; change the data or the code, not this file.\n\n{body}\n"


def main() -> None:
    """Writes the pages and the blank profile."""
    tables.main(HERE)
    for name, text in pages().items():
        (HERE / name).write_text(text, "utf-8")
        print(f"docs/{name}")


if __name__ == "__main__":
    main()
