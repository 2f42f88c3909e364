"""Everyday words for the words of our lists: what is obvious is read and noted, everything else is refused."""

from __future__ import annotations

from ashcomb.casework.importing.names import plain

# Each only counts where the column has that word in its list. Common practice, no source.
SYNONYMS = {
    "nuc": "nucleus", "nucs": "nucleus", "nuclei": "nucleus", "colonies": "hives", "cover": "lid", "covers": "lid",
    "bottom board": "floor", "floor board": "floor", "queen excluder": "excluder", "lab": "laboratory",
    "none": "none seen", "no signs": "none seen", "no signs seen": "none seen", "suspicious": "suspect",
    "pos": "positive",
    "neg": "not detected", "negative": "not detected", "unused": "abandoned", "brood combs": "brood frames",
    "doc": "document", "paper": "document", "delivery note": "document", "remembered": "memory",
    "from memory": "memory", "told": "memory", "observed": "seen", "witnessed": "seen",
}  # fmt: skip
YES = frozenset({"yes", "y", "true", "x", "✓", "✔", "☑", "1", "ja", "j", "oui", "sí", "si"})
NO = frozenset({"no", "n", "false", "✗", "✘", "☐", "0", "nein", "non"})
DASHES = frozenset({"-", "–", "—", "--", "n/a", "n.a.", "na"})
TOTALS = frozenset({"total", "totals", "sum", "subtotal", "grand total", "summe", "gesamt", "sub total"})
COUNTED = frozenset({
    "hive", "colony", "nucleus", "nuc", "box", "super", "frame", "lid", "floor", "excluder", "feeder", "drum", "piece",
    "pc", "cell", "unit", "queen", "package", "swarm", "brood frame", "pcs", "stück", "stk", "tool", "bee",
})  # fmt: skip


def choose(text: str, options: tuple[str, ...], own: dict[str, str]) -> str | None:
    """The option that a text means: as written, in the user's own words, as a plural or singular, or by a synonym."""
    mine = {plain(word): target for word, target in own.items()}
    by_name = {plain(option): option for option in options}
    wanted = plain(mine.get(plain(text), text))
    for candidate in (wanted, plain(SYNONYMS.get(wanted, ""))):
        for form in (candidate, *singulars(candidate), *plurals(candidate)):
            if form in by_name:
                return by_name[form]
    return None


def singulars(word: str) -> list[str]:
    """Possible singulars: boxes -> box, colonies -> colony, lids -> lid."""
    found = [word[:-1]] if word.endswith("s") else []
    found += [word[:-2]] if word.endswith("es") else []
    return found + ([word[:-3] + "y"] if word.endswith("ies") else [])


def plurals(word: str) -> list[str]:
    """Possible plurals: queen -> queens, box -> boxes."""
    return [f"{word}s", f"{word}es"] if word else []


def counted(word: str) -> bool:
    """Whether a word behind a count only says what was counted, as in '40 hives'."""
    word = plain(word)
    return any(form in COUNTED for form in (word, *singulars(word)))
