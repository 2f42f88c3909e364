"""The case itself: what it is, under which profile, who confirmed it, its milestones, and the records about records."""

from __future__ import annotations

from dataclasses import dataclass

from ashcomb.records.columns import Record, Type, col, kind

EVENTS = (
    "suspected", "confirmed", "notified", "order served", "last case", "killed", "burned", "buried",
    "inspector's visit", "zone set", "sample taken", "release",
)  # fmt: skip


@kind("case", "Case", happened="Opened on", key="mark")
@dataclass(frozen=True, slots=True, kw_only=True)
class CaseHead(Record):
    """The case: its number, place, time zone and index apiary."""

    mark: str = col(Type.MARK, "Case", "Case number", required=True, also=("case number", "case no"))
    title: str = col(Type.TEXT, "Title", "What people call it")
    timezone: str = col(Type.TEXT, "Time zone", "IANA time zone of the place", required=True, also=("timezone", "tz"))
    index: str = col(Type.MARK, "Index apiary", "Apiary of the first case", refers=("apiary",), also=("index",))
    infectious_from: str = col(
        Type.TEXT, "Infectious from", "First day of the risk window, 2030-04-10", also=("risk from",)
    )
    keeper: str = col(Type.MARK, "Keeper", "Whose outbreak it is", refers=("keeper",))
    officer: str = col(Type.TEXT, "Officer", "Who leads the case", personal=True)
    authority: str = col(Type.TEXT, "Authority", "Competent authority")
    grid_lat: float | None = col(
        Type.NUMBER, "Grid latitude", "Latitude of the local grid's zero", unit="deg", low=-90, high=90
    )
    grid_lon: float | None = col(
        Type.NUMBER, "Grid longitude", "Longitude of the local grid's zero", unit="deg", low=-180, high=180
    )


@kind("profile", "Profile", happened="Chosen on")
@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileChoice(Record):
    """The code profile that holds from now on, and why."""

    profile: str = col(Type.TEXT, "Profile", "Id of the code profile", required=True)
    reason: str = col(Type.TEXT, "Reason", "Why this profile")


@kind("confirmation", "Profile confirmations", happened="Confirmed on")
@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileConfirmed(Record):
    """An officer has read the profile against the law and answers for it by name."""

    profile: str = col(Type.TEXT, "Profile", "Id of the code profile", required=True)
    digest: str = col(Type.TEXT, "Digest", "Digest of the profile that was read", required=True)
    officer: str = col(Type.TEXT, "Officer", "Who confirms it", required=True)
    role: str = col(Type.TEXT, "Office", "In what office", required=True)


@kind("milestone", "Milestones", also=("events", "dates"), happened_also=("when", "day"))
@dataclass(frozen=True, slots=True, kw_only=True)
class Milestone(Record):
    """An event from which clocks run: suspected, confirmed, notified …, with the hour where it is known."""

    event: str = col(Type.CHOICE, "Event", "What happened", required=True, options=EVENTS, also=("what",))
    apiary: str = col(Type.MARK, "Apiary", "Where", refers=("apiary",), also=("yard", "site"))
    hive: str = col(Type.MARK, "Hive", "Which hive", refers=("hive",), also=("hive number", "hive no"))
    document: str = col(Type.TEXT, "Document", "Number of the paper that shows it", also=("document no", "reference"))
    note: str = col(Type.TEXT, "Note", "Anything else", also=("notes", "remarks"))


@kind("withdrawal", "Withdrawals")
@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawal(Record):
    """A record was wrong from the start and counts no more; the record itself stays."""

    record: str = col(Type.TEXT, "Record", "Id of the record", required=True)
    reason: str = col(Type.TEXT, "Reason", "Why it is withdrawn", required=True)


@kind("settlement", "Settlements")
@dataclass(frozen=True, slots=True, kw_only=True)
class Settlement(Record):
    """A named person settles a conflict between records: which one holds, which do not, and why."""

    holds: str = col(Type.TEXT, "Holds", "Id of the record that holds", required=True)
    against: tuple[str, ...] = col(Type.MARKS, "Against", "Ids of the records that do not hold", required=True)
    reason: str = col(Type.TEXT, "Reason", "Why", required=True)


@kind("release", "Releases", happened="Released on")
@dataclass(frozen=True, slots=True, kw_only=True)
class Release(Record):
    """A restriction was lifted, with the document that says so."""

    apiary: str = col(Type.MARK, "Apiary", "What is released", refers=("apiary",), also=("yard", "site"))
    document: str = col(Type.TEXT, "Document", "Number of the release paper", required=True)
    signed: str = col(Type.TEXT, "Signed by", "Who signed", required=True)
