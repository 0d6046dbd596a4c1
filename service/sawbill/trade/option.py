"""The kinds of option a design may declare, each able to read a written value and to describe itself.

A design declares options as data; the catalogue, the JSON Schema and every error message are made from the
declaration, so they cannot fall behind it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Literal, TypeVar

from sawbill.trade import lengths, lumber, mattresses
from sawbill.trade.declaring import headings
from sawbill.trade.declaring.headings import Headed, Heading
from sawbill.trade.lengths import (
    INCH,
    MM,
    STEP,
    BySystem,
    LengthError,
    System,
    format_length,
    parse_length,
    round_down,
    round_up,
)
from sawbill.trade.tables import simplified

Json = dict[str, Any]
Value = TypeVar("Value")
MAX_TEXT: Final = 100
COARSEST: Final[BySystem] = {"inch": INCH // 8, "metric": 5 * MM}
"""The coarsest step to lay out in: with a coarser one bolts and screws would be too far from where they hold best."""


YES: Final = ("yes", "true", "on", "1")
NO: Final = ("no", "false", "off", "0")
"""The words for yes and for no, as a query, a form or a sheet may write them."""


class OptionError(ValueError):
    """A value an option cannot take; `code` is stable, the message says what would be right.

    within: the member of a structured value that is at fault, if it has members.
    """

    def __init__(self, code: str, message: str, within: str | None = None) -> None:
        super().__init__(message)
        self.code = code
        self.within = within


@dataclass(frozen=True, slots=True)
class Reading:
    """What options are read against: the shop's system, and the sections of its price book.

    usual: the section a shop usually takes for a role, by name; section: finds a section by its name,
    ValueError when there is none; step: to which the shop measures and cuts, None for what is usual [nm].
    """

    system: System
    usual: Callable[[str], str]
    section: Callable[[str], lumber.Section] = lumber.section
    step: int | None = None

    @property
    def tape(self) -> int:
        """The step that furniture is laid out in: the shop's, or the usual one where the shop's is too coarse [nm]."""
        return STEP[self.system] if self.step is None or self.step > COARSEST[self.system] else self.step


@dataclass(frozen=True, slots=True)
class Asked(Headed):
    """What every kind of option declares beside how it is written.

    stays: whether it says what the furniture is for, or how it is to look, so that neither ways out of a check nor
    proposals change it unless they are told to: to ask for less would mend nothing.
    """

    stays: bool = field(default=False, kw_only=True)


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
        return self._set(_by_system(reading.system, self.default, self.metric_default), reading.tape)

    def read(self, raw: object, reading: Reading) -> int:
        """Read a written length [nm]."""
        nm = _length(self.name, raw)
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


@dataclass(frozen=True, slots=True)
class Choice(Asked):
    """One of several words.

    fastener: of what they are the sizes, if they are; so that a larger one is known from a smaller one, and the usual
    one is the least that is offered unless a smaller one is asked for.
    """

    help: str
    choices: tuple[str, ...]
    default: str
    metric_default: str | None = None
    fastener: Literal["bolt", "screw"] | None = field(default=None, kw_only=True)
    heading: Heading = field(default=headings.CONSTRUCTION, kw_only=True)
    kind = "choice"

    def start(self, reading: Reading) -> str:
        """What an unset option is."""
        return _by_system(reading.system, self.default, self.metric_default)

    def read(self, raw: object, reading: Reading) -> str:
        """Read one of the words, whatever its case and spaces; a size is read as `3/8"` too."""
        if isinstance(raw, str) and len(raw) <= MAX_TEXT:
            for word in self.choices:
                if simplified(raw.strip()) == simplified(word):
                    return word
        raise OptionError("not-a-choice", f"{self.name} is {show(raw)}; it may be {_listed(self.choices)}")

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {"type": "string", "enum": list(self.choices)}

    def describe(self, reading: Reading) -> Json:
        """What the catalogue says of it beside name, kind and help."""
        return {"unit": "one of the choices", "choices": list(self.choices), "default": self.start(reading)}


@dataclass(frozen=True, slots=True)
class Flag(Asked):
    """Yes or no."""

    help: str
    default: bool
    heading: Heading = field(default=headings.CONSTRUCTION, kw_only=True)
    kind = "flag"

    def start(self, reading: Reading) -> bool:
        """What an unset option is."""
        return self.default

    def read(self, raw: object, reading: Reading) -> bool:
        """Read yes or no: a JSON boolean, or one of YES and NO."""
        if isinstance(raw, bool):
            return raw
        word = raw.strip().lower() if isinstance(raw, str) else ""
        if word in YES or word in NO:
            return word in YES
        raise OptionError("not-a-flag", f"{self.name} is {show(raw)}; it may be yes or no")

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {
            "anyOf": [{"type": "boolean"}, {"enum": [*YES, *NO]}],
            "default": self.default,
        }

    def describe(self, reading: Reading) -> Json:
        """What the catalogue says of it beside name, kind and help."""
        return {"unit": "yes or no", "default": self.default}


@dataclass(frozen=True, slots=True)
class Section(Asked):
    """A lumber section; unset, the one that the shop usually takes for the role."""

    help: str
    role: str
    heading: Heading = field(default=headings.BOARDS, kw_only=True)
    kind = "section"

    def start(self, reading: Reading) -> lumber.Section:
        """What an unset option is."""
        return reading.section(reading.usual(self.role))

    def read(self, raw: object, reading: Reading) -> lumber.Section:
        """Read a section's name."""
        if not isinstance(raw, str) or len(raw) > MAX_TEXT:
            raise OptionError("unknown-section", f"{self.name} is {show(raw)}; name a section such as 2x4 or 45x95")
        try:
            return reading.section(raw)
        except ValueError as error:
            raise OptionError("unknown-section", f"{self.name}: {error}") from None

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        return {"type": "string", "maxLength": MAX_TEXT, "examples": ["2x4", "45x95"]}

    def describe(self, reading: Reading) -> Json:
        """What the catalogue says of it beside name, kind and help."""
        return {"unit": "section name", "default": reading.usual(self.role)}


