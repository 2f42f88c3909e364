"""Exact shares: a number as it was written down, and percentages rounded as people round."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction


def exact(number: float | Fraction) -> Fraction:
    """The number that was written down: 0.95 becomes 19/20, not the nearest binary fraction.

    Floats are read by their shortest decimal form, so two shares that print alike compare as equal.
    """
    return number if isinstance(number, Fraction) else Fraction(repr(float(number)))


def percent(share: float | Fraction, digits: int = 1) -> str:
    """'53.3 %' for 8/15; halves round up, from the exact value."""
    hundredths = exact(share) * 100 * 10**digits
    whole = (2 * hundredths.numerator + hundredths.denominator) // (2 * hundredths.denominator)
    shown = (Decimal(whole) / 10**digits).quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP)
    return f"{shown} %"
