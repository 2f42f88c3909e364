"""Commands that reason: dates, trace, zone, looks, follow-up, freedom, release."""

from __future__ import annotations

from datetime import date
from typing import Annotated

import typer

from ashcomb.cli.options import Folder, Json, ProfileName, a_day, a_round, guarded, opened
from ashcomb.cli.render import show

Apiary = Annotated[str, typer.Option("--apiary", help="Apiary; default the index apiary.")]
First = Annotated[str, typer.Option("--from", help="First day; default the start of the risk window.")]
Last = Annotated[str, typer.Option("--to", help="Last day; default today.")]


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command("dates", help="What is due and when, each with its rule.")(dates)
    app.command("trace", help="Where it can have gone and come from.")(trace)
    app.command("zone", help="Which apiaries lie inside the zone or on its line.")(zone)
    app.command("worth", help="What the looks at an apiary were worth.")(worth)
    app.command("follow", help="What suspicion is left, and when to look next.")(follow)
    app.command("free", help="How sure a round of looks is, and what would raise it.")(free)
    app.command("release", help="Which gates stand between an apiary and its release.")(release)
    app.command("hobby", help="A keeper of few hives: what to do, and when.")(hobby)


@guarded
def dates(
    folder: Folder,
    compare: Annotated[str, typer.Option(help="Show what this other profile would change.")] = "",
    profile: ProfileName = "",
    as_json: Json = False,
) -> None:
    """Shows the clocks."""
    from ashcomb.casework.dates import dates_report, due_dates, effect_report, profile_effect

    with opened(folder) as case:
        show(
            effect_report(profile_effect(case, compare)) if compare else dates_report(due_dates(case, profile)), as_json
        )


@guarded
def trace(
    folder: Folder,
    unit: Annotated[
        str, typer.Option(help="Trace from this place, hive, extraction lot or keeper; default the index apiary.")
    ] = "",
    first: First = "",
    last: Annotated[str, typer.Option("--to", help="Last day of the trace forward; default no bound.")] = "",
    since: Annotated[str, typer.Option(help="First day of the trace back; default the program's window.")] = "",
    what_if: Annotated[bool, typer.Option("--what-if", help="What changes if a doubtful date is wrong.")] = False,
    sizes: Annotated[
        bool, typer.Option("--sizes", help="Contact-chain sizes of all places (or --unit) within --from and --to.")
    ] = False,
    as_json: Json = False,
) -> None:
    """Traces forward and back."""
    from ashcomb.casework import tracing

    with opened(folder) as case:
        window = (_optional(first), _optional(last))
        if sizes:
            show(tracing.sizes_report(tracing.sizes_of(case, unit, *window)), as_json)
        elif what_if:
            show(tracing.what_if_report(tracing.what_if_of(case, unit, *window, _optional(since))), as_json)
        else:
            show(tracing.trace_report(tracing.trace_of(case, unit, *window, _optional(since))), as_json)


@guarded
def zone(
    folder: Folder,
    centre: Annotated[list[str] | None, typer.Option(help="Centre; default the index apiary. May be repeated.")] = None,
    km: Annotated[
        list[float] | None, typer.Option(help="Radius; default those of the profile. May be repeated.")
    ] = None,
    former_since: Annotated[
        str, typer.Option(help="Also around sites that hives left for a centre since this day.")
    ] = "",
    as_json: Json = False,
) -> None:
    """Draws the zone."""
    from ashcomb.casework.zones import zone_of, zone_report

    with opened(folder) as case:
        show(zone_report(zone_of(case, centre or (), km or (), _optional(former_since))), as_json)


@guarded
def worth(folder: Folder, apiary: Apiary = "", first: First = "", last: Last = "", as_json: Json = False) -> None:
    """Shows the worth of looks."""
    from ashcomb.casework.looking import looks_worth, worth_report

    with opened(folder) as case:
        days = a_round(first, last, case)
        show(worth_report(looks_worth(case, apiary, *days)), as_json)


@guarded
def follow(folder: Folder, apiary: Apiary = "", as_json: Json = False) -> None:
    """Shows the suspicion left."""
    from ashcomb.casework.tracing import follow_report, suspicion_left

    with opened(folder) as case:
        show(follow_report(suspicion_left(case, apiary), apiary or case.head.index), as_json)


@guarded
def free(
    folder: Folder,
    apiary: Apiary = "",
    first: First = "",
    last: Last = "",
    design: Annotated[int | None, typer.Option(help="Infected hives that must not be missed; default 1.")] = None,
    as_json: Json = False,
) -> None:
    """Shows the confidence of freedom."""
    from ashcomb.casework.looking import freedom_at, freedom_report

    with opened(folder) as case:
        days = a_round(first, last, case)
        show(freedom_report(freedom_at(case, apiary, *days, design), apiary or case.head.index), as_json)


@guarded
def release(
    folder: Folder,
    apiary: Apiary = "",
    day: Annotated[str, typer.Option(help="Day of the release; default today.")] = "",
    as_json: Json = False,
) -> None:
    """Shows the gates; exit status 2 when a gate is not met."""
    from ashcomb.casework.releasing import release_of, release_report

    with opened(folder) as case:
        plan = release_of(case, apiary, a_day(day, case))
        show(release_report(plan), as_json)
    if not plan.ready:
        raise typer.Exit(2)


@guarded
def hobby(
    folder: Folder,
    keeper: Annotated[str, typer.Option(help="Mark of the keeper.")] = "",
    apiary: Apiary = "",
    as_json: Json = False,
) -> None:
    """Shows the short case."""
    from ashcomb.casework.releasing import hobby_of, hobby_report

    with opened(folder) as case:
        show(hobby_report(hobby_of(case, keeper, apiary)), as_json)


def _optional(text: str) -> date | None:
    from ashcomb.kernel.errors import UserError

    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        raise UserError(f"“{text}” is not a day.", "Write it like 2031-05-14.") from None
