"""Which notices, orders and permits bind a place on a day."""

from __future__ import annotations

from datetime import date

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span
from ashcomb.records.acts import Notice
from ashcomb.records.situation import Situation


def valid_notices(situation: Situation, kind: str, apiary: str | None, day: date) -> tuple[Notice, ...]:
    """The notices of one type (records.acts.NOTICES) that hold on that day and name the apiary, or none. None: any.

    An empty end holds until told otherwise. An end that is no date does not hold, because nobody can check it.
    """
    return tuple(
        notice
        for notice in situation.rows(Notice)
        if notice.type == kind
        and (apiary is None or notice.apiary in ("", apiary))
        and notice.happened.last <= day
        and _holds(notice, day)
    )


def _holds(notice: Notice, day: date) -> bool:
    if not notice.until:
        return True
    try:
        return day <= Span.parse(notice.until).last
    except UserError:
        return False
