"""The order in which a forecast opens apiaries, from a case that is dead by now."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from ashcomb.plans.forecast import ORDERS
from ashcomb.plans.scene import staged
from ashcomb.records.acts import Kill
from ashcomb.records.case import CaseHead
from ashcomb.records.looks import LabResult, Sample
from ashcomb.records.places import Apiary, Hive, Keeper
from ashcomb.records.situation import situation_of
from ashcomb.sources.profile import load_profile


@pytest.mark.parametrize("killed", ["", "2031-05-07", "2031-05-13", "2031-05-14"])
def test_nearest_to_a_case_means_where_it_stood_also_when_it_was_killed(make, killed):
    """By hand: the case stood 0.6 km from A1 and 20 km from A3."""
    records = [
        make(CaseHead, "2031-05-06", mark="K", timezone="UTC", index="A2", grid_lat=46.0, grid_lon=66.5),
        make(Keeper, mark="F", name="Firm"),
        *(make(Apiary, "2020-01-01", mark=mark, keeper="F", x_km=x, y_km=0.0)
          for mark, x in (("A1", 0.0), ("A2", 0.6), ("A3", 20.6))),
        *(make(Hive, "2028-01-01", mark=mark, apiary=apiary, holds="colony")
          for mark, apiary in (("a", "A1"), ("c", "A2"), ("d", "A3"))),
        make(Sample, "2031-05-04", mark="s1", hives=("c",), material="larva"),
        make(LabResult, "2031-05-05", sample="s1", method="culture and PCR", outcome="positive"),
    ]  # fmt: skip
    if killed:
        records.append(make(Kill, killed, hive="c", step="dead confirmed"))
    stage = staged(situation_of(records), load_profile("orrow-vale"), date(2031, 5, 14))
    assert [stage.hives[j] for j in stage.cases] == ["c"]
    far, near = stage.ground.place["A3"], stage.ground.place["A1"]
    assert ORDERS["nearest"](stage, np.array([far, near])).tolist() == [near, far]
