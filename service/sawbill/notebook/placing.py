"""The parts of a quote's frames, each in its place, as one DataFrame."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

import pandas as pd

from sawbill.answer.declared.quoted.placed import PlacedPart, placed_json
from sawbill.quoting.drawn import drilled_of
from sawbill.quoting.quote import Quote
from sawbill.trade.boxes import AXES
from sawbill.trade.lengths import millimetres

COLUMNS: Final[dict[str, tuple[str, str]]] = {
    "line": ("The line of the quote, from 0.", ""), "label": ("What the line is called.", ""),
    "name": ("What the cut list calls it.", ""), "section": ("The section it is cut from.", ""),
    "length": ("How long it is.", "mm"),
    **{each: (getattr(PlacedPart, each).meaning, "") for each in ("part", "letter", "mark", "piece")},
    **{axis: (f"Where its corner of least x, y and z is along {axis}.", "mm") for axis in AXES},
    **{f"size_{axis}": (f"How far it reaches from there along {axis}.", "mm") for axis in AXES},
    **{each: (getattr(PlacedPart, each).meaning, "") for each in ("along", "across")},
}  # fmt: skip
"""Each column, with its meaning and its unit."""


def placed_parts(quote: Quote) -> pd.DataFrame:
    """Give every part of every line; none of a line of own parts, which stand nowhere."""
    found = pd.DataFrame(_rows(quote), columns=list(COLUMNS))
    found.attrs = {
        "table": "frame",
        "title": "Parts in their places",
        "meaning": "Every part, in its place: x runs along the length, y along the width, z up from the floor.",
        "units": {name: unit for name, (_, unit) in COLUMNS.items() if unit},
        "meanings": {name: meaning for name, (meaning, _) in COLUMNS.items()},
    }
    return found


def _rows(quote: Quote) -> Iterator[dict[str, Any]]:
    for number, line in enumerate(quote.request.lines):
        if line.frame is None:
            continue
        for told in placed_json(line.frame, drilled_of(quote.request, number))["parts"]:
            part = line.frame.by_key[told["part"]]
            yield {
                **told, "line": number, "label": line.label, "name": part.name, "section": part.section.name,
                "length": millimetres(part.length), **told["corner"],
                **{f"size_{axis}": told["size"][axis] for axis in AXES},
            }  # fmt: skip
