"""Lengths as whole nanometres, read from and printed as a workshop writes them.

1/64 in is 396 875 nm and 1 mm is 1 000 000 nm, both exact (the inch is 25.4 mm by the international yard and
pound agreement, 1959), so inch and metric work never round each other.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Final, Literal

System = Literal["inch", "metric"]

MM: Final = 1_000_000
CM: Final = 10 * MM
METRE: Final = 1_000 * MM
INCH: Final = 25_400_000
FOOT: Final = 12 * INCH

BySystem = Mapping[System, int]
"""A length as each system would say it: 1/2 in, or 12 mm [nm]."""

STEP: Final[BySystem] = {"inch": INCH // 16, "metric": MM}
"""To what lengths are printed, and by default cut, in each system [nm]."""
FINER: Final[Mapping[System, tuple[int, ...]]] = {"inch": (INCH // 16, INCH // 32, INCH // 64), "metric": (MM, MM // 2)}
"""The steps of finer tapes, the usual one first [nm]."""

MAX_TEXT: Final = 32
_EXAMPLES: Final = "write a number and its unit, such as 74 1/2 in, 5 ft 3-1/2 in or 1892.5 mm"

_UNITS: Final = {
    **dict.fromkeys(("in", "in.", "inch", "inches", '"'), INCH),
    **dict.fromkeys(("ft", "ft.", "foot", "feet", "'"), FOOT),
    **dict.fromkeys(("mm", "mm.", "millimetre", "millimetres", "millimeter", "millimeters"), MM),
    **dict.fromkeys(("cm", "cm.", "centimetre", "centimetres", "centimeter", "centimeters"), CM),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), METRE),
    "km": 1_000 * METRE,
}
_SIGNS: Final = str.maketrans(
    {"′": "'", "’": "'", "″": '"', "”": '"', "\u00a0": " ", "\u202f": " ", "\u2011": "-", "\u2044": "/"}  # noqa: RUF001
)
"""Primes, spaces, a hyphen and the slash of a fraction, as word processors and telephones write them."""
_VULGAR: Final = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}

_NUMBER: Final = r"(?:\d+(?:\s+|\s*-\s*)\d+/\d+|\d+/\d+|\d*\.\d+|\d+)"
_INCHES: Final = r"(?:inch(?:es)?|in\.?|\")"
_FEET: Final = r"(?:foot|feet|ft\.?|')"
_SIMPLE: Final = re.compile(rf"({_NUMBER})\s*({'|'.join(map(re.escape, _UNITS))})", re.ASCII)
_FEET_INCHES: Final = re.compile(rf"(\d+)\s*{_FEET}\s*-?\s*({_NUMBER})\s*{_INCHES}", re.ASCII)
_COMMA: Final = re.compile(rf"(\d+),(\d+)\s*({'|'.join(map(re.escape, _UNITS))})", re.ASCII)


class LengthError(ValueError):
    """A text that is not a length; the message says what would be right."""


def parse_length(text: str) -> int:
    """Read a written length.

    Inches and feet may carry fractions with a denominator of 2 to 64 in powers of two (``74 1/2 in``,
    ``74-1/2"``, ``5' 3-1/2"``); metric lengths are plain decimals (``1892.5 mm``).

    Returns: the length [nm], never negative.
    Raises LengthError: no unit, a comma, a sum of other units, a fraction no rule shows, finer than 1 nm.
    """
    if len(text) > MAX_TEXT:
        raise LengthError(f"it has more than {MAX_TEXT} characters; {_EXAMPLES}")
    plain = _plain(text)
    if match := _FEET_INCHES.fullmatch(plain):
        inches = _number(match[2], fractions=True)
        if inches >= 12:
            raise LengthError("the inches after the feet must be under 12")
        return _whole(int(match[1]) * FOOT + inches * INCH)
    if match := _SIMPLE.fullmatch(plain):
        unit = _UNITS[match[2]]
        return _whole(_number(match[1], fractions=unit in (INCH, FOOT)) * unit)
    raise LengthError(_remedy(plain))


@lru_cache(maxsize=16_384)
def format_length(nm: int, system: System, step: int | None = None) -> str:
    """Print a length [nm] in the asked system, to 1/16 in or 1 mm unless a step [nm] says otherwise.

    One that is a whole number of finer steps of a tape, of 1/32 or 1/64 in or 0.5 mm, is printed as it is.
    """
    step = step or next((finer for finer in FINER[system] if nm % finer == 0), STEP[system])
    steps = (2 * abs(nm) + step) // (2 * step)
    size = Fraction(steps * step, INCH if system == "inch" else MM)
    sign = "-" if nm < 0 and steps else ""
    return f"{sign}{_mixed(size)} in" if system == "inch" else f"{sign}{_decimal(size)} mm"


def exact_length(nm: int, system: System) -> str:
    """Write a length [nm] so that it reads back exactly: for an inch shop as 1/64 in if it can, else in mm."""
    if system == "inch" and nm % (INCH // 64) == 0:
        return format_length(nm, "inch", step=INCH // 64)
    return format_length(nm, "metric", step=1)


def fine_text(nm: int, system: System) -> str:
    """Print what was measured [nm], and lies between two steps of a tape, as finely as it matters.

    To 1/64 in, or a tenth of a millimetre; what is less than half an inch, or a millimetre, to two digits.
    """
    if any(nm % step == 0 for step in FINER[system]):
        return format_length(nm, system)
    if system == "inch":
        return format_length(nm, system, INCH // 64) if abs(nm) >= INCH // 2 else f"{nm / INCH:.2g} in"
    return format_length(nm, system, MM // 10) if abs(nm) >= MM else f"{nm / MM:.2g} mm"


def millimetres(nm: int) -> float:
    """Give a length [nm] as a number of millimetres, for a machine to read [mm]."""
    whole, rest = divmod(nm, MM)
    return whole if rest == 0 else nm / MM


def round_down(nm: int, step: int) -> int:
    """Bring a length [nm] down to the shop's step [nm]."""
    return nm // step * step


