"""How one value of a request is written: each kind checks a value, reads it, and describes itself.

They stand beside the kinds of a design's options (`trade.option`), which also know what a design takes when nothing is
said. To check takes nothing but the value: its type and size. To read takes what it is read against, for ranges are
told in the shop's own units, and sections are found in its price book.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, ClassVar, Final, NamedTuple

from sawbill.trade import lumber, tables
from sawbill.trade.lengths import METRE, LengthError, System, exact_length, format_length, parse_length
from sawbill.trade.numbers import parse_number, parse_percent, percent_text
from sawbill.trade.option import NO, YES, Flag, Json, OptionError, Reading, printable, range_text, show
from sawbill.trade.quantities import QuantityError, parse_quantity

MOST_TEXT: Final = 100
"""The longest text a request may give where nothing else is said [characters]."""


class Wrong(NamedTuple):
    """What is wrong with a value at first sight: a stable code, and words that go on after its name."""

    code: str
    words: str


def whole_of(text: str) -> int | str:
    """Take a whole number from its digits; what is none stays text."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= 9 else text


class Kind:
    """A way to write a value; this one takes any, and leaves it to whoever reads it.

    takes_null: whether it says by itself what is wrong with null.
    """

    takes_null: ClassVar[bool] = False

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        return None

    def from_text(self, text: str, between: str = ",") -> Any:
        """Take a value as JSON has it from a parameter of a query, an option of a command or a cell of a table.

        between: what stands between the entries of a list. What is at fault stays text, for `check` and `read` to tell.
        """
        return text

    def read(self, name: str, raw: Any, reading: Reading) -> Any:
        """Read a value that was checked. Raises OptionError: it may not be that; name: what the message calls it."""
        return raw

    def text(self, value: Any, system: System) -> str:
        """Write a value as a caller may write it."""
        return str(value)

    def describe(self, system: System) -> Json:
        """What a form says of it beside its help: the unit, or how it is written; its least and most; its choices.

        The keys are those of the catalogue of a design's options; least and most are written as they may be asked for.
        """
        return {"unit": "as it is told"}

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {}


class Text(Kind):
    """A text of at most so many characters, every one of them printable.

    words: those that it may be, for its reader to hold it to.
    """

    hint: ClassVar[str] = ""

    def __init__(self, longest: int = MOST_TEXT, *, least: int = 0, words: tuple[str, ...] = ()) -> None:
        self.longest, self._least, self.words = longest, least, words

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        if not isinstance(raw, str):
            return Wrong("not-text", f"is {show(raw)}; it must be text{self.hint}")
        if len(raw) > self.longest:
            return Wrong("too-long", f"has {len(raw)} characters; it may have {self.longest}")
        if not raw.isprintable():
            return Wrong("not-printable", f"is {show(raw)}; use no control characters")
        return None

    def describe(self, system: System) -> Json:
        """What a form says of it beside its help."""
        return {"unit": "one of the choices", "choices": [*self.words]} if self.words else {"unit": "text"}

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        least = {"minLength": self._least} if self._least else {}
        return {"type": "string", "maxLength": self.longest, **least, **({"enum": [*self.words]} if self.words else {})}


class Word(Text):
    """One of several words."""

    def __init__(self, *words: str) -> None:
        super().__init__(words=words)

    def read(self, name: str, raw: Any, reading: Reading) -> str:
        """Read one of the words."""
        if raw in self.words:
            return str(raw)
        raise OptionError("not-a-choice", f"{name} is {show(raw)}; it may be {', '.join(self.words)}")


class Name(Text):
    """The name of something that a table of the trade knows, such as a species or a grade."""

    def __init__(self, find: Callable[[str], tables.Named]) -> None:
        super().__init__()
        self.find = find

    def read(self, name: str, raw: Any, reading: Reading) -> str:
        """Give the name as the table spells it."""
        try:
            return self.find(raw).name
        except ValueError as error:
            raise OptionError("unknown-name", str(error)) from None

    def describe(self, system: System) -> Json:
        """What a form says of it beside its help."""
        return {"unit": "name"}


class SectionName(Text):
    """A lumber section, by name."""

    def read(self, name: str, raw: Any, reading: Reading) -> lumber.Section:
        """Find the section, at the size of the price book's boards."""
        try:
            return reading.section(raw)
        except ValueError as error:
            raise OptionError("unknown-section", f"{name}: {error}") from None

    def describe(self, system: System) -> Json:
        """What a form says of it beside its help."""
        return {"unit": "section name"}


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
        try:
            nm = parse_length(raw)
        except LengthError as error:
            raise OptionError("not-a-length", f"{name} is {show(raw)}: {error}") from None
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
            return Wrong("not-a-whole-number", f"is {show(raw)}; it must be a whole number")
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


class YesNo(Kind):
    """Yes or no, as JSON has it or as a word."""

    def read(self, name: str, raw: Any, reading: Reading) -> bool:
        """Read yes or no."""
        return Flag(name, "", default=False).read(raw, reading)

    def text(self, value: bool, system: System) -> str:
        """Write yes or no."""
        return "yes" if value else "no"

    def describe(self, system: System) -> Json:
        """What a form says of it beside its help."""
        return {"unit": "yes or no"}

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {"anyOf": [{"type": "boolean"}, {"enum": [*YES, *NO]}]}


@dataclass(frozen=True)
class Free(Kind):
    """An object of at most so many keys, which somebody else reads."""

    most: int

    def check(self, raw: object) -> Wrong | None:
        """Look at type and size alone."""
        if not isinstance(raw, dict):
            return Wrong("not-an-object", f"is {show(raw)}; it must be an object")
        if len(raw) > self.most:
            return Wrong("too-many", f"has {len(raw)} keys; it may have {self.most}")
        return None

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {"type": "object", "maxProperties": self.most, "additionalProperties": True}
