"""`ashcomb calc`: every science formula from the command line, by named arguments."""

from __future__ import annotations

from typing import Annotated, Any

import typer

from ashcomb.cli.options import Json, guarded
from ashcomb.cli.render import console, show_json
from ashcomb.kernel.errors import UserError


def register(app: typer.Typer) -> None:
    """Adds the command."""
    app.command("calc", help="Work out one science formula; --list shows them all.")(calc)


@guarded
def calc(
    name: Annotated[str, typer.Argument(help="Formula.", show_default=False)] = "",
    given: Annotated[list[str] | None, typer.Argument(help="input=value, in the unit that --list names.")] = None,
    every: Annotated[bool, typer.Option("--list", help="List the formulas with inputs, units and sources.")] = False,
    as_json: Json = False,
) -> None:
    """Works out one formula, or lists them."""
    from ashcomb.casework.calculator import calculate, describe, formulas

    if every or not name:
        entries = [describe(formula) for formula in formulas().values() if name in formula.name]
        if as_json:
            show_json(entries)
        else:
            for entry in entries:
                _show_entry(entry)
        return
    pairs = dict(_pair(text) for text in given or [])
    answer = calculate(name, pairs)
    if as_json:
        show_json(answer)
    else:
        _show_answer(answer)


def _pair(text: str) -> tuple[str, str]:
    key, sign, value = text.partition("=")
    if not sign:
        raise UserError(f"“{text}” is not input=value.", "Write for example wind_m_s=0.5.")
    return key.strip().replace("-", "_"), value.strip()


def _show_entry(entry: dict[str, Any]) -> None:
    out = console()
    inputs = ", ".join(f"{i['name']} [{i['unit']}]" + ("" if i["required"] else "?") for i in entry["inputs"])
    out.print(entry["name"], style="bold")
    out.print(
        f"  {entry['summary']}\n  in:  {inputs}\n  out: {entry['returns']}\n  {entry['status']}: {entry['source']}"
    )


def _show_answer(answer: dict[str, Any]) -> None:
    out, entry, result = console(), answer["formula"], answer["result"]
    out.print(entry["summary"])
    if isinstance(result, dict):
        for key, value in result.items():
            out.print(f"  {key} = {_short(value)}")
        out.print(f"  units: {entry['returns']}")
    else:
        out.print(f"  {entry['name']} = {_short(result)} {entry['returns']}", style="bold")
    out.print(f"Source: {entry['source'].rstrip('.')}, {entry['place']} ({entry['status']}).")
    if entry["caution"]:
        out.print(f"Caution: {entry['caution']}")


def _short(value: Any) -> Any:
    """Six digits for people; --json gives every digit."""
    if isinstance(value, list):
        return f"[{', '.join(str(_short(one)) for one in value)}]"
    return float(f"{value:.6g}") if isinstance(value, float) else value
