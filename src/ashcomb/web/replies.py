"""From the fields of a form to the one use case that answers them."""

from __future__ import annotations

import re
from datetime import date

from ashcomb.casework import dates as dating
from ashcomb.casework import keeping, looking, pieces, releasing, tracing, zones
from ashcomb.casework import status as standing
from ashcomb.casework.case import Case
from ashcomb.casework.report import Report, Section
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.time import Span
from ashcomb.web.asked import Asked, plain_number


def status(case: Case, asked: Asked) -> Report:
    """Where the case stands."""
    return standing.status_report(case).with_sections(standing.latest_records(case))


def dates(case: Case, asked: Asked) -> Report:
    """The clocks, or what another profile would change."""
    other = asked.text("compare")
    if other:
        return dating.effect_report(dating.profile_effect(case, other))
    return dating.dates_report(dating.due_dates(case))


def trace(case: Case, asked: Asked) -> Report:
    """Forward and back."""
    return tracing.trace_report(tracing.trace_of(case, asked.text("unit"), asked.day("first"), asked.day("last")))


def zone(case: Case, asked: Asked) -> Report:
    """Who is inside."""
    radii = [plain_number(words, "Radii, km") for words in asked.several("km")]
    return zones.zone_report(zones.zone_of(case, asked.several("centres"), radii, asked.day("former_since")))


def worth(case: Case, asked: Asked) -> Report:
    """What the looks were worth."""
    return looking.worth_report(looking.looks_worth(case, asked.text("apiary"), *_round(case, asked)))


def follow(case: Case, asked: Asked) -> Report:
    """The suspicion left."""
    apiary = asked.text("apiary")
    return tracing.follow_report(tracing.suspicion_left(case, apiary), apiary or case.head.index)


def free(case: Case, asked: Asked) -> Report:
    """The confidence of freedom."""
    apiary = asked.text("apiary")
    plan = looking.freedom_at(case, apiary, *_round(case, asked), asked.whole("design"))
    return looking.freedom_report(plan, apiary or case.head.index)


def balance(case: Case, asked: Asked) -> Report:
    """The mass balance."""
    return pieces.balance_report(pieces.mass_balance(case, asked.several("hives")))


def pack(case: Case, asked: Asked) -> Report:
    """The packing."""
    boxes = tuple(_boxes(words) for words in asked.several("boxes"))
    size = re.fullmatch(r"(\d{1,5})[x×](\d{1,5})[x×](\d{1,5})", asked.text("size").replace(" ", ""))
    if not size:
        raise UserError("The outside measure cannot be read.", "Write it like 514x412x250.", "Outside, mm")
    length, width, height = map(int, size.groups())
    ask = pieces.PackAsk(boxes, length, width, height, 1 if asked.flag("singles") else 2)
    return pieces.packing_report(pieces.packing(case, ask))


def certificates(case: Case, asked: Asked) -> Report:
    """Certificates against what was sent."""
    return pieces.certificates_report(pieces.certificates(case))


def treatments(case: Case, asked: Asked) -> Report:
    """Treatments against the profile."""
    return pieces.treatments_report(pieces.treatments(case))


def release(case: Case, asked: Asked) -> Report:
    """The gates of a release."""
    return releasing.release_report(releasing.release_of(case, asked.text("apiary"), asked.day("day")))


def hobby(case: Case, asked: Asked) -> Report:
    """The short case of a small keeper."""
    return releasing.hobby_report(releasing.hobby_of(case, asked.text("keeper"), asked.text("apiary")))


def verify(case: Case, asked: Asked) -> Report:
    """The chain of seals."""
    found = keeping.verify_case(case, asked.text("seal"))
    verdict = (
        "Every seal holds."
        if not found.faults
        else "The chain does not hold: keep this file as it is and compare it with a backup."
    )
    facts = {"seals": found.seals, "records": found.records, "head": found.head, "faults": list(found.faults)}
    sections = [Section("Faults", found.faults)] if found.faults else []
    counted = f"{found.records} records under {found.seals} seals; head {found.head[:12]}."
    return Report(
        "Seals", verdict, (Section("Checked", (counted,)), *sections, standing.latest_records(case, 100)), facts
    )


def _round(case: Case, asked: Asked) -> tuple[date, date]:
    """First and last day of a round of looks: by default from the start of the risk window until today."""
    since = asked.day("first") or (Span.parse(case.head.infectious_from).first if case.head.infectious_from else None)
    if since is None:
        raise UserError("The round has no first day.", "Fill it in, or give the case its risk window.", "First day")
    return since, asked.day("last") or case.now().date()


def _boxes(words: str) -> tuple[int, float]:
    found = re.fullmatch(r"(\d{1,5})[x×](\d{1,4}(?:\.\d{1,3})?)", words)
    if not found:
        raise UserError(f"“{words}” cannot be read.", "Write how many x how heavy, like 62x11.5.", "Boxes")
    return int(found[1]), float(found[2])
