"""The case of a keeper with a few hives, on two pages: today, then the other hive, the dates and what they rest on."""

from __future__ import annotations

from bisect import bisect_right
from itertools import accumulate

from ashcomb.casework.case import Case
from ashcomb.casework.releasing import hobby_of
from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.form import Block, Column, Fact, Facts, Framed, Grid, Head, Lines, NewPage, Sheet, filled
from ashcomb.casework.sheets.ground import BLANK, DEFER, value_words
from ashcomb.kernel.errors import UserError
from ashcomb.plans.hobby import CAUTIONS, HobbyPlan
from ashcomb.records.places import Apiary
from ashcomb.records.state import hives_at

MOST_HIVES = 5  # more do not fit on two pages; the ordinary papers are for them
LONGEST = 180  # characters of one sentence on two pages
FIELD = 110  # characters of one field in the head
MOST_LINES = {"today": 12, "other": 6, "dates": 11, "follow": 8}
OVERLEAF = 41  # printed lines that page 2 holds beside the table and the notes
A_LINE = 105  # characters of a printed line, at the least
_SWAPS = (
    Column("Who", "write", 3),
    Column("From or to me", "write", 2),
    Column("What", "write", 3),
    Column("Day", "write", 2),
)
CUT = "… marks what was shortened to keep two pages; the whole stands in the records."


def hobby_sheet(desk: Desk) -> Sheet:
    """The two pages for the apiary or keeper that is asked for, else for the first small keeper in the records."""
    plan, trouble = desk.attempt(lambda case: _plan(case, desk))
    yard = plan.apiary if plan else desk.ask.apiary
    today = _cut(plan.today, "today") if plan else _BLANK_TODAY
    room = OVERLEAF - _printed(plan)
    blocks: list[Block] = [
        Framed("CANNOT BE MADE", tuple(filter(None, [trouble])), loud=True),
        Facts("", (Fact("Sick or suspect", short(", ".join(plan.sick) or "none recorded", LONGEST) if plan else ""),
                   Fact("Other hives", short(", ".join(plan.other) or "none", LONGEST) if plan else ""))),
        Lines("Today", today, "1"),
        Framed("Caution", (*CAUTIONS, DEFER)),
        Grid("Who gave me bees, frames or boxes, and who got some from me", _SWAPS, (), spare=4),
        NewPage(),
        Lines("The other hive", _cut(plan.other_hive, "other") if plan else _BLANK_OTHER, "1"),
        *_dates(plan, room),
        Lines("What is left of the suspicion", _cut(plan.follow, "follow") if plan else (), "–", small=True),
        Facts("Notes of the inspector", (Fact("Day, name, what was seen"), *[Fact("")] * min(2, room // 8)), 1),
        Lines("What this paper rests on", _ground(desk, plan, max(room, 2)), "–", small=True),
    ]  # fmt: skip
    head = _short_head(head_of(desk, yard))
    title = f"A small keeper's case{f' – {short(yard, FIELD)}' if yard else ''}"
    return Sheet("hobby", title, head, filled(blocks), both_sides=True, pages=2)


_BLANK_TODAY = (
    "Mark the hive with signs and do not open it again without the inspector.",
    "Tell the authority: ______________________________ by ______________.",
    "Nothing leaves and nothing comes: no bees, combs, honey, wax, feed or tools.",
    "Leave no comb, honey or dead hive open to robbers.",
    "Write down who gave you bees, frames or boxes and who got some from you.",
    "Clean hands and tools before you touch another hive.",
)
_BLANK_OTHER = (
    "It stays where it stands; nothing goes from one hive into another.",
    "It is looked at before the sick hive, never after, with tools of its own.",
    "At each date: every brood frame, bees shaken off, in good light; every odd cell opened.",
    "Signs: close it and ring the inspector. No signs: that look clears nothing, keep the next date.",
)
_LOOKS = (Column("Date", "write", 3), Column("What", "write", 4), Column("Frames seen, shaken", "write", 3),
          Column("Signs", "write", 3), Column("done", "tick"))  # fmt: skip


def short(words: str, most: int) -> str:
    """The words, or their beginning with … where they are longer than `most` characters."""
    return words if len(words) <= most else f"{words[: most - 1].rstrip()}…"


def _plan(case: Case, desk: Desk) -> HobbyPlan:
    plan = hobby_of(case, desk.ask.keeper, desk.ask.apiary or ("" if desk.ask.keeper else _small_apiary(case)))
    if len(plan.sick) + len(plan.other) > MOST_HIVES:
        raise UserError(f"{plan.apiary} has more than {MOST_HIVES} hives, too many for two pages.",
                        "Use the ordinary papers.")  # fmt: skip
    return plan


def _small_apiary(case: Case) -> str:
    """The first apiary with few hives of a keeper other than the case's own."""
    situation, today = case.situation(), case.now().date()
    for mark, place in sorted(situation.by_mark(Apiary).items()):
        if (
            place.keeper
            and place.keeper != case.head.keeper
            and 0 < len(hives_at(situation, mark, today)) <= MOST_HIVES
        ):
            return mark
    raise UserError("No small keeper is in the records.", "Name the apiary or the keeper.")


def _height(line: str) -> int:
    return 1 + len(line) // A_LINE


def _printed(plan: HobbyPlan | None) -> int:
    """Printed lines of the other hive, the dates and what is left of the suspicion."""
    parts = (("other", plan.other_hive), ("dates", plan.dates), ("follow", plan.follow)) if plan else ()
    return sum(_height(line) for name, lines in parts for line in _cut(lines, name))


def _cut(lines: tuple[str, ...], name: str) -> tuple[str, ...]:
    return _first(lines, MOST_LINES[name])


def _first(lines: tuple[str, ...], most: int) -> tuple[str, ...]:
    kept = tuple(short(line, LONGEST) for line in lines[:most])
    return kept if len(lines) <= most else (*kept[:-1], f"… and {len(lines) - most + 1} more in the records.")


def _dates(plan: HobbyPlan | None, room: int) -> list[Block]:
    if plan is None:
        return [Grid("Dates", _LOOKS, (), spare=8)]
    return [
        Lines("Dates", _cut(plan.dates, "dates"), "–"),
        Grid("Looks at the hives", _LOOKS, (), spare=3 if room > 8 else 1),
    ]


def _ground(desk: Desk, plan: HobbyPlan | None, most: int) -> tuple[str, ...]:
    if plan is None:
        return (BLANK,) if desk.blank else ()
    rules = tuple(dict.fromkeys(f"{rule.text} ({rule.status})" for rule in plan.rules if rule.text not in plan.today))
    lines = (*plan.assumptions, *map(value_words, plan.uses), *rules)
    printed = list(accumulate(_height(short(line, LONGEST)) for line in lines))
    return (*_first(lines, max(1, bisect_right(printed, most))), CUT)


def _short_head(head: Head) -> Head:
    return Head(**{name: short(getattr(head, name), FIELD) for name in Head.__dataclass_fields__})
