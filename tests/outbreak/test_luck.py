"""Streams of chance of the simulator, against published numbers and against the laws that they must follow.

Every seed is fixed; a sound stream fails a test once in a thousand.
"""

from __future__ import annotations

import numba
import numpy as np
import pytest
from scipy.stats import chisquare, kstest
from verification.alike import LEAST

from ashcomb.outbreak import kernel_random as chance

DRAWS = 2_000_000


@numba.njit
def uniforms(count, state):
    out = np.empty(count)
    for k in range(count):
        out[k], state = chance.uniform(state)
    return out


@numba.njit
def waits(count, state):
    out = np.empty(count)
    for k in range(count):
        out[k], state = chance.exponential(state)
    return out


@numba.njit
def turns(count, state):
    """Waits and numbers in turns, as contacts draw them."""
    out = np.empty((count, 2))
    for k in range(count):
        out[k, 0], state = chance.exponential(state)
        out[k, 1], state = chance.uniform(state)
    return out


def start(seed, which):
    return np.uint64(chance.stream(np.uint64(seed), which))


def bins(values, count):
    return np.bincount((values * count).astype(np.int64), minlength=count)


def table(a, b, count):
    """Counts of pairs in count × count boxes."""
    return bins((np.floor(a * count) + b) / count, count * count)


def test_numbers_of_the_generator_are_the_published_ones():
    """First numbers of SplitMix64 from the seed 1234567, as published at Rosetta Code (from memory)."""
    known = [6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821]
    steps = [(1234567 + k * 0x9E3779B97F4A7C15) % 2**64 for k in range(1, 6)]
    assert [int(chance.mixed(np.uint64(step))) for step in steps] == known
    drawn = uniforms(5, np.uint64(1234567))
    np.testing.assert_array_equal(drawn, [(number >> 11) * 2.0**-53 for number in known])


@pytest.mark.parametrize("which", [0, 1, 4711])
def test_a_stream_is_even_alone_and_in_pairs(which):
    u = uniforms(DRAWS, start(7, which))
    assert chisquare(bins(u, 1000)).pvalue > LEAST
    assert chisquare(bins(u * 2**20 % 1.0, 1000)).pvalue > LEAST  # its later bits
    assert chisquare(table(u[0::2], u[1::2], 30)).pvalue > LEAST


@pytest.mark.parametrize("of", [lambda k: start(1, k), lambda k: start(k, 0)], ids=["of colonies", "of runs"])
def test_neighbouring_streams_have_nothing_in_common(of):
    """First numbers of 100,000 streams of one run, and of one stream in as many runs: even, alone and in pairs."""
    u = np.array([uniforms(1, of(k))[0] for k in range(100_000)])
    assert chisquare(bins(u, 1000)).pvalue > LEAST
    assert chisquare(table(u[:-1], u[1:], 20)).pvalue > LEAST


def test_waits_are_exponential():
    """Against the law itself: its shape, 4,000 bins of one chance, and the tail beyond the last layer."""
    x = waits(DRAWS, start(3, 5))
    assert kstest(x, "expon").pvalue > LEAST
    assert chisquare(bins(-np.expm1(-x), 4000)).pvalue > LEAST
    tail = x[x > chance.EDGE[1]] - chance.EDGE[1]
    assert abs(len(tail) - DRAWS * np.exp(-chance.EDGE[1])) < 4 * np.sqrt(len(tail))
    assert kstest(tail, "expon").pvalue > LEAST
    assert kstest(x * 1.003, "expon").pvalue < LEAST


def test_waits_know_nothing_of_each_other_nor_of_what_is_drawn_between():
    both = turns(DRAWS // 2, start(9, 2))
    rank = -np.expm1(-both[:, 0])
    assert chisquare(table(rank, both[:, 1], 20)).pvalue > LEAST
    assert chisquare(table(both[:-1, 1], rank[1:], 20)).pvalue > LEAST
    assert chisquare(table(rank[0:-1:2], rank[1::2], 20)).pvalue > LEAST


def test_layers_are_of_one_area_and_close_at_the_top():
    """Marsaglia and Tsang 2000: boxes of equal area, the lowest one that below the tail and the tail itself."""
    areas = chance.EDGE[1:-1] * np.diff(chance.HEIGHT[1:])
    lowest = chance.EDGE[1] * chance.HEIGHT[1] + np.exp(-chance.EDGE[1])
    np.testing.assert_allclose(areas, lowest, rtol=1e-12)
    assert chance.EDGE[-1] == 0.0
    assert len(areas) == 255
