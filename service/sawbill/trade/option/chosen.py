"""Options that are chosen: one of several words, yes or no, a section of lumber."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from sawbill.trade import lumber
from sawbill.trade.declaring import headings
from sawbill.trade.declaring.headings import Heading
from sawbill.trade.declaring.reading import NO, YES, OptionError, Reading, yes_or_no
from sawbill.trade.declaring.shown import Json, listed, show
from sawbill.trade.option.asked import MAX_TEXT, Asked, by_system
from sawbill.trade.tables import simplified


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
        return by_system(reading.system, self.default, self.metric_default)

    def read(self, raw: object, reading: Reading) -> str:
        """Read one of the words, whatever its case and spaces; a size is read as `3/8"` too."""
        if isinstance(raw, str) and len(raw) <= MAX_TEXT:
            for word in self.choices:
                if simplified(raw.strip()) == simplified(word):
                    return word
        raise OptionError("not-a-choice", f"{self.name} is {show(raw)}; it may be {listed(self.choices)}")

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
        return yes_or_no(self.name, raw)

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
