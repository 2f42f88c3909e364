"""The ten hives to open first on the page of the case: from the stored assessment, plain HTML, stale when it is."""

from __future__ import annotations

from pathlib import Path

from tests.casework.small_case import MOMENT, make_small
from tests.web.demo_case import client_of

from ashcomb.casework.assessing import AssessAsk, assess
from ashcomb.casework.case import open_case
from ashcomb.casework.hand import fixed_hand
from ashcomb.kernel.time import Span
from ashcomb.outbreak.posterior import Effort


def test_case_page_lists_the_hives_to_open_first(tmp_path: Path):
    folder = make_small(tmp_path / "case")
    assert "No assessment is stored" in client_of(folder).get("/").text
    with open_case(folder, fixed_hand("EV", MOMENT)) as case:
        assess(case, AssessAsk(), effort=Effort(ess=100, rhat=1.2, first=400, most=400))
    page = client_of(folder).get("/")
    assert page.status_code == 200
    part = page.text[page.text.index('id="first"') : page.text.index('id="places"')]
    assert "clears no hive" in part
    assert "<script" not in part
    assert part.index("A2-1") < part.index("A1-2")
    assert "m1: 3 brood frames A1 to A2" in part
    assert "STALE" not in part
    with open_case(folder, fixed_hand("EV", MOMENT), write=True) as case:
        case.record("inspection", Span.day(MOMENT.date()), hive="A2-1", signs="none seen")
    assert "STALE" in client_of(folder).get("/").text
