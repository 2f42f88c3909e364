"""The trial of the field at full length: 500 outbreaks for calibration, 200 searches. Hours on two cores."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from verification.field_trial.reliability import bands, engine, given, skill
from verification.field_trial.run import limit_table, ratio_table, worlds
from verification.field_trial.trial import asked, ratio, trial

pytestmark = pytest.mark.hours
OUTBREAKS, SEARCHES, FIRST = 500, 200, 2000


@pytest.mark.timeout(6 * 3600)
def test_hives_given_ten_to_twenty_in_a_hundred_are_infected_as_often() -> None:
    """The mean chance given lies in the 99.9 % interval of the share infected, outbreaks drawn anew, from 5 % up."""
    every = [given(seed, engine("delivered")) for seed in range(FIRST, FIRST + OUTBREAKS)]
    for band in bands(every, level=0.999):
        print(band)
        assert band.low < 0.05 or band.true
    found = skill(every)
    print(found)
    assert found.gain > 0.3  # bits for each infected hive
    assert 0.6 < found.expected < 1.5  # infected hives expected for each that is


@pytest.mark.timeout(12 * 3600)
def test_the_work_of_a_search_against_the_habits_of_today(tmp_path: Path) -> None:
    """Prints the ratios. Holds only what the trial has shown so far: counting the drive is better than not."""
    found = [trial(seed, asked(seed)) for seed in range(SEARCHES)]
    (tmp_path / "search.jsonl").write_text("".join(json.dumps(row) + "\n" for row in found))
    print(tmp_path, worlds(found), ratio_table(found), limit_table(found), sep="\n\n")
    for share in (0, 1):
        with_drive, without = (ratio(found, "one-shot", way, share) for way in ("engine", "engine, drive not counted"))
        assert with_drive.median < without.median
        assert np.isfinite(with_drive.median)
