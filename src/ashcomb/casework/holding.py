"""The hold store of a case, and claims for what was destroyed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from ashcomb.casework.case import Case
from ashcomb.casework.report import Report, Section, Table, report, table
from ashcomb.kernel.time import day_words
from ashcomb.kernel.words import several
from ashcomb.plans.claim import Claim, make_claim
from ashcomb.plans.hold_store import HoldStore, hold_store
from ashcomb.plans.result import Gate
from ashcomb.records.state import condemned


def store_state(case: Case, day: date | None = None) -> HoldStore:
    """Every store as of a day (today by default)."""
    return hold_store(case.situation(), case.profile(), day or case.now().date())


def claim(case: Case, scheme: str = "", hives: Sequence[str] = (), day: date | None = None) -> Claim:
    """The claim for these hives (all condemned ones by default)."""
    situation = case.situation()
    return make_claim(situation, case.profile(), hives or condemned(situation), day or case.now().date(), scheme)


def store_report(plan: HoldStore) -> Report:
    """The stores in words."""
    sections = [Section("Conditions", (), _gates(plan.gates))]
    for store in plan.stores:
        looked = f"last looked at {day_words(store.last_check)}" if store.last_check else "never looked at"
        told = (f"{several(store.pieces, 'piece')}; {looked}; next look by {day_words(store.next_check)}.",
                f"Robbing risk {store.risk}: {' '.join(store.reasons)}", *store.differences)  # fmt: skip
        rows = [(x.owner, x.component, x.count, x.spot, x.wrap, day_words(x.since), x.days,
                 "" if x.taken is None else x.taken) for x in store.lines]  # fmt: skip
        columns = ("Whose", "What", "Pieces", "Spot", "Wrap", "Since", "Days", "Last count")
        sections.append(Section(f"Store {store.store or 'unnamed'}", told, table(columns, rows, right=(2, 6, 7))))
    return report("Hold store", plan.verdict, sections, plan)


def claim_report(plan: Claim) -> Report:
    """The claim in words."""
    rows = [(x.words, x.count, x.unit, "not covered" if x.cents is None else f"{x.cents / 100:.2f}",
             f"{x.total / 100:.2f}", x.basis, x.condition) for x in plan.lines]  # fmt: skip
    total = [("Sum", f"{plan.subtotal / 100:,.2f}"), (f"Cut for earlier claims, {float(plan.cut_share):.0%}",
             f"–{plan.cut / 100:,.2f}"), (f"Claimed, {plan.currency}", f"{plan.total / 100:,.2f}")]  # fmt: skip
    sections = [
        Section(plan.scheme.title, scheme_words(plan)),
        Section("Conditions", (), _gates(plan.gates)),
        Section("Destroyed", (), table(
            ("What", "Count", "", "Each", "Sum", "Price from", "Condition"), rows, right=(1, 3, 4))),
        Section("Sum", (), table(("", plan.currency or "money"), total, right=(1,))),
        Section("Evidence", (), table(("What", "Where"), plan.evidence)),
    ]  # fmt: skip
    return report("Claim", plan.verdict, [s for s in sections if s.lines or (s.table and s.table.rows)], plan)


def scheme_words(plan: Claim) -> tuple[str, ...]:
    """What the scheme covers, when to claim, what it asks for."""
    return plan.scheme.covers, plan.scheme.deadline, f"It asks for: {'; '.join(plan.scheme.asks)}."


def write_claim_sheet(plan: Claim, file: Path) -> Path:
    """The claim as a spreadsheet: lines, sums and evidence on three sheets, sums as formulas; returns the file."""
    from openpyxl import Workbook

    book = Workbook()
    lines = book.active
    assert lines is not None
    lines.title = "Destroyed"
    lines.append(["What", "Count", "Unit", "Each", "Sum", "Price from", "Hives", "Condition"])
    for x in plan.lines:
        row = lines.max_row + 1
        each = None if x.cents is None else x.cents / 100
        whole = x.words != "honey"  # honey is paid by fractions of a pound
        sum_ = f"=B{row}*D{row}" if each is not None and whole else x.total / 100
        lines.append([_plain(x.words), x.count, x.unit, each, sum_, _plain(x.basis), " ".join(x.hives),
                      _plain(x.condition)])  # fmt: skip
    sums = book.create_sheet("Sum")
    last = max(2, lines.max_row)
    sums.append(["Scheme", plan.scheme.title])
    sums.append(["Currency", plan.currency])
    sums.append(["Membership or policy", _plain(plan.number)])
    sums.append(["Valued on", plan.day.isoformat()])
    sums.append(["Sum", f"=SUM(Destroyed!E2:E{last})"])
    sums.append(["Cut for earlier claims", float(plan.cut_share)])
    sums.append(["Claimed", "=B5*(1-B6)"])
    sums.append(["Deadline", plan.scheme.deadline])
    proof = book.create_sheet("Evidence")
    proof.append(["What", "Where"])
    for what, where in plan.evidence:
        proof.append([_plain(what), _plain(where)])
    book.save(file)
    return file


def _plain(words: str) -> str:
    """Words that no spreadsheet takes for a formula."""
    return f"'{words}" if words[:1] in ("=", "+", "-", "@") else words


def _gates(gates: Sequence[Gate]) -> Table:
    return table(
        ("Condition", "", "Why", "Who"), [(g.name, "met" if g.met else "NOT MET", g.why, g.who) for g in gates]
    )
