"""What a page with a form is: its fields and the one use case that answers it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ashcomb.casework.case import Case
from ashcomb.casework.report import Report
from ashcomb.web.asked import Asked, Field


@dataclass(frozen=True, slots=True)
class Question:
    """A page with a form. asks: what it finds out.  waits: shows the form alone until something is asked.

    draws: a drawing that stands above the tables, as SVG whose words are escaped, or None.
    """

    name: str
    title: str
    asks: str
    answer: Callable[[Case, Asked], Report]
    fields: tuple[Field, ...] = ()
    waits: bool = False
    draws: Callable[[Case, Asked], str] | None = None

    @property
    def by_name(self) -> dict[str, Field]:
        """Its fields by name."""
        return {field.name: field for field in self.fields}
