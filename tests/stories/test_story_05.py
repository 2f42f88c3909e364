"""Story 5: three of ten brood frames, everything else perfect; the yard paper prints the worth of the look."""

from __future__ import annotations

import json

from tests.stories.vale import day, hives, looks, profile, vale

from ashcomb.plans.inspection import inspection
from ashcomb.plans.result import as_json

CASE = vale(*hives("A03", 1), *looks("A03", 1, "2031-05-20", brood_frames=10, frames_seen=3, frames_shaken=3))
PLAN = inspection(CASE, profile("invented"), "A03", day("2031-05-20"), day("2031-05-20"), notice=1)


def test_the_worth_is_printed():
    assert "chance to notice one diseased frame 30.0 %, two diseased frames 53.3 %" in PLAN.looks[0].words


def test_it_never_says_clean():
    printed = json.dumps(as_json(PLAN)).lower()
    for word in ("clean", "healthy", "negative", "sterile"):
        assert word not in printed
    assert "does not mean free" in printed
