"""Canonical bytes and hashes: the form in which records are sealed (RFC 8785 JSON, SHA-256)."""

from __future__ import annotations

import hashlib
import unicodedata
from typing import Any

import rfc8785


def canonical_bytes(value: Any) -> bytes:
    """RFC 8785 JSON of dicts, lists, strings, whole numbers, booleans and None; text is normalised to NFC.

    Raises TypeError for floats: decimals enter a sealed record as strings, so that no rounding can differ.
    """
    return rfc8785.dumps(_sealed(value))


def digest(value: Any) -> str:
    """SHA-256 of the canonical bytes, as 64 hexadecimal digits."""
    return hashlib.sha256(canonical_bytes(value)).hexdigest()


def _sealed(value: Any) -> Any:
    if isinstance(value, str):
        return unicodedata.normalize("NFC", value)
    if isinstance(value, float):
        raise TypeError("a float cannot be sealed; give it as a decimal string")
    if isinstance(value, dict):
        return {_sealed(key): _sealed(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_sealed(item) for item in value]
    return value
