"""What a paper consists of, in plain words and without layout: a head and blocks of fields, tables, steps and cautions.

An empty field is printed as a ruled line, an empty cell as an empty cell: whatever is not known is left for the pencil.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any, ClassVar, Literal

Cell = Literal["mark", "text", "number", "write", "tick", "plan"]
"""What a column holds: a mark, running text, a number, room to write, a box to tick, a planned hour with room below."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One field. value: '' leaves room to write, above a rule."""

    label: str
    value: str = ""


@dataclass(frozen=True, slots=True)
class Facts:
    """Fields under a heading. columns: side by side.  big: figures to be read at arm's length."""

    kind: ClassVar[str] = "facts"
    heading: str
    facts: tuple[Fact, ...]
    columns: int = 2
    big: bool = False


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table. weight: share of the free width; 0 takes what its words need."""

    title: str
    cell: Cell = "text"
    weight: int = 0


@dataclass(frozen=True, slots=True)
class Grid:
    """A ruled table. spare: empty rows to write in, after the others.  lines: sentences above it.

    room: rows are high enough to write in by day.  tall: high enough by night, below what is printed.
    """

    kind: ClassVar[str] = "grid"
    heading: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    spare: int = 0
    lines: tuple[str, ...] = ()
    room: bool = False
    tall: bool = False


@dataclass(frozen=True, slots=True)
class Lines:
    """Sentences. mark: '' for plain, '–' for a list, '1' for numbered steps.  small: what stands behind the paper."""

    kind: ClassVar[str] = "lines"
    heading: str
    items: tuple[str, ...]
    mark: str = ""
    small: bool = False


@dataclass(frozen=True, slots=True)
class Ticks:
    """Things to tick off, each with a box."""

    kind: ClassVar[str] = "ticks"
    heading: str
    items: tuple[str, ...]
    columns: int = 2


@dataclass(frozen=True, slots=True)
class Framed:
    """Words in a heavy frame: that a plan is not ready, or the cautions."""

    kind: ClassVar[str] = "framed"
    heading: str
    lines: tuple[str, ...]
    loud: bool = False


@dataclass(frozen=True, slots=True)
class Signatures:
    """Places to sign, with name, day and hour. statement: what is signed."""

    kind: ClassVar[str] = "signatures"
    people: tuple[str, ...]
    statement: str = ""


@dataclass(frozen=True, slots=True)
class NewPage:
    """What follows begins on a new page."""

    kind: ClassVar[str] = "newpage"


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing. svg: goes in as it is and holds no words of the user but escaped ones.  width: share of the page."""

    kind: ClassVar[str] = "picture"
    heading: str
    svg: str
    width: float = 1.0


@dataclass(frozen=True, slots=True)
class Label:
    """One label to cut out and stick on. svg: its QR code.  mark: in figures to be read at arm's length."""

    mark: str
    lines: tuple[str, ...]
    svg: str = ""


@dataclass(frozen=True, slots=True)
class Labels:
    """Labels, two side by side, never split between pages."""

    kind: ClassVar[str] = "labels"
    labels: tuple[Label, ...]


Block = Facts | Grid | Lines | Ticks | Framed | Signatures | NewPage | Picture | Labels


@dataclass(frozen=True, slots=True)
class Head:
    """What stands on every paper. All words; '' is left to write. urgent: to be read out in an emergency."""

    case: str = ""
    keeper: str = ""
    apiary: str = ""
    position: str = ""
    access: str = ""
    landowner: str = ""
    profile: str = ""
    confirmed: str = ""
    prepared: str = ""
    timezone: str = ""
    version: str = ""
    seal: str = ""
    check: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One paper. name: of the kind of paper.  lead: the sentence to read first.  night: large, heavy type.

    both_sides: pages 1 and 2 are the two sides of one sheet.  pages: how many pages it must have, 0 for as many as it
    takes.
    """

    name: str
    title: str
    head: Head
    blocks: tuple[Block, ...]
    lead: str = ""
    night: bool = False
    both_sides: bool = False
    pages: int = 0
    footer: str = field(default="")


def facts(pairs: Iterable[tuple[str, str]]) -> tuple[Fact, ...]:
    """Fields from (label, value) pairs."""
    return tuple(Fact(label, value) for label, value in pairs)


def rows(cells: Iterable[Iterable[Any]]) -> tuple[tuple[str, ...], ...]:
    """Rows of words; None becomes an empty cell."""
    return tuple(tuple("" if cell is None else str(cell) for cell in row) for row in cells)


def filled(blocks: Sequence[Block]) -> tuple[Block, ...]:
    """Leaves out lists and frames that say nothing; fields and tables stay, because they can be written in."""
    return tuple(
        b for b in blocks if not (isinstance(b, Lines | Framed) and not (b.items if isinstance(b, Lines) else b.lines))
    )
