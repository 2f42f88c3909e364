"""From the fields of a form to the use cases about the fate of pieces, the hold store and the claim."""

from __future__ import annotations

from ashcomb.casework import consigning, holding
from ashcomb.casework import fates as deciding
from ashcomb.casework.case import Case
from ashcomb.casework.report import Report
from ashcomb.plans.fate_build import FateAsk
from ashcomb.web.asked import Asked


def fate(case: Case, asked: Asked) -> Report:
    """What becomes of every piece."""
    ask = FateAsk(
        agent=asked.text("agent"), leave=frozenset(asked.several("leave")), store_boxes=asked.whole("room"),
        labour_h=asked.number("labour"), risk_cap=asked.number("risk"), pallets=asked.whole("pallets"),
    )  # fmt: skip
    plan = deciding.fates(case, ask, asked.several("hives"), more=asked.flag("more"))
    return deciding.fate_report(plan, asked.flag("every"))


def prepare(case: Case, asked: Asked) -> Report:
    """What must leave its hive before the kill."""
    choice = deciding.fates(case, FateAsk(agent=asked.text("agent")), more=False)
    return deciding.prepare_report(deciding.prepare_list(case, choice, asked.day("day")))


def consign(case: Case, asked: Asked) -> Report:
    """A consignment to a plant, and the hands it went through."""
    together = 1 if asked.flag("singles") else 2
    plan = consigning.consignment(case, asked.text("mark"), FateAsk(agent=asked.text("agent")), together)
    return consigning.consignment_report(plan, consigning.chain(case, plan.mark))


def holdstore(case: Case, asked: Asked) -> Report:
    """What lies in the hold store, against its book."""
    return holding.store_report(holding.store_state(case, asked.day("day") or case.today()))


def claim(case: Case, asked: Asked) -> Report:
    """What was destroyed, and what it was worth."""
    day = asked.day("day") or case.today()
    return holding.claim_report(holding.claim(case, asked.text("scheme"), asked.several("hives"), day))
