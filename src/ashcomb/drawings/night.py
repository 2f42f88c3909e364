"""One night as a time line: sun, curfew and window above, each team's steps hive by hive below."""

from __future__ import annotations

from datetime import datetime, timedelta

from ashcomb.drawings.axes import Clock
from ashcomb.drawings.svg import DASH_DOT, DASHED, DOTTED, EDGE, INK, LETTER, LONG, SMALL, WIDTH, Drawing
from ashcomb.kernel.time import day_words
from ashcomb.plans.night import NightPlan
from ashcomb.plans.night_timeline import TeamNight

LEFT, RIGHT = EDGE + 62, WIDTH - EDGE - 4
ROW, BAR = 15.0, 10.0
SPARE = timedelta(minutes=15)
STEPS = (("seal", "ground"), ("pour", INK), ("wait", ""), ("listen", "cross"), ("second dose", "walls"))


def night_line(plan: NightPlan) -> str:
    """The time line of one night; without a dark window it says so and draws no invented hour."""
    order = plan.order
    title = f"Night of {day_words(order.day)} at {order.apiary}"
    drawing = Drawing("night", title, f"{plan.verdict} {plan.window.words}")
    state = "Ready as far as the records go." if plan.ready else "NOT READY."
    top = drawing.heading(title, f"{plan.verdict} {state}") + 8
    if plan.window.begins is None or not plan.teams:
        line = drawing.paragraph((EDGE, top), plan.window.words)
        return drawing.render(drawing.caution(line + 6, plan.cautions))
    begins, ends = _span(plan)
    x = Clock(begins, ends, LEFT, RIGHT)
    marks = [mark for mark in _marks(plan) if begins <= mark[0] <= ends]
    head = top + ROW * len(marks) + 16
    bottom = head + 24 + sum(_high(team) for team in plan.teams)
    _axis(drawing, x, head, bottom)
    for n, (moment, words, dash, weight) in enumerate(marks):
        y = top + ROW * n
        drawing.line((x(moment), y + 5), (x(moment), bottom), dash=dash, weight=weight, kind=words.split(" ")[0])
        right = x(moment) > (LEFT + RIGHT) / 2
        drawing.text((x(moment), y), f"{words} {moment:%H:%M}", size=SMALL, anchor="end" if right else "start")
    y = head + 24
    for team in plan.teams:
        _team(drawing, team, x, y)
        y += _high(team)
    line = _legend(drawing, plan, ends, bottom + 26)
    return drawing.render(drawing.caution(line + 4, plan.cautions))


def _span(plan: NightPlan) -> tuple[datetime, datetime]:
    window = plan.window
    assert window.begins is not None
    first = window.sunset or window.begins
    last = max(filter(None, [plan.finish, window.begins + timedelta(hours=1)]))
    if plan.limit and plan.limit - last < timedelta(hours=2):
        last = max(last, plan.limit)
    return first - SPARE, last + SPARE


def _marks(plan: NightPlan) -> list[tuple[datetime, str, str, float]]:
    """Moments with words, dash and width of their line, in order of time."""
    window = plan.window
    limit = plan.limit_name.removeprefix("the ").removesuffix(" is").removesuffix(" at")
    closes = window.ends if plan.limit != window.ends else None
    found = (
        (window.sunset, "sunset", DOTTED, 1.4), (window.dusk, "dusk", DOTTED, 1.4),
        (window.begins, "earliest sealing", "", 1.4), (plan.finish, "last listening ends", DASHED, 1.4),
        (plan.limit, limit, DASH_DOT, 2.6), (closes, "window closes", LONG, 1.4),
        (window.next_flight, "bees may fly", DOTTED, 1.4),
    )  # fmt: skip
    return sorted((at, words, dash, weight) for at, words, dash, weight in found if at)


def _axis(drawing: Drawing, x: Clock, head: float, bottom: float) -> None:
    drawing.line((LEFT, head), (RIGHT, head), weight=1.4)
    for tick in x.ticks(8):
        drawing.line((x(tick), head - 4), (x(tick), head))
        drawing.line((x(tick), head + 18), (x(tick), bottom), weight=0.3)
        drawing.text((x(tick), head + 14), f"{tick:%H:%M}", size=SMALL, anchor="middle")


def _high(team: TeamNight) -> float:
    return ROW * (len(team.rows) + len(team.topups) + 1) + 10


def _team(drawing: Drawing, team: TeamNight, x: Clock, y: float) -> None:
    drawing.text((EDGE, y + 11), f"Team {team.team}: {len(team.rows)} hives, {float(team.minutes):g} min, ends "
                                 f"{team.finish:%H:%M}", size=SMALL, bold=True)  # fmt: skip
    y += ROW
    listens = [*(row.listen for row in team.rows[1:]), team.topups[0].pour_from if team.topups else team.finish]
    for row, done in zip(team.rows, listens, strict=True):
        drawing.text((LEFT - 5, y + 10), row.hive, size=_fitting(row.hive), anchor="end")
        _bar(drawing, x, y, row.seal_from, row.sealed, "ground", "seal")
        _bar(drawing, x, y, row.pour_from, row.poured, INK, "pour")
        drawing.line((x(row.poured), y + BAR / 2 + 1), (x(row.may_listen), y + BAR / 2 + 1), weight=1.6, kind="wait")
        _bar(drawing, x, y, row.listen, done, "cross", "listen")
        y += ROW
    seconds = [*(top.listen for top in team.topups[1:]), team.finish]
    for top, done in zip(team.topups, seconds[: len(team.topups)], strict=True):
        drawing.text((LEFT - 5, y + 10), "2nd dose", size=SMALL, anchor="end")
        _bar(drawing, x, y, top.pour_from, top.poured, "walls", "top-up")
        drawing.line((x(top.poured), y + BAR / 2 + 1), (x(top.may_listen), y + BAR / 2 + 1), weight=1.6, kind="wait")
        _bar(drawing, x, y, top.listen, done, "cross", "listen")
        y += ROW


def _fitting(mark: str) -> float:
    """Height of letters at which a mark fits beside its row."""
    return min(SMALL, (LEFT - EDGE / 2) / (max(len(mark), 1) * LETTER))


def _bar(drawing: Drawing, x: Clock, y: float, start: datetime, end: datetime, fill: str, kind: str) -> None:
    drawing.box(x(start), y + 1, max(x(end) - x(start), 1.2), BAR, fill=fill, weight=0.8, kind=kind)


def _legend(drawing: Drawing, plan: NightPlan, ends: datetime, line: float) -> float:
    at = EDGE
    for words, fill in STEPS:
        if fill:
            drawing.box(at, line - 10, 24, BAR, fill=fill, weight=0.8)
        else:
            drawing.line((at, line - 5), (at + 24, line - 5), weight=1.6)
        drawing.text((at + 30, line), words, size=SMALL, halo=False)
        at += 60 + 7 * len(words)
    line += 22
    later = [f"{words} {moment:%H:%M}" for moment, words, _, _ in _marks(plan) if moment > ends]
    if later:
        line = drawing.paragraph((EDGE, line), f"Beyond this drawing: {', '.join(later)}.")
    if plan.order.agent not in ("", "petrol"):
        line = drawing.paragraph((EDGE, line), plan.notes[0])
    for other in plan.alternatives:
        line = drawing.paragraph((EDGE, line), f"Fits: {other.words} {other.warning}".strip())
    return line
