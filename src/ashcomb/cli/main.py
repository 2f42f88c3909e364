"""The command line's first word: version and the list of commands."""

from __future__ import annotations

from typing import Annotated

import typer

from ashcomb import __version__

app = typer.Typer(help="An outbreak of American foulbrood, from the first suspect cell to a signed all-clear.")


@app.callback(invoke_without_command=True)
def start(version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False) -> None:
    """Prints the version when asked."""
    if version:
        typer.echo(f"ashcomb {__version__}")


def main() -> None:
    """The installed command."""
    app()
