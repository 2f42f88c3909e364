"""Agents: what a profile offers and when, amounts against their sources, and that nothing is chosen."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from tests.stories import vale_night as vn
from tests.stories.vale import record

from ashcomb.kernel.errors import UserError
from ashcomb.plans.agents import AgentsOrder, agents_plan
from ashcomb.plans.result import as_json
from ashcomb.records.acts import Notice
from ashcomb.records.case import ProfileConfirmed
from ashcomb.records.situation import situation_of
from ashcomb.sources.library import profile_keys, value
from ashcomb.sources.profile import load_profile, profile_ids

ORDER = AgentsOrder(apiary="A07", hives=vn.MARKS, day=date(2031, 5, 14))
OBSOLETE = ("cyan", "dichlorvos", "carbon disulphide", "hydrogen sulphide", "paris green")


def plan(name="orrow-vale", *more, confirmed=True, order=ORDER):
    profile = load_profile(name)
    papers = vn.papers(profile) if confirmed else []
    return agents_plan(situation_of([*vn.yard(), *vn.parts(), *papers, *more]), profile, order)


def offered(found):
    return [offer.agent for offer in found.offers]


def test_none_is_chosen():
    found = plan()
    assert "None is chosen" in found.verdict
    assert not [key for key in as_json(found) if "chosen" in key or "default" in key]


@pytest.mark.parametrize("name", profile_ids())
def test_unconfirmed_profiles_never_offer_petrol(name: str):
    found = plan(name, confirmed=False)
    assert "petrol" not in offered(found)
    assert not found.confirmed.met


def test_petrol_needs_a_confirmed_profile_that_allows_it_or_a_paper_that_names_it():
    assert "petrol" in offered(plan())
    assert "petrol" not in offered(plan("england"))
    order = record(Notice, "2031-05-13", mark="D-2", type="destruction order", apiary="A07", text="Kill with petrol.")
    assert "petrol" in offered(plan("england", order))
    assert "petrol" not in offered(plan("england", order, confirmed=False))
    stale = record(
        ProfileConfirmed, "2031-05-12", profile="orrow-vale", digest="old", officer="J. Marr", role="officer"
    )
    assert "petrol" not in offered(plan("orrow-vale", stale, confirmed=False))


def test_a_forbidden_agent_is_refused_and_an_unnamed_one_absent():
    profile = replace(vn.ORROW, agents={"petrol": "forbidden", "freezing": "allowed"})
    found = agents_plan(vn.night(), profile, ORDER)
    assert offered(found) == ["freezing"]
    assert found.refused == (("petrol", "forbidden by the profile"),)


@pytest.mark.parametrize("name", profile_ids())
def test_obsolete_poisons_are_nowhere(name: str):
    words = str(as_json(plan(name))).casefold()
    assert not [poison for poison in OBSOLETE if poison in words]
    assert set(offered(plan(name))) <= set(profile_keys()["agents"])


def test_doses_by_boxes_of_new_zealand():
    # American Foulbrood management agency, New Zealand, "Killing AFB colonies": 500 mL for one or two boxes, about 1 L
    # for three or four. Nine doubles and five triples: 9.5 L, with a quarter more 11.875 L.
    petrol = next(offer for offer in plan("nz").offers if offer.agent == "petrol")
    assert "2 boxes 500 mL, 3 boxes 1000 mL" in petrol.amount
    assert "9.5 L in 14 doses" in petrol.amount
    assert "12.0 L" in petrol.amount


def test_soapy_water_against_the_us_measures():
    # US customary measure: 16 cups to the gallon, 3.785411784 L to the gallon. Podcast: 2 to 3 gallons; one text: 1 cup
    # in 1 gallon; another: 1 cup in 5.
    litres, strength = (value(f"agents.soapy_water.{name}") for name in ("litres", "strength"))
    assert (litres.low, litres.high) == pytest.approx((2 * 3.785, 3 * 3.785), rel=0.01)
    assert strength.value == pytest.approx(100 / 16, rel=0.05)
    assert strength.low == pytest.approx(100 / 80, rel=0.05)
    soap = next(offer for offer in plan().offers if offer.agent == "soapy water")
    assert "140 L in all" in soap.amount


def test_what_comes_after_is_the_profiles_word():
    by_name = {offer.agent: offer for offer in plan().offers}
    assert by_name["petrol"].later == (("fuel_wet", "burn", "allowed"), ("fuel_wet", "gamma", "forbidden"),
                                       ("fuel_wet", "wax_dip", "forbidden"))  # fmt: skip
    assert ("wooden_box", "gamma", "allowed") in by_name["freezing"].later
    for offer in by_name.values():
        assert "moving" in offer.check
        assert "8 h" in offer.check


def test_hives_without_a_count_have_no_dose():
    rows = [replace(r, boxes=None) if getattr(r, "mark", "") == "A07-01" else r for r in vn.yard()]
    bare = situation_of([*rows, *vn.papers()])
    petrol = next(offer for offer in agents_plan(bare, vn.ORROW, ORDER).offers if offer.agent == "petrol")
    assert "No dose for A07-01" in petrol.amount


@pytest.mark.parametrize("hives", [(), ("Z9",)])
def test_unknown_hives_are_refused(hives: tuple[str, ...]):
    with pytest.raises(UserError):
        plan(order=replace(ORDER, hives=hives))
