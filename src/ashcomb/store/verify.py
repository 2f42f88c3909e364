"""Finds any record that was altered, taken out, put in or moved since it was sealed."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from ashcomb.records.codec import from_row, to_json
from ashcomb.records.columns import Kind
from ashcomb.store.seal import FIRST, Seal, content_hash, leaf_hash, seal_hash
from ashcomb.store.sqlite import Store


@dataclass(frozen=True, slots=True)
class Verification:
    """What was checked and what was found. faults is empty when every seal holds."""

    seals: int
    records: int
    head: str
    faults: tuple[str, ...]


def verify(store: Store, expected_head: str = "") -> Verification:
    """Recomputes every record hash and every seal.

    expected_head: a seal printed on a paper (whole, its first digits, or the short form n-digits). If it is given, the
    chain must contain it: this finds a chain that was rewritten or cut as a whole.
    """
    faults = [f"the file itself: {fault}" for fault in store.integrity()]
    leaves: dict[int, dict[int, str]] = defaultdict(dict)
    records = 0
    for n, pos, leaf, kind, row in store.sealed_rows():
        leaves[n][pos] = leaf
        records += 1
        if _leaf_of(kind, row) != leaf:
            faults.append(f"seal {n}, record {pos + 1}: this {kind.name} record was altered (id {row[0]})")
    seals = store.seals()
    previous = FIRST
    for number, seal in enumerate(seals, start=1):
        faults += _seal_faults(number, seal, previous, leaves.pop(seal.n, {}))
        previous = seal.seal
    faults += [f"records stand under seal {n}, which does not exist" for n in sorted(leaves)]
    faults += store.personal_faults()
    if expected_head and not any(_is(seal, expected_head) for seal in seals):
        faults.append(
            f"seal {expected_head} is not in this chain: it was cut or written anew, or belongs to another case"
        )
    return Verification(len(seals), records, previous, tuple(faults))


def _leaf_of(kind: Kind, row: list[Any]) -> str:
    """The hash of a row as it stands now; '' when it can no longer be read as a record."""
    try:
        record = from_row(kind, row)
        return leaf_hash(to_json(record), record.received)
    except (TypeError, ValueError, OverflowError):
        return ""


def _seal_faults(number: int, seal: Seal, previous: str, leaves: dict[int, str]) -> list[str]:
    where = f"seal {seal.n} ({seal.what})"
    if seal.n != number:
        return [f"{where}: seal {number} is missing"]
    found = []
    if seal.previous != previous:
        found.append(f"{where}: does not follow the seal before it")
    if seal.seal != seal_hash(seal.n, seal.previous, seal.content, seal.count, seal.at, seal.by, seal.what):
        found.append(f"{where}: the seal itself was altered")
    missing = sorted(set(range(seal.count)) - set(leaves))
    extra = sorted(set(leaves) - set(range(seal.count)))
    if missing:
        found.append(f"{where}: record {', '.join(str(pos + 1) for pos in missing)} of {seal.count} is missing")
    if extra:
        found.append(f"{where}: {len(extra)} record was put in later")
    if not missing and not extra and content_hash([leaves[pos] for pos in range(seal.count)]) != seal.content:
        found.append(f"{where}: the records are not those that were sealed, or stand in another order")
    return found


def _is(seal: Seal, given: str) -> bool:
    digits = given.rsplit("-", 1)[-1].lower()
    return len(digits) >= 8 and seal.seal.startswith(digits)
