"""What every kind of value does: it is checked, read, written and described."""

from __future__ import annotations

from typing import Any, ClassVar, NamedTuple

from sawbill.trade.declaring.reading import Reading
from sawbill.trade.declaring.shown import Json
from sawbill.trade.lengths import System


class Wrong(NamedTuple):
    """What is wrong with a value at first sight: a stable code, and words that go on after its name."""

    code: str
    words: str


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
