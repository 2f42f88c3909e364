"""Commands for the fate of every piece: decide, prepare, label, send, store, count, claim."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ashcomb.cli.options import By, Day, Folder, Json, a_day, guarded, marks, opened
from ashcomb.cli.render import console, show
from ashcomb.kernel.words import several

if TYPE_CHECKING:
    from ashcomb.plans.fate_build import FateAsk

Hives = Annotated[str, typer.Option("--hives", help="Marks, comma between; default all condemned hives.")]
Agent = Annotated[
    str,
    typer.Option(
        help="Agent that the plan reckons with; default the worst for combs: petrol, where the rules allow it."
    ),
]
Leave = Annotated[str, typer.Option(help="Ways for which the officer gave leave: ebeam,heat …")]
Mark = Annotated[str, typer.Option("--mark", help="Number of the consignment.")]


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command("fate", help="What becomes of every piece: cheapest within the rules, why, and what else it could be.")(
        fate
    )
    app.command("prepare", help="What must leave its hive before the kill, and by when.")(prepare)
    app.command("consign", help="Plan a consignment to an irradiation plant; --enter writes it into the records.")(
        consign
    )
    app.command("labels", help="Write the labels of a consignment as PDF.")(labels)
    app.command("holdstore", help="The hold store: what lies in it, looks that are due, robbing risk.")(holdstore)
    app.command("stocktake", help="Compare the last stock-take with the book; exit status 2 where they differ.")(
        stocktake
    )
    app.command("claim", help="Value what was destroyed; --out writes PDF and spreadsheet.")(claim)


@guarded
def fate(
    folder: Folder,
    hives: Hives = "",
    agent: Agent = "",
    leave: Leave = "",
    store_boxes: Annotated[int | None, typer.Option(help="Room in the hold store, boxes.")] = None,
    labour_h: Annotated[float | None, typer.Option(help="Hours of work there are.")] = None,
    risk_cap: Annotated[float | None, typer.Option(help="New cases that may be expected at most.")] = None,
    risk_price: Annotated[float | None, typer.Option(help="Price of one new case.")] = None,
    least_boxes: Annotated[int | None, typer.Option(help="Least boxes that the plant charges for.")] = None,
    pallets: Annotated[int | None, typer.Option(help="Pallets that the plant has slots for.")] = None,
    every: Annotated[bool, typer.Option("--every", help="List every lot.")] = False,
    quick: Annotated[bool, typer.Option("--quick", help="Only the choice.")] = False,
    as_json: Json = False,
) -> None:
    """Decides; exit status 2 while a piece has no way open."""
    from ashcomb.casework.fates import fate_report, fates
    from ashcomb.plans.fate_build import FateAsk

    ask = FateAsk(agent=agent, leave=frozenset(marks(leave)), store_boxes=store_boxes, labour_h=labour_h,
                  risk_cap=risk_cap, risk_price=risk_price, least_boxes=least_boxes, pallets=pallets)  # fmt: skip
    with opened(folder) as case:
        plan = fates(case, ask, marks(hives), more=not quick)
        show(fate_report(plan, every), as_json)
    if plan.stuck:
        raise typer.Exit(2)


@guarded
def prepare(folder: Folder, agent: Agent = "", day: Day = "", as_json: Json = False) -> None:
    """Lists what leaves its hive before the kill."""
    from ashcomb.casework.fates import fates, prepare_list, prepare_report

    with opened(folder) as case:
        choice = fates(case, _ask(agent), more=False)
        show(prepare_report(prepare_list(case, choice, a_day(day, case) if day else None)), as_json)


@guarded
def consign(
    folder: Folder,
    mark: Mark = "",
    agent: Agent = "",
    plant: Annotated[str, typer.Option(help="Mark of the plant.")] = "",
    singles: Annotated[bool, typer.Option("--singles", help="The plant takes single boxes only.")] = False,
    enter: Annotated[bool, typer.Option("--enter", help="Write tags, units and consignment into the records.")] = False,
    by: By = "",
    as_json: Json = False,
) -> None:
    """Plans a consignment, or enters it."""
    from ashcomb.casework.consigning import chain, consignment, consignment_report, enter_consignment

    with opened(folder, by, write=enter) as case:
        plan = consignment(case, mark, _ask(agent), 1 if singles else 2)
        if enter:
            written = enter_consignment(case, plan, plant)
            console(stderr=True).print(f"{several(written, 'record')} written for consignment {plan.mark}.")
        show(consignment_report(plan, chain(case, plan.mark)), as_json)


@guarded
def labels(
    folder: Folder,
    mark: Mark = "",
    out: Annotated[Path | None, typer.Option(help="Folder to write to; default CASE/papers.")] = None,
) -> None:
    """Writes labels."""
    from ashcomb.casework.sheets.desk import SheetAsk
    from ashcomb.papers.write import write_papers

    with opened(folder) as case:
        ask = SheetAsk(consignment=mark)
        for file in write_papers(case, out or folder / "papers", names=["labels"], ask=ask):
            console().print(str(file))


@guarded
def holdstore(folder: Folder, day: Day = "", as_json: Json = False) -> None:
    """Shows the store; exit status 2 while something must be put right."""
    from ashcomb.casework.holding import store_report, store_state

    with opened(folder) as case:
        plan = store_state(case, a_day(day, case))
        show(store_report(plan), as_json)
    if not all(gate.met for gate in plan.gates):
        raise typer.Exit(2)


@guarded
def stocktake(folder: Folder, day: Day = "", as_json: Json = False) -> None:
    """Compares stock-take and book."""
    from ashcomb.casework.holding import store_report, store_state

    with opened(folder) as case:
        plan = store_state(case, a_day(day, case))
        show(store_report(plan), as_json)
    if any(store.differences for store in plan.stores):
        raise typer.Exit(2)


@guarded
def claim(
    folder: Folder,
    hives: Hives = "",
    scheme: Annotated[str, typer.Option(help="Scheme; default that of the insurance, else your own prices.")] = "",
    day: Day = "",
    out: Annotated[Path | None, typer.Option(help="Write PDF and spreadsheet into this folder.")] = None,
    as_json: Json = False,
) -> None:
    """Values what was destroyed."""
    from ashcomb.casework.holding import claim as value_claim
    from ashcomb.casework.holding import claim_report, write_claim_sheet

    with opened(folder) as case:
        when = a_day(day, case)
        plan = value_claim(case, scheme, marks(hives), when)
        show(claim_report(plan), as_json)
        if out:
            from ashcomb.casework.sheets.desk import SheetAsk
            from ashcomb.papers.write import write_papers

            ask = SheetAsk(scheme=scheme, hives=marks(hives), day=when)
            files = write_papers(case, out, names=["claim"], ask=ask)
            files.append(write_claim_sheet(plan, files[0].with_suffix(".xlsx")))
            for file in files:
                console(stderr=True).print(str(file))


def _ask(agent: str) -> FateAsk:
    from ashcomb.plans.fate_build import FateAsk

    return FateAsk(agent=agent)
