"""The command line's first word. Heavy libraries are imported only by the command that needs them."""

from __future__ import annotations

from typing import Annotated

import typer

from ashcomb import __version__
from ashcomb.cli import acts, ask, assess, calc, cases, crews, decide, fate, forecast, sites

app = typer.Typer(
    help="Takes an outbreak of American foulbrood from the first suspect cell to a signed all-clear.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Local codes, orders and licensed practice always come first. No calculation says that it is safe to light.",
)


@app.callback(invoke_without_command=True)
def start(version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False) -> None:
    """Takes an outbreak of American foulbrood from the first suspect cell to a signed all-clear."""
    if version:
        typer.echo(f"ashcomb {__version__}")
        raise typer.Exit


for room in (cases, acts, assess, ask, forecast, sites, fate, decide, crews, calc):
    room.register(app)


def main() -> None:
    """The installed command."""
    app()
