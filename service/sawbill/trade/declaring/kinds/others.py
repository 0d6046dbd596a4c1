"""Kinds that are neither text nor number: yes or no, and an object that somebody else reads."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sawbill.trade.declaring.kinds.kind import Kind, Wrong
from sawbill.trade.declaring.reading import NO, YES, Reading, yes_or_no
from sawbill.trade.declaring.shown import Json, show
from sawbill.trade.lengths import System


class YesNo(Kind):
    """Yes or no, as JSON has it or as a word."""

    def read(self, name: str, raw: Any, reading: Reading) -> bool:
        """Read yes or no."""
        return yes_or_no(name, raw)

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
