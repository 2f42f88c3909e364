"""The names of things in spreadsheets: how headings and sheet names are compared, and which name means which field."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from ashcomb.records.all import KINDS, ORDER
from ashcomb.records.columns import Column, Kind

WRONG = "What is wrong"  # the column that a list of refused rows adds
ENVELOPE: dict[str, tuple[str, ...]] = {
    "clock": ("time", "hour", "clock time", "time of day"),
    "evidence": ("evidence", "evidence grade", "source", "grade"),
    "by": ("noted by", "recorded by", "entered by", "written by", "by"),
    "corrects": ("corrects", "correction of", "replaces"),
}
POSITION = ("position", "gps", "gps position", "coordinates", "coords", "lat lon", "lat long", "latitude longitude",
            "grid", "grid position", "local grid", "grid reference", "location")  # fmt: skip
_SHEET_TAIL = re.compile(r"\s*\(\d+\)$|[\s_-]*\d+$")


@lru_cache(maxsize=2**14)
def plain(text: str) -> str:
    """A heading or sheet name for comparison: 'Hive No.' and 'hive_no' are both 'hive no', 'Hive #' too."""
    text = unicodedata.normalize("NFKC", text).casefold().replace("#", " no ").replace("№", " no ")
    return re.sub(r"[\W_]+", " ", text).strip()


def fields(kind: Kind) -> list[str]:
    """Every field that a heading may name: the day, the kind's own columns, then what every record has."""
    position = ["position"] if "lat" in kind.columns else []
    return ["happened", *kind.columns, *position, *ENVELOPE]


def aliases(kind: Kind, field: str) -> list[str]:
    """The headings that are read as this field, best first."""
    if field == "happened":
        return [kind.happened, *kind.happened_also]
    if field == "position":
        return list(POSITION)
    if field in kind.columns:
        return [kind.columns[field].title, *kind.columns[field].also]
    return list(ENVELOPE[field])


def title(kind: Kind, field: str) -> str:
    """Our own heading for a field."""
    return aliases(kind, field)[0].capitalize() if field in (*ENVELOPE, "position") else aliases(kind, field)[0]


def column_of(kind: Kind, field: str) -> Column | None:
    """The column statement of a field, or None for the day and the envelope."""
    return kind.columns.get(field)


def field_named(kind: Kind, text: str) -> str:
    """The field that a user names by its name or its heading, or ''."""
    for field in fields(kind):
        if text == field or plain(text) == plain(title(kind, field)):
            return field
    return ""


def kind_named(sheet: str) -> Kind | None:
    """The kind that a sheet is named after, or None: 'Hives', 'hive list', 'Hives (2)', 'moves_2030'."""
    known = {plain(name): KINDS[key] for key in reversed(ORDER)
             for name in (*KINDS[key].also, key, KINDS[key].sheet)}  # fmt: skip
    return known.get(plain(sheet)) or known.get(plain(_SHEET_TAIL.sub("", sheet)))
