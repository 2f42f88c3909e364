"""Units at the border: what people write becomes SI once, here, and nowhere else.

Factors are definitions of the international yard, pound and US gallon (NIST SP 811, appendix B), so exact.
"""

from __future__ import annotations

import re

from ashcomb.kernel.errors import UserError

FACTORS: dict[str, dict[str, float]] = {
    "length": {
        "m": 1.0,
        "mm": 0.001,
        "cm": 0.01,
        "km": 1000.0,
        "in": 0.0254,
        "ft": 0.3048,
        "yd": 0.9144,
        "mi": 1609.344,
    },
    "mass": {"kg": 1.0, "g": 0.001, "t": 1000.0, "lb": 0.45359237, "oz": 0.028349523125},
    "volume": {"L": 1.0, "mL": 0.001, "m3": 1000.0, "gal": 3.785411784, "floz": 0.0295735295625},
    "dose": {"kGy": 1.0, "Gy": 0.001, "Mrad": 10.0},
    "time": {"min": 1.0, "s": 1 / 60, "h": 60.0},
    "speed": {"km/h": 1.0, "m/s": 3.6, "mph": 1.609344, "kn": 1.852},
}

_SYNONYMS = {
    "l": "L",
    "ml": "mL",
    "litre": "L",
    "liter": "L",
    "litres": "L",
    "kgy": "kGy",
    "gy": "Gy",
    "mrad": "Mrad",
    "m³": "m3",
    "hour": "h",
    "hours": "h",
    "minute": "min",
    "minutes": "min",
    "'": "ft",
    '"': "in",
}

_QUANTITY = re.compile(r"^\s*([-+]?\d+(?:[.,]\d+)?)\s*°?\s*([^\d\s]\S*)?\s*$")


def split_quantity(text: str) -> tuple[float, str]:
    """'25 kg' -> (25.0, 'kg'); a bare number has the unit ''. Raises UserError if it is not a quantity."""
    found = _QUANTITY.match(text)
    if not found:
        raise UserError(f"“{text}” is not a number with a unit.", "Write it like 25 kg or 302 °F.")
    return float(found[1].replace(",", ".")), found[2] or ""


def to_base(text: str, dimension: str, bare_unit: str) -> float:
    """A quantity as written, in the base unit of its dimension (first unit in FACTORS); bare numbers are bare_unit."""
    number, unit = split_quantity(text)
    unit = _SYNONYMS.get(unit.lower(), unit) or bare_unit
    table = FACTORS[dimension]
    for name, factor in table.items():
        if name.lower() == unit.lower():
            return number * factor
    raise UserError(f"“{unit}” is not a unit of {dimension}.", f"Use one of {', '.join(table)}.")


def celsius(text: str, bare_unit: str = "C") -> float:
    """A temperature as written, in °C: '302 °F' -> 150.0; bare numbers are read as bare_unit."""
    number, unit = split_quantity(text)
    letter = (unit or bare_unit).strip("°").upper()[:1]
    if letter == "F":
        return (number - 32.0) * 5.0 / 9.0
    if letter == "C":
        return number
    if letter == "K":
        return number - 273.15
    raise UserError(f"“{unit}” is not a unit of temperature.", "Use °C, °F or K.")
