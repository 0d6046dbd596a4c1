"""Kinds that are written as text: words, and the names of what the trade or a price book knows."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar, Final

from sawbill.trade import lumber, tables
from sawbill.trade.declaring.kinds.kind import Kind, Wrong
from sawbill.trade.declaring.reading import OptionError, Reading
from sawbill.trade.declaring.shown import Json, show
from sawbill.trade.lengths import System

MOST_TEXT: Final = 100
"""The longest text a request may give where nothing else is said [characters]."""


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
