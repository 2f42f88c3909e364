"""Waiting plan: vapour of the hives against a second route, laws of dose and time, and that nothing ever clears."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

import numpy as np
import pytest
from chemicals import vapor_pressure
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq
from tests.stories import vale_night as vn
from tests.stories.vale import PLACE, record

from ashcomb.kernel.errors import UserError
from ashcomb.plans.figures import Figures
from ashcomb.plans.hive_air import box_inside_l, hive_air
from ashcomb.plans.hold import MeterReading
from ashcomb.plans.result import as_json
from ashcomb.plans.waiting import WaitingOrder, waiting_plan
from ashcomb.records.acts import Kill, Weather
from ashcomb.records.places import Component, Hive
from ashcomb.records.situation import situation_of
from ashcomb.science.mixture import petrol
from ashcomb.sources.library import values
from ashcomb.sources.profile import load_profile

NOW = datetime(2031, 5, 15, 8, 0, tzinfo=PLACE)
ORDER = WaitingOrder(apiary="A07", hives=("A07-01", "A07-10"), now=NOW, temperature_c=15.0)
NIGHT = vn.night()
METER = MeterReading(percent_lel=2.0, at=NOW, read_by="NV", witness="EF")


def plan(situation=NIGHT, **changed):
    return waiting_plan(situation, vn.ORROW, replace(ORDER, **changed))


def kill(hive: str, step: str, happened: str, **fields):
    return record(Kill, happened, hive=hive, step=step, **fields)


def killed(hive: str, agent: str = "petrol", dose: float = 250.0):
    """Dosed, found dead, and quiet again the next morning."""
    return [kill(hive, "dosed", "2031-05-14T21:00", agent=agent, amount_ml=dose),
            kill(hive, "dead confirmed", "2031-05-14T21:30"),
            kill(hive, "listened: quiet", "2031-05-15T06:00")]  # fmt: skip


def flat(hive="A07-01", boxes=1, pattern="", frames=0):
    """One hive alone, so that its air is what the test says."""
    parts = [record(Component, vn.NIGHT, hive=hive, component="frame", count=frames)] if frames else []
    rest = [r for r in vn.yard() if not (isinstance(r, Hive) and r.mark == hive)]
    return situation_of(
        [*rest, record(Hive, "2030-03-01", mark=hive, apiary="A07", boxes=boxes, pattern=pattern), *parts]
    )


def test_a_sealed_hive_against_the_library_of_properties():
    """200 mL in 30 L at 20 °C: Raoult's law with the DIPPR 101 coefficients of Perry's handbook, 8th edition,
    table 2-8, from the library `chemicals`, solved by another root finder."""
    found = plan(flat(), hives=("A07-01",), dose_ml=200.0, temperature_c=20.0).slowest
    assert found.air.air_l == 30.0  # the stand-in for one box of unknown pattern
    cas = {"n_butane": "106-97-8", "isopentane": "78-78-4", "n_pentane": "109-66-0", "methylpentane_2": "107-83-5",
           "n_hexane": "110-54-3", "benzene": "71-43-2", "isooctane": "540-84-1", "n_heptane": "142-82-5",
           "toluene": "108-88-3", "m_xylene": "108-38-3", "trimethylbenzene_124": "95-63-6",
           "n_decane": "124-18-5"}  # fmt: skip
    table, kelvin, gas = vapor_pressure.Psat_data_Perrys2_8, 293.15, 8.314462618
    rows = [[float(table.at[cas[name], f"C{i}"]) for i in range(1, 6)] for name in petrol().names]
    pressure = np.array([np.exp(a + b / kelvin + c * np.log(kelvin) + d * kelvin**e) for a, b, c, d, e in rows])
    moles = petrol().moles(0.144)  # 200 mL of the mixture at 720 kg/m³
    room = pressure * 0.030 / (gas * kelvin)
    liquid = brentq(lambda n: float((moles / (n + room)).sum()) - 1, 1e-9, float(moles.sum()))
    vapour = moles * room / (liquid + room)
    percent = 100 * vapour.sum() * gas * kelvin / 0.030 / 101325
    assert found.vapour_vol_pct == pytest.approx(percent, rel=2e-3)
    assert found.liquid_ml == pytest.approx(200 * (1 - vapour @ petrol().molar_mass_kg_mol / 0.144), rel=2e-3)
    assert found.lel_multiple == pytest.approx(percent / 1.4, rel=2e-3)


@pytest.mark.parametrize(
    ("pattern", "litres"),
    [("Australia 10 deep", 40.5), ("Australia 10 WSP", 32.0), ("australia10_ideal", 24.5)],
)
def test_inside_of_boxes_against_a_suppliers_sheet(pattern: str, litres: float):
    # Australian supplier's size sheet: inside of ten-frame boxes.
    assert box_inside_l(pattern, Figures(vn.ORROW)) == pytest.approx(litres, rel=0.01)


def test_air_is_boxes_less_frames_and_honey():
    """Ten-frame deep of 40.5 L less 9 frames at 1 L less 14.2 kg honey at 1.42 kg/L."""
    alone = flat(pattern="Australia 10 deep", frames=9)
    sweet = situation_of([*alone.everything(), record(Component, vn.NIGHT, hive="A07-01", component="drum", count=0,
                                                      honey_kg=14.2)])  # fmt: skip
    figures = Figures(vn.ORROW)
    bare, full = (hive_air(s, "A07-01", figures).air_l for s in (alone, sweet))
    assert bare == pytest.approx(40.5 - 9, abs=0.1)
    assert full == pytest.approx(40.5 - 9 - 10, abs=0.1)


def test_times_go_with_the_inverse_of_the_leak_and_the_band_is_whole():
    """A stirred vessel: the same air changes, the same gas (mass balance). The band is 50 to 1000 L/h."""
    found = plan()
    assert [curve.name for curve in found.closed] == ["1000 L/h", "200 L/h", "50 L/h"]
    for hive in found.hives:
        swift, usual, slow = hive.below_clearance_h
        assert swift * 1000 == pytest.approx(usual * 200) == pytest.approx(slow * 50)
        assert all(a < b for a, b in zip(hive.below_lel_h, hive.below_clearance_h, strict=True))


@settings(max_examples=8, deadline=None)
@given(st.floats(50, 600), st.floats(1.05, 2.0), st.floats(-2, 35))
def test_more_dose_never_leaves_less_and_longer_waits_never_more(dose: float, more: float, warmth: float):
    small, large = (plan(flat(), hives=("A07-01",), dose_ml=d, temperature_c=warmth) for d in (dose, dose * more))
    for one, other in zip((*small.closed, *small.open_comb), (*large.closed, *large.open_comb), strict=True):
        a, b = (np.array(c.left_share) * p.slowest.dose_ml for c, p in ((one, small), (other, large)))
        assert np.all(b >= a * (1 - 1e-4) - 1e-6)
        assert np.all(np.diff(one.left_share) <= 1e-6)
        assert np.all(np.diff(one.vol_pct) <= 1e-6) if one.vol_pct else True
    assert large.slowest.vapour_vol_pct >= small.slowest.vapour_vol_pct * (1 - 1e-9)
    assert large.slowest.below_clearance_h[1] >= small.slowest.below_clearance_h[1] * (1 - 1e-3)


def test_more_wind_never_leaves_more_on_open_comb():
    light, calm = plan(wind_m_s=2.0).open_comb
    assert light.name == "wind 2 m/s"
    assert all(a <= b + 1e-9 for a, b in zip(light.left_share, calm.left_share, strict=True))


def test_the_floor_is_the_latest_of_rule_and_practice():
    assert plan().floor.hours == 8  # second look of the invented profile; practice is 3 h, the first wait 15 min
    fifteen = replace(vn.ORROW.values["kill.wait_min"], value=900.0, high=900.0)
    longer = replace(vn.ORROW, values=vn.ORROW.values | {"kill.wait_min": fifteen})
    assert waiting_plan(NIGHT, longer, ORDER).floor.hours == 15
    assert plan().floor.until is None


def test_recorded_doses_count_and_end_the_least_wait():
    found = plan(vn.night(*killed("A07-01"), *killed("A07-10")))
    assert {h.dose_from for h in found.hives} == {"recorded"}
    assert f"{found.floor.until:%d %H:%M}" == "15 05:00"
    assert [g.name for g in found.unmet] == ["meter reading"]


def test_nothing_ever_says_cleared():
    everything = plan(vn.night(*killed("A07-01"), *killed("A07-10")), meter=METER)
    assert not everything.unmet
    for found in (everything, plan()):
        assert found.verdict.startswith("Not cleared")
        assert not [key for key in as_json(found) if key.startswith("clear") and key != "clearance_vol_pct"]


@pytest.mark.parametrize(
    ("steps", "words"),
    [
        ([("dosed", "2031-05-14T21:00"), ("dead confirmed", "2031-05-14T21:30")], "only once"),
        ([("dead confirmed", "2031-05-14T21:30"), ("listened: quiet", "2031-05-14T22:30")], "only once"),
        ([("dosed", "2031-05-14T21:00")], "Not confirmed dead"),
        ([("dead confirmed", "2031-05-14"), ("listened: quiet", "2031-05-15")], "only once"),
    ],
)
def test_death_is_checked_twice(steps, words: str):
    found = plan(vn.night(*[kill("A07-01", step, at) for step, at in steps]), hives=("A07-01",))
    gate = next(g for g in found.gates if g.name == "dead check repeated")
    assert not gate.met
    assert words in gate.why


@pytest.mark.parametrize("meter", [None, replace(METER, percent_lel=10.0), replace(METER, witness="nv")])
def test_the_meter_needs_a_low_reading_and_two_names(meter):
    assert "meter reading" in [g.name for g in plan(meter=meter).unmet]


def test_a_small_dose_is_named_and_a_dry_one_explained():
    found = plan(dose_ml=100.0)
    assert any("A07-01 (100 of 250 mL)" in words for words in found.enough)
    dry = plan(flat(boxes=4), hives=("A07-01",), dose_ml=5.0, temperature_c=30.0)
    assert any("All evaporates" in words for words in dry.enough)


def test_cold_is_warned_and_liquid_left_clears_nothing():
    assert any("below 10 °C" in words for words in plan(temperature_c=4.0).warnings)
    assert any("sun on the hive" in words for words in plan().warnings)


def test_temperature_is_asked_recorded_or_a_stand_in_that_says_so():
    row = record(Weather, "2031-05-15T07:30", place="A07", temperature_c=6.5)
    recorded = plan(vn.night(row), temperature_c=None)
    assert recorded.temperature_c == 6.5
    stand_in = plan(temperature_c=None)
    assert stand_in.temperature_c == values()["waiting.temperature"].value
    assert any("stands in" in words for words in stand_in.assumptions)


def test_other_agents_and_blank_profiles_are_left_out():
    soapy = plan(vn.night(*killed("A07-01", agent="soapy water", dose=10000.0)))
    assert soapy.left_out == (("A07-01", "killed with soapy water, so it holds no petrol"),)
    with pytest.raises(UserError, match="profile names none"):
        waiting_plan(NIGHT, load_profile("blank"), ORDER)
    assert waiting_plan(NIGHT, load_profile("blank"), replace(ORDER, dose_ml=300.0)).hives
    with pytest.raises(UserError, match="valid range"):
        plan(temperature_c=55.0)


@pytest.mark.parametrize("dose", [0.0, -5.0])
def test_a_dose_of_nothing_is_refused(dose: float):
    with pytest.raises(UserError, match="is no dose"):
        plan(dose_ml=dose)
