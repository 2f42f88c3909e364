"""Ids that are made where the record is made, and check characters for marks that are read aloud."""

from __future__ import annotations

import re
from uuid import UUID

# Letters and digits that are not mistaken for each other in a shed at night (no 0 O 1 I L 5 S 8 B 2 Z U V).
CHECK_ALPHABET = "3467ACDEFGHJKMNPQRTWXY9"


def uuid7(unix_ms: int, random_bytes: bytes) -> str:
    """Time-ordered id (RFC 9562, UUID version 7) from a clock reading and ten random bytes.

    unix_ms: milliseconds since 1970, 0 to 2**48 - 1.  random_bytes: ten bytes from the caller's source.
    Raises ValueError outside these ranges. An id is no secret: it shows when it was made.
    """
    if not 0 <= unix_ms < 1 << 48 or len(random_bytes) != 10:
        raise ValueError("uuid7 takes milliseconds below 2**48 and ten random bytes")
    value = (unix_ms << 80) | int.from_bytes(random_bytes, "big")
    value &= ~(0xF << 76)
    value |= 0x7 << 76
    value &= ~(0x3 << 62)
    value |= 0x2 << 62
    return str(UUID(int=value))


def check_character(mark: str) -> str:
    """One check character for a mark: finds every single misread character and every swap of two neighbours.

    The alphabet has a prime number (23) of characters, so a weighted sum with weights 1, 2, 3 … catches both
    kinds of slip for marks of up to 22 characters. Case and anything but letters and digits are ignored.
    """
    symbols = re.sub(r"[^0-9A-Z]", "", mark.upper())
    if not 1 <= len(symbols) <= 22:
        raise ValueError("a mark has 1 to 22 letters or digits")
    total = sum(weight * (int(symbol, 36)) for weight, symbol in enumerate(symbols, start=1))
    return CHECK_ALPHABET[total % len(CHECK_ALPHABET)]
