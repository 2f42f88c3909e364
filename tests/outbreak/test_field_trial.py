"""Quick form of the field trial: worlds the engine's laws did not make, its chances against the truth, known answers.

The full trial (500 and 200 outbreaks) is `verification/test_field_trial.py`; its figures stand in docs/.
"""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from verification.field_trial import record
from verification.field_trial.belief import Belief, left_after
from verification.field_trial.habits import HABITS, nearest
from verification.field_trial.plot import draw_reliability
from verification.field_trial.reliability import Given, bands, engine, given, skill, skill_between
from verification.field_trial.run import KINDS, band_table, kinds_table, ratio_table, rows, worlds
from verification.field_trial.search import DRIVE, OPEN, UNSEEN, Search, _next, by_chances, by_habit, one_shot
from verification.field_trial.thumb import ANYWHERE, MOST, REACH_KM, ROBBED, SAME, Thumb, _carried
from verification.field_trial.trial import ALL, PROPHET, Ratio, asked, ratio, trial
from verification.field_trial.world import World, world

from ashcomb.outbreak.layout import packed
from ashcomb.outbreak.posterior import Effort
from ashcomb.outbreak.rates import NAMES, ROUTES, rates
from ashcomb.sources.library import value

OUTBREAKS = 10
LEVEL = 0.999
SHORT = Effort(chains=2, burn=0.25, ess=1e9, first=192, most=192, kept=100)


@pytest.fixture(scope="module")
def some_world() -> World:
    return world(3)


@pytest.fixture(scope="module")
def every() -> list[Given]:
    return [given(seed, engine("delivered"), SHORT) for seed in range(9000, 9000 + OUTBREAKS)]


def within(every: list[Given]) -> bool:
    """Criterion: in every band from 2 % up the mean chance given lies in the 99.9 % interval of the share infected."""
    return all(band.true for band in bands(every, level=LEVEL) if band.low >= 0.02)


@pytest.mark.timeout(1200)
def test_chances_given_are_true_within_sampling_error(every: list[Given]) -> None:
    assert within(every)


def test_chances_ten_times_too_high_are_caught(every: list[Given]) -> None:
    assert not within([Given(g.seed, np.minimum(10.0 * g.chance + 0.05, 1.0), g.infected) for g in every])


def test_skill_of_the_truth_itself_is_one_and_of_the_base_rate_zero() -> None:
    truth = np.array([True] * 3 + [False] * 97)
    assert skill([Given(0, truth.astype(float), truth)]).brier == pytest.approx(1.0, abs=0.01)
    flat = skill([Given(0, np.full(100, 0.03), truth)])
    assert (flat.brier, flat.log, flat.gain, flat.expected) == pytest.approx((0.0, 0.0, 0.0, 1.0), abs=1e-9)


def invented(outbreaks: int, lifted: float = 1.0) -> list[Given]:
    """Chances that are true by construction, then multiplied."""
    rng = np.random.default_rng(3)
    chances = rng.beta(0.5, 20.0, (outbreaks, 60))
    return [Given(k, np.minimum(p * lifted, 1.0), rng.random(60) < p) for k, p in enumerate(chances)]


def test_intervals_of_skill_cover_as_often_as_they_say() -> None:
    """Of 200 rows of 40 outbreaks; the truth is the skill over all 8,000. Drawing anew falls a little short of 95 %."""
    every = invented(8000)
    truth, covered = skill(every), np.zeros(2)
    for first in range(0, 8000, 40):
        low, high = skill_between(every[first : first + 40], rounds=300)
        covered += [low.expected <= truth.expected <= high.expected, low.log <= truth.log <= high.log]
    assert ((covered / 200 > 0.87) & (covered / 200 <= 1.0)).all(), covered / 200


