"""The option that says what mattress a bed is for: a listed size, or measured sides."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from sawbill.trade import lengths, mattresses
from sawbill.trade.declaring import headings
from sawbill.trade.declaring.headings import Heading
from sawbill.trade.declaring.reading import OptionError, Reading, written_length
from sawbill.trade.declaring.shown import Json, lengths_out, printable, range_text, show
from sawbill.trade.lengths import INCH, MM
from sawbill.trade.option.asked import MAX_TEXT, Asked, by_system


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
        return self.read(by_system(reading.system, self.default, self.metric_default), reading)

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
        first, second = sorted(sides[:2], key=lambda side: written_length(self.name, side))
        return dict(zip(("width", "length", "thickness"), (first, second, *sides[2:]), strict=False))

    def _side(self, members: Mapping[str, object], side: str, bounds: tuple[int, int], reading: Reading) -> int:
        raw = members[side]
        try:
            nm = written_length(self.name, raw)
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
            "default": by_system(reading.system, self.default, self.metric_default),
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
