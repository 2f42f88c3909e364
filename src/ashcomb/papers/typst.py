"""Sets a paper as PDF from the fixed templates. Text of the user goes in as JSON data only and is never evaluated."""

from __future__ import annotations

import dataclasses
import json
import re
import tempfile
import unicodedata
from functools import cache
from importlib import resources
from typing import Any

from ashcomb.casework.sheets.form import Sheet
from ashcomb.kernel.errors import FaultError, UserError

PAPERS = ("a4", "us-letter")
PARTS = ("page.typ", "blocks.typ", "sheet.typ")
LONG_WORD = re.compile(r"\S{18,}")
EVERY = 9  # characters of a long word after which a line may break
BREAK = "\u200b"
UNPRINTABLE = "\ufffd"
UNSEEN = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
# What the fonts of the typesetter hold, found by setting each: Latin, Greek, Cyrillic, Armenian, Hebrew, signs.
HELD = (
    (0x20, 0x4FF), (0x531, 0x556), (0x561, 0x586), (0x5D0, 0x5EA), (0x1E00, 0x1FFF), (0x2000, 0x2040), (0x2070, 0x20BF),
    (0x2100, 0x211E), (0x2150, 0x2151), (0x2153, 0x215E), (0x2190, 0x2246), (0x2248, 0x22AB), (0xFFFD, 0xFFFD),
)  # fmt: skip


def set_paper(sheet: Sheet, paper: str, moment: int) -> bytes:
    """The paper as PDF bytes; the same sheet, format and moment give the same bytes.

    paper: one of PAPERS.  moment: seconds since 1970, written into the file as its date.
    Raises UserError for an unknown format, FaultError if the paper cannot be set.
    """
    import typst

    if paper not in PAPERS:
        raise UserError(f"“{paper}” is not a paper format.", f"Choose one of {', '.join(PAPERS)}.")
    data = json.dumps({**as_data(sheet), "paper": paper}, ensure_ascii=False)
    with tempfile.TemporaryDirectory(prefix="ashcomb-paper-") as root:
        try:
            setter = typst.Compiler(source(), root=root, ignore_system_fonts=True, sys_inputs={"data": data},
                                    package_path=root, package_cache_path=root)  # fmt: skip
            made = setter.compile(format="pdf", timestamp=moment)
        except RuntimeError as error:
            reason = str(error).strip().splitlines()[0] if str(error).strip() else "no reason given"
            raise FaultError(
                f"The paper “{sheet.title}” could not be set: {reason}.",
                "The records are untouched. Report this with the name of the paper; print the blank one meanwhile.",
            ) from error
    if not isinstance(made, bytes):
        raise FaultError(f"The paper “{sheet.title}” came out empty.", "Print the blank one meanwhile.")
    return made


@cache
def source() -> bytes:
    """The fixed templates, one after the other, as one document that opens no other file."""
    folder = resources.files("ashcomb.papers") / "templates"
    return "\n".join((folder / part).read_text("utf-8") for part in PARTS).encode()


def as_data(value: Any) -> Any:
    """A sheet as JSON values, its words made printable; a block also says of what kind it is."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        kind = {"kind": value.kind} if hasattr(value, "kind") else {}
        drawn = {"svg": value.svg} if hasattr(value, "svg") else {}  # a drawing is no text to be broken
        return kind | {item.name: as_data(getattr(value, item.name)) for item in dataclasses.fields(value)} | drawn
    if isinstance(value, list | tuple):
        return [as_data(item) for item in value]
    return printable(value) if isinstance(value, str) else value


def printable(words: str) -> str:
    """The words with room to break in long ones, and a visible sign in place of each character that does not print.

    A control character becomes the replacement sign; a letter that the fonts do not hold becomes its number, ‹U+674E›.
    """
    return LONG_WORD.sub(lambda found: BREAK.join(_pieces(found[0])), "".join(map(_seen, words)))


def _seen(character: str) -> str:
    if unicodedata.category(character) in UNSEEN:
        return UNPRINTABLE
    code = ord(character)
    return character if any(low <= code <= high for low, high in HELD) else f"‹U+{code:04X}›"


def _pieces(word: str) -> list[str]:
    return [word[at : at + EVERY] for at in range(0, len(word), EVERY)]
