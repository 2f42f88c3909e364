"""Errors for people: what was wrong, where, and what to do about it."""

from __future__ import annotations

from dataclasses import dataclass


class AshcombError(Exception):
    """Base of every error that is shown to a person.

    what: one sentence that says what was wrong.
    do: one sentence that says what to do; may be empty.
    where: place of the fault (file, sheet, row, field, record), may be empty.
    """

    exit_status = 1

    def __init__(self, what: str, do: str = "", where: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.do = do
        self.where = where

    def __str__(self) -> str:
        place = f"{self.where}: " if self.where else ""
        return f"{place}{self.what}" + (f" {self.do}" if self.do else "")

    def as_dict(self) -> dict[str, str]:
        """The one JSON form of an error."""
        return {"what": self.what, "where": self.where, "do": self.do}


class UserError(AshcombError):
    """The request or the data cannot be used as given; the user can put it right."""

    exit_status = 2


class FaultError(AshcombError):
    """The machine, a file or the program failed; nothing that was recorded is lost."""

    exit_status = 1


@dataclass(frozen=True, slots=True)
class Problem:
    """One fault in the user's data, kept as a value so that good data goes on.

    sheet, row, column: where it stands (row counts from 1 as a spreadsheet shows it).
    what: what was wrong.  do: what would fix it.  value: what was found there.
    unknown: kind and mark of a thing that is named but not known, else empty words.
    """

    what: str
    do: str
    sheet: str = ""
    row: int | None = None
    column: str = ""
    value: str = ""
    unknown: tuple[str, str] = ("", "")

    def __str__(self) -> str:
        place = ", ".join(p for p in (self.sheet, f"row {self.row}" if self.row else "", self.column) if p)
        return f"{place}: {self.what} {self.do}".strip(": ")
