"""Commands of the outbreak engine: where to look first, and where it probably came from."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated, Literal

import typer

from ashcomb.cli.options import Folder, Json, a_day, guarded, opened
from ashcomb.cli.render import console, show
from ashcomb.cli.stopping import stoppable
from ashcomb.kernel.errors import UserError

if TYPE_CHECKING:
    from ashcomb.casework.assessing import AssessAsk, Tell
    from ashcomb.casework.case import Case
    from ashcomb.outbreak.convergence import Quality

WAIT = "reading the records; on a new machine the engine is then compiled once, which takes up to two minutes"


def register(app: typer.Typer) -> None:
    """Adds the commands."""
    app.command("assess", help="Which hives to open first: chances from all records.")(assess)
    app.command("sources", help="Where it probably came from, or “cannot tell”.")(sources)


@guarded
def assess(
    folder: Folder,
    seed: Annotated[int, typer.Option(help="Seed of the draws, 0 or more.")] = 1,
    as_of: Annotated[str, typer.Option("--as-of", help="What was on record at the end of that day.")] = "",
    rate: Annotated[list[str] | None, typer.Option("--rate", help="NAME=VALUE in place of a rate.")] = None,
    because: Annotated[str, typer.Option("--because", help="Why the rates are replaced.")] = "",
    sample: Annotated[list[str] | None, typer.Option("--sample", help="Rate to draw over its range.")] = None,
    onset_law: Annotated[Literal["gamma", "lognormal", "table"], typer.Option("--onset-law", help="Time to signs.")] = (
        "gamma"
    ),
    distance_law: Annotated[Literal["exponential", "fat tail"], typer.Option("--distance-law", help="Robbing.")] = (
        "exponential"
    ),
    workers: Annotated[int, typer.Option(help="Threads; changes no figure.", min=1, max=64)] = 2,
    cases: Annotated[bool, typer.Option("--cases", help="Also other laws, and what they change.")] = False,
    as_json: Json = False,
) -> None:
    """Assesses and stores; Ctrl-C cancels."""
    from ashcomb.casework.assess_reports import assess_report, sensitivity
    from ashcomb.casework.assessing import assess as run

    with opened(folder) as case:
        ask = _asked(case, seed, as_of, rate, because, sample, onset_law, distance_law, workers)
        with telling() as tell:
            made = run(case, ask, tell)
            others = sensitivity(case, made, lambda name: tell) if cases else ()
        show(assess_report(made, others), as_json)


@guarded
def sources(
    folder: Folder,
    mark: Annotated[str, typer.Argument(metavar="[HIVE|APIARY]", help="Default every case.")] = "",
    as_json: Json = False,
) -> None:
    """Shows the ranked sources."""
    from ashcomb.casework.assess_reports import sources_report

    with opened(folder) as case:
        with telling() as tell:
            found = sources_report(case, mark, tell)
        show(found, as_json)


@contextmanager
def telling() -> Iterator[Tell]:
    """Tells on the terminal how far a run is; the first Ctrl-C cancels it at the end of its round."""
    quiet = console(stderr=True)
    with quiet.status(WAIT) as status, stoppable(lambda: status.update("stopping at the end of this round …")) as stop:
        if not quiet.is_terminal:
            quiet.print(f"{WAIT} …")

        def tell(sweeps: int, quality: Quality) -> bool:
            words = f"{sweeps:,} sweeps: effective size {quality.ess:,.0f}, R-hat {quality.rhat:.3f}"
            status.update(words)
            if not quiet.is_terminal:
                quiet.print(words)
            return not stop()

        yield tell


def _asked(
    case: Case, seed: int, as_of: str, rate: list[str] | None, because: str, sample: list[str] | None, onset: str,
    distance: str, workers: int,
) -> AssessAsk:  # fmt: skip
    from ashcomb.casework.assessing import AssessAsk

    if seed < 0:
        raise UserError(f"{seed} is no seed.", "Give a whole number, 0 or more.")
    replaced = dict(_rate(text, because) for text in rate or ())
    day = a_day(as_of, case) if as_of else None
    return AssessAsk(seed=seed, as_of=day, replaced=replaced, sampled=tuple(sample or ()), onset=onset,
                     distance=distance, workers=workers)  # fmt: skip


def _rate(text: str, because: str) -> tuple[str, tuple[float, str]]:
    name, sign, number = text.rpartition("=")
    try:
        if not sign:
            raise ValueError
        return name.strip(), (float(number), because)
    except ValueError:
        raise UserError(f"“{text}” cannot be read.", "Write NAME=VALUE, such as background=1e-5.") from None
