"""Readers of one cell each: the text in, the value out, or a CellError that says what would be right."""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Callable, Iterable
from datetime import date
from decimal import Decimal
from typing import Final, TypeVar

from sawbill.prices.money import CURRENCIES, currency_decimals
from sawbill.trade.declaring.reading import NO, YES
from sawbill.trade.lengths import LengthError, System, format_length, parse_length
from sawbill.trade.numbers import parse_percent, percent_text

T = TypeVar("T")

MAX_TEXT: Final = 200
"""Characters in a cell."""

MAX_PRICE: Final = 100_000_000
MAX_COUNT: Final = 1_000_000
UNIT_PRICE_DECIMALS: Final = 6
"""Decimals a price per foot, metre or volume may have; other prices have the currency's."""

# Which currencies a sign stands for (common practice, no source).
_SIGNS: Final = {
    "$": {"AUD", "CAD", "CLP", "COP", "HKD", "MXN", "NZD", "SGD", "TWD", "USD", "UYU"},
    "€": {"EUR"},
    "£": {"GBP", "EGP"},
    "¥": {"JPY", "CNY"},
}
# Marks that turn the reading direction of a text, so that one name can pass for another (Unicode Annex 9).
_TURNING_MARKS: Final = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
# Code points that are no characters, and stand in no XML (XML 1.0, 2.2): no workbook could hold them.
_NO_CHARACTERS: Final = frozenset("\ufffe\uffff")
_NUMBER: Final = re.compile(r"\d+(?:\.\d+)?", re.ASCII)
_WHOLE: Final = re.compile(r"\d+", re.ASCII)
_DAY: Final = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)


class CellError(ValueError):
    """A cell that cannot be read: the kind of fault, and what would be right."""

    def __init__(self, code: str, remedy: str) -> None:
        self.code = code
        self.remedy = remedy
        super().__init__(remedy)


