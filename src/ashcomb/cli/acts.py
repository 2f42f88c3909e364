"""Commands for what is done by hand: the night, the pit, the fire, the pieces, the shipment, papers and pages."""

from __future__ import annotations

import re
from datetime import datetime, time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from ashcomb.cli.options import Day, Folder, Json, ProfileName, a_day, guarded, marks, opened
from ashcomb.cli.render import console, show, show_json
from ashcomb.kernel.errors import UserError

if TYPE_CHECKING:
    from ashcomb.casework.case import Case
    from ashcomb.casework.fires import MeterReading

Apiary = Annotated[str, typer.Option("--apiary", help="Apiary; default the index apiary.")]
Hives = Annotated[str, typer.Option("--hives", help="Marks, comma between; default all condemned hives.")]
Metres = Annotated[float | None, typer.Option(help="Metres; leave out if nobody measured it.")]


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command("night", help="Plan a night: window, crew, curfew, fuel, roles.")(night)
    app.command("pit", help="Plan a pit for the real load.")(pit)
    app.command("burnday", help="Fire or store: all that speaks against a fire.")(burnday)
    app.command("balance", help="Account for every piece of every hive.")(balance)
    app.command("pack", help="Pack boxes for irradiation into units and pallets.")(pack)
    app.command("certificates", help="Match the plant's certificates with what was sent.")(certificates)
    app.command("treatments", help="Check recorded dips and soaks against the profile.")(treatments)
    app.command("papers", help="Write papers as PDF, filled or blank.")(papers)
    app.command("serve", help="Serve the pages of a case on this machine.")(serve)


@guarded
def night(
    folder: Folder,
    apiary: Apiary = "",
    hives: Hives = "",
    day: Day = "",
    teams: Annotated[int, typer.Option(help="Teams at work.")] = 1,
    agent: Annotated[str, typer.Option(help="Agent as the profile names it; none is chosen by default.")] = "",
    profile: ProfileName = "",
    as_json: Json = False,
) -> None:
    """Plans a night; exit status 2 while it is not ready."""
    from ashcomb.casework.nights import NightAsk, night_report, tonight

    with opened(folder) as case:
        plan = tonight(case, NightAsk(apiary, marks(hives), a_day(day, case), teams, agent, profile))
        show(night_report(plan), as_json)
    if not plan.ready:
        raise typer.Exit(2)


