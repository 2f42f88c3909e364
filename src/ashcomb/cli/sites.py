"""Commands for the agent, the wait after petrol, the fire site, and drawings."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from ashcomb.cli.options import Day, Folder, Json, a_day, guarded, opened
from ashcomb.cli.render import console, show, show_json
from ashcomb.kernel.errors import UserError

if TYPE_CHECKING:
    from ashcomb.casework.sites import Size

Apiary = Annotated[str, typer.Option("--apiary", help="Apiary; default the index apiary.")]
Hives = Annotated[str, typer.Option("--hives", help="Marks, comma between; default all condemned hives.")]
Metres = Annotated[float | None, typer.Option(help="Metres; leave out if nobody measured it.")]
Bearing = Annotated[float | None, typer.Option(min=0, max=360, help="Degrees from north, seen from the pit.")]
Celsius = Annotated[float | None, typer.Option("--temperature", help="Air, °C; default the recorded weather.")]
Length = Annotated[float | None, typer.Option(help="Pit floor length, m; default the recorded pit.")]
Width = Annotated[float | None, typer.Option(help="Pit floor width, m; default the recorded pit.")]
Depth = Annotated[float | None, typer.Option(help="Pit depth, m; default the recorded pit.")]
Dose = Annotated[float | None, typer.Option("--dose", help="Petrol in each hive, mL; default what is recorded.")]
PitIs = Annotated[
    Literal["above", "level", "below", ""],
    typer.Option("--pit-is", help="The pit above, level with or below the hives."),
]


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command("agents", help="Agents that the profile speaks of: amounts, waits, checks, what comes after.")(agents)
    app.command("waiting", help="What petrol is still in dosed hives, and why only a meter clears.")(waiting)
    app.command("firesite", help="Heat of the load, distances around the pit, loadings, flames away from petrol.")(
        firesite
    )
    app.command("draw", help="Draw pit-section, pit-plan, site, vapour or night as SVG, black on white.")(draw)


@guarded
def agents(folder: Folder, apiary: Apiary = "", hives: Hives = "", day: Day = "", as_json: Json = False) -> None:
    """Shows the agents; chooses none."""
    from ashcomb.casework.site_reports import agents_report
    from ashcomb.casework.sites import agents as offered

    with opened(folder) as case:
        show(agents_report(offered(case, apiary, marks(hives), a_day(day, case))), as_json)


@guarded
def waiting(
    folder: Folder,
    apiary: Apiary = "",
    hives: Hives = "",
    dose: Dose = None,
    temperature: Celsius = None,
    wind: Annotated[float | None, typer.Option(help="Air over open comb, m/s; default a light wind.")] = None,
    meter: Annotated[str, typer.Option(help="Meter: percent of LEL, HH:MM, reader, witness – comma between.")] = "",
    as_json: Json = False,
) -> None:
    """Shows the wait; exit status 2 while a gate is not met. It never clears."""
    from ashcomb.casework.site_reports import waiting_report
    from ashcomb.casework.sites import WaitingAsk
    from ashcomb.casework.sites import waiting as plan_waiting
    from ashcomb.cli.acts import meter_reading

    with opened(folder) as case:
        reading = meter_reading(meter, case) if meter else None
        ask = WaitingAsk(apiary=apiary, hives=marks(hives), dose_ml=dose, temperature_c=temperature, wind_m_s=wind,
                         meter=reading)  # fmt: skip
        plan = plan_waiting(case, ask)
        show(waiting_report(plan), as_json)
    if plan.unmet:
        raise typer.Exit(2)


@guarded
def firesite(
    folder: Folder,
    length: Length = None,
    width: Width = None,
    depth: Depth = None,
    apiary: Apiary = "",
    hives: Hives = "",
    at_once: Annotated[int | None, typer.Option(help="Hives in one loading; default the most that fit.")] = None,
    dose: Dose = None,
    on_site: Annotated[
        float | None, typer.Option(help="Petrol in cans, L; default what the night would carry.")
    ] = None,
    temperature: Celsius = None,
    building: Metres = None,
    bare: Metres = None,
    room: Metres = None,
    hives_away: Metres = None,
    pit_is: PitIs = "",
    ground_slope: Annotated[float | None, typer.Option(help="Slope of the ground, %.")] = None,
    as_json: Json = False,
) -> None:
    """Plans a fire site; exit status 2 when it does not fit."""
    from ashcomb.casework.site_reports import fire_site_report
    from ashcomb.casework.sites import FireSiteAsk, Ground, fire_site

    ground = Ground(building_m=building, bare_m=bare, room_m=room, hives_m=hives_away, pit_is=pit_is,
                    slope_percent=ground_slope)  # fmt: skip
    ask = FireSiteAsk(apiary=apiary, hives=marks(hives), size=_size(length, width, depth), at_once=at_once,
                      petrol_ml=dose, on_site_l=on_site, temperature_c=temperature, ground=ground)  # fmt: skip
    with opened(folder) as case:
        plan = fire_site(case, ask)
        show(fire_site_report(plan), as_json)
    if not plan.fits:
        raise typer.Exit(2)


@guarded
def draw(
    folder: Folder,
    name: Annotated[str, typer.Argument(help="pit-section, pit-plan, site, vapour or night.", show_default=False)],
    out: Annotated[Path | None, typer.Option(help="File to write; default NAME.svg here; - for the terminal.")] = None,
    length: Length = None,
    width: Width = None,
    depth: Depth = None,
    slope: Annotated[float, typer.Option(help="Run of the pit's walls to one of rise; 0 is upright.")] = 0.0,
    entered: Annotated[bool, typer.Option("--entered", help="Somebody climbs in.")] = False,
    apiary: Apiary = "",
    hives: Hives = "",
    at_once: Annotated[int | None, typer.Option(help="Hives in one loading; default the most that fit.")] = None,
    dose: Dose = None,
    temperature: Celsius = None,
    building: Metres = None,
    building_deg: Bearing = None,
    bare: Metres = None,
    room: Metres = None,
    hives_away: Metres = None,
    hives_deg: Bearing = None,
    pit_is: PitIs = "",
    wind_from: Bearing = None,
    downhill: Bearing = None,
    access: Bearing = None,
    day: Day = "",
    teams: Annotated[int, typer.Option(help="Teams at work.")] = 1,
    agent: Annotated[str, typer.Option(help="Agent of the night, as the profile names it.")] = "",
    as_json: Json = False,
) -> None:
    """Draws one picture."""
    from ashcomb.casework.fires import PitOrder
    from ashcomb.casework.nights import NightAsk
    from ashcomb.casework.sites import DrawAsk, FireSiteAsk, Ground, WaitingAsk, drawing

    size, chosen = _size(length, width, depth), marks(hives)
    ground = Ground(building_m=building, bare_m=bare, room_m=room, hives_m=hives_away, pit_is=pit_is,
                    wind_from_deg=wind_from, hives_deg=hives_deg, access_deg=access, building_deg=building_deg,
                    downhill_deg=downhill)  # fmt: skip
    site = FireSiteAsk(apiary=apiary, hives=chosen, size=size, at_once=at_once, petrol_ml=dose,
                                    temperature_c=temperature, ground=ground)  # fmt: skip
    pit = PitOrder(hives=chosen, length_m=size[0], width_m=size[1], depth_m=size[2], slope=slope,
                   entered=entered) if size else None  # fmt: skip
    with opened(folder) as case:
        ask = DrawAsk(
            waiting=WaitingAsk(apiary=apiary, hives=chosen, dose_ml=dose, temperature_c=temperature),
            site=site, pit=pit, night=NightAsk(apiary, chosen, a_day(day, case), teams, agent), apiary=apiary,
        )  # fmt: skip
        picture = drawing(case, name, ask)
    if str(out) == "-":
        typer.echo(picture, nl=False)
        return
    file = out or Path(f"{name}.svg")
    file.write_text(picture, "utf-8")
    show_json({"file": str(file)}) if as_json else console().print(str(file))


def marks(text: str) -> tuple[str, ...]:
    """Marks with commas between."""
    return tuple(mark.strip() for mark in text.split(",") if mark.strip())


def _size(length: float | None, width: float | None, depth: float | None) -> Size | None:
    if length is None and width is None and depth is None:
        return None
    if length is None or width is None or depth is None:
        raise UserError("Part of the pit's size is missing.", "Give --length, --width and --depth, or none of them.")
    return length, width, depth
