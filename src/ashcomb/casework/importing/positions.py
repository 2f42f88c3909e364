"""Positions as people write them: decimal degrees, degrees and minutes, degrees, minutes and seconds, local grid."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from ashcomb.casework.importing.result import UnreadableError

# One minute of arc on a meridian is one nautical mile, by definition 1852 m; a minute of longitude is never longer.
METRES_PER_MINUTE = 1852.0
DO = "Write it like 46.0123 N 66.5000 E, 46°00.5'N 66°30.0'E, or grid 10.0 12.1 (km)."
_NUM = r"\d+(?:[.,]\d+)?"
_DEGREES = re.compile(rf"^([-+]?)({_NUM})\s*°?(?:\s*({_NUM})\s*'?(?:\s*({_NUM})\s*\"?)?)?$")
_PAIR = re.compile(r"^(?P<a>.*?[NSEW])[\s,;/]*(?P<b>\S.*[NSEW])$|^(?P<c>[NSEW].*?)[\s,;/]*(?P<d>[NSEW].*)$")
_GRID = re.compile(r"(?:LOCAL )?GRID|KM|[XY]\s*[=:]?|[=:]")


@dataclass(frozen=True, slots=True)
class Angle:
    """Degrees, with the error in metres that its last digit leaves (None for decimal degrees), and its letter."""

    degrees: float
    error_m: float | None
    letter: str


def read_angle(text: str, axis: str) -> Angle:
    """One latitude (axis 'lat') or longitude ('lon'), or either ('') by its letter. Raises UnreadableError."""
    clean = _clean(text)
    letters = re.findall(r"[NSEW]", clean)
    found = _DEGREES.match(re.sub(r"[NSEW]", "", clean).strip())
    if not found or len(letters) > 1 or (letters and clean[0] not in "NSEW" and clean[-1] not in "NSEW"):
        raise UnreadableError(f"“{text}” is not a latitude or longitude.", DO)
    letter = letters[0] if letters else ""
    if letter and axis and letter not in ("NS" if axis == "lat" else "EW"):
        raise UnreadableError(f"“{text}” has the letter {letter}.", "Latitude has N or S, longitude E or W.")
    if found[1] and letter:
        raise UnreadableError(f"“{text}” has both a sign and a letter.", "Use one of the two.")
    parts = [part for part in found.groups()[1:] if part]
    size, error = _size(parts, text)
    return Angle(-size if found[1] == "-" or letter in ("S", "W") else size, error, letter)


def _size(parts: list[str], text: str) -> tuple[float, float | None]:
    numbers = [float(part.replace(",", ".")) for part in parts]
    if any(re.search(r"[.,]", part) for part in parts[:-1]):
        raise UnreadableError(f"“{text}”: only the last part may have decimals.", DO)
    if any(number >= 60 for number in numbers[1:]):
        raise UnreadableError(f"“{text}” has 60 or more minutes or seconds.", "They run from 0 to 59.")
    size = sum(number / 60**place for place, number in enumerate(numbers))
    if len(parts) == 1:
        return size, None
    decimals = len(re.sub(r"^\d+[.,]?", "", parts[-1]))
    return round(size, 9), round(METRES_PER_MINUTE / 60 ** (len(parts) - 2) / 10**decimals, 1)


def read_position(text: str, grid: bool = False) -> dict[str, float]:
    """A whole position from one cell, as fields lat, lon and perhaps error_m, or x_km and y_km. Raises UnreadableError.

    grid: whether the heading speaks of the local grid. A bare pair counts as latitude, then longitude, if both have
    three decimals or more; with fewer it could as well be kilometres on the grid, and is refused.
    """
    clean = _clean(text)
    if grid or re.search(r"GRID|KM|[XY]", clean):
        pair = _two_numbers(_GRID.sub(" ", clean), text)
        return {"x_km": float(pair[0].replace(",", ".")), "y_km": float(pair[1].replace(",", "."))}
    found = _PAIR.match(clean)
    if found:
        one, two = (read_angle(part, "") for part in (found.groups()[:2] if found["a"] else found.groups()[2:]))
        return _both(one, two, text)
    pair = _two_numbers(clean.replace("°", " "), text)
    if any(len(re.sub(r"^[-+]?\d+[.,]?", "", number)) < 3 for number in pair):
        raise UnreadableError(f"ambiguous: “{text}” may be degrees or kilometres on the grid.", DO)
    return _both(read_angle(pair[0], "lat"), read_angle(pair[1], "lon"), text)


def _both(one: Angle, two: Angle, text: str) -> dict[str, float]:
    if one.letter in ("E", "W") and one.letter:
        one, two = two, one
    if one.letter in ("E", "W") or two.letter in ("N", "S"):
        raise UnreadableError(f"“{text}” names two latitudes or two longitudes.", DO)
    errors = [angle.error_m for angle in (one, two) if angle.error_m is not None]
    return {"lat": one.degrees, "lon": two.degrees} | ({"error_m": max(errors)} if errors else {})


def _two_numbers(clean: str, text: str) -> list[str]:
    """The two numbers of a pair; a comma between digits is a decimal comma only if another separator parts the pair."""
    for separator in (r"\s*;\s*", r"\s*,\s+", r"\s*/\s*", r"\s+", r","):
        parts = re.split(separator, clean.strip(" ,;/"))
        if len(parts) == 2 and all(re.fullmatch(rf"[-+]?{_NUM}", part) for part in parts):
            return parts
    raise UnreadableError(f"“{text}” is not a position.", DO)


def _clean(text: str) -> str:
    for marks, plain in (("′’´‘", "'"), ("″”“", '"'), ("º˚", "°"), ("−", "-")):
        text = re.sub(f"[{marks}]", plain, text)
    text = unicodedata.normalize("NFKC", text.replace("''", '"')).upper()
    return re.sub(r"\s+", " ", text).strip()
