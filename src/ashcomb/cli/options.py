"""Arguments and options that several commands share, and the door through which every command runs."""

from __future__ import annotations

import functools
import sys
import tempfile
import traceback
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import typer

from ashcomb.cli.render import fail
from ashcomb.kernel.errors import AshcombError, FaultError, UserError

if TYPE_CHECKING:
    from ashcomb.casework.case import Case

F = TypeVar("F", bound=Callable[..., Any])

Folder = Annotated[Path, typer.Argument(metavar="CASE", help="Case folder.", show_default=False)]
Json = Annotated[bool, typer.Option("--json", help="Print JSON.")]
By = Annotated[str, typer.Option("--by", envvar="ASHCOMB_BY", help="Who writes: name or initials.")]
ProfileName = Annotated[str, typer.Option("--profile", help="Another code profile than the one in force.")]
Day = Annotated[str, typer.Option("--day", help="A day, 2031-05-14; default today.")]


def guarded(command: F) -> F:
    """Runs a command so that every error ends as words with exit status 2 (user) or 1 (fault), never a traceback."""

    @functools.wraps(command)
    def run(*args: Any, **kwargs: Any) -> None:
        as_json = bool(kwargs.get("as_json"))
        try:
            command(*args, **kwargs)
        except AshcombError as error:
            raise typer.Exit(fail(error, as_json)) from None
        except BrokenPipeError:
            sys.stderr.close()
            raise typer.Exit(1) from None
        except PermissionError as error:
            rights = UserError(
                "The file or folder may not be written or read.", "Check the rights.", str(error.filename)
            )
            raise typer.Exit(fail(rights, as_json)) from None
        except OSError as error:
            advice = "Check the disk and the path; nothing that was recorded is lost."
            fault = FaultError(f"The system reports: {error.strerror}.", advice, str(error.filename or ""))
            raise typer.Exit(fail(fault, as_json)) from None
        except (typer.Exit, typer.Abort):
            raise
        except Exception as error:  # noqa: BLE001 – the last door: whatever fails inside ends in words, and is kept whole
            raise typer.Exit(fail(_program_fault(error), as_json)) from None

    return run  # type: ignore[return-value]


def _program_fault(error: Exception) -> FaultError:
    """A fault of the program itself: the details go to a file that can be sent in, the user gets a sentence."""
    with tempfile.NamedTemporaryFile("w", prefix="ashcomb-fault-", suffix=".txt", delete=False) as file:
        file.write("".join(traceback.format_exception(error)))
    what = f"The program has a fault ({type(error).__name__}: {error})."
    return FaultError(what, f"Nothing that was recorded is lost. Please send in {file.name}.")


def opened(folder: Path, by: str = "", *, write: bool = False) -> Case:
    """The case in a folder, with this machine's hand; raises UserError if something is written by nobody."""
    from ashcomb.casework.case import open_case
    from ashcomb.casework.hand import this_hand

    if write and not by.strip():
        raise UserError("Nobody is named as the one who writes.", "Add --by NAME, or set ASHCOMB_BY.")
    return open_case(folder, this_hand(by or "reader"), write=write)


def a_day(text: str, case: Case) -> date:
    """The day given, or today in the case's time zone."""
    if not text:
        return case.now().date()
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UserError(f"“{text}” is not a day.", "Write it like 2031-05-14.") from None


def a_round(first: str, last: str, case: Case) -> tuple[date, date]:
    """First and last day of a round of looks: by default from the start of the risk window until today."""
    begin = first or case.head.infectious_from
    if not begin:
        raise UserError("The round has no first day.", "Add --from DAY, or give the case its risk window.")
    return a_day(begin, case), a_day(last, case)


def marks(text: str) -> tuple[str, ...]:
    """Marks with commas between."""
    return tuple(mark.strip() for mark in text.split(",") if mark.strip())
