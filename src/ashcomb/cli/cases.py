"""Commands that make, fill, look after and hand over a case."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from ashcomb.cli.options import By, Folder, Json, guarded, opened
from ashcomb.cli.render import console, show, show_json, show_problems
from ashcomb.kernel.words import several

Latitude = Annotated[float | None, typer.Option(help="Latitude of the local grid's zero.")]
Longitude = Annotated[float | None, typer.Option(help="Longitude of the local grid's zero.")]


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command("demo", help="Make the invented outbreak of Orrow Vale; run the job on it.")(demo)
    app.command("new", help="Make an empty case in a new folder.")(new)
    app.command("profiles", help="List the code profiles that come with the program.")(profiles)
    app.command("profile", help="Choose the code profile of a case, or show it.")(profile)
    app.command("confirm", help="An officer confirms the profile in force by name.")(confirm)
    app.command("template", help="Write a blank spreadsheet with every sheet and heading.")(template)
    app.command("import", help="Read spreadsheets; refused rows come back marked.")(import_)
    app.command("record", help="Record one thing: record CASE KIND field=value …")(record)
    app.command("status", help="What is due and where everything stands.")(status)
    app.command("verify", help="Check every record against its seal.")(verify)
    app.command("backup", help="Copy the case while in use, and verify the copy.")(backup)
    app.command("restore", help="Make a case folder from a backup.")(restore)
    app.command("handover", help="Write the case's records to a hand-over file.")(handover)
    app.command("merge", help="Take over what others recorded; conflicts are shown.")(merge)
    app.command("settle", help="Settle a conflict: which record holds, and why.")(settle)


@guarded
def demo(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="New folder.", show_default=False)],
    seed: Annotated[int, typer.Option(help="Seed of the invented data.")] = 2031,
    as_json: Json = False,
) -> None:
    """Makes the demo, imports it, runs the job, writes the papers."""
    from ashcomb.casework.demo_run import run_demo
    from ashcomb.papers.write import write_papers

    out = console(stderr=True)
    result = run_demo(folder, seed, write_papers, progress=lambda text: out.print(f"  {text}"))
    show(result, as_json)


@guarded
def new(
    folder: Folder,
    mark: Annotated[str, typer.Option(help="Case number.")],
    timezone: Annotated[str, typer.Option(help="IANA time zone, for example Europe/Berlin.")],
    profile: Annotated[str, typer.Option(help="Code profile; see `ashcomb profiles`.")],
    by: By = "",
    title: Annotated[str, typer.Option(help="What people call the case.")] = "",
    index: Annotated[str, typer.Option(help="Mark of the index apiary.")] = "",
    infectious_from: Annotated[str, typer.Option(help="First day of the risk window.")] = "",
    authority: Annotated[str, typer.Option(help="Competent authority.")] = "",
    officer: Annotated[str, typer.Option(help="Who leads the case.")] = "",
    grid_lat: Latitude = None,
    grid_lon: Longitude = None,
    as_json: Json = False,
) -> None:
    """Makes an empty case."""
    from ashcomb.casework.case import new_case
    from ashcomb.casework.hand import this_hand
    from ashcomb.kernel.errors import UserError

    if not by.strip():
        raise UserError("Nobody is named as the one who opens the case.", "Add --by NAME, or set ASHCOMB_BY.")
    head: dict[str, Any] = {"index": index, "infectious_from": infectious_from, "authority": authority}
    head |= {"officer": officer, "grid_lat": grid_lat, "grid_lon": grid_lon}
    with new_case(folder, this_hand(by), mark=mark, timezone=timezone, profile=profile, title=title, **head) as case:
        seal = case.store.head()
    if as_json:
        show_json({"case": mark, "folder": str(folder), "seal": seal.seal if seal else ""})
    else:
        console().print(f"Case {mark} is open in {folder} under profile {profile}, which nobody has confirmed yet.")
        console().print(f"Next: ashcomb import {folder} FILE …  and  ashcomb confirm {folder} --officer … --office …")


@guarded
def profiles(as_json: Json = False) -> None:
    """Lists the profiles."""
    from ashcomb.casework.profiles import list_profiles

    show(list_profiles(), as_json)


@guarded
def profile(
    folder: Folder,
    name: Annotated[str, typer.Argument(help="Profile; leave out to see the one in force.", show_default=False)] = "",
    reason: Annotated[str, typer.Option(help="Why this profile.")] = "",
    by: By = "",
    as_json: Json = False,
) -> None:
    """Chooses a profile, or shows the one in force."""
    from ashcomb.casework.profiles import show_profile, switch_profile

    with opened(folder, by, write=bool(name)) as case:
        show(switch_profile(case, name, reason) if name else show_profile(case), as_json)


@guarded
def confirm(
    folder: Folder,
    officer: Annotated[str, typer.Option(help="Name of the officer.")],
    office: Annotated[str, typer.Option(help="In what office.")],
    by: By = "",
    as_json: Json = False,
) -> None:
    """Confirms the profile in force."""
    from ashcomb.casework.case import confirm_profile

    with opened(folder, by or officer, write=True) as case:
        confirm_profile(case, officer, office)
        name = case.profile().id
    if as_json:
        show_json({"profile": name, "officer": officer, "office": office})
    else:
        console().print(f"{officer} ({office}) has confirmed profile {name} in its present wording.")


@guarded
def template(file: Annotated[Path, typer.Argument(help="XLSX file to write.", show_default=False)]) -> None:
    """Writes the blank spreadsheet."""
    from ashcomb.casework.intake import blank_workbook

    blank_workbook(file)
    console().print(f"{file} holds every sheet with its headings; fill in what you have and import it.")


@guarded
def import_(
    folder: Folder,
    files: Annotated[list[Path], typer.Argument(help="Spreadsheets.", show_default=False)],
    by: By = "",
    as_json: Json = False,
) -> None:
    """Reads spreadsheets into the case."""
    from ashcomb.casework.intake import take_in

    with opened(folder, by, write=True) as case:
        result = take_in(case, files)
    show(result.report, as_json)
    if not result.whole:
        raise typer.Exit(2)


@guarded
def record(
    folder: Folder,
    kind: Annotated[str, typer.Argument(help="Record kind; see docs/records.md.", show_default=False)],
    fields: Annotated[
        list[str] | None, typer.Argument(help="field=value …; none: list the fields.", show_default=False)
    ] = None,
    happened: Annotated[
        str, typer.Option("--happened", help="2031-05-14T22:07, a day, or first/last; default now.")
    ] = "",
    evidence: Annotated[str, typer.Option(help="seen, document or memory.")] = "seen",
    corrects: Annotated[str, typer.Option(help="Id of the record that this one corrects.")] = "",
    by: By = "",
    as_json: Json = False,
) -> None:
    """Records one thing."""
    from ashcomb.casework.recording import fields_report, record_text

    if not fields:
        show(fields_report(kind), as_json)
        return
    with opened(folder, by, write=True) as case:
        body = record_text(case, kind, fields, happened=happened, evidence=evidence, corrects=corrects)
    if as_json:
        show_json(body)
    else:
        console().print(f"Recorded: {kind} {body['happened']}, id {body['id']}.")


@guarded
def status(folder: Folder, as_json: Json = False) -> None:
    """Shows where the case stands."""
    from ashcomb.casework.status import status_report

    with opened(folder) as case:
        show(status_report(case), as_json)


@guarded
def verify(
    folder: Folder,
    seal: Annotated[str, typer.Option(help="A seal printed on a paper; the chain must contain it.")] = "",
    as_json: Json = False,
) -> None:
    """Checks the chain."""
    from ashcomb.casework.keeping import verify_case

    with opened(folder) as case:
        result = verify_case(case, seal)
    if as_json:
        show_json({"seals": result.seals, "records": result.records, "head": result.head, "faults": result.faults})
    else:
        out = console()
        out.print(f"{several(result.records, 'record')} under {result.seals} seals; head {result.head[:12]}.")
        for fault in result.faults:
            out.print(f"  – {fault}")
        out.print(
            "Every seal holds."
            if not result.faults
            else "What to do: keep this file as it is and compare it with a backup."
        )
    if result.faults:
        raise typer.Exit(1)


@guarded
def backup(
    folder: Folder,
    target: Annotated[Path, typer.Argument(help="Backup file, or a folder for it.", show_default=False)],
    as_json: Json = False,
) -> None:
    """Copies the case."""
    from ashcomb.casework.keeping import back_up

    with opened(folder) as case:
        done = back_up(case, target)
    if as_json:
        show_json({"file": str(done.file), "records": done.verification.records, "head": done.verification.head})
    else:
        console().print(f"{done.file}: {several(done.verification.records, 'record')}, every seal holds, "
                        f"head {done.verification.head[:12]}.")  # fmt: skip


@guarded
def restore(
    backup_file: Annotated[Path, typer.Argument(metavar="BACKUP", help="Backup file.", show_default=False)],
    folder: Folder,
    as_json: Json = False,
) -> None:
    """Makes a case folder from a backup."""
    from ashcomb.casework.keeping import restore as restore_case

    done = restore_case(backup_file, folder)
    if as_json:
        show_json({"file": str(done.file), "records": done.verification.records, "head": done.verification.head})
    else:
        console().print(
            f"{folder} holds the case again: {several(done.verification.records, 'record')}, every seal holds."
        )


@guarded
def handover(
    folder: Folder,
    file: Annotated[Path, typer.Argument(help="File to write.", show_default=False)],
    device: Annotated[str, typer.Option(help="Only what this device recorded.")] = "",
    as_json: Json = False,
) -> None:
    """Writes a hand-over file."""
    from ashcomb.casework.merging import hand_over

    with opened(folder) as case:
        count = hand_over(case, file, device)
    if as_json:
        show_json({"file": str(file), "records": count})
    else:
        console().print(f"{file}: {several(count, 'record')}.")


@guarded
def merge(
    folder: Folder,
    files: Annotated[list[Path], typer.Argument(help="Hand-over files.", show_default=False)],
    by: By = "",
    as_json: Json = False,
) -> None:
    """Merges hand-over files."""
    from ashcomb.casework.merging import merge as merge_files

    with opened(folder, by, write=True) as case:
        result = merge_files(case, files)
    if as_json:
        show_json({"taken": result.taken, "already_there": result.already_there,
                   "problems": [str(problem) for problem in result.problems],
                   "conflicts": [conflict.question() for conflict in result.conflicts]})  # fmt: skip
    else:
        out = console()
        out.print(f"{several(result.taken, 'record')} taken, {result.already_there} were here already.")
        show_problems(result.problems)
        for conflict in result.conflicts:
            out.print(f"Conflict: {conflict.question()}", style="bold")
            for entry in conflict.records:
                out.print(
                    f"    if {entry.happened.words()} ({entry.by}) holds: ashcomb settle {folder} {entry.id} --reason …"
                )
    if result.problems:
        raise typer.Exit(2)


@guarded
def settle(
    folder: Folder,
    holds: Annotated[str, typer.Argument(help="Id of the record that holds.", show_default=False)],
    reason: Annotated[str, typer.Option(help="Why.")],
    by: By = "",
    as_json: Json = False,
) -> None:
    """Settles a conflict."""
    from ashcomb.casework.merging import settle_by_record

    with opened(folder, by, write=True) as case:
        question = settle_by_record(case, holds, reason)
    if as_json:
        show_json({"settled": question, "holds": holds})
    else:
        console().print(f"Settled by {by}: {question}")
