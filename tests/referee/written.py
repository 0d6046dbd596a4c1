"""Lengths, money and shares as requests and price books write them, read by the referee's own rules."""

from __future__ import annotations

from fractions import Fraction

NANOMETRES = {"mm": 1_000_000, "in": 25_400_000, "ft": 304_800_000, "m": 1_000_000_000}
DRESSED_INCHES = {
    "1": Fraction(3, 4), "2": Fraction(3, 2), "3": Fraction(5, 2), "4": Fraction(7, 2), "6": Fraction(11, 2),
    "8": Fraction(29, 4), "10": Fraction(37, 4), "12": Fraction(45, 4),
}  # fmt: skip
"""Dressed sizes of dry softwood by their nominal inches: American Softwood Lumber Standard PS 20 (from memory)."""


def length(written: object) -> int:
    """Read a length: text with its unit, or the object of an answer [nm]."""
    if isinstance(written, dict):
        return round(Fraction(str(written["mm"])) * NANOMETRES["mm"])
    number, _, unit = str(written).rpartition(" ")
    return int(sum(map(Fraction, number.split())) * NANOMETRES[unit])


def money(written: str, decimals: int) -> int:
    """Read an amount [minor units]; it has no more decimals than the currency."""
    amount = Fraction(written) * 10**decimals
    assert amount.denominator == 1, written
    return int(amount)


def share(written: str) -> Fraction:
    """Read a share in percent."""
    return Fraction(written.removesuffix("%").strip()) / 100


def section_size(name: str) -> tuple[int, int]:
    """Thickness and width of a section by its name [nm]: 45x95 in millimetres, 2x4 by its dressed inches."""
    thickness, width = name.split("x")
    if int(width) > 12:
        return int(thickness) * NANOMETRES["mm"], int(width) * NANOMETRES["mm"]
    sizes = (DRESSED_INCHES[thickness], DRESSED_INCHES[width])
    return int(sizes[0] * NANOMETRES["in"]), int(sizes[1] * NANOMETRES["in"])


def rounded_half_up(amount: Fraction) -> int:
    """Round an amount that is not negative to a whole number, halves up."""
    return int(amount + Fraction(1, 2))
