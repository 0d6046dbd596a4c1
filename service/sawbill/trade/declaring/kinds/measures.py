"""Kinds that are written with a unit: lengths and masses."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from sawbill.trade.declaring.kinds.kind import Wrong
from sawbill.trade.declaring.kinds.texts import Text
from sawbill.trade.declaring.reading import OptionError, Reading, written_length
from sawbill.trade.declaring.shown import Json, printable, range_text, show
from sawbill.trade.lengths import METRE, System, exact_length, format_length
from sawbill.trade.quantities import QuantityError, parse_quantity


class Length(Text):
    """A length as text with its unit, between two bounds [nm].

    in_book: the bounds where a price book says it, if they are others.
    """

    hint = " with its unit, such as 8 in"

    def __init__(self, least: int, most: int, *, in_book: tuple[int, int] | None = None) -> None:
        super().__init__()
        self.least, self.most, self.in_book = least, most, in_book or (least, most)

    def read(self, name: str, raw: Any, reading: Reading) -> int:
        """Read a length [nm]."""
        nm = written_length(name, raw)
        if not self.least <= nm <= self.most:
            allowed = range_text(self.least, self.most, reading.system)
            raise OptionError("out-of-range", f"{name} is {raw}; it may be {allowed}")
        return nm

    def text(self, value: int, system: System) -> str:
        """Write a length [nm] so that it reads back exactly."""
        return exact_length(value, system)

    def describe(self, system: System) -> Json:
        """What a form says of it beside its help."""
        least, most = (format_length(nm, system) for nm in printable(self.least, self.most, system))
        return {"unit": "length with its unit", "least": least, "most": most}


class LengthGiven(Length):
    """A length as text with its unit, or as the object an answer gives; then its millimetres hold."""

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        both = isinstance(raw, Mapping) and {*raw} == {"mm", "text"} and isinstance(raw["text"], str)
        mm = raw["mm"] if both else None  # type: ignore[index]  # a mapping, then
        if isinstance(mm, int | float) and not isinstance(mm, bool) and 0 <= mm < METRE:
            return None
        if isinstance(raw, str) and len(raw) <= self.longest and raw.isprintable():
            return None
        remedy = 'write text with its unit, such as 36 in, or {"mm": 914.4, "text": "36 in"}'
        return Wrong("not-a-length", f"is {show(raw)}; {remedy}")

    def read(self, name: str, raw: Any, reading: Reading) -> int:
        """Read a length [nm]."""
        text = raw if isinstance(raw, str) else f"{Decimal(str(raw['mm'])):f} mm"
        return super().read(name, text, reading)

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        either = [super().schema(), {"$ref": "#/components/schemas/Length"}]
        return {"anyOf": either, "examples": ["36 in", {"mm": 914.4, "text": "36 in"}]}


class Mass(Text):
    """A mass as text with its unit, between two bounds, whole kilograms [g]."""

    hint = " with its unit, such as 23 kg"

    def __init__(self, least: int, most: int) -> None:
        super().__init__()
        self.least, self.most = least, most

    def read(self, name: str, raw: Any, reading: Reading) -> int:
        """Read a mass [g]."""
        try:
            grams = parse_quantity(raw, "mass")
        except QuantityError as error:
            raise OptionError("not-a-mass", f"{name} is {show(raw)}: {error}") from None
        if not self.least <= grams <= self.most:
            allowed = f"{self.least // 1000} kg to {self.most // 1000} kg"
            raise OptionError("out-of-range", f"{name} is {raw}; it may be {allowed}")
        return int(grams)

    def text(self, value: int, system: System) -> str:
        """Write a mass [g]."""
        return f"{(Decimal(value) / 1000).normalize():f} kg"

    def describe(self, system: System) -> Json:
        """What a form says of it beside its help."""
        least, most = self.text(self.least, system), self.text(self.most, system)
        return {"unit": "mass with its unit", "least": least, "most": most}