def round_up(nm: int, step: int) -> int:
    """Bring a length [nm] up to the shop's step [nm]."""
    return -(-nm // step) * step


def round_near(nm: int, step: int) -> int:
    """The nearest whole number of steps to a length [nm]; of two as near, the lesser."""
    return -((step - 2 * nm) // (2 * step)) * step


def _plain(text: str) -> str:
    text = text.translate(_SIGNS)
    for sign, fraction in _VULGAR.items():
        text = text.replace(sign, f" {fraction}")
    return text.replace("''", '"').strip().lower()


def _number(text: str, *, fractions: bool) -> Fraction:
    if "/" not in text:
        return Fraction(text if text[0] != "." else f"0{text}")
    if not fractions:
        raise LengthError("metric lengths are decimals, not fractions; write 12.5 mm")
    *whole, fraction = re.split(r"[\s-]+", text)
    top, bottom = (int(part) for part in fraction.split("/"))
    if bottom not in (2, 4, 8, 16, 32, 64):
        raise LengthError("a fraction of an inch or foot has the denominator 2, 4, 8, 16, 32 or 64")
    if whole and top >= bottom:
        raise LengthError("a fraction after a whole number must be less than one")
    return (int(whole[0]) if whole else 0) + Fraction(top, bottom)


def _whole(nm: Fraction | int) -> int:
    if Fraction(nm).denominator != 1:
        raise LengthError("it is finer than a nanometre; give at most six decimals of a millimetre or five of an inch")
    return int(nm)


def _remedy(text: str) -> str:
    if not text:
        return f"it is empty; {_EXAMPLES}"
    if "," in text:
        return f"a comma cannot stand in a length; {_without_comma(text)}"
    if text.startswith(("-", "\u2212")):
        return f"a length cannot be negative; {_EXAMPLES}"
    if re.fullmatch(_NUMBER, text):
        return f"it has no unit; {_EXAMPLES}"
    if re.fullmatch(rf"\d+\s*{_FEET}\s*{_NUMBER}", text):
        return "the inches after the feet have no unit; write 5 ft 3 in"
    if re.search(r"\dx\d|\d x \d", text):
        return f"it reads as a section or two sizes, not one length; {_EXAMPLES}"
    return f"it is not a length; {_EXAMPLES}"


def _without_comma(text: str) -> str:
    """What a length with a comma would be; one before three digits may be either mark, so both are told."""
    match = _COMMA.fullmatch(text)
    if match is None:
        return "write 1.5 m with a dot, or 1500 mm without a thousands mark"
    whole, rest, unit = match.groups()
    dotted = f"{whole}.{rest} {unit}"
    return f"write {dotted} or {whole}{rest} {unit}, whichever is meant" if len(rest) == 3 else f"write {dotted}"


def _mixed(size: Fraction) -> str:
    whole, rest = divmod(size, 1)
    if rest == 0:
        return str(whole)
    if rest.denominator > 64 or rest.denominator & (rest.denominator - 1):
        return _decimal(size)
    return f"{whole} {rest}" if whole else str(rest)


def _decimal(size: Fraction) -> str:
    scaled = int(size * 10**6)
    whole, rest = divmod(scaled, 10**6)
    return f"{whole}.{rest:06d}".rstrip("0").rstrip(".")