@dataclass(frozen=True, slots=True)
class Mattress(Asked):
    """A mattress: a listed size, or a measured one, with its thickness if that is known."""

    help: str
    default: str
    metric_default: str | None = None
    heading: Heading = field(default=headings.SLEEPING_PLACE, kw_only=True)
    stays: bool = field(default=True, kw_only=True)
    kind = "mattress"

    WIDTH = (18 * INCH, 90 * INCH)
    LENGTH = (36 * INCH, 96 * INCH)
    THICKNESS = (2 * INCH, 24 * INCH)

    def start(self, reading: Reading) -> mattresses.Mattress:
        """What an unset option is."""
        return self.read(_by_system(reading.system, self.default, self.metric_default), reading)

    def read(self, raw: object, reading: Reading) -> mattresses.Mattress:
        """Read `queen`, `queen x 12 in`, `60 in x 80 in`, `60 x 80 x 12 in`, `140x200 cm` or an object of members.

        Of two measured sides the shorter is the width; the object {width, length, thickness} is taken as given.
        """
        members = self._members(raw)
        usual = 10 * INCH if reading.system == "inch" else 250 * MM
        thickness = self._side(members, "thickness", self.THICKNESS, reading) if "thickness" in members else usual
        if "size" in members:
            try:
                return mattresses.listed(str(members["size"]), thickness, reading.system)
            except ValueError as error:
                raise OptionError("unknown-mattress", f"{self.name}: {error}") from None
        width = self._side(members, "width", self.WIDTH, reading)
        length = self._side(members, "length", self.LENGTH, reading)
        return mattresses.measured(width, length, thickness)

    def _members(self, raw: object) -> Mapping[str, object]:
        if isinstance(raw, str) and len(raw) <= MAX_TEXT:
            return self._written(raw)
        if isinstance(raw, Mapping) and ({*raw} <= {"size", "thickness"} or {*raw} <= {"width", "length", "thickness"}):
            missing = [] if "size" in raw else [side for side in ("width", "length") if side not in raw]
            if not missing:
                return raw
        raise OptionError(
            "not-a-mattress",
            f"{self.name} is {show(raw)}; write a listed size such as queen, measured sides such as "
            "60 in x 80 in x 10 in, or an object with size or with width and length, and thickness if known",
        )

    def _written(self, text: str) -> Mapping[str, object]:
        measured = text.strip()[:1].isdigit()
        sides = re.split(r"\s*[x×]\s*" if measured else r"\s+x\s+|\s*×\s*", text.strip())  # noqa: RUF001
        if not measured:
            if len(sides) <= 2:
                return dict(zip(("size", "thickness"), sides, strict=False))
            raise OptionError(
                "not-a-mattress",
                f"{self.name} is {show(text)}; a listed size is written queen, or queen x 12 in with its thickness",
            )
        if len(sides) not in (2, 3):
            raise OptionError(
                "not-a-mattress",
                f"{self.name} is {show(text)}; measured sides are written 60 in x 80 in, or 60 in x 80 in x 10 in",
            )
        if unit := re.search(r"[^\d./\s-].*$", sides[-1]):  # one unit, at the end, is that of all sides
            sides = [f"{side} {unit[0]}" if re.fullmatch(r"[\d./\s-]+", side) else side for side in sides]
        first, second = sorted(sides[:2], key=lambda side: _length(self.name, side))
        return dict(zip(("width", "length", "thickness"), (first, second, *sides[2:]), strict=False))

    def _side(self, members: Mapping[str, object], side: str, bounds: tuple[int, int], reading: Reading) -> int:
        raw = members[side]
        try:
            nm = _length(self.name, raw)
        except OptionError as error:
            raise OptionError(error.code, str(error), side) from None
        if not bounds[0] <= nm <= bounds[1]:
            allowed = range_text(*bounds, reading.system)
            raise OptionError("out-of-range", f"{self.name}: the {side} is {raw}; it may be {allowed}", side)
        return nm

    def schema(self) -> Json:
        """JSON Schema of a written value."""
        length = {"type": "string", "maxLength": lengths.MAX_TEXT}
        size = {"type": "string", "enum": sorted(mattresses.mattress_sizes())}
        return {
            "anyOf": [
                {"type": "string", "maxLength": MAX_TEXT, "examples": ["queen", "60 in x 80 in x 12 in"]},
                {
                    "type": "object",
                    "properties": {"size": size, "thickness": length},
                    "required": ["size"],
                    "additionalProperties": False,
                },
                {
                    "type": "object",
                    "properties": {"width": length, "length": length, "thickness": length},
                    "required": ["width", "length"],
                    "additionalProperties": False,
                },
            ]
        }

    def describe(self, reading: Reading) -> Json:
        """What the catalogue says of it beside name, kind and help."""
        text = lengths_out(reading.system)
        return {
            "unit": "a listed size, or lengths with their unit",
            "default": _by_system(reading.system, self.default, self.metric_default),
            "choices": sorted(mattresses.mattress_sizes()),
            "measured": {
                side: {"least": text(least), "most": text(most)}
                for side, bounds in (
                    ("width", self.WIDTH),
                    ("length", self.LENGTH),
                    ("thickness", self.THICKNESS),
                )
                for least, most in [printable(*bounds, reading.system)]
            },
        }


