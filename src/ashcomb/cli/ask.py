"""The command that says which question to ask next."""

from __future__ import annotations

from typing import Annotated

import typer

from ashcomb.cli.assess import telling
from ashcomb.cli.options import Folder, Json, guarded, opened
from ashcomb.cli.render import show


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("ask", help="Which answer would change most in what is done next.")(ask)


@guarded
def ask(
    folder: Folder,
    top: Annotated[int, typer.Option(help="How many questions.")] = 10,
    as_json: Json = False,
) -> None:
    """Shows the best next questions."""
    from ashcomb.casework.asking import ask_report

    with opened(folder) as case:
        with telling() as tell:
            found = ask_report(case, tell, top)
        show(found, as_json)
