"""What a question is worth, against decisions worked by hand."""

from __future__ import annotations

import numpy as np
import pytest
from verification.tiny import dated

from ashcomb.outbreak import questions
from ashcomb.outbreak.posterior import Draws, Effort, sample
from ashcomb.outbreak.questions import Field

CHAINS, EACH = 4, 4000


def independent(scene, chances, seed=1):
    """Draws in which each colony is infected from day 5 with its own chance and shows signs from day 9."""
    gen = np.random.default_rng(seed)
    sick = gen.random((CHAINS * EACH, len(chances))) < np.array(chances)
    draw, colony = np.nonzero(sick)
    rows = len(draw)
    return Draws(
        draw=draw, colony=colony, source=np.full(rows, -1), infector=np.full(rows, -1), time=np.full(rows, 5.0),
        onset=np.full(rows, 9.0), turn=np.ones(rows), length=np.zeros(rows), rates=np.full((len(sick), 19), 0.5),
        opened=np.zeros(0, dtype=np.int64), dates=np.zeros((len(sick), 0)), chain=np.repeat(np.arange(CHAINS), EACH),
    )  # fmt: skip


@pytest.fixture(scope="module")
def scene():
    return dated("no looks")[0]


NONE = np.zeros(0, dtype=np.int64)


def test_a_perfect_look_at_the_second_hive(scene):
    """One hive comes next. It holds 0.5 as things stand; with the answer 0.4 × 1 + 0.6 × 0.5 = 0.7: 0.2 more."""
    draws = independent(scene, (0.5, 0.4, 0.1, 0.1))
    field = Field.of(scene, draws, NONE, 1, 50)
    found = questions.worth(draws, field, questions.look_answers(scene, draws, 1, 1.0, 0.0))
    assert found.gain == pytest.approx(0.2, abs=4 * found.error)
    assert found.error < 0.02
    assert found.chance[0] == pytest.approx(0.4, abs=0.02)
    assert found.changed == pytest.approx(0.4, abs=0.02)


def test_a_poor_look_is_worth_less(scene):
    """Sensitivity 0.5: seen with 0.2, then 1; else 0.25 of hive two against 0.5 of hive one: 0.2 + 0.8 × 0.5 - 0.5."""
    draws = independent(scene, (0.5, 0.4, 0.1, 0.1))
    field = Field.of(scene, draws, NONE, 1, 50)
    found = questions.worth(draws, field, questions.look_answers(scene, draws, 1, 0.5, 0.0))
    assert found.gain == pytest.approx(0.1, abs=4 * found.error)


def test_an_answer_that_tells_nothing_is_worth_nothing(scene):
    """Noise must earn nothing: six answers drawn without regard to the histories, close chances, two hives next."""
    draws = independent(scene, (0.2, 0.2, 0.2, 0.2))
    field = Field.of(scene, draws, NONE, 2, 50)
    gen = np.random.default_rng(7)
    answers = np.eye(6)[gen.integers(0, 6, draws.count)]
    found = questions.worth(draws, field, answers)
    assert found.gain < 3 * found.error + 1e-12


def test_where_all_hives_come_next_no_answer_helps(scene):
    draws = independent(scene, (0.5, 0.4, 0.1, 0.1))
    found = questions.worth(draws, Field.of(scene, draws, NONE, 20, 50),
                            questions.look_answers(scene, draws, 1, 1.0, 0.0))  # fmt: skip
    assert (found.gain, found.changed) == (0.0, 0.0)


def test_known_cases_are_not_opened_again(scene):
    draws = independent(scene, (0.9, 0.4, 0.1, 0.1))
    field = Field.of(scene, draws, np.array([0]), 1, 50)
    assert field.colony.tolist() == [1, 2, 3]
    assert field.best(field.chances(draws, np.full(draws.count, 1 / draws.count))).tolist() == [0]


def test_answers_too_rare_to_tell_of_count_as_nothing(scene):
    draws = independent(scene, (0.5, 0.001, 0.1, 0.1))
    found = questions.worth(draws, Field.of(scene, draws, NONE, 1, 50),
                            questions.look_answers(scene, draws, 1, 1.0, 0.0))  # fmt: skip
    assert found.thin == pytest.approx(0.001, abs=0.001)
    assert found.gain <= 4 * found.error + 1e-12


def test_a_pooled_sample_misses_as_the_product_of_its_hives(scene):
    draws = independent(scene, (0.5, 0.4, 0.1, 0.1))
    answers = questions.sample_answers(scene, draws, np.array([0, 1]), (0.8, 0.3, 0.01))
    sick = np.zeros((draws.count, 4), dtype=bool)
    sick[draws.draw, draws.colony] = True
    np.testing.assert_allclose(answers[:, 1], 0.99 * 0.2 ** sick[:, :2].sum(axis=1))


def test_the_giver_of_a_lot_by_bayes(scene):
    """Event 1: colony 1 (place 1) gave 0.6, colony 2 (place 0) 0.3 on day 50; it infected colony 3 or spared it."""
    draws = independent(scene, (0.5, 0.5, 0.5, 0.5))
    draws.source[:] = np.where((draws.colony == 3), 1, -1)
    draws.time[draws.colony == 3] = 70.0
    answers = questions.giver_answers(scene, draws, 1)
    assert questions.giver_places(scene, 1).tolist() == [0, 1]
    sick = np.zeros((draws.count, 4), dtype=bool)
    sick[draws.draw, draws.colony] = True
    for two, one, three in ((0, 0, 0), (1, 0, 1), (0, 1, 1), (1, 1, 1), (1, 0, 0), (0, 1, 0)):
        d = np.flatnonzero((sick[:, 2] == two) & (sick[:, 1] == one) & (sick[:, 3] == three))[0]
        spared = np.array([0.5**1.5 if two else 1.0, 0.5**1.5 if one else 1.0])  # rate 0.5, 1.5 objects
        likely = np.array([0.3, 0.6]) * ((1 - spared) if three else spared)
        np.testing.assert_allclose(answers[d], likely / likely.sum())


def test_an_open_date_in_parts_is_a_table_of_ones():
    scene, used = dated("case, then nothing", 3, open_days=60.0)
    draws = sample(scene, used, 3, Effort(first=256, most=256)).draws
    answers = questions.date_answers(scene, draws, 0, 3)
    assert answers.shape == (draws.count, 3)
    assert np.all(answers.sum(axis=1) == 1.0)
    late = draws.date_of(scene, 0) >= 80.0
    np.testing.assert_array_equal(answers[:, 2] == 1.0, late)
    assert 0 < late.sum() < draws.count
