"""The chain of seals: each commit is bound to all before it, so that a later change of anything shows."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ashcomb.kernel.canonical import digest

FIRST = "0" * 64


@dataclass(frozen=True, slots=True)
class Seal:
    """One commit. n counts from 1; content is the hash over the records in order; seal binds it to `previous`."""

    n: int
    previous: str
    content: str
    count: int
    at: int
    by: str
    what: str
    seal: str

    @property
    def short(self) -> str:
        """The first twelve digits with its number, for papers and for reading aloud."""
        return f"{self.n}-{self.seal[:12]}"


def make_seal(n: int, previous: str, leaves: Sequence[str], at: int, by: str, what: str) -> Seal:
    """The seal over the given record hashes, in order."""
    content = content_hash(leaves)
    value = seal_hash(n, previous, content, len(leaves), at, by, what)
    return Seal(n, previous, content, len(leaves), at, by, what, value)


def content_hash(leaves: Sequence[str]) -> str:
    """SHA-256 over the record hashes in their order."""
    return hashlib.sha256("".join(leaves).encode()).hexdigest()


def seal_hash(n: int, previous: str, content: str, count: int, at: int, by: str, what: str) -> str:
    """SHA-256 over the canonical JSON of everything else in the seal."""
    return digest({"n": n, "previous": previous, "content": content, "count": count, "at": at, "by": by, "what": what})


def leaf_hash(body: Mapping[str, Any], received: int) -> str:
    """SHA-256 of one record in canonical JSON, with the time at which this store received it.

    What is empty is left out, so that a column that a later version adds changes no hash that was sealed before.
    """
    return digest(
        {name: value for name, value in {**body, "received": received}.items() if value not in ("", None, [])}
    )


def personal_hash(salt: str, value: str) -> str:
    """What a record holds in place of a personal value; equal values do not look alike because salts differ."""
    return "salted:" + hashlib.sha256(f"{salt}\n{value}".encode()).hexdigest()
