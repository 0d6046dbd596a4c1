"""A table that the command line has by itself: the options of a design."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final

from sawbill.answer import columns as c
from sawbill.answer.columns import Json, Table, listed


def _text(key: str) -> Callable[[Json], str | None]:
    """A bound or a default as it is written: a length by its text, yes or no."""

    def read(row: Json) -> str | None:
        value: Any = row[key]
        if isinstance(value, dict):
            return str(value["text"])
        if isinstance(value, bool):
            return "yes" if value else "no"
        return None if value is None else str(value)

    return read


OPTIONS: Final = Table(
    "options", "Options", "What may be asked of a design.",
    c.columns(
        c.text("name", "What it is set by: --set NAME=VALUE.", "clear_height"),
        c.text("kind", "What it takes.", "length"),
        c.text("default", "What it is where it is not set; empty: as the price book says.", "8 in", _text("default")),
        c.text("least", "The least it may be.", "4 in", _text("least")),
        c.text("most", "The most it may be.", "24 in", _text("most")),
        c.text("help", "What it does.", "Clear height underneath."),
        c.text("unit", "How its values are written.", "length with its unit", shown=False),
        c.text("choices", "The words it may be.", "none, low, high", lambda row: ", ".join(row["choices"] or ())),
    ), listed("options"),
)  # fmt: skip
"""A row of JSON an option, as the service lists them."""
