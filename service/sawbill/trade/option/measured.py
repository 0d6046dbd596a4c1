"""Options that are measured or counted: lengths, one or several, and whole numbers between two bounds."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from sawbill.trade import lengths
from sawbill.trade.declaring import headings
from sawbill.trade.declaring.headings import Heading
from sawbill.trade.declaring.reading import OptionError, Reading, written_length
from sawbill.trade.declaring.shown import Json, lengths_out, printable, range_text, show
from sawbill.trade.lengths import System, format_length, round_down, round_up
from sawbill.trade.option.asked import Asked, by_system


@dataclass(frozen=True, slots=True)
class Length(Asked):
    """A length between two bounds [nm], set to the shop's step as far as the bounds let it.

    metric_default: what a metric shop takes, when not the same; rounding: the safe way, down for what may be no more.
    """

    help: str
    default: int
    least: int
    most: int
    metric_default: int | None = None
    rounding: Literal["up", "down"] = "up"
    heading: Heading = field(default=headings.SIZE, kw_only=True)
    kind = "length"

    def start(self, reading: Reading) -> int:
        """What an unset option is [nm]."""
        return self._set(by_system(reading.system, self.default, self.metric_default), reading.tape)

    def read(self, raw: object, reading: Reading) -> int:
        """Read a written length [nm]."""
        nm = written_length(self.name, raw)
        if not self.least <= nm <= self.most:
            raise OptionError("out-of-range", f"{self.name} is {raw}; it may be {self.range_text(reading.system)}")
        return self._set(nm, reading.tape)

    def _set(self, nm: int, step: int) -> int:
        """A length on the step: the safe way, the other way at the end of the range, as it is in too narrow a one."""
        up, down = round_up(nm, step), round_down(nm, step)
        ways = (down, up) if self.rounding == "down" else (up, down)
        return next((way for way in ways if self.least <= way <= self.most), nm)

    def range_text(self, system: System) -> str:
        """The bounds in words."""
        return range_text(self.least, self.most, system)

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {
            "type": "string",
            "maxLength": lengths.MAX_TEXT,
            "examples": [format_length(self.default, "inch")],
        }

    def describe(self, reading: Reading) -> Json:
        """What the catalogue says of it beside name, kind and help."""
        text = lengths_out(reading.system)
        least, most = printable(self.least, self.most, reading.system)
        return {
            "unit": "length with its unit",
            "least": text(least),
            "most": text(most),
            "default": text(self.start(reading)),
        }


@dataclass(frozen=True, slots=True)
class Lengths(Asked):
    """Lengths in their order, each between two bounds [nm]; none unless they are named, and no more than `many`.

    Written with semicolons between, for commas are between the values of an option that is left open.
    """

    help: str
    least: int
    most: int
    many: int
    heading: Heading = field(default=headings.SIZE, kw_only=True)
    kind = "lengths"

    def start(self, reading: Reading) -> tuple[int, ...]:
        """What an unset option is: nothing."""
        return ()

    def read(self, raw: object, reading: Reading) -> tuple[int, ...]:
        """Read written lengths [nm], to the shop's step."""
        if not isinstance(raw, str) or len(raw) > (self.many + 1) * lengths.MAX_TEXT:
            raise OptionError(
                "not-lengths", f"{self.name} is {show(raw)}; write lengths with semicolons between, as 14 in; 12 in"
            )
        written = [each.strip() for each in raw.split(";")] if raw.strip() else []
        if len(written) > self.many:
            raise OptionError("too-many", f"{self.name} names {len(written)} lengths; it may name {self.many} at most")
        return tuple(self._one(each, reading) for each in written)

    def _one(self, written: str, reading: Reading) -> int:
        nm = written_length(self.name, written)
        if not self.least <= nm <= self.most:
            allowed = range_text(self.least, self.most, reading.system)
            raise OptionError("out-of-range", f"{self.name} names {written}; each may be {allowed}")
        up, down = round_up(nm, reading.tape), round_down(nm, reading.tape)
        return next((way for way in (up, down) if self.least <= way <= self.most), nm)

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        two = [format_length(each, "inch") for each in (self.least, self.most)]
        return {"type": "string", "maxLength": (self.many + 1) * lengths.MAX_TEXT, "examples": ["; ".join(two)]}

    def describe(self, reading: Reading) -> Json:
        """What the catalogue says of it beside name, kind and help."""
        text = lengths_out(reading.system)
        least, most = printable(self.least, self.most, reading.system)
        return {
            "unit": "lengths with their unit, semicolons between",
            "least": text(least),
            "most": text(most),
            "default": "",
        }


@dataclass(frozen=True, slots=True)
class Count(Asked):
    """A whole number between two bounds."""

    help: str
    default: int
    least: int
    most: int
    heading: Heading = field(default=headings.CONSTRUCTION, kw_only=True)
    kind = "count"

    def start(self, reading: Reading) -> int:
        """What an unset option is."""
        return self.default

    def read(self, raw: object, reading: Reading) -> int:
        """Read a whole number, written as a number or as text."""
        digits = isinstance(raw, str) and len(raw) <= 9 and raw.isascii() and raw.isdigit()
        value = int(raw) if digits else raw  # type: ignore[call-overload]  # text
        if not isinstance(value, int) or isinstance(value, bool):
            raise OptionError("not-a-count", f"{self.name} is {show(raw)}; it must be a whole number")
        if not self.least <= value <= self.most:
            raise OptionError("out-of-range", f"{self.name} is {show(raw)}; it may be {self.least} to {self.most}")
        return value

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {
            "anyOf": [
                {"type": "integer", "minimum": self.least, "maximum": self.most},
                {"type": "string", "pattern": "^[0-9]{1,9}$"},
            ],
            "default": self.default,
        }

    def describe(self, reading: Reading) -> Json:
        """What the catalogue says of it beside name, kind and help."""
        return {"unit": "count", "least": self.least, "most": self.most, "default": self.default}
