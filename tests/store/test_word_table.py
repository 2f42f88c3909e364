"""Words by number against a dictionary of the language itself, numbers against its own reading of them."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from ashcomb.store.word_table import Run, WordTable, whole_numbers

few = settings(max_examples=100, deadline=None)
WORD = st.one_of(st.sampled_from(["", "A", "A1", "1A", "Ōtara", "Łódź"]), st.text(max_size=12).filter(str.isprintable))


def numbers(table: WordTable, run: Run, at: int = 0, width: int = 1) -> list[int]:
    found = np.empty(len(run.end) // width, dtype=np.int64)
    table.numbered(run, at, width, found)
    return found.tolist()


def counted(words: list[str]) -> dict[str, int]:
    known: dict[str, int] = {}
    for word in words:
        known.setdefault(word, len(known))
    return known


@few
@given(st.lists(WORD, min_size=1), st.lists(WORD))
def test_words_get_numbers_in_order_of_coming(words: list[str], later: list[str]) -> None:
    table, known = WordTable(), counted(words + later)
    assert numbers(table, Run.parted("\x1f".join(words).encode(), "\x1f")) == [known[word] for word in words]
    assert numbers(table, Run.of(later)) == [known[word] for word in later]
    assert table.words() == list(known)


def test_many_words_and_long_ones() -> None:
    """More than the table has room for at first, in words and in letters."""
    words = [f"P{n % 3000}" for n in range(9000)] + ["x" * 100_000, "", "x" * 99_999, "x" * 100_000]
    table, known = WordTable(), counted(words)
    assert numbers(table, Run.of(words)) == [known[word] for word in words]
    assert table.words() == list(known)


@few
@given(st.lists(st.tuples(WORD, st.integers(-(2**63), 2**63 - 1), WORD), min_size=1))
def test_columns_of_rows(rows: list[tuple[str, int, str]]) -> None:
    run = Run.parted("\x1f".join(f"{a}\x1f{n}\x1f{b}" for a, n, b in rows).encode(), "\x1f")
    found, table = np.empty(len(rows), dtype=np.int64), WordTable()
    whole_numbers(run, 1, 3, found)
    assert found.tolist() == [n for _, n, _ in rows]
    known = counted([a for a, _, _ in rows] + [b for _, _, b in rows])
    assert numbers(table, run, 0, 3) == [known[a] for a, _, _ in rows]
    assert numbers(table, run, 2, 3) == [known[b] for _, _, b in rows]
