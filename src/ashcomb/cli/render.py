"""How the command line shows a report, an error and a list of problems: words on a terminal, or JSON."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import typer

from ashcomb.kernel.errors import AshcombError, Problem

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table as RichTable

    from ashcomb.casework.report import Report, Table

PIPE_WIDTH = 110  # columns, where the output goes to a file or another program


def console(*, stderr: bool = False) -> Console:
    """A console that neither guesses markup in data nor colours anything that matters."""
    from rich.console import Console  # late: --help does without

    stream = sys.stderr if stderr else sys.stdout
    width = None if stream.isatty() else PIPE_WIDTH
    return Console(stderr=stderr, markup=False, highlight=False, emoji=False, width=width, soft_wrap=False)


def show(report: Report, as_json: bool) -> None:
    """Prints a report."""
    if as_json:
        show_json({"title": report.title, "headline": report.headline, "facts": report.facts})
        return
    out = console()
    out.print(report.title, style="bold")
    out.print(report.headline)
    for section in report.sections:
        out.print()
        out.print(section.heading, style="bold")
        for line in section.lines:
            out.print(f"  {line}" if len(section.lines) == 1 else f"  – {line}")
        if section.table is not None:
            out.print(_rich(section.table))


def show_json(value: Any) -> None:
    """Prints JSON."""
    typer.echo(json.dumps(value, ensure_ascii=False, indent=2, default=str))


def show_problems(problems: Iterable[Problem], as_json: bool = False) -> None:
    """Prints the faults in the user's data, one a line."""
    for problem in problems:
        console().print(f"  {problem}")


def fail(error: AshcombError, as_json: bool) -> int:
    """Prints an error for people and returns the exit status."""
    if as_json:
        show_json({"error": error.as_dict()})
    else:
        err = console(stderr=True)
        err.print(f"{error.where + ': ' if error.where else ''}{error.what}", style="bold")
        if error.do:
            err.print(f"What to do: {error.do}")
    return error.exit_status


def _rich(table: Table) -> RichTable:
    from rich.table import Table as RichTable

    rich = RichTable(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="underline")
    for index, name in enumerate(table.columns):
        rich.add_column(name, justify="right" if index in table.right else "left", overflow="fold")
    for row in table.rows:
        rich.add_row(*row)
    return rich
