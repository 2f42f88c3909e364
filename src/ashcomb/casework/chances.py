"""Which chances order the looks: those of a fresh assessment by the outbreak engine, else the closed form."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from ashcomb.casework import assessment_store as store
from ashcomb.casework.assess_reports import basis, options
from ashcomb.casework.assessing import still_fresh, stored
from ashcomb.casework.case import Case
from ashcomb.casework.closed_form import Assessed, assessed
from ashcomb.kernel.errors import UserError
from ashcomb.plans.assess import CAUTION, chances_by_hive
from ashcomb.plans.followup import TRIAL

Which = Literal["best", "engine", "closed form"]
CLOSED = (
    TRIAL,
    "A chance is that at exposure, changed by every look and test since; no contact between hives is modelled.",
)


def chances_now(case: Case, apiaries: Iterable[str] = (), which: Which = "best") -> tuple[Assessed, tuple[str, ...]]:
    """The chances of the living hives of these apiaries, or of all, and in sentences what they rest on.

    which: best takes a fresh stored assessment if there is one, else the closed form. Raises UserError if the engine's
    are asked for and no fresh assessment is stored.
    """
    said = None if which == "closed form" else store.words(case.folder)
    made = stored(case) if said and still_fresh(case, said) else None
    if made:
        words = f"Chances by the outbreak engine. {basis(made)}"
        given = chances_by_hive(made.stage, made.posterior)
        return assessed(case, apiaries, given), (words, CAUTION, *options(made.ask))
    if which == "engine":
        raise UserError("No fresh assessment is stored.", "Run `ashcomb assess` first.", str(case.folder))
    why = "" if which == "closed form" else " No fresh assessment by the outbreak engine is stored."
    return assessed(case, apiaries), (f"Chances by the closed form.{why}", *CLOSED)
