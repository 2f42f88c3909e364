"""What every paper is made from: the case as it stands, what is asked for, and the head that all papers share."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import TypeVar

from ashcomb.casework.case import Case
from ashcomb.casework.sheets.form import Head
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.ids import check_character
from ashcomb.kernel.time import from_utc_ms, moment_words, zone_words
from ashcomb.plans.pit import PitOrder
from ashcomb.plans.positions import anchor_of, geographic, position_of
from ashcomb.records.places import Apiary, Keeper
from ashcomb.records.situation import Situation, situation_of
from ashcomb.sources.profile import CodeProfile, load_profile

T = TypeVar("T")
CODE_LETTERS = 16  # of a case number enter its check code, with four of the seal: a code takes 22 at most


@dataclass(frozen=True, slots=True)
class SheetAsk:
    """Which paper in particular. Empty words: the index apiary, its keeper, its condemned hives, the newest night.

    day: of the night, of the release, or the last day of the round of looks.  since: first day of that round.
    teams: 0 for as many as have duties.  agent: '' for the one that the order names.  pit: None for the recorded one.
    """

    apiary: str = ""
    keeper: str = ""
    hives: tuple[str, ...] = ()
    day: date | None = None
    since: date | None = None
    teams: int = 0
    agent: str = ""
    pit: PitOrder | None = None
    consignment: str = ""
    scheme: str = ""


@dataclass(frozen=True)
class Desk:
    """A case on the desk, or nothing (case None): then every paper comes out blank."""

    case: Case | None
    ask: SheetAsk = SheetAsk()

    @property
    def blank(self) -> bool:
        """Whether the paper is to be blank."""
        return self.case is None

    @cached_property
    def situation(self) -> Situation:
        """What the records say; nothing for a blank paper."""
        return self.case.situation() if self.case else situation_of(())

    @cached_property
    def profile(self) -> CodeProfile:
        """The profile in force; the blank one for a blank paper."""
        return self.case.profile() if self.case else load_profile("blank")

    @property
    def yard(self) -> str:
        """Mark of the apiary that is asked for, or of the index apiary."""
        return self.ask.apiary or (self.case.head.index if self.case else "")

    @property
    def today(self) -> date:
        """The day that is asked for, or the present one; only for a case."""
        return self.ask.day or self.opened.now().date()

    @property
    def opened(self) -> Case:
        """The case; raises ValueError for a blank paper."""
        if self.case is None:
            raise ValueError("a blank paper has no case")
        return self.case

    def spare(self, rows: int) -> int:
        """Empty rows of a table: so many on a blank paper, none on a filled one."""
        return rows if self.blank else 0

    def attempt(self, plan: Callable[[Case], T]) -> tuple[T | None, str]:
        """A plan, or None with the words why there is none (no words for a blank paper)."""
        if self.case is None:
            return None, ""
        try:
            return plan(self.case), ""
        except UserError as error:
            return None, f"{error.what} {error.do}".strip()

    def rule(self, key: str) -> str:
        """The profile's rule in words, or ''."""
        found = self.profile.rules.get(key)
        return found.text if found else ""


def head_of(desk: Desk, yard: str = "") -> Head:
    """The head of a paper about an apiary (the one that is asked for if none is named)."""
    case = desk.case
    if case is None:
        return Head()
    mark = yard or desk.yard
    apiary = desk.situation.by_mark(Apiary).get(mark)
    seal = case.store.head()
    who = case.confirmed(desk.profile)
    confirmed = f"{who.officer} ({who.role}), {who.happened.words()}" if who else "NOBODY has confirmed it by name"
    name, checked = desk.profile.name, desk.profile.checked_on
    return Head(
        case=f"{case.head.mark} {case.head.title}".strip(),
        keeper=keeper_words(desk, (apiary.keeper if apiary else "") or case.head.keeper),
        apiary=f"{mark} {apiary.name}".strip() if apiary else mark,
        position=position_words(desk, apiary),
        access=apiary.access if apiary else "",
        landowner=f"{apiary.landowner} {apiary.landowner_phone}".strip() if apiary else "",
        profile=f"{name}, {f'read on {checked}' if checked else 'not yet read against the law'}",
        confirmed=confirmed,
        prepared=case.hand.by,
        timezone=zone_words(case.head.timezone),
        version=f"{seal.n}, {moment_words(from_utc_ms(seal.at).astimezone(case.zone))}" if seal else "",
        seal=seal.short if seal else "",
        check=check_code(case.head.mark, seal.seal if seal else ""),
    )


def check_code(mark: str, seal: str) -> str:
    """The first four digits of the seal, and a character that finds a slip in them or in the case number."""
    letters = "".join(c for c in mark.upper() if c.isascii() and c.isalnum())[-CODE_LETTERS:]
    start = seal[:4].upper()
    return f"{start}-{check_character(letters + start)}" if letters + start else ""


def keeper_words(desk: Desk, mark: str) -> str:
    """Name, address, telephone and registration of a keeper, as far as they are recorded."""
    keeper = desk.situation.by_mark(Keeper).get(mark)
    if keeper is None:
        return mark
    registration = f"reg. {keeper.registration}" if keeper.registration else ""
    return ", ".join(part for part in (keeper.name, keeper.address, keeper.phone, registration) if part)


def position_words(desk: Desk, apiary: Apiary | None) -> str:
    """The position to read out: latitude and longitude, then the local grid."""
    position = position_of(apiary) if apiary else None
    if position is None:
        return ""
    parts = []
    found = geographic(position, anchor_of(desk.situation.case))
    if found:
        lat, lon = found
        parts.append(f"{abs(lat):.5f}° {'N' if lat >= 0 else 'S'}  {abs(lon):.5f}° {'E' if lon >= 0 else 'W'}")
    if position.grid:
        parts.append(f"{position.grid[0]:.2f} E, {position.grid[1]:.2f} N km on the grid")
    if position.error_m:
        parts.append(f"± {position.error_m:g} m")
    return "; ".join(parts)
