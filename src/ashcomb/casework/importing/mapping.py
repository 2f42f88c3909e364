"""What the sheets and headings of a user's spreadsheets mean; kept as `mapping.toml` in the case folder.

[sheets."My sheet"]
kind = "hive"                    # "" = do not read this sheet
dates = "day first"              # or "month first"; only where the column does not show it
decimals = "comma"               # or "point"
[sheets."My sheet".columns]
"Box no." = "mark"               # "" = do not read this column
[sheets."My sheet".words]
"clean" = "none seen"            # the user's word for one of ours
[sheets."My sheet".always]
"evidence" = "memory"            # for a column that the sheet does not have
"""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from ashcomb.casework.importing.names import field_named, plain
from ashcomb.kernel.errors import UserError
from ashcomb.records.all import KINDS

DATES = ("", "day first", "month first")
DECIMALS = ("", "comma", "point")
_HEAD = (
    "# What the sheets and headings of your spreadsheets mean. Change it and import again.\n"
    "# kind: the record kind, or \"\" for a sheet that is not read. columns: heading = field, or \"\" if not read.\n"
)  # fmt: skip


@dataclass(frozen=True)
class SheetMapping:
    """What one sheet means: its kind, headings by field, and what its cells leave open."""

    kind: str
    columns: dict[str, str] = field(default_factory=dict)
    dates: str = ""
    decimals: str = ""
    words: dict[str, str] = field(default_factory=dict)
    always: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Mapping:
    """The mapping of all sheets by sheet name."""

    sheets: dict[str, SheetMapping] = field(default_factory=dict)

    def of(self, sheet: str) -> SheetMapping | None:
        """The mapping of the sheet of that name, capitals and spaces ignored."""
        return next((entry for name, entry in self.sheets.items() if plain(name) == plain(sheet)), None)

    @property
    def unread(self) -> list[tuple[str, str]]:
        """(sheet, heading) of all that is not read; the heading is '' for a whole sheet."""
        found = [(name, "") for name, sheet in self.sheets.items() if not sheet.kind]
        return found + [(name, h) for name, sheet in self.sheets.items() for h, f in sheet.columns.items() if not f]


def read_mapping(path: Path) -> Mapping:
    """The mapping kept in a file, or an empty one if there is no file; raises UserError naming what is wrong in it."""
    if not path.exists():
        return Mapping()
    try:
        body = tomllib.loads(path.read_text("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, OSError) as error:
        raise UserError(f"The mapping cannot be read: {error}.", "Correct or delete the file.", path.name) from None
    sheets = body.get("sheets", {})
    if not isinstance(sheets, dict):
        raise UserError("This entry is not understood.", 'Write a table [sheets."My sheet"].', f"{path.name}, sheets")
    return Mapping({name: _sheet(entry, f"{path.name}, sheets.{json.dumps(name)}") for name, entry in sheets.items()})


def write_mapping(mapping: Mapping, path: Path) -> None:
    """Writes the mapping so that a person can read and change it."""
    parts = [_HEAD]
    for name, sheet in mapping.sheets.items():
        table = f"sheets.{_quoted(name)}"
        lines = [f"[{table}]", f"kind = {_quoted(sheet.kind)}"]
        lines += [f"{key} = {_quoted(text)}" for key in ("dates", "decimals") if (text := getattr(sheet, key))]
        for key in ("columns", "words", "always"):
            if getattr(sheet, key):
                lines.append(f"[{table}.{key}]")
                lines += [f"{_quoted(left)} = {_quoted(right)}" for left, right in getattr(sheet, key).items()]
        parts.append("\n".join(lines) + "\n")
    path.write_text("\n".join(parts), "utf-8")


def _sheet(entry: Any, where: str) -> SheetMapping:
    if not isinstance(entry, dict) or not set(entry) <= {"kind", "columns", "dates", "decimals", "words", "always"}:
        raise UserError("This entry is not understood.", "It may set kind, columns, dates, decimals, words and always.",
                        where)  # fmt: skip
    tables = [entry.get(key, {}) for key in ("columns", "words", "always")]
    texts = [entry.get(key, "") for key in ("kind", "dates", "decimals")]
    if not all(isinstance(table, dict) for table in tables) or not all(
        isinstance(text, str) for text in [*texts, *(text for table in tables for text in table.values())]
    ):
        raise UserError("This entry is not understood.", "Every entry is a text in quotation marks.", where)
    settings: dict[str, Any] = {"kind": ""} | entry
    sheet = SheetMapping(**settings)
    known: tuple[str, ...]
    for key, known in (("kind", ("", *KINDS)), ("dates", DATES), ("decimals", DECIMALS)):
        if getattr(sheet, key) not in known:
            raise UserError(f"“{getattr(sheet, key)}” is no {key}.", f"Use one of: {', '.join(known[1:])}.", where)
    if not sheet.kind:
        return sheet
    kind = KINDS[sheet.kind]
    for text in [*sheet.columns.values(), *sheet.always]:
        if text and not field_named(kind, text):
            names = ", ".join(("happened", "clock", "evidence", "by", "corrects", *kind.columns))
            raise UserError(f"“{text}” is no field of {kind.name}.", f"Use one of: {names}.", where)
    return sheet


def _quoted(text: str) -> str:
    """A TOML basic string: JSON's escapes are the same, but for the one control character that JSON lets through."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")