def test_twice_as_high_is_seen_beside_the_same_outbreaks() -> None:
    """Both are drawn anew together, so what lies in the outbreaks cancels."""
    true, high = invented(60), invented(60, 2.0)
    less, more = skill_between(high, true)
    assert less.expected > 0.5
    assert more.log < 0.0
    assert skill_between(true, true)[1].log == 0.0
    with pytest.raises(ValueError, match="same outbreaks"):
        skill_between(true, high[1:])
    table = kinds_table({key: [] for key in KINDS} | {"delivered": true, "sampled": high[10:]}).splitlines()
    assert [row.split("|")[2].strip() for row in table[2:]] == ["60", "50"]
    assert [row.split("|")[5].strip()[:1] for row in table[2:]] == ["", "-"]


def test_kinds_of_rates_differ_in_what_they_say() -> None:
    background = engine("delivered").rates[0]
    assert (background.mode, background.value) == ("fixed", value("outbreak.background_per_day").value)
    assert engine("background=4e-6").rates[0].value == 4e-6
    assert [r.name for r in engine("background-sampled").rates if r.mode == "sampled"] == ["background"]
    assert sum(r.mode == "sampled" for r in engine("sampled").rates) == 4


def test_bands_of_chances_that_are_true_by_construction() -> None:
    rng = np.random.default_rng(1)
    chances = rng.beta(0.3, 6.0, (300, 50))
    made = [Given(k, p, rng.random(50) < p) for k, p in enumerate(chances)]
    assert all(band.true for band in bands(made, level=LEVEL))
    assert sum(band.hives for band in bands(made)) == 300 * 50


def test_the_same_seed_makes_the_same_world_and_the_record_is_poorer(some_world: World) -> None:
    again = world(3)
    assert np.array_equal(again.signs, some_world.signs)
    assert again.now == some_world.now
    assert len(some_world.told.event_kind) < len(some_world.full.event_kind)
    assert some_world.told.event_to.max() < some_world.now
    assert some_world.signs.sum() >= 5
    assert not some_world.signs[some_world.index]
    assert (some_world.standing[some_world.signs] >= 0).all()
    assert some_world.infected[some_world.signs].all()


def test_work_is_hives_opened_and_drives(some_world: World) -> None:
    search = Search(some_world)
    here, *others = np.flatnonzero(search.open & (some_world.standing == search.here))
    away = np.flatnonzero(search.open & (some_world.standing != search.here))[0]
    for colony in (here, away, others[0]):
        search.look(int(colony))
    assert search.cost == 3 * 1 + 2 * 10


def test_a_prophet_does_the_least_work_and_habits_find_all(some_world: World) -> None:
    prophet = one_shot(some_world, PROPHET * some_world.signs, left_after((0.6, 0.99)), least=0.0)
    for key in HABITS.values():
        for renewed in (False, True):
            works = by_habit(some_world, key, renewed)
            assert works[0] <= works[1]
            assert prophet[0] <= works[0]


def test_the_next_apiary_has_the_most_expected_finds_for_the_work_and_is_opened_whole(some_world: World) -> None:
    """By trying every apiary in plain words; looks that may miss much, so that a second one counts for less."""
    rng = np.random.default_rng(2)
    left = left_after((0.05, 0.99))
    for _ in range(20):
        search = Search(some_world)
        search.here = int(rng.integers(len(some_world.xy)))
        search.looks = rng.integers(0, 3, len(search.looks))
        chance = rng.beta(0.2, 20.0, len(search.looks))
        worth = {}
        for place in range(len(some_world.xy)):
            hives = search.hives(place)
            finds = sum(
                max(chance[j], UNSEEN * left[search.looks[j]]) * (1 - left[search.looks[j] + 1] / left[search.looks[j]])
                for j in hives
            )
            if hives:
                worth[place] = finds / (len(hives) * OPEN + (DRIVE if place != search.here else 0.0))
        best = max(worth, key=lambda place: worth[place])
        assert sorted(_next(search, chance, left, True)) == search.hives(best)
        assert _next(search, chance, left, False) == [max(np.flatnonzero(search.open), key=lambda j: chance[j])]


