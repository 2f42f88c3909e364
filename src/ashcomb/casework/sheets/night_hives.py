"""The hive table of a night and the counts that must agree at its end."""

from __future__ import annotations

from collections.abc import Sequence

from ashcomb.casework.sheets.desk import Desk
from ashcomb.casework.sheets.form import Column, Fact, Facts, Grid
from ashcomb.plans.night import NightPlan
from ashcomb.records.places import Hive

BLANK_ROWS = 13
_COLUMNS = (
    Column("hive", "mark"), Column("position", "text", 4), Column("boxes", "number"), Column("dose mL", "number"),
    Column("sealed", "plan", 2), Column("poured", "plan", 2), Column("listen 1", "plan", 2),
    Column("top-up mL", "write", 2), Column("listen 2", "write", 2), Column("dead", "tick"),
)  # fmt: skip


def hive_rows(desk: Desk, plan: NightPlan | None) -> list[tuple[str, ...]]:
    """One row a hive, in the order of the work: mark, team if there are several, position, boxes, dose, times."""
    if plan is None:
        return []
    known = desk.situation.by_mark(Hive)
    boxes, doses = dict(plan.boxes), dict(plan.fuel.doses_ml) if plan.fuel else {}
    timed = {row.hive: (team.team, row) for team in plan.teams for row in team.rows}
    found: list[tuple[str, ...]] = []
    for mark in plan.order.hives:
        team, row = timed.get(mark, (1, None))
        place = known[mark].place if mark in known else ""
        dose = f"{float(doses[mark]):g}" if mark in doses else ""
        hours = (f"{row.sealed:%H:%M}", f"{row.poured:%H:%M}", f"{row.listen:%H:%M}") if row else ("", "", "")
        count = boxes.get(mark)
        teams = (str(team),) if _many(plan) else ()
        found.append((mark, *teams, place, str(count) if count else "", dose, *hours, "", "", ""))
    return found


def hive_table(desk: Desk, plan: NightPlan | None, rows: Sequence[tuple[str, ...]], more: int, before: int) -> Grid:
    """The table, or its part after the first `before` hives; `more` hives follow on a continuation sheet."""
    total = before + len(rows) + more
    first, last = before + 1, before + len(rows)
    span = f"Hives {first} to {last} of {total}" if last > first else f"Hive {last} of {total}"
    heading = "Hives" if desk.blank else span
    lines = []
    if more:
        lines.append(f"CONTINUES on sheet 2: {more} more hive{'s' if more > 1 else ''}. Carry both sheets.")
    if before:
        lines.append(f"CONTINUATION of sheet 1, which holds the first {before} hives, the counts and the signatures.")
    lines.append(_wait_words(plan))
    spare = BLANK_ROWS if desk.blank else 0
    columns = (_COLUMNS[0], Column("team", "number"), *_COLUMNS[1:]) if _many(plan) else _COLUMNS
    return Grid(heading, columns, tuple(rows), spare=spare, lines=tuple(lines), tall=True)


def counts(plan: NightPlan | None) -> Facts:
    """The three counts that must agree, and what is left."""
    listed = str(len(plan.order.hives)) if plan else ""
    three = (Fact("Standing"), Fact("= listed", listed), Fact("= dead"), Fact("Still heard"), Fact("Counted at, by"))
    return Facts("Counts that must agree: standing = listed = dead", three, columns=5, big=True)


def _many(plan: NightPlan | None) -> bool:
    return plan is not None and len(plan.teams) > 1


def _wait_words(plan: NightPlan | None) -> str:
    used = {value.key: value for value in plan.uses} if plan else {}
    wait = used.get("kill.wait_min") or used.get("night.wait_minutes")
    after = f"{wait.value:g} min" if wait else "____ min"
    return f"Printed hours are the plan; write the true hour below. Listen no sooner than {after} after pouring."
