"""Makes the invented outbreak of Orrow Vale as spreadsheets, imports it and runs the whole job on it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime
from pathlib import Path

from ashcomb.casework.case import DEMO_CLOCK, Case, confirm_profile, new_case
from ashcomb.casework.demo import CASE, write_demo
from ashcomb.casework.hand import fixed_hand
from ashcomb.casework.intake import take_in
from ashcomb.casework.nights import NightAsk, tonight
from ashcomb.casework.pieces import mass_balance
from ashcomb.casework.report import Report, Section, table
from ashcomb.casework.status import status
from ashcomb.casework.tracing import trace_of
from ashcomb.casework.zones import zone_of
from ashcomb.kernel.errors import FaultError, UserError
from ashcomb.kernel.time import zone
from ashcomb.kernel.words import several
from ashcomb.records.places import Apiary, Hive

NIGHT = date(2031, 5, 14)
OPENED = datetime(2031, 5, 14, 15, 0)
STANDS = datetime(2031, 5, 14, 16, 0)  # the clock of the demo stands an hour after everything was entered
PROFILE = "orrow-vale"
PAPERS = "papers"


def run_demo(
    folder: Path, seed: int, papers: Callable[[Case, Path], Sequence[Path]], progress: Callable[[str], object]
) -> Report:
    """Runs the demo into a new folder and says where everything is.

    papers: writes the papers of a case into a folder.  progress: told each step.
    Raises UserError if the folder is in use, FaultError if the demo data were refused.
    """
    if folder.exists() and any(folder.iterdir()):
        raise UserError("This folder is not empty.", "Name a new folder for the demo.", str(folder))
    progress("writing the spreadsheets of Orrow Vale")
    files = write_demo(folder / "spreadsheets", seed)
    place = zone(str(CASE["timezone"]))
    (folder / DEMO_CLOCK).write_text(STANDS.replace(tzinfo=place).isoformat() + "\n", "utf-8")
    progress("opening the case and importing")
    with new_case(folder, fixed_hand("NV", OPENED.replace(tzinfo=place)), profile=PROFILE, **CASE) as case:  # type: ignore[arg-type]
        taken = take_in(case, files.all)
        if taken.refused:
            raise FaultError(
                f"{several(taken.refused, 'row')} of the demo were refused.", "This is a fault of the program."
            )
        confirm_profile(case, "Nell Varga", "apiary disease officer, Orrow Vale")
        progress("planning, tracing, balancing")
        sections = [*taken.report.sections[:1], _job(case)]
        progress("writing the papers")
        written = papers(case, folder / PAPERS)
    rows = [
        ("spreadsheets", str(folder / "spreadsheets")), ("case", str(folder)),
        *(("paper", str(paper)) for paper in written),
    ]  # fmt: skip
    sections.append(Section("Where everything is", (), table(("What", "Where"), rows)))
    sections.append(Section("Next", (
        f"ashcomb serve {folder}          the pages of the case",
        f"ashcomb status {folder}         what is due and where everything stands",
        f"ashcomb night {folder} --teams 2 --agent petrol",
        f"ashcomb assess {folder}         which hives to open first; minutes the first time, as the engine is compiled",
        f"ashcomb sources {folder} A07    where it probably came from, by the same assessment",
    )))  # fmt: skip
    return Report("The demo outbreak of Orrow Vale (invented)", "Everything ran on one record.", tuple(sections))


def _job(case: Case) -> Section:
    now, night = status(case), tonight(case, NightAsk(day=NIGHT, agent="petrol"))
    traced = trace_of(case)
    zone_plan = zone_of(case)
    balance = mass_balance(case)
    rings = ", ".join(f"{radius:g} km {len(zone_plan.within(radius))}" for radius in zone_plan.radii_km)
    situation = case.situation()
    firm = {mark for mark, apiary in situation.by_mark(Apiary).items() if apiary.keeper == case.head.keeper}
    stock = sum(hive.apiary in firm for hive in situation.rows(Hive))
    rows = [
        ("the firm", f"{several(len(firm), 'apiary')}, {stock:,} hives"),
        ("due", " ".join(clock.words for clock in now.dates.clocks if clock.state in ("running", "passed"))),
        ("hives", ", ".join(f"{number} {state}" for state, number in now.hives.items())),
        ("traced forward", ", ".join(place.mark for place in traced.forward.places)),
        ("traced back", ", ".join(place.mark for place in traced.back.places)),
        ("zone", rings),
        ("tonight", night.verdict),
        ("what fits", " ".join(alternative.words for alternative in night.alternatives)),
        ("balance", balance.verdict),
    ]
    return Section("The job so far", (), table(("What", "Result"), rows))