def test_the_rule_of_thumb_by_hand(some_world: World) -> None:
    """A hive in another apiary without contacts: the floor, the fall with distance, and Bayes for a look."""
    thumb = Thumb(some_world, left_after((0.6, 0.99)))
    first, before = some_world.index, thumb.chance
    km = nearest(some_world, [first])
    plain = ANYWHERE + ROBBED * np.exp(-km / REACH_KM)
    away = np.flatnonzero((some_world.standing >= 0) & (some_world.standing != some_world.standing[first]))
    assert (before[away] >= plain[some_world.standing[away]] - 1e-12).all()
    told = some_world.told
    linked = {first, *told.give, *told.take}
    for j in [j for j in away if j not in linked][:5]:
        assert before[j] == pytest.approx(plain[some_world.standing[j]])
    j = int(away[0])
    thumb.missed(j)
    assert thumb.chance[j] == pytest.approx(before[j] * thumb.left[1] / (1 - before[j] * (1 - thumb.left[1])))
    thumb.seen(j)
    same = np.flatnonzero((some_world.standing == some_world.standing[j]) & (np.arange(len(before)) != j))
    assert (thumb.chance[same] >= np.minimum(before[same] + SAME, MOST) - 1e-12).all()
    assert before.max() <= MOST


def test_contacts_add_the_chance_that_they_carry(some_world: World) -> None:
    """By a plain loop over every contact on record, for the pairs of one of them."""
    scene, rate = some_world.told, rates()
    one = _carried(some_world)
    e = int(np.flatnonzero((np.diff(scene.give_ptr) > 0) & (scene.event_objects > 1.0))[0])
    donor, taker = int(scene.give[scene.give_ptr[e]]), int(scene.take[scene.take_ptr[e]])
    total = 0.0
    for k in range(len(scene.event_kind)):
        share = sum(scene.give_share[g] for g in range(scene.give_ptr[k], scene.give_ptr[k + 1])
                    if scene.give[g] == donor)  # fmt: skip
        if taker in scene.take[scene.take_ptr[k] : scene.take_ptr[k + 1]]:
            chance = rate.vector()[NAMES.index(ROUTES[scene.event_kind[k]])]
            total += min(chance * scene.event_objects[k] * share, 1.0)
    assert one[donor, taker] == pytest.approx(total)
    assert total > 0.0
    assert (np.diag(one) == 0.0).all()


def test_the_rule_of_thumb_finds_all_and_beats_nearest_first_over_some_worlds() -> None:
    """The median of twelve worlds in no table; the page has the figure of two hundred."""
    left, ratios = left_after((0.6, 0.99)), []
    for seed in range(2000, 2012):
        made = world(seed)
        works = by_chances(made, Thumb(made, left))
        assert works[0] <= works[1]
        ratios.append(works[1] / by_habit(made, nearest, True)[1])
    assert np.median(ratios) < 1.0


def test_nearest_is_no_distance_at_the_apiary_of_a_case(some_world: World) -> None:
    km = nearest(some_world, [some_world.index])
    assert km[some_world.standing[some_world.index]] == 0.0
    assert (km >= 0.0).all()


def test_left_after_looks_is_the_mean_over_the_range() -> None:
    chance = np.linspace(0.6, 0.99, 200_001)
    assert left_after((0.6, 0.99))[:4] == pytest.approx([((1 - chance) ** m).mean() for m in range(4)], rel=1e-4)
    assert left_after((0.8, 0.8))[:3] == pytest.approx([1.0, 0.2, 0.04])


def test_smoothed_chances_of_signs_are_those_counted_in_many_draws(some_world: World) -> None:
    """Remissions are left out of the smoothed ones, hence a little room. Without the chance that a hive infected
    nobody they came out a third too high.
    """
    belief = Belief(some_world.told, rates(), 1, (0.6, 0.99), sweeps=800, thin=8, first=2)
    others = (some_world.standing >= 0) & (some_world.standing != some_world.standing[some_world.index])
    assert belief.chance[others].sum() == pytest.approx((belief.weight @ belief.signs)[others].sum(), rel=0.15)