@guarded
def pit(
    folder: Folder,
    length: Annotated[
        float | None, typer.Option(help="Floor length, m; leave out all three to have one chosen.")
    ] = None,
    width: Annotated[float | None, typer.Option(help="Floor width, m.")] = None,
    depth: Annotated[float | None, typer.Option(help="Depth, m.")] = None,
    apiary: Apiary = "",
    hives: Hives = "",
    slope: Annotated[float, typer.Option(help="Run of the walls to one of rise; 0 is upright.")] = 0.0,
    ground: Annotated[Literal["soft", "firm"], typer.Option(help="How hard to dig.")] = "firm",
    soil: Annotated[Literal["sand", "loam", "clay"], typer.Option(help="What it is.")] = "loam",
    people: Annotated[int, typer.Option(help="Who dig.")] = 2,
    entered: Annotated[bool, typer.Option("--entered", help="Somebody climbs in.")] = False,
    fed: Annotated[bool, typer.Option("--fed", help="Combs go onto the fire few at a time.")] = False,
    well: Metres = None,
    watercourse: Metres = None,
    field_drain: Metres = None,
    building: Metres = None,
    ground_slope: Annotated[float | None, typer.Option(help="Slope of the ground, %.")] = None,
    dark: Annotated[bool, typer.Option("--dark", help="Dug at night.")] = False,
    groundwater: Annotated[
        float | None, typer.Option(help="Water below the pit's floor, m; below the ground if no pit is given.")
    ] = None,
    services_searched: Annotated[
        bool, typer.Option("--services-searched", help="Buried services were searched for.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Plans a pit; exit status 2 when it does not fit."""
    from ashcomb.casework.fires import PitOrder, Site, choice_report, pit_choice, pit_report
    from ashcomb.casework.fires import pit as plan_pit

    site = Site(well_m=well, watercourse_m=watercourse, field_drain_m=field_drain, building_m=building,
                dry_m=groundwater, slope_percent=ground_slope, services_searched=services_searched)  # fmt: skip
    given = [number for number in (length, width, depth) if number is not None]
    if len(given) not in (0, 3):
        raise UserError("A pit has length, width and depth.", "Give all three, or none to have one chosen.")
    order = PitOrder(hives=marks(hives), length_m=length or 0.0, width_m=width or 0.0, depth_m=depth or 0.0,
                     slope=slope, ground=ground, soil=soil, people=people, dark=dark, entered=entered,
                     fed=fed, site=site)  # fmt: skip
    with opened(folder) as case:
        if given:
            plan = plan_pit(case, order, apiary)
            fits, told = plan.fits, pit_report(plan)
        else:
            choice = pit_choice(case, order, apiary)
            fits, told = bool(choice.plans), choice_report(choice)
        show(told, as_json)
    if not fits:
        raise typer.Exit(2)


@guarded
def burnday(
    folder: Folder,
    apiary: Apiary = "",
    hives: Hives = "",
    day: Day = "",
    begins: Annotated[str, typer.Option("--from", help="Hour, 09:00.")] = "09:00",
    ends: Annotated[str, typer.Option("--to", help="Hour, 15:00.")] = "15:00",
    meter: Annotated[str, typer.Option(help="Meter: percent of LEL, HH:MM, reader, witness – comma between.")] = "",
    as_json: Json = False,
) -> None:
    """Decides between fire and store; exit status 2 for no-go."""
    from ashcomb.casework.fires import BurnAsk, burn_report, burning

    with opened(folder) as case:
        when = a_day(day, case)
        reading = meter_reading(meter, case) if meter else None
        plan = burning(case, BurnAsk(apiary, marks(hives), when, _hour(begins), _hour(ends), reading))
        show(burn_report(plan), as_json)
    if plan.decision == "no-go":
        raise typer.Exit(2)


@guarded
def balance(folder: Folder, hives: Hives = "", as_json: Json = False) -> None:
    """Accounts for every piece."""
    from ashcomb.casework.pieces import balance_report, mass_balance

    with opened(folder) as case:
        plan = mass_balance(case, marks(hives))
        show(balance_report(plan), as_json)
    if not plan.closes:
        raise typer.Exit(2)


@guarded
def pack(
    folder: Folder,
    boxes: Annotated[list[str], typer.Option(help="How many x how heavy: 62x11.5 (kg). May be repeated.")],
    size: Annotated[str, typer.Option(help="Outside length x width x height, mm.")] = "514x412x250",
    singles: Annotated[bool, typer.Option("--singles", help="The plant takes single boxes only.")] = False,
    as_json: Json = False,
) -> None:
    """Packs boxes."""
    from ashcomb.casework.pieces import PackAsk, packing, packing_report

    counts = tuple((_whole(count), float(kg)) for count, kg in (_by_x(text, 2) for text in boxes))
    length, width, height = (_whole(part) for part in _by_x(size, 3))
    with opened(folder) as case:
        show(packing_report(packing(case, PackAsk(counts, length, width, height, 1 if singles else 2))), as_json)


@guarded
def certificates(folder: Folder, as_json: Json = False) -> None:
    """Matches certificates."""
    from ashcomb.casework.pieces import certificates as match
    from ashcomb.casework.pieces import certificates_report

    with opened(folder) as case:
        show(certificates_report(match(case)), as_json)


@guarded
def treatments(folder: Folder, as_json: Json = False) -> None:
    """Checks treatments."""
    from ashcomb.casework.pieces import treatments as check
    from ashcomb.casework.pieces import treatments_report

    with opened(folder) as case:
        show(treatments_report(check(case)), as_json)


@guarded
def papers(
    folder: Folder,
    names: Annotated[
        list[str] | None, typer.Argument(help="Papers; default all. --list names them.", show_default=False)
    ] = None,
    out: Annotated[Path | None, typer.Option(help="Folder to write to; default CASE/papers.")] = None,
    paper: Annotated[Literal["a4", "us-letter"], typer.Option(help="Size.")] = "a4",
    blank: Annotated[bool, typer.Option("--blank", help="Empty forms.")] = False,
    apiary: Apiary = "",
    keeper: Annotated[str, typer.Option(help="Keeper of the two-page case.")] = "",
    hives: Hives = "",
    day: Annotated[str, typer.Option("--day", help="Day of the night; default the newest duty night.")] = "",
    teams: Annotated[int | None, typer.Option(help="Teams; default as many as the duties show.")] = None,
    agent: Annotated[str, typer.Option(help="Agent; default the one that the order names, if it names just one.")] = "",
    list_them: Annotated[bool, typer.Option("--list", help="List the papers.")] = False,
    by: Annotated[str, typer.Option("--by", envvar="ASHCOMB_BY", help="Who prepares them; printed on each.")] = "",
    as_json: Json = False,
) -> None:
    """Writes papers."""
    from ashcomb.casework.sheets.desk import SheetAsk
    from ashcomb.papers.write import paper_names, paper_titles, write_papers

    if list_them:
        _list_papers(paper_titles(), as_json)
        return
    with opened(folder, by) as case:
        ask = SheetAsk(apiary=apiary, keeper=keeper, hives=marks(hives), day=a_day(day, case) if day else None,
                       teams=teams or 0, agent=agent)  # fmt: skip
        written = write_papers(case, out or folder / "papers", names=names or paper_names(), paper=paper, blank=blank,
                               ask=ask)  # fmt: skip
    if as_json:
        show_json([str(file) for file in written])
    else:
        for file in written:
            console().print(str(file))


def _list_papers(titles: dict[str, str], as_json: bool) -> None:
    if as_json:
        show_json(titles)
    else:
        for name, title in titles.items():
            console().print(f"{name:14} {title}")


@guarded
def serve(
    folder: Folder,
    port: Annotated[int, typer.Option(help="Port on this machine; 0 takes a free one.", min=0, max=65535)] = 8440,
    by: Annotated[str, typer.Option("--by", envvar="ASHCOMB_BY", help="Who writes from these pages.")] = "office",
) -> None:
    """Serves the pages until it is stopped."""
    from ashcomb.web.serve import serve_case

    serve_case(folder, port, by, announce=lambda text: console().print(text))


def _hour(text: str) -> time:
    try:
        return time.fromisoformat(text)
    except ValueError:
        raise UserError(f"“{text}” is not an hour.", "Write it like 09:00.") from None


def _by_x(text: str, parts: int) -> list[str]:
    found = [part.strip() for part in re.split(r"[x×]", text)]
    if len(found) != parts or not all(re.fullmatch(r"\d+(\.\d+)?", part) for part in found):
        raise UserError(f"“{text}” cannot be read.", "Write numbers with x between, for example 62x11.5.")
    return found


def _whole(text: str) -> int:
    if not text.isdigit() or not int(text):
        raise UserError(f"“{text}” is not a whole number of 1 or more.", "Write it like 62x11.5, or 514x412x250.")
    return int(text)


def meter_reading(text: str, case: Case) -> MeterReading:
    """A meter reading of today from words; raises UserError for anything else."""
    from ashcomb.casework.fires import MeterReading

    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 4 or not re.fullmatch(r"\d+(\.\d+)?", parts[0]):
        raise UserError(
            f"“{text}” is not a meter reading.", "Write percent of LEL, hour, reader, witness: 2,09:40,NV,EF"
        )
    at = datetime.combine(case.now().date(), _hour(parts[1]), case.zone)
    return MeterReading(percent_lel=float(parts[0]), at=at, read_by=parts[2], witness=parts[3])
