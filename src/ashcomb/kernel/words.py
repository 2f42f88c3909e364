"""Numbers with their nouns."""

from __future__ import annotations


def several(count: int, noun: str) -> str:
    """'1 hive', '2 hives', '2 boxes', '2 apiaries'."""
    if count == 1:
        return f"1 {noun}"
    if noun.endswith("y"):
        return f"{count} {noun[:-1]}ies"
    return f"{count} {noun}{'es' if noun.endswith('x') else 's'}"
