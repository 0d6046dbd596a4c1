"""Kinds that are plain numbers, shares among them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from sawbill.trade.declaring.kinds.kind import Kind, Wrong
from sawbill.trade.declaring.kinds.texts import Text
from sawbill.trade.declaring.reading import OptionError, Reading
from sawbill.trade.declaring.shown import Json, show
from sawbill.trade.lengths import System
from sawbill.trade.numbers import parse_number, parse_percent, percent_text


def whole_of(text: str) -> int | str:
    """Take a whole number from its digits; what is none stays text."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 9 else text


class Share(Text):
    """A share as text in percent, of so much at most; 25 % is 0.25."""

    hint = " in percent, such as 25 %"

    def __init__(self, most: Decimal) -> None:
        super().__init__()
        self.most = most

    def read(self, name: str, raw: Any, reading: Reading) -> Decimal:
        """Read a share of 1."""
        try:
            share = parse_percent(raw)
        except ValueError as error:
            raise OptionError("not-a-percentage", f"{name} is {show(raw)}; {error}") from None
        if share > self.most:
            raise OptionError("out-of-range", f"{name} is {raw}; it may be 0 % to {percent_text(self.most)}")
        return share

    def text(self, value: Decimal, system: System) -> str:
        """Write a share of 1 in percent."""
        return percent_text(value)

    def describe(self, system: System) -> Json:
        """What a form says of it beside its help."""
        return {"unit": "percent", "least": "0 %", "most": percent_text(self.most)}


class Number(Text):
    """A plain number as text, between two bounds."""

    def __init__(self, least: Decimal, most: Decimal) -> None:
        super().__init__()
        self.least, self.most = least, most

    def read(self, name: str, raw: Any, reading: Reading) -> Decimal:
        """Read a plain number."""
        try:
            number = parse_number(raw)
        except ValueError as error:
            raise OptionError("not-a-number", f"{name} is {show(raw)}; {error}") from None
        if not self.least <= number <= self.most:
            raise OptionError("out-of-range", f"{name} is {raw}; it may be {self.least:f} to {self.most:f}")
        return number

    def text(self, value: Decimal, system: System) -> str:
        """Write a plain number."""
        return f"{value:f}"

    def describe(self, system: System) -> Json:
        """What a form says of it beside its help."""
        return {"unit": "plain number", "least": f"{self.least:f}", "most": f"{self.most:f}"}


class Whole(Kind):
    """A whole number, between two bounds."""

    def __init__(self, least: int, most: int) -> None:
        self.least, self.most = least, most

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        if type(raw) is not int:
            quoted = ", without quotes" if isinstance(raw, str) and raw.isdigit() else ""
            return Wrong("not-a-whole-number", f"is {show(raw)}; it must be a whole number{quoted}")
        return None

    def from_text(self, text: str, between: str = ",") -> int | str:
        """Take a number from its digits."""
        return whole_of(text)

    def read(self, name: str, raw: Any, reading: Reading) -> int:
        """Read a whole number."""
        if self.least <= raw <= self.most:
            return int(raw)
        may = f"it may be a whole number from {self.least} to {self.most}"
        raise OptionError("out-of-range", f"{name} is {show(raw)}; {may}")

    def describe(self, system: System) -> Json:
        """What a form says of it beside its help."""
        return {"unit": "count", "least": self.least, "most": self.most}

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {"type": "integer", "minimum": self.least, "maximum": self.most}
