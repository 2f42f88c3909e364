"""Commands of what comes and of what might have been: forecast and hindsight."""

from __future__ import annotations

from typing import Annotated

import typer

from ashcomb.cli.assess import telling
from ashcomb.cli.options import Folder, Json, guarded, opened
from ashcomb.cli.render import show

PLAN = (
    "A plan; several times for several. Words, parted by commas: cases only, whole apiary, standstill DAYS, "
    "supers kept, frames kept, wait DAYS, pace APIARIES, rounds NUMBER, every DAYS, nearest, marks, first APIARY."
)


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command("forecast", help="What may come under several plans; advice, shortens nothing in law.")(forecast)
    app.command("hindsight", help="Which practice would have cut the chain to the known cases.")(hindsight)


@guarded
def forecast(
    folder: Folder,
    plan: Annotated[list[str] | None, typer.Option("--plan", help=PLAN)] = None,
    days: Annotated[int, typer.Option(help="How far ahead; 0 is a year.", min=0)] = 0,
    seed: Annotated[int, typer.Option(help="Seed of the runs, 0 or more.")] = 1,
    workers: Annotated[int, typer.Option(help="Threads; changes no figure.", min=1, max=64)] = 2,
    as_json: Json = False,
) -> None:
    """Shows plans beside each other, from the stored assessment or a new one."""
    from ashcomb.casework.forecasting import forecast_report

    with opened(folder) as case:
        with telling() as tell:
            found = forecast_report(case, plan or (), days, seed, workers, tell)
        show(found, as_json)


@guarded
def hindsight(
    folder: Folder,
    sooner: Annotated[float, typer.Option(help="Days by which a look might have come sooner; 0 is a month.")] = 0.0,
    as_json: Json = False,
) -> None:
    """Shows practices by how much they would have cut off, from the stored assessment or a new one."""
    from ashcomb.casework.forecasting import hindsight_report

    with opened(folder) as case:
        with telling() as tell:
            found = hindsight_report(case, sooner, tell)
        show(found, as_json)
