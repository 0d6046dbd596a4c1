"""What writes the parts of a quote: with the quote and its work at hand, and what is looked up for many of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from sawbill.answer.declared.fields import Json, Writing
from sawbill.answer.declared.quoted.drawings import Place
from sawbill.checks.finding import Finding
from sawbill.checks.strength.traces import is_of
from sawbill.quoting.quote import Quote
from sawbill.quoting.work import Work


@dataclass(frozen=True)
class QuoteWriting(Writing):
    """What writes a quote; work: its work, worded in the system of its lengths; at: where its drawings are."""

    quote: Quote
    work: Work
    at: Place | None = None
    frames: dict[int, Json] = field(default_factory=dict, init=False, repr=False, compare=False)
    """The frames written so far, by line."""

    def label(self, line: int) -> str:
        """What a line of the request is called."""
        return self.quote.request.lines[line].label

    @cached_property
    def _ids(self) -> Mapping[tuple[int, str], str]:
        return {(cut.line, key): cut.id for cut in self.quote.take_off.cut_list for key in cut.keys}

    def ids(self, line: int, keys: Iterable[str]) -> list[str]:
        """The cut-list ids of parts of a line's frame, each once."""
        return list(dict.fromkeys(self._ids[line, key] for key in keys))

    @cached_property
    def ripped(self) -> Mapping[str, int]:
        """How wide the parts of a cut line are ripped, by its id; 0 where they are not [nm]."""
        return {cut.id: cut.ripped or 0 for cut in self.quote.take_off.cut_list}

    def calculation_of(self, line: int, finding: Finding) -> str | None:
        """Where the calculation of a finding is in the JSON, as a JSON Pointer; None: it was not asked for."""
        for i, (number, sheet) in enumerate(self.quote.calculations):
            if number == line and is_of(sheet, finding):
                return f"/calculations/{i}"
        return None
