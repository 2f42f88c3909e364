"""A trace through a national register: only the moves that lie on chains become words, chains and grades."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

import numpy as np

from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span, day_from_number, day_number, day_words
from ashcomb.outbreak.contacts import Start
from ashcomb.outbreak.transfers import EVIDENCE, UNKNOWN, Flags, Ints, Transfers
from ashcomb.plans.trace import TracePlan, trace
from ashcomb.plans.trace_columns import Columns, Shift
from ashcomb.plans.trace_starts import Begin, beginning
from ashcomb.records.situation import Situation
from ashcomb.sources.library import value

_COLUMNS = ("source", "target", "first", "last", "minute", "evidence", "what", "record", "lot")
_LATE = np.iinfo(np.int64).max


def national_trace(
    columns: Columns,
    situation: Situation,
    starts: Mapping[str, date] | None = None,
    since: date | None = None,
    until: date | None = None,
) -> TracePlan:
    """The trace of `trace.trace` by place, through the columns of a register; moves are named by day and places.

    situation: the records beside the moves.  Raises UserError where more moves lie on chains than can be graded.
    """
    begin = beginning(situation, starts, since, until, columns)
    which = np.flatnonzero(on_chains(columns.transfers, begin))
    most = value("trace.graded_moves")
    if len(which) > most.value:
        raise UserError(
            f"Within this window {len(which):,} moves lie on chains from {begin.words}; a list of chains and grades "
            f"is made of at most {most.value:,.0f}.",
            "Narrow the window (--from, --to, --since), or look at the chain sizes first (--sizes).",
        )
    transfers = columns.transfers
    kept = replace(transfers, **{name: getattr(transfers, name)[which] for name in _COLUMNS})
    told = Columns(kept, tuple(_shift(kept, columns.lots, move) for move in range(len(which))), (), columns.lots)
    return trace(situation, starts, since, until, told)


def on_chains(transfers: Transfers, begin: Begin) -> Flags:
    """Moves that may lie on a chain, forward or back, by shed carry-over too: no fewer than the trace uses.

    Lots and sheds are left out of account, so that everything that leaves a reached place counts. What a lot took along
    unrecorded from one shed to another starts anew there.
    """
    from ashcomb.outbreak.register import Register

    loose = replace(transfers, shed=np.zeros_like(transfers.shed), lot=np.full_like(transfers.lot, UNKNOWN))
    register, count = Register(loose), len(transfers.marks)
    until = None if begin.until is None else day_number(begin.until)
    ahead, behind = set(begin.at), set(begin.at)
    while True:
        first, last = np.full(count, _LATE), np.full(count, -_LATE)
        forward, back = register.forward(list(ahead), until), register.back(list(behind), day_number(begin.since))
        first[forward.place], last[back.place] = forward.day, back.day
        out = transfers.last >= first[transfers.source]
        into = transfers.first <= last[transfers.target]
        begins, ends = int(first.min()), int(last.max())
        more = {Start(place, begins) for place in _elsewhere(transfers, out, transfers.source, first < _LATE)}
        less = {Start(place, ends) for place in _elsewhere(transfers, into, transfers.target, last > -_LATE)}
        if more <= ahead and less <= behind:
            return out | into
        ahead, behind = ahead | more, behind | less


def _elsewhere(transfers: Transfers, counted: Flags, ends: Ints, reached: Flags) -> list[int]:
    """Places not reached at which lots of counted moves appear."""
    lots = np.unique(transfers.lot[counted & (transfers.lot != UNKNOWN)])
    return [int(place) for place in np.unique(ends[np.isin(transfers.lot, lots) & ~reached[ends]])]


def _shift(transfers: Transfers, lots: tuple[str, ...], move: int) -> Shift:
    first, last = (day_from_number(int(day[move])) for day in (transfers.first, transfers.last))
    minute = int(transfers.minute[move])
    happened = Span(first, last, None if minute == UNKNOWN else minute)
    source, target = (transfers.marks[int(end[move])] for end in (transfers.source, transfers.target))
    lot = lots[int(transfers.lot[move])] if transfers.lot[move] != UNKNOWN else ""
    told = day_words(happened.first) if happened.certain else happened.words()
    what, evidence = transfers.kinds[int(transfers.what[move])], EVIDENCE[int(transfers.evidence[move])]
    return Shift(f"move of {told} {source} to {target}", source, target, what, happened, evidence, lot, (), True)
