"""What a page asks for: fields of a form, read as days, hours, numbers and marks; errors name the field."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time

from ashcomb.casework.case import Case
from ashcomb.kernel.errors import UserError
from ashcomb.records.places import Apiary, Keeper


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a form. kind: text, day, hour, whole, number, flag or choice.  marks: kind of the marks offered.

    options: (value, words) of a choice.  default: what an empty field means.
    """

    name: str
    label: str
    kind: str = "text"
    help: str = ""
    default: str = ""
    options: tuple[tuple[str, str], ...] = ()
    marks: str = ""
    required: bool = False


@dataclass(frozen=True)
class Asked:
    """The answers to the fields of a form, as they came."""

    fields: Mapping[str, Field]
    given: Mapping[str, str]

    def text(self, name: str) -> str:
        """The words of a field; raises UserError for an empty one that is required or a choice that is not offered."""
        field = self.fields[name]
        words = self.given.get(name, "").strip() or field.default
        if field.required and not words:
            raise UserError("Nothing is filled in.", "Fill it in.", field.label)
        if words and field.kind == "choice" and words not in [value for value, _ in field.options]:
            raise UserError(f"“{words}” is not one of the words for it.", "Choose one from the list.", field.label)
        return words

    def day(self, name: str) -> date | None:
        """A day, or None for an empty field."""
        words = self.text(name)
        try:
            return date.fromisoformat(words) if words else None
        except ValueError:
            raise UserError(f"“{words}” is not a day.", "Write it like 2031-05-14.", self.fields[name].label) from None

    def hour(self, name: str) -> time:
        """An hour of the day."""
        words = self.text(name)
        if not re.fullmatch(r"([01]\d|2[0-3]):[0-5]\d", words):
            raise UserError(f"“{words}” is not an hour.", "Write it like 09:00.", self.fields[name].label)
        return time.fromisoformat(words)

    def whole(self, name: str) -> int | None:
        """A whole number, or None for an empty field."""
        words = self.text(name)
        if words and not re.fullmatch(r"\d{1,9}", words):
            raise UserError(f"“{words}” is not a whole number.", "Write digits only.", self.fields[name].label)
        return int(words) if words else None

    def number(self, name: str) -> float | None:
        """A number, or None for an empty field."""
        words = self.text(name)
        return plain_number(words, self.fields[name].label) if words else None

    def given_number(self, name: str) -> float:
        """A number that must be there."""
        return plain_number(self.text(name), self.fields[name].label)

    def several(self, name: str) -> tuple[str, ...]:
        """Words parted by commas, semicolons or blanks."""
        return tuple(re.split(r"[,;\s]+", self.text(name))) if self.text(name) else ()

    def flag(self, name: str) -> bool:
        """Whether a box is ticked."""
        return bool(self.text(name))


def plain_number(words: str, where: str) -> float:
    """A number in digits with a decimal point; raises UserError."""
    if not re.fullmatch(r"-?\d{1,9}(\.\d{1,9})?", words):
        raise UserError(f"“{words}” is not a number.", "Write digits with a decimal point, like 1.5.", where)
    return float(words)


def check_names(fields: Mapping[str, Field], given: Mapping[str, str]) -> None:
    """Refuses names that the form does not know, so that a slip in an address never goes unsaid."""
    strange = [name for name in given if name not in fields]
    if strange:
        raise UserError(
            f"This page does not ask for “{strange[0][:60]}”.", f"It asks for: {', '.join(fields) or 'nothing'}."
        )


def known_marks(case: Case, kinds: set[str]) -> dict[str, list[str]]:
    """The marks that a form can offer."""
    situation = case.situation()
    sources = {"apiary": Apiary, "keeper": Keeper}
    return {kind: sorted(situation.by_mark(sources[kind])) for kind in sorted(kinds & sources.keys())}