def test_looks_of_the_search_are_written_where_the_sampler_reads_them(some_world: World) -> None:
    belief = Belief(some_world.told, rates(), 1, (0.6, 0.99), sweeps=24, first=1)
    empty, sick = (int(j) for j in np.flatnonzero(some_world.standing >= 0)[[5, 9]])
    belief.missed(empty)
    belief.missed(empty)
    belief.seen(sick)
    changed = {name: getattr(some_world.told, name).copy() for name in ("look_worth", "look_false", "look_found")}
    changed["look_worth"][belief.slot[[empty, sick]]] = 1.0 - belief.left[[2, 1]]
    changed["look_false"][belief.slot[sick]] = value("outbreak.case_false").value
    changed["look_found"][belief.slot[sick]] = 1
    for memory, by_hand in zip(belief.memory, packed(some_world.told._replace(**changed)), strict=True):
        assert np.array_equal(memory, by_hand, equal_nan=memory.dtype == float)


def test_rows_of_one_world_are_joined_and_rare_ways_search_every_eighth(tmp_path: Path) -> None:
    first = {"seed": 8, "hives": 90, "one-shot": {"engine": [1.0, 2.0]}, "renewed": {"engine": [3.0, 4.0]}}
    later = {"seed": 8, "hives": 90, "one-shot": {}, "renewed": {"true record": [5.0, 6.0]}}
    for name, row in (("search1", first), ("search2", later)):
        (tmp_path / f"{name}.jsonl").write_text(json.dumps(row) + "\n")
    assert rows(tmp_path, "search*.jsonl") == [first | {"renewed": {"engine": [3.0, 4.0], "true record": [5.0, 6.0]}}]
    assert asked(8) == [*ALL]
    assert asked(9) == ["engine", "engine, rates sampled", "engine, fitted", "rule of thumb"]
    assert asked(9, ["true record"]) == []


def test_an_unknown_way_of_searching_is_named() -> None:
    with pytest.raises(ValueError, match="No way of searching: luck"):
        trial(3, ["luck"])


def test_ratio_of_medians_by_hand() -> None:
    rows = [{"renewed": {**{name: [10.0 * k, 1.0] for name in HABITS}, "engine": [5.0 * k, 2.0]}} for k in (1, 2, 3)]
    assert ratio(rows, "renewed", "engine", 0) == Ratio(0.5, (0.5, 0.5), 3)
    assert ratio(rows, "renewed", "engine", 1).median == 2.0


def test_no_date_of_the_record_lies_after_today(some_world: World) -> None:
    assert record.MONTH == 30
    assert (some_world.told.event_from <= some_world.told.event_to).all()


def test_the_tables_and_the_plot_can_be_made() -> None:
    truth = np.array([True] * 3 + [False] * 97)
    made = [Given(k, np.linspace(0.001, 0.5, 100), truth) for k in range(4)]
    drawn = ElementTree.fromstring(draw_reliability(bands(made), len(made)))
    assert len([shape for shape in drawn.iter() if shape.tag.endswith("circle")]) == len(bands(made))
    assert f"| {bands(made)[0].hives} |" in band_table(made)
    works = {name: [10.0, 20.0] for name in HABITS} | {"engine": [5.0, 20.0]}
    row = {
        "seed": 1,
        "hives": 90,
        "apiaries": 9,
        "signs": 5,
        "apiaries with signs": 2,
        "one-shot": works,
        "renewed": works,
    }
    assert "| renewed | 80 % | engine | 0.50 (0.50–0.50) |" in ratio_table([row])
    assert "| engine | 5 / 20 | 5 / 20 |" in worlds([row])