Option = Length | Count | Choice | Flag | Section | Mattress


def printable(least: int, most: int, system: System) -> tuple[int, int]:
    """The bounds [nm] of the lengths in a range that print exactly, so that what is printed may be asked for.

    In millimetres they are round ones.
    """
    for low_step, high_step in ((_round(least, system), _round(most, system)), (STEP[system],) * 2):
        low, high = round_up(least, low_step), round_down(most, high_step)
        if low <= high:
            return low, high
    return least, most


def _round(nm: int, system: System) -> int:
    """To what a length about so long is told where it need not be exact: 610 mm, 75 mm, and not 609.6 or 76 [nm]."""
    if system == "inch" or nm < 20 * MM:
        return STEP[system]
    return 10 * MM if nm >= 100 * MM else 5 * MM


def range_text(least: int, most: int, system: System) -> str:
    """A range of lengths [nm] in words."""
    low, high = printable(least, most, system)
    return f"{format_length(low, system)} to {format_length(high, system)}"


def lengths_out(system: System) -> Callable[[int], Json]:
    """How a length leaves the service: millimetres for a machine, text for a person."""
    return lambda nm: {"mm": lengths.millimetres(nm), "text": format_length(nm, system)}


def show(raw: object) -> str:
    """A value as an error message may repeat it: short, and nothing but printable characters."""
    if isinstance(raw, str):
        text = "".join(c if c.isprintable() else "\ufffd" for c in raw[:40])
        return f'"{text}…"' if len(raw) > 40 else f'"{text}"'
    if isinstance(raw, bool) or raw is None:
        return {True: "true", False: "false", None: "null"}[raw]
    if isinstance(raw, Mapping):
        return "an object"
    return "a list" if isinstance(raw, list) else str(raw)[:40]


def _by_system(system: System, inch: Value, metric: Value | None) -> Value:
    return inch if system == "inch" or metric is None else metric


def _length(name: str, raw: object) -> int:
    if not isinstance(raw, str):
        raise OptionError("not-a-length", f"{name} is {show(raw)}; a length is text with its unit, such as 8 in")
    try:
        return parse_length(raw)
    except LengthError as error:
        raise OptionError("not-a-length", f"{name} is {show(raw)}: {error}") from None


def _listed(words: tuple[str, ...]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
