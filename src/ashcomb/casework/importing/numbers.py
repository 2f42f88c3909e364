"""Numbers as people write them: decimal comma or point, thousands separators, units; nothing ambiguous is guessed."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from ashcomb.casework.importing.result import UnreadableError
from ashcomb.kernel.errors import UserError
from ashcomb.kernel.units import FACTORS, celsius, to_base

_NUMBER = re.compile(r"^([-+]?)\s?(\d[\d.,' ]*?|[.,]\d+)\s*([^\d\s.,'].*)?$")
_SEPARATORS = {".": "point", ",": "comma"}
_UNIT_WORDS = {
    "lbs": "lb", "pound": "lb", "pounds": "lb", "kgs": "kg", "kilo": "kg", "kilos": "kg", "gram": "g", "grams": "g",
    "ounce": "oz", "ounces": "oz", "feet": "ft", "foot": "ft", "inch": "in", "inches": "in", "metre": "m",
    "metres": "m", "meter": "m", "meters": "m", "mins": "min", "hrs": "h", "hr": "h",
    "gallon": "gal", "gallons": "gal", "kmh": "km/h",
    "kph": "km/h", "knots": "kn", "miles": "mi",
}  # fmt: skip


def split_number(text: str, decimals: str = "") -> tuple[float, str]:
    """The number in front and the unit or word behind it: '1 200,5 kg' is (1200.5, 'kg').

    decimals: 'comma' or 'point' settles '1.200' and '1,200'; without it they are refused. Raises UnreadableError.
    """
    clean = re.sub(r"\s+", " ", unicodedata.normalize("NFKC", text)).strip().replace("−", "-").replace("’", "'")
    found = _NUMBER.match(clean)
    if not found:
        raise UnreadableError(f"“{text}” is not a number.", "Write one number in digits; put doubts into a note.")
    number = float(_digits(found[2].strip(), text, decimals))
    return (-number if found[1] == "-" else number), (found[3] or "").strip()


def _digits(digits: str, text: str, decimals: str) -> str:
    """Digits with a decimal point and nothing else."""
    if re.search(r"[' ]", digits):
        if not re.fullmatch(r"\d{1,3}([' ]\d{3})+([.,]\d+)?", digits):
            raise UnreadableError(f"“{text}” is more than one number.", "Write one number.")
        digits = re.sub(r"[' ]", "", digits)
        return digits.replace(",", ".")
    marks = [character for character in digits if character in _SEPARATORS]
    if not marks:
        return digits
    last = marks[-1]
    grouped = _grouped(digits, text, marks)
    if grouped is not None:
        means = _SEPARATORS[last] if len(set(marks)) == 2 else _other(last)
        _fits(means, decimals, text)
        return grouped
    if re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", digits):
        if not decimals:
            whole, broken = digits.replace(last, ""), digits.replace(last, ".")
            raise UnreadableError(f"ambiguous: “{text}” is {whole} or {broken}; the "
                             "column does not show which.", "Say decimals = \"comma\" or decimals = \"point\" for "
                             "this sheet in the mapping.")  # fmt: skip
        return digits.replace(last, "." if decimals == _SEPARATORS[last] else "")
    _fits(_SEPARATORS[last], decimals, text)
    return digits.replace(",", ".")


def _grouped(digits: str, text: str, marks: list[str]) -> str | None:
    """The digits of a number with more than one separator; None if there is only one."""
    if len(marks) == 1:
        return None
    for group, point in ((".", ","), (",", ".")):
        if re.fullmatch(rf"\d{{1,3}}(\{group}\d{{3}})+(\{point}\d+)?", digits):
            return digits.replace(group, "").replace(point, ".")
    raise UnreadableError(f"“{text}” is not a number.", "Check its separators.")


def _fits(means: str, decimals: str, text: str) -> None:
    if decimals and means != decimals:
        raise UnreadableError(f"“{text}” does not fit the mapping, which says that decimals have a {decimals}.",
                         "Correct the number or the mapping.")  # fmt: skip


def _other(mark: str) -> str:
    return "comma" if mark == "." else "point"


def decimals_shown(text: str) -> str:
    """'comma' or 'point' if the number shows how its decimals are written, else ''."""
    found = _NUMBER.match(unicodedata.normalize("NFKC", text).strip())
    digits = found[2].strip() if found else ""
    marks = [character for character in digits if character in _SEPARATORS]
    if not marks or re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", digits):
        return ""
    if len(marks) > 1 and len(set(marks)) == 1:
        return _other(marks[0])
    return _SEPARATORS[marks[-1]]


def settle_decimals(texts: Iterable[str]) -> tuple[str, str]:
    """What all telling numbers of a column agree on, with the first of them; ('', '') if none tells or they differ."""
    told: dict[str, str] = {}
    for text in texts:
        shown = decimals_shown(text)
        if shown:
            told.setdefault(shown, text)
    return next(iter(told.items())) if len(told) == 1 else ("", "")


def unit_in(heading: str, unit: str) -> tuple[str, str]:
    """A heading without the unit at its end, and that unit: ('Weight', 'lb') for 'Weight (lb)'; unit '' if none.

    unit: the unit in which the column is stored; only units of its dimension count. A heading may be a unit: 'Minutes'.
    """
    found = re.match(r"^(.*?)[\s_(\[,]*?(°?[^\s()\[\]_]+)\s*[)\]]?\s*$", heading)
    if not found or not unit:
        return heading, ""
    word = _unit_word(found[2])
    try:
        convert(1.0, word, unit, "")
    except UnreadableError:
        return heading, ""
    return found[1], word


def convert(number: float, written: str, unit: str, bare: str) -> float:
    """A number in the unit written behind it (or in `bare`, or else in `unit`), in `unit`. Raises UnreadableError."""
    word = _unit_word(written) or _unit_word(bare) or unit
    if word == unit or (unit == "percent" and word in ("%", "percent")) or (unit == "deg" and word in ("°", "deg")):
        return number
    try:
        if unit == "degC":
            return celsius(f"{number:f} {word.removeprefix('°').removeprefix('deg')}")
        for dimension, table in FACTORS.items():
            if unit in table:
                return round(number * to_base(f"1 {word}", dimension, unit) / table[unit], 9)
    except UserError as error:
        raise UnreadableError(error.what, error.do) from None
    raise UnreadableError(f"“{written}” does not belong behind this number.", "Write the number alone.")


def _unit_word(text: str) -> str:
    text = text.strip().rstrip(".")
    return _UNIT_WORDS.get(text.casefold(), text)