def clean(text: str) -> str:
    """Trim a cell and bring its letters to one form (Unicode NFC).

    Raises CellError: control characters, line breaks, half characters, or more than MAX_TEXT characters.
    """
    if len(text) > MAX_TEXT:
        raise CellError("too-long", f"write at most {MAX_TEXT} characters")
    refused = _TURNING_MARKS | _NO_CHARACTERS
    if any(unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") or c in refused for c in text):
        raise CellError("control-character", "delete the control character or line break in it")
    return unicodedata.normalize("NFC", text.replace("\u00a0", " ")).strip()


def free_text(text: str, longest: int = 80) -> str:
    """Read a name or a code of at most so many characters."""
    if len(text) > longest:
        raise CellError("too-long", f"write at most {longest} characters")
    return text


def several(text: str) -> list[str]:
    """Read names in one cell, a bar between each two: a comma or semicolon may part the cells."""
    names = [name.strip() for name in text.split("|")]
    if not all(names):
        raise CellError("missing-value", "write a name before and after each |")
    return names


def one_of(text: str, choices: Iterable[str], code: str) -> str:
    """Read one of the given words."""
    known = list(choices)
    if text in known:
        return text
    raise CellError(code, nearest(text, known))


def found(text: str, find: Callable[[str], T], code: str) -> T:
    """Look a word up in a table of the trade, whose own message says what would be right."""
    try:
        return find(text)
    except ValueError as error:
        raise CellError(code, str(error)) from None


def nearest(text: str, known: Iterable[str]) -> str:
    """Say which known words come nearest to a text, or which there are."""
    words = sorted(known)
    near = difflib.get_close_matches(text, words, n=3, cutoff=0.6)
    if near:
        return f"did you mean {' or '.join(near)}?"
    return f"write one of: {', '.join(words[:20])}{', …' if len(words) > 20 else ''}" if words else "there is none"


def price(text: str, currency: str | None, decimals: int) -> Decimal:
    """Read a price: a number above zero, with a dot and at most so many decimals; None: currency unknown."""
    amount = money(text, currency, decimals)
    if amount == 0:
        raise CellError("not-positive", "write a price above zero, or delete the row")
    return amount


def money(text: str, currency: str | None, decimals: int) -> Decimal:
    """Read an amount of money, zero or more, with a dot and at most so many decimals."""
    if not _NUMBER.fullmatch(text):
        raise _not_money(text, currency)
    whole, _, fraction = text.partition(".")
    if len(whole.lstrip("0")) > len(str(MAX_PRICE)) or Decimal(text) > MAX_PRICE:
        raise CellError("too-large", f"write at most {MAX_PRICE}")
    fraction = fraction.rstrip("0")
    if len(fraction) > decimals:
        such = f"{max(Decimal(text), Decimal(1).scaleb(-decimals)):.{decimals}f}"  # a price of nothing is none
        may = f"at most {decimals} decimals" if decimals else "no decimals"
        raise CellError("too-many-decimals", f"write {may}, such as {such}")
    return Decimal(f"{int(whole)}.{fraction}") if fraction else Decimal(int(whole))


def length(text: str, low: int, high: int, units: System) -> int:
    """Read a length between two others [nm]; units: the system its limits are told in."""
    try:
        nm = parse_length(text)
    except LengthError as error:
        raise CellError("not-a-length", str(error)) from None
    if not low <= nm <= high:
        limits = f"{format_length(low, units)} to {format_length(high, units)}"
        raise CellError("out-of-range", f"write a length of {limits}")
    return nm


def whole(text: str, low: int, high: int = MAX_COUNT) -> int:
    """Read a whole number between two others."""
    if not _WHOLE.fullmatch(text):
        raise CellError("not-a-whole-number", f"write a whole number of {low} to {high}, digits only")
    digits = text.lstrip("0") or "0"
    if len(digits) > len(str(high)) or not low <= int(digits) <= high:
        raise CellError("out-of-range", f"write a whole number of {low} to {high}")
    return int(digits)


def percent(text: str, most: Decimal = Decimal(1)) -> Decimal:
    """Read a rate or share written in percent, of 100 % or less at most; 8.25 % is 0.0825."""
    try:
        rate = parse_percent(text)
        if rate <= most:
            return rate
    except ValueError:
        pass
    remedy = f"write it in percent with its sign, such as 8.25 %, from 0 % to {percent_text(most)}"
    raise CellError("decimal-comma" if "," in text else "not-a-rate", remedy)


def flag(text: str) -> bool:
    """Read true or false."""
    return one_of(text, ("true", "false"), "not-a-flag") == "true"


def yes_or_no(text: str) -> bool:
    """Read yes or no, or another of the words for them."""
    if text.lower() in (*YES, *NO):
        return text.lower() in YES
    raise CellError("not-a-flag", "write yes or no")


def day(text: str) -> date:
    """Read a date (ISO 8601)."""
    try:
        if _DAY.fullmatch(text):
            return date.fromisoformat(text)
    except ValueError:
        pass
    raise CellError("not-a-date", "write the year, month and day, such as 2026-11-01")


def currency_code(text: str) -> str:
    """Read a currency's three-letter code."""
    found(text, currency_decimals, "unknown-currency")
    return text


def _not_money(text: str, currency: str | None) -> CellError:
    words = re.findall(r"(?<![A-Za-z])[A-Z]{3}(?![A-Za-z])", text)
    other = any(word in CURRENCIES and word != currency for word in words)
    other = other or any(sign in text and currency not in codes for sign, codes in _SIGNS.items())
    if other and currency:
        remedy = f"the book is in {currency}; write the price in {currency}, as a number alone, such as 12.50"
        return CellError("mixed-currency", remedy)
    if re.fullmatch(r"[-\u2212]\s*\d.*", text):
        return CellError("not-positive", "write a number of zero or more")
    if re.search(r"\d,\d", text):
        return CellError("decimal-comma", "write 12.50 with a dot, or 1250 without a thousands mark")
    return CellError("not-a-number", "write a number alone, such as 12.50")
