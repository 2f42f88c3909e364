"""Tags for pieces and units: marks that can be read aloud at night, each with a check character."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from ashcomb.records.pieces import COMPONENTS, Tag, tag_check
from ashcomb.records.situation import Situation

LETTERS = dict(zip(COMPONENTS, "XRTFEDMWH", strict=True))  # of the letters that are not mistaken for each other


def tag_mark(owner: str, component: str, number: int) -> str:
    """The mark of one piece: owner, letter of the kind with a number, check character: A07-03-X2-K."""
    body = f"{owner.removeprefix('at ')}-{LETTERS[component]}{number}"
    return f"{body}-{tag_check(body)}"


def new_tags(situation: Situation, owner: str, component: str, count: int) -> tuple[str, ...]:
    """So many tags for pieces of that owner and kind: those already put on first, then new numbers."""
    known = [row.mark for row in situation.rows(Tag) if (row.owner, row.component) == (owner, component)]
    return tuple(_fill(known, owner, component, count))


def unit_mark(consignment: str, number: int) -> str:
    """The label of one unit of a consignment: S1-07-K."""
    body = f"{consignment}-{number:02d}"
    return f"{body}-{tag_check(body)}"


def _fill(known: Collection[str], owner: str, component: str, count: int) -> Iterable[str]:
    yield from list(known)[:count]
    number, made = 1, len(known)
    while made < count:
        mark = tag_mark(owner, component, number)
        number += 1
        if mark not in known:
            made += 1
            yield mark
