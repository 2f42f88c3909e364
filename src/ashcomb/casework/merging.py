"""Brings together what several phones and people recorded: hand-over files in, conflicts shown, nothing overwritten."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from ashcomb.casework.case import Case
from ashcomb.kernel.errors import AshcombError, Problem, UserError
from ashcomb.kernel.time import Span
from ashcomb.records.codec import check, from_json, to_json
from ashcomb.records.columns import Record
from ashcomb.records.state import Conflict, conflicts

FORMAT = "ashcomb-handover-1"


@dataclass(frozen=True, slots=True)
class MergeResult:
    """What a merge did. problems: lines that were refused, each with what to do.  conflicts: all that are open now."""

    taken: int
    already_there: int
    problems: tuple[Problem, ...]
    conflicts: tuple[Conflict, ...]


def write_handover(records: Iterable[Record], file: Path, device: str) -> int:
    """Writes records as a hand-over file (one JSON object a line); returns how many."""
    lines = [json.dumps({"format": FORMAT, "device": device})]
    lines += [json.dumps(to_json(record), ensure_ascii=False) for record in records]
    file.write_text("\n".join(lines) + "\n", "utf-8")
    return len(lines) - 1


def merge(case: Case, files: Iterable[Path]) -> MergeResult:
    """Takes every record of the hand-over files that is not there yet; a record once taken is never changed.

    The same id with the same words is left alone. The same id with other words is refused and named: one of the two
    was altered. Conflicts between records are not settled here but shown.
    """
    known = {record.id: record for table in case.situation().tables.values() for record in table.records}
    fresh: dict[str, Record] = {}
    problems: list[Problem] = []
    already = 0
    for file in files:
        for line, record in _read(file, case.hand.now_ms(), problems):
            twin = known.get(record.id) or fresh.get(record.id)
            if twin is None:
                fresh[record.id] = record
            elif to_json(twin) == to_json(record):
                already += 1
            else:
                what = f"Record {record.id} says something else than the record of that id that is here already."
                problems.append(
                    Problem(what, "Find out which was altered; add the right words as a correction.", file.name, line)
                )
    if fresh:
        case.write(sorted(fresh.values(), key=lambda record: record.id), "hand-over merged")
    return MergeResult(len(fresh), already, tuple(problems), tuple(conflicts(case.situation())))


def settle(case: Case, conflict: Conflict, holds: str, reason: str) -> Record:
    """A named person says which record of a conflict holds, and why."""
    ids = [record.id for record in conflict.records]
    if holds not in ids or not reason.strip():
        raise UserError("A conflict is settled by naming the record that holds and the reason.",
                        f"Choose one of {', '.join(ids)} and give a reason.")  # fmt: skip
    against = tuple(key for key in ids if key != holds)
    return case.record("settlement", Span.day(case.now().date()), holds=holds, against=against, reason=reason)


def settle_by_record(case: Case, holds: str, reason: str) -> str:
    """Settles the open conflict to which the record belongs; returns the question that it answered."""
    for conflict in conflicts(case.situation()):
        if holds in [record.id for record in conflict.records]:
            settle(case, conflict, holds, reason)
            return conflict.question()
    raise UserError(f"Record {holds} is in no open conflict.", "See `ashcomb status` for the open ones.")


def hand_over(case: Case, file: Path, device: str = "") -> int:
    """Writes all records of the case (or those of one device) as a hand-over file; returns how many."""
    tables = case.situation().tables.values()
    records = [record for table in tables for record in table.records if not device or record.device == device]
    return write_handover(records, file, device or case.hand.device)


def _read(file: Path, received: int, problems: list[Problem]) -> Iterable[tuple[int, Record]]:
    try:
        lines = file.read_text("utf-8").splitlines()
        head = json.loads(lines[0]) if lines else {}
    except FileNotFoundError:
        raise UserError("There is no such file.", "Check the name and the folder.", str(file)) from None
    except (UnicodeDecodeError, json.JSONDecodeError):
        raise UserError("This is no hand-over file.", "Write it again with `ashcomb handover`.", str(file)) from None
    if not isinstance(head, dict) or head.get("format") != FORMAT:
        raise UserError(
            "This is no hand-over file of this version.", "Write it again with `ashcomb handover`.", str(file)
        )
    for number, line in enumerate(lines[1:], start=2):
        try:
            record = from_json(json.loads(line), received)
            faults = check(record)
        except (AshcombError, ValueError, TypeError) as error:
            why = "it is cut off or damaged." if isinstance(error, json.JSONDecodeError) else str(error)
            faults = [Problem(f"This line cannot be read: {why}", "Write the file again; the other lines were taken.")]
            record = None
        problems += [replace(fault, sheet=file.name, row=number) for fault in faults]
        if record is not None and not faults:
            yield number, record
