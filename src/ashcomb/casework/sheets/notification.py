"""The notification of suspicion or confirmation to the authority."""

from __future__ import annotations

from ashcomb.casework.dates import due_dates
from ashcomb.casework.sheets.desk import Desk, head_of
from ashcomb.casework.sheets.finds import Find, class_values, class_words, finds_at
from ashcomb.casework.sheets.form import Block, Column, Facts, Framed, Grid, Sheet, Signatures, facts, filled, rows
from ashcomb.casework.sheets.ground import DEFER, clock_ground, foundations
from ashcomb.plans.clocks import Clocks
from ashcomb.plans.result import Plan
from ashcomb.records.looks import Inspection
from ashcomb.records.state import events, hives_at

CAUTION = "Nothing is moved, opened without need, killed or burned on the strength of this paper."
STATEMENT = "What is written here is true as far as I know. Corrections follow in writing."
_COLUMNS = (
    Column("Hive", "mark"), Column("State", "text"), Column("Found", "text", 3), Column("Frames seen", "number"),
    Column("Cells", "number"), Column("Class", "text"), Column("Ropy", "text"), Column("Samples, results", "text", 3),
)  # fmt: skip


def notification_sheet(desk: Desk) -> Sheet:
    """The notification for the yard of the paper."""
    dates, _ = desk.attempt(due_dates)
    finds = finds_at(desk)
    grid = Grid("Hives with signs or a positive test", _COLUMNS, rows(map(_row, finds)), spare=desk.spare(10))
    used = Plan(uses=class_values(), assumptions=(
        "A count of cells that equals a limit belongs to the lower class.",
        "Marks and counts are those of the newest look with signs.",
    ))  # fmt: skip
    blocks: list[Block] = [
        _find(desk, finds, dates), grid, _intended(desk, dates),
        Framed("Caution", (CAUTION, DEFER)),
        Signatures(("Notified by", "Received by"), STATEMENT),
        *foundations(desk.blank, used, clock_ground(dates, "notify", "destroy")),
    ]  # fmt: skip
    return Sheet("notification", "Notification of American foulbrood", head_of(desk), filled(blocks))


def _find(desk: Desk, finds: tuple[Find, ...], dates: Clocks | None) -> Facts:
    known = events(desk.situation)
    when = {name: known[name].words() if name in known else "" for name in ("suspected", "confirmed", "notified")}
    notify = dates.of("notify") if dates else None
    present = "" if desk.blank else str(len(hives_at(desk.situation, desk.yard, desk.today)))
    ill = "" if desk.blank else f"{len(finds)}: {', '.join(find.hive for find in finds)}"
    return Facts("The find", facts((
        ("To", desk.rule("notify_whom")), ("Time limit", notify.words if notify else ""),
        ("First suspected", when["suspected"]), ("Found by", _finder(desk, finds)),
        ("Confirmed by the laboratory", when["confirmed"]), ("Told before, by telephone", when["notified"]),
        ("Hives present", present), ("Hives with signs or a positive test", ill),
    )))  # fmt: skip


def _finder(desk: Desk, finds: tuple[Find, ...]) -> str:
    marks = {find.hive for find in finds}
    first = [look for look in desk.situation.rows(Inspection) if look.hive in marks and look.signs != "none seen"]
    return (first[0].inspector or first[0].by) if first else ""


def _intended(desk: Desk, dates: Clocks | None) -> Facts:
    destroy = dates.of("destroy") if dates else None
    return Facts("Next", facts((
        ("Destruction: time limit", destroy.words if destroy else ""), ("Destruction: intended day", ""),
        ("Field test, stick test, photographs", ""), ("Standstill", desk.rule("standstill")),
    )))  # fmt: skip


def _row(find: Find) -> tuple[str, ...]:
    look = find.look
    if look is None:
        return (find.hive, find.state, "", "", "", "", "", find.evidence)
    seen = "" if look.frames_seen is None else f"{look.frames_seen} of {look.brood_frames or '?'}"
    ropy = "" if look.ropy is None else "yes" if look.ropy else "no"
    cells = "" if look.cells is None else str(look.cells)
    words = f"{look.happened.words()}, {look.signs}"
    return (find.hive, find.state, words, seen, cells, class_words(look.cells), ropy, find.evidence)
