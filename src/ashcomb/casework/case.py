"""Opens and makes cases: a folder with the record store, the case's own profiles, imports and papers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import cached_property
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from ashcomb.casework.hand import Hand
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span, from_utc_ms, zone
from ashcomb.records.case import CaseHead, ProfileConfirmed
from ashcomb.records.codec import build
from ashcomb.records.columns import KINDS, Record
from ashcomb.records.registry import Registry
from ashcomb.records.situation import Situation
from ashcomb.records.state import confirmation, profile_in_force
from ashcomb.sources.profile import CodeProfile, load_profile
from ashcomb.store.seal import Seal
from ashcomb.store.sqlite import Store

STORE_FILE = "case.db"
DEMO_CLOCK = "demo-clock"


@dataclass
class Case:
    """An open case. Everything that is written goes through `write`."""

    folder: Path
    store: Store
    hand: Hand
    _now: Situation | None = field(default=None, init=False, repr=False)  # read once until something is written

    def __enter__(self) -> Case:
        return self

    def __exit__(self, *_: object) -> None:
        self.store.close()

    def situation(self, as_of: int | None = None) -> Situation:
        """What the records say now, or as of UTC milliseconds `as_of`.

        Now is never before any seal, so that a clock that is wrong hides no record.
        """
        if as_of is not None:
            return self.store.situation(as_of)
        head = self.store.head()
        if self._now is None or head is None or self._now.seal != head.seal:
            self._now = self.store.situation(max(self.hand.now_ms(), self.store.latest()))
        return self._now

    def today(self) -> date:
        """The day in the case's time zone, never before the day on which something was sealed."""
        ms = max(self.hand.now_ms(), self.store.latest())
        return from_utc_ms(ms).astimezone(self.zone).date()

    @cached_property
    def head(self) -> CaseHead:
        """The head of the case; raises UserError if the store holds none."""
        head = self.situation().case
        if head is None:
            raise UserError("This store holds no case.", "Make one with `ashcomb new`.", str(self.folder))
        return head

    @property
    def zone(self) -> ZoneInfo:
        """The time zone of the case."""
        return zone(self.head.timezone)

    def now(self) -> datetime:
        """The present moment in the case's time zone."""
        return self.hand.now(self.zone)

    def profile(self, name: str = "") -> CodeProfile:
        """The code profile in force, or the one named; raises UserError when none was chosen or it is unknown."""
        choice = profile_in_force(self.situation())
        if not name and choice is None:
            raise UserError(
                "No code profile was chosen.", "Choose one with `ashcomb profile CASE NAME`.", str(self.folder)
            )
        return load_profile(name or choice.profile, self.folder)  # type: ignore[union-attr]

    def confirmed(self, profile: CodeProfile) -> ProfileConfirmed | None:
        """Who confirmed the profile in this wording, or None."""
        return confirmation(self.situation(), profile.id, profile.digest)

    def confirmed_before(self, profile: CodeProfile) -> ProfileConfirmed | None:
        """Who last confirmed the profile in another wording than today's, or None."""
        if self.confirmed(profile):
            return None
        rows = [row for row in self.situation().rows(ProfileConfirmed) if row.profile == profile.id]
        return max(rows, key=lambda row: (row.happened.last, row.received), default=None)

    def make(self, kind: str, happened: Span, *, evidence: str = "seen", corrects: str = "", **fields: Any) -> Record:
        """A new record by this hand, checked in itself but not yet written."""
        now = self.hand.now_ms()
        return build(KINDS[kind], fields, id=self.hand.new_id(), happened=happened, noted=now, received=now,
                     by=self.hand.by, device=self.hand.device, evidence=evidence, corrects=corrects)  # fmt: skip

    def write(self, records: Sequence[Record], what: str) -> Seal:
        """Appends checked records and seals them; returns once the disk has them."""
        return self.store.append(records, at=self.hand.now_ms(), by=self.hand.by, what=what, salt=self.hand.salt)

    def record(self, kind: str, happened: Span, **fields: Any) -> Record:
        """Makes, checks against everything known, writes and seals one record; raises UserError naming the fault."""
        record = self.make(kind, happened, **fields)
        faults = Registry(self.situation().everything(), self.today()).faults(record)
        if faults:
            raise UserError(faults[0].what, faults[0].do, f"{faults[0].sheet}, {faults[0].column}")
        self.write([record], f"{kind} recorded")
        return record


def new_case(
    folder: Path, hand: Hand, *, mark: str, timezone: str, profile: str, title: str = "", reason: str = "", **head: Any
) -> Case:
    """A new case in a new or empty folder, under a code profile; raises UserError for an unknown zone or
    profile, or a risk window that begins on no date.
    """
    zone(timezone)
    load_profile(profile, folder)
    if head.get("infectious_from"):
        Span.parse(head["infectious_from"])
    case = Case(folder, Store.create(folder / STORE_FILE), hand)
    today = Span.day(hand.now(zone(timezone)).date())
    records = [
        case.make("case", today, mark=mark, title=title, timezone=timezone, **head),
        case.make("profile", today, profile=profile, reason=reason or "chosen when the case was opened"),
    ]
    case.write(records, f"case {mark} opened")
    return case


def open_case(folder: Path, hand: Hand, *, write: bool = False) -> Case:
    """The case in that folder (or the folder of that store file); raises UserError if there is none."""
    if folder.is_file():
        folder = folder.parent
    store = Store.open(folder / STORE_FILE, write=write)
    return Case(folder, store, standing_clock(folder, hand, store.head()))


def standing_clock(folder: Path, hand: Hand, newest: Seal | None = None) -> Hand:
    """The same hand, but with the clock of an invented case standing at the moment that its folder names.

    A demo is set on days of its own; the file `demo-clock` holds the moment (ISO 8601) at which its story stands.
    It stands a millisecond after the newest seal if that is later, so that what is written there keeps its order.
    """
    file = folder / DEMO_CLOCK
    if not file.is_file():
        return hand
    moment = round(datetime.fromisoformat(file.read_text("utf-8").strip()).timestamp() * 1000)
    stands = max(moment, newest.at + 1) if newest else moment
    return replace(hand, now_ms=lambda: stands)


def choose_profile(case: Case, name: str, reason: str) -> Record:
    """Puts another code profile into force."""
    load_profile(name, case.folder)
    return case.record("profile", Span.day(case.now().date()), profile=name, reason=reason)


def confirm_profile(case: Case, officer: str, role: str, day: date | None = None) -> Record:
    """An officer answers by name for the profile in force, in just its present wording."""
    if not officer.strip() or not role.strip():
        raise UserError("A profile is confirmed by a named person in a named office.", "Give both name and office.")
    profile = case.profile()
    words = {"profile": profile.id, "digest": profile.digest, "officer": officer, "role": role}
    return case.record("confirmation", Span.day(day or case.now().date()), **words)
