"""Claims: the insurer's tariff as published, caps and cuts, the price list with its date, and what proves it.

Bee Diseases Insurance, rate pages of 2009 and 2025: BS brood frame 3.28 (11 of them 36.08), 1.90 in 2009 (+72.6 %);
honey 4.00 a pound up to 40 lb a hive averaged over the apiary; 25, 50 and 75 % off after claims in 2, 3, 4 years.
"""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from tests.stories import vale_night as vn
from tests.stories.vale import record

from ashcomb.kernel.errors import UserError
from ashcomb.plans.claim import Claim, make_claim
from ashcomb.records.acts import Burn
from ashcomb.records.columns import Record
from ashcomb.records.pieces import Exhibit, Loss
from ashcomb.records.places import Component
from ashcomb.records.situation import situation_of
from ashcomb.records.storage import Insurance, Price
from ashcomb.sources.library import schemes, value

DAY = date(2031, 6, 1)


def pieces(component: str, count: int, hive: str = "K1", **more: Any) -> list[Record]:
    return [
        record(Component, "2031-05-13", hive=hive, component=component, count=count, **more),
        record(Burn, "2031-05-15", hive=hive, component=component, count=count),
    ]


def claim(*rows: Record, scheme: str = "bdi2025") -> Claim:
    return make_claim(situation_of(rows), vn.ORROW, ("K1", "K2"), DAY, scheme)


def cover(years: int) -> Record:
    made: Record = record(Insurance, "2031-02-01", scheme="bdi2025", number="77", years_claimed=years, all_covered=True)
    return made


def test_eleven_brood_frames_of_the_british_standard():
    found = claim(*pieces("frame", 11, pattern="National brood", use="brood"))
    assert [(line.words, line.count, line.cents) for line in found.lines] == [("BS brood frame", 11, 328)]
    assert found.total == 3608


def test_the_tariff_rose_by_72_6_percent_in_sixteen_years():
    now, then = value("losses.bdi2025.bs_brood_frame").value, value("losses.bdi2009.bs_brood_frame").value
    assert 100 * (now / then - 1) == pytest.approx(72.6, abs=0.1)


@pytest.mark.parametrize(("component", "more", "cents"), [
    ("frame", {"pattern": "Langstroth 10 deep", "use": "brood"}, 456),
    ("frame", {"pattern": "National super", "use": "super"}, 275),
    ("frame", {"pattern": "Dadant super", "use": "super"}, 354),
    ("excluder", {"material": "plastic"}, 556), ("excluder", {"material": "wire"}, 1970),
    ("excluder", {"material": "slotted zinc sheet"}, 712), ("floor", {"material": "metal mesh"}, 4351),
    ("box", {"material": "wood"}, None), ("lid", {"material": "wood"}, None),
])  # fmt: skip
def test_the_tariff_by_thing(component: str, more: dict[str, Any], cents: int | None):
    (line,) = claim(*pieces(component, 2, **more)).lines
    assert (line.cents, line.total) == (cents, 2 * (cents or 0))


def test_honey_is_capped_by_hive_averaged_over_the_apiary():
    """30 kg and 2 kg are 70.5 lb in two hives, under the 80 lb of both; 40 kg in one hive is 88 lb, paid as 40."""
    two = claim(*pieces("frame", 9, honey_kg=30.0), *pieces("frame", 9, "K2", honey_kg=2.0))
    assert two.lines[-1].total == pytest.approx(32 / 0.45359237 * 400, abs=1)
    one = claim(*pieces("frame", 9, honey_kg=40.0))
    assert one.lines[-1].total == 40 * 400


@pytest.mark.parametrize(("years", "share"), [(0, 0.0), (1, 0.0), (2, 0.25), (3, 0.5), (4, 0.75), (7, 0.75)])
def test_claims_in_earlier_years_cut_it(years: int, share: float):
    found = claim(*pieces("frame", 100, pattern="National", use="brood"), cover(years), scheme="")
    assert found.scheme.key == "bdi2025"
    assert found.total == 32800 * (1 - share)


def test_only_what_burned_is_claimed():
    rows = [
        record(Component, "2031-05-13", hive="K1", component="frame", count=20, pattern="National", use="brood"),
        record(Burn, "2031-05-15", hive="K1", component="frame", count=11),
        record(Burn, "2031-06-15", hive="K1", component="frame", count=5),
        record(Loss, "2031-05-16", hive="K1", component="frame", count=4, last_seen="shed"),
    ]
    assert claim(*rows).total == 3608


def test_the_price_list_of_the_day_values_what_no_tariff_names():
    rows = pieces("box", 3, material="wood", condition="good")
    old = record(Price, "2030-01-01", item="box", amount=20.0, currency="EUR", document="list 2030")
    new = record(Price, "2031-05-20", item="box", amount=31.5, currency="EUR", document="list 2031")
    found = claim(*rows, old, new, scheme="own")
    assert (found.total, found.currency) == (9450, "EUR")
    assert found.lines[0].basis == "list 2031, valid from Tue 20 May 2031"
    assert found.lines[0].condition == "good"
    guessed = claim(*rows, scheme="own")
    assert not {gate.name: gate.met for gate in guessed.gates}["prices"]


def test_evidence_is_named_and_its_lack_too():
    photo = record(
        Exhibit, "2031-05-14", mark="P17", about="frames of K1 before the fire", hives=("K1",), file="17.jpg"
    )
    rows = [*pieces("frame", 9), *pieces("frame", 9, "K2")]
    found = claim(*rows, photo, cover(0))
    assert ("photograph or paper P17: frames of K1 before the fire", "17.jpg") in found.evidence
    gates = {gate.name: gate for gate in found.gates}
    assert gates["photographs"].why == "No photograph or paper shows K2."
    assert gates["membership"].met


def test_an_unknown_scheme_ends_in_words_and_each_known_one_says_when_to_claim():
    with pytest.raises(UserError, match="no scheme"):
        claim(scheme="lloyds")
    for scheme in schemes().values():
        assert scheme.deadline
        assert scheme.covers
        assert scheme.asks
