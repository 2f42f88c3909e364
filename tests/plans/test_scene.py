"""Small situations whose scene is worked out by hand: each number beside its record."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from ashcomb.kernel.errors import UserError
from ashcomb.outbreak.observation import alike
from ashcomb.outbreak.rates import ROUTES
from ashcomb.outbreak.scene import FOREVER
from ashcomb.plans.scene import staged
from ashcomb.records.acts import Kill
from ashcomb.records.case import CaseHead, Milestone
from ashcomb.records.looks import Inspection, LabResult, Sample
from ashcomb.records.movements import ExtractionLot, Move
from ashcomb.records.places import Apiary, Hive, Keeper, Premises
from ashcomb.records.situation import situation_of
from ashcomb.sources.library import value
from ashcomb.sources.profile import load_profile

TODAY = date(2031, 5, 14)
DAY0 = date(2029, 5, 14)  # 24 months before, as nothing was found


@pytest.fixture
def ground(make):
    """Two apiaries 0.6 km apart with two and one hives, a third far off and empty, a honey house, a dealer."""
    return [
        make(CaseHead, "2031-05-06", mark="K", timezone="UTC", index="A1", grid_lat=46.0, grid_lon=66.5),
        make(Keeper, mark="F", name="Firm"),
        make(Apiary, "2020-01-01", mark="A1", keeper="F", x_km=0.0, y_km=0.0),
        make(Apiary, "2020-01-01", mark="A2", keeper="F", x_km=0.6, y_km=0.0),
        make(Apiary, "2020-01-01", mark="A3", keeper="", x_km=50.0, y_km=0.0),
        make(Premises, "2020-01-01", mark="HH", type="honey house"),
        make(Premises, "2020-01-01", mark="D", type="dealer"),
        make(Hive, "2028-01-01", mark="a", apiary="A1", place="row 1, number 1 from the gate", holds="colony"),
        make(Hive, "2030-04-01", mark="b", apiary="A1", place="row 1, number 2 from the gate", holds="colony"),
        make(Hive, "2028-01-01", mark="c", apiary="A2", place="by the oak", holds="colony"),
    ]


def stage(records, **how):
    return staged(situation_of(records), load_profile("orrow-vale"), TODAY, **how)


def day(text):
    return float((date.fromisoformat(text) - DAY0).days)


def event(found, kind, n=0):
    """(donors with shares, receivers, objects, outside, from, to) of the n-th event."""
    s = found.scene
    assert ROUTES[s.event_kind[n]] == kind
    gives = slice(s.give_ptr[n], s.give_ptr[n + 1])
    takes = s.take[s.take_ptr[n] : s.take_ptr[n + 1]]
    return ({found.hives[j]: float(x) for j, x in zip(s.give[gives], s.give_share[gives], strict=True)},
            [found.hives[j] for j in takes], float(s.event_objects[n]), float(s.event_outside[n]),
            float(s.event_from[n]), float(s.event_to[n]))  # fmt: skip


def test_lives_stands_and_what_is_left_out(ground):
    found = stage(ground)
    s = found.scene
    assert found.day0 == DAY0
    assert found.hives == ("a", "b", "c")
    assert s.horizon == 731  # both days included
    assert s.first.tolist() == [0.0, day("2030-04-01"), 0.0]
    assert s.before.tolist() == [value("outbreak.infected_before").value] * 3
    assert [found.places[p] for p in s.stay_place] == ["A1", "A1", "A2"]
    assert s.touching.tolist() == [[-1, 1], [0, -1], [-1, -1]]
    a1, a2 = found.ground.place["A1"], found.ground.place["A2"]
    assert s.near[s.near_ptr[a1] : s.near_ptr[a1 + 1]].tolist() == [a2]
    assert s.near_fall[0] == pytest.approx(np.exp(-0.6 / value("disease.robbing_range_km").value))
    assert found.left_out == ("Apiaries without any hive on the list, whatever may stand there: A3.",)


def test_geographic_positions_keep_their_distance(ground, make):
    # one degree of latitude at 46 N is 111.1 km on WGS84 (NGA TR8350.2: meridian arc); 0.01 degree is 1.111 km
    ground += [
        make(Apiary, "2020-01-01", mark="A4", lat=46.0, lon=66.5),
        make(Apiary, "2020-01-01", mark="A5", lat=46.01, lon=66.5),
    ]
    found = stage(ground)
    xy = found.ground.xy_km
    apart = np.hypot(*(xy[found.ground.place["A4"]] - xy[found.ground.place["A5"]]))
    assert apart == pytest.approx(1.111, abs=0.001)
    assert np.hypot(*(xy[found.ground.place["A4"]] - xy[found.ground.place["A1"]])) == pytest.approx(0.0, abs=1e-6)


def test_brood_frames_that_name_no_hive_come_from_any_and_reach_any(ground, make):
    ground.append(make(Move, "2030-07-01", mark="m1", source="A1", target="A2", what="brood frames", count_out=4))
    found = stage(ground)
    at = day("2030-07-01") + 0.5
    assert event(found, "brood frames") == ({"a": 0.5, "b": 0.5}, ["c"], 4.0, 0.0, at, at)
    assert found.events[0].words() == "m1: 4 brood frames A1 to A2, Mon 1 Jul 2030 (seen)"


def test_named_hives_narrow_giver_and_receiver(ground, make):
    ground.append(make(Move, "2030-07-01", mark="m1", source="A1", target="A2", what="brood frames", count_out=2,
                       count_in=1, note="one broke", hives=("b", "c")))  # fmt: skip
    assert event(stage(ground), "brood frames")[:3] == ({"b": 1.0}, ["c"], 1.0)


def test_open_date_stays_open(ground, make):
    ground.append(make(Move, "2030-06-01/2030-07-31", mark="m1", source="A1", target="A2", what="queens", count_out=1))
    _, _, _, _, first, last = event(stage(ground), "queens")
    assert (first, last) == (day("2030-06-01") + 0.5, day("2030-07-31") + 0.5)


def test_dealer_is_an_outside_share(ground, make):
    ground.append(make(Move, "2030-03-02", mark="m1", source="D", target="A1", what="used boxes", count_out=3))
    gives, takes, objects, outside, _, _ = event(stage(ground), "used boxes")
    assert (gives, takes, objects, outside) == ({}, ["a"], 3.0, value("outbreak.outside_infected").value)


def test_a_lot_mixes_what_came_and_nothing_else_of_the_house(ground, make):
    ground += [
        make(ExtractionLot, "2030-08-21", mark="L1", house="HH", apiaries=("A1", "A2"), supers=8),
        make(Move, "2030-08-20", mark="m1", source="A1", target="HH", what="wet supers", count_out=6, lot="L1"),
        make(Move, "2030-08-20", mark="m2", source="A2", target="HH", what="wet supers", count_out=2, lot="L1"),
        make(Move, "2030-08-20", mark="m3", source="D", target="HH", what="wet supers", count_out=9),
        make(Move, "2030-08-22", mark="m4", source="HH", target="A2", what="wet supers", count_out=5, lot="L1"),
    ]
    found = stage(ground)
    gives, takes, objects, outside, _, _ = event(found, "wet supers")
    assert gives == pytest.approx({"a": 0.375, "b": 0.375, "c": 0.25})  # 6 of 8 from two hives, 2 of 8 from one
    assert (takes, objects, outside) == (["c"], 5.0, 0.0)
    assert found.scene.give_time.tolist() == [day("2030-08-20") + 0.5] * 3  # as they were when their supers left


def test_a_house_without_lots_mixes_all_with_the_unknown(ground, make):
    ground += [
        make(Move, "2030-08-19", mark="m1", source="A2", target="HH", what="wet supers", count_out=6),
        make(Move, "2030-08-19", mark="m2", source="D", target="HH", what="wet supers", count_out=2),
        make(Move, "2030-08-22", mark="m3", source="HH", target="A1", what="dry supers", count_out=5),
    ]
    gives, takes, objects, outside, _, _ = event(stage(ground), "dry supers")
    assert gives == {"c": 0.75}
    assert outside == pytest.approx(0.25 * value("outbreak.outside_infected").value)
    assert (takes, objects) == (["a", "b"], 2.5)


def test_supers_that_only_the_lot_names_count_on_its_day(ground, make):
    ground += [
        make(ExtractionLot, "2030-08-21", mark="L1", house="HH", apiaries=("A2",), supers=8),
        make(Move, "2030-08-22", mark="m4", source="HH", target="A1", what="wet supers", count_out=5, lot="L1"),
    ]
    found = stage(ground)
    assert event(found, "wet supers")[0] == {"c": 1.0}
    assert any("A2 in L1" in words for words in found.guessed)


def test_a_named_hive_takes_its_infection_along_as_a_stay(ground, make):
    ground.append(
        make(Move, "2030-10-01", mark="m1", source="A1", target="A2", what="hives", hives=("a",), count_out=1)
    )
    found = stage(ground)
    s, at = found.scene, day("2030-10-01")
    mine = slice(s.stay_ptr[0], s.stay_ptr[1])
    assert [found.places[p] for p in s.stay_place[mine]] == ["A1", "A2"]
    assert s.stay_from[mine].tolist() == [0.0, at]
    assert s.stay_to[mine].tolist() == [at, FOREVER]
    assert len(s.event_kind) == 0
    assert found.ground.standing("A2", at) == [0, 2]


def test_an_unnamed_hive_that_the_list_begins_there_then_stood_where_it_came_from(ground, make):
    ground.append(make(Move, "2030-04-05", mark="m1", source="A2", target="A1", what="hives", count_out=1))
    found = stage(ground)
    assert found.ground.place_at(1, day("2030-04-04")) == "A2"
    assert found.ground.place_at(1, day("2030-04-05")) == "A1"
    assert found.scene.first[1] == 0.0
    assert any("b (m1)" in words for words in found.guessed)


def test_a_hive_sold_out_of_sight_is_gone(ground, make):
    ground.append(make(Move, "2030-10-01", mark="m1", source="A1", target="unknown", what="hives", hives=("a",)))
    assert stage(ground).scene.end[0] == day("2030-10-01")


def test_unnamed_nucleus_may_be_any_hive_or_the_one_that_begins_then(ground, make):
    ground.append(make(Move, "2030-04-01", mark="m1", source="A2", target="A1", what="nucleus", count_out=1))
    found = stage(ground)
    assert event(found, "nucleus")[:3] == ({"c": 1.0}, ["b"], 1.0)
    assert found.scene.before[1] == 0.0  # it came from that move
    ground.append(make(Move, "2030-06-20", mark="m2", source="A2", target="A1", what="nucleus", count_out=1))
    assert event(stage(ground), "nucleus", 1)[:3] == ({"c": 1.0}, ["a", "b"], 0.5)


def test_nothing_is_dropped_in_silence(ground, make):
    ground += [
        make(Move, "2030-07-01", mark="m1", source="A1", target="A3", what="brood frames", count_out=4),
        make(Move, "2030-07-01", mark="m2", source="A1", target="A2", what="wax", count_out=4),
        make(Move, "2028-07-01", mark="m3", source="A1", target="A2", what="queens", count_out=4),
        make(Move, "2030-07-01", mark="m4", source="A1", target="unknown", what="nucleus", count_out=4),
        make(Inspection, "2028-07-01", hive="a", signs="none seen", brood_frames=10, frames_seen=10),
        make(Sample, "2030-07-01", mark="s1", hives=("a", "c"), material="larva"),
        make(LabResult, "2030-07-04", sample="s1", method="culture", outcome="not detected"),
        make(Sample, "2030-07-01", mark="s2", hives=("a",), material="bees"),
        make(LabResult, "2030-07-04", sample="s2", method="culture", outcome="unclear"),
    ]
    found = stage(ground)
    assert len(found.scene.event_kind) == 0
    for mark in ("m1", "m2", "m3", "m4", "1 looks left out", "s1", "s2"):
        assert any(mark in words for words in found.left_out), mark


def test_inflow_of_a_day_comes_before_outflow(ground, make):
    ground += [
        make(Move, "2030-08-20", mark="a1", source="HH", target="A1", what="wet supers", count_out=2),
        make(Move, "2030-08-20", mark="b1", source="A2", target="HH", what="wet supers", count_out=2),
    ]
    found = stage(ground)
    assert event(found, "wet supers")[0] == {"c": 1.0}
    assert any("a1" in words for words in found.guessed)
    with_hours = [*ground[:-2], make(Move, "2030-08-20T09:00", mark="a1", source="HH", target="A1", what="wet supers"),
                  make(Move, "2030-08-20T15:00", mark="b1", source="A2", target="HH", what="wet supers")]  # fmt: skip
    assert event(stage(with_hours), "wet supers")[0] == {}


def test_worth_of_looks_from_frames_shaking_light_and_season(ground, make):
    full = {"brood_frames": 10, "frames_seen": 10, "frames_shaken": 10, "signs": "none seen"}
    ground += [
        make(Inspection, "2030-07-01", hive="a", **full),
        make(Inspection, "2030-07-02", hive="a", **full, light="torch"),
        make(Inspection, "2030-12-02", hive="a", **full),
        make(Inspection, "2030-07-03", hive="c", signs="none seen", brood_frames=10, frames_seen=3, frames_shaken=3),
    ]
    found = stage(ground)
    best = value("surveillance.look_sensitivity").value
    dim = value("assess.poor_light_worth").value
    # two diseased frames of ten, three seen: 1 - C(8,3)/C(10,3) = 8/15 (story 5, common practice of the 3-frame look)
    assert found.scene.look_worth.tolist() == pytest.approx([best, best * dim, 0.0, best * 8 / 15])
    assert found.scene.look_time[0] == day("2030-07-01") + 0.75
    assert found.scene.look_alike.tolist() == [0.0] * 4
    assert any("without brood" in words for words in found.guessed)


def test_findings_of_looks_tests_and_milestones(ground, make):
    ground += [
        make(Inspection, "2031-05-06", hive="a", signs="suspect", brood_frames=8, frames_seen=8, ropy=True),
        make(Inspection, "2031-05-06", hive="b", signs="suspect", brood_frames=8, frames_seen=8),
        make(Sample, "2031-05-06", mark="s1", hives=("a",), material="larva"),
        make(LabResult, "2031-05-12", sample="s1", method="culture and PCR", outcome="positive"),
        make(Milestone, "2031-05-13", event="confirmed", hive="c"),
    ]
    found = stage(ground)
    s = found.scene
    first = (TODAY - found.day0).days
    assert found.day0 == date(2029, 5, 12)  # 24 months before the first case, the laboratory's word
    assert s.horizon == first + 1
    assert s.look_found.tolist() == [1, 1, 1]
    assert s.look_false.tolist() == [value("assess.ropy_false").value, value("outbreak.suspicion_false").value,
                                     value("outbreak.case_false").value]  # fmt: skip
    assert s.pool_found.tolist() == [1]
    assert s.pool_time.tolist() == [
        float((date(2031, 5, 6) - found.day0).days) + 0.75
    ]  # day of sampling, not of report
    assert [found.hives[j] for j in found.cases] == ["a"]


def test_killed_hives_and_dead_outs(ground, make):
    ground += [
        make(Kill, "2031-05-10", hive="c", step="dead confirmed"),
        make(Hive, "2030-01-01", mark="d", apiary="A2", holds="dead-out"),
    ]
    s = stage(ground).scene
    assert s.end[2] == day("2031-05-11")
    assert s.dead[3] == day("2030-01-01") + 1
    assert s.before[3] == value("outbreak.dead_out_infected").value


def test_brood_stands_still_in_the_months_without(ground):
    found = stage(ground)
    brood = found.scene.brood
    first, last = (date(2029, 10, 31), date(2030, 3, 1))
    inside = [k for k in range(int((first - DAY0).days) + 1, int((last - DAY0).days)) if brood[k + 1] == brood[k]]
    off = [month for month in (11, 12, 1, 2) if not found.season.has_brood(date(2030, month, 1))]
    assert off
    assert len(inside) == sum({11: 30, 12: 31, 1: 31, 2: 28}[month] for month in off)


def test_unknown_laws_and_an_empty_case_are_refused(ground, make):
    with pytest.raises(UserError, match="no law of onset"):
        stage(ground, onset="weibull")
    with pytest.raises(UserError, match="no law of distance"):
        stage(ground, distance="cauchy")
    with pytest.raises(UserError, match="No hive"):
        stage([make(Keeper, mark="F", name="Firm")])


def test_an_irrelevant_apiary_changes_nothing_of_the_others(ground, make):
    before = stage(ground).scene
    more = [*ground, make(Apiary, "2020-01-01", mark="Z", x_km=90.0, y_km=0.0),
            make(Hive, "2028-01-01", mark="z", apiary="Z")]  # fmt: skip
    after = stage(more).scene
    assert after.first[:3].tolist() == before.first.tolist()
    assert after.touching[:3].tolist() == before.touching.tolist()
    assert after.stay_to[:3].tolist() == before.stay_to.tolist()


def test_a_keeper_with_one_apiary_stands_for_it(ground, make):
    ground += [
        make(Keeper, mark="N", name="Neighbour"),
        make(Apiary, "2020-01-01", mark="A9", keeper="N", x_km=3.0, y_km=0.0),
        make(Hive, "2028-01-01", mark="n", apiary="A9"),
        make(Move, "2030-07-01", mark="m1", source="A2", target="N", what="nucleus", count_out=1),
        make(Move, "2030-07-02", mark="m2", source="A2", target="F", what="nucleus", count_out=1),
    ]
    found = stage(ground)
    assert event(found, "nucleus")[:2] == ({"c": 1.0}, ["n"])
    assert len(found.events) == 1
    assert any("m1" in words for words in found.guessed)
    assert any("m2" in words for words in found.left_out)  # a firm of several apiaries: which one nobody says


def test_plants_carry_nothing_and_lots_without_a_way_back_are_named(ground, make):
    ground += [
        make(Premises, "2020-01-01", mark="IP", type="irradiation plant"),
        make(ExtractionLot, "2030-08-21", mark="L9", house="HH", apiaries=("A1",), supers=8),
        make(Move, "2030-09-01", mark="m1", source="IP", target="A2", what="wet supers", count_out=5),
    ]
    found = stage(ground)
    assert len(found.events) == 0
    assert any("m1" in words for words in found.left_out)
    assert any("L9" in words for words in found.left_out)


def test_a_find_without_frames_is_possible(ground, make):
    ground.append(make(Inspection, "2031-01-06", hive="a", signs="suspect"))
    best, unnoted = value("surveillance.look_sensitivity").value, value("outbreak.unnoted_look_worth").value
    assert stage(ground).scene.look_worth.tolist() == pytest.approx([best * unnoted])
    assert stage(ground).scene.look_alike.tolist() == [alike(None, None)]
    idle = stage([*ground, make(Inspection, "2030-12-06", hive="a", signs="none seen")]).scene
    assert (idle.look_worth[0], idle.look_alike[0]) == (0.0, 0.0)  # it says nothing, so it errs with none
    ground[-1] = make(Inspection, "2031-01-06", hive="a", signs="suspect", brood_frames=0, frames_seen=0)
    assert stage(ground).scene.look_worth.tolist() == pytest.approx([best * unnoted])
