"""The designs on offer, and what may be asked of each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from html import escape
from pathlib import Path
from typing import Any, Final

import pandas as pd

from sawbill import registry
from sawbill.notebook.books import Book, price_book
from sawbill.trade import design as trade
from sawbill.trade.declaring.reading import Reading
from sawbill.trade.lengths import System
from sawbill.trade.option import Option

COLUMNS: Final = {
    "option": "Its name: an argument of `quote`.", "default": "What it is where it is not given.",
    "may_be": "What it may be.", "meaning": "What it does.",
}  # fmt: skip


class Design:
    """A design on offer: what it is, and what may be asked of it."""

    def __init__(self, offered: trade.Design) -> None:
        self._offered: Final = offered
        self.name: Final = offered.name
        self.title: Final = offered.title
        self.summary: Final = offered.summary
        self.references: Final = offered.references

    @property
    def options(self) -> pd.DataFrame:
        """What may be asked, as a shop that measures in inches has it: each option, its default, what it may be."""
        return self.options_for("inch")

    def options_for(self, shop: System | Book | str | Path) -> pd.DataFrame:
        """Tell what may be asked, with the defaults of a system, inch or metric, or of a price book.

        Raises FaultsError: there is no such price book.
        """
        reading = _reading(shop)
        rows = [_row(option, reading) for option in self._offered.options]
        found = pd.DataFrame(rows, columns=list(COLUMNS)).set_index("option")
        found.attrs = {"table": "options", "title": f"Options of {self.title}", "meanings": dict(COLUMNS)}
        return found

    def __repr__(self) -> str:
        """Tell it in a line."""
        return f"<Design {self.name}: {self.title}, {len(self._offered.options)} options>"

    def _repr_html_(self) -> str:
        """Tell it in a notebook, with its options."""
        with pd.option_context("display.max_colwidth", None):
            return f"<p><b>{escape(self.title)}</b> ({self.name})<br>{escape(self.summary)}</p>{self.options.to_html()}"


class Designs(Mapping[str, Design]):
    """The designs on offer, by name."""

    def __init__(self, offered: Mapping[str, trade.Design]) -> None:
        self._offered: Final = offered

    def __getitem__(self, name: str) -> Design:
        """Give the design of a name. Raises KeyError: there is none."""
        return Design(self._offered[name])

    def __iter__(self) -> Iterator[str]:
        """Give the names, in order."""
        return iter(self._offered)

    def __len__(self) -> int:
        """Tell how many there are."""
        return len(self._offered)

    @property
    def table(self) -> pd.DataFrame:
        """Name, title and summary of each."""
        rows = [(each.name, each.title, each.summary) for each in self._offered.values()]
        return pd.DataFrame(rows, columns=["name", "title", "summary"]).set_index("name")

    def __repr__(self) -> str:
        """Tell their names."""
        return f"<Designs {', '.join(self)}>"

    def _repr_html_(self) -> str:
        """Tell them in a notebook."""
        with pd.option_context("display.max_colwidth", None):
            return self.table.to_html()


def designs() -> Designs:
    """Give the designs on offer: ours, and those of any package that offers some.

    >>> designs()
    <Designs bench, bunk-bed, daybed, loft-bed, low-platform, sawhorse, shelf-unit, slatted-bed, table, workbench>
    >>> designs()["bench"].options.loc["length", "default"]
    '48 in'
    """
    return Designs(registry.designs())


def _reading(shop: System | Book | str | Path) -> Reading:
    if units := next((system for system in trade.SYSTEMS if system == shop), None):
        return Reading(units, lambda role: "the shop's usual one")
    book = price_book(shop).prices
    return Reading(book.units, book.usual_section, book.section)


def _row(option: Option, reading: Reading) -> dict[str, Any]:
    told = option.describe(reading)
    return {"option": option.name, "default": _text(told["default"]), "may_be": _range(told), "meaning": option.help}


def _range(told: Mapping[str, Any]) -> str:
    """What an option may be, in words."""
    if "least" in told:
        return f"{_text(told['least'])} to {_text(told['most'])}"
    measured = ", or lengths such as 60 in x 80 in" if "measured" in told else ""
    return ", ".join(told["choices"]) + measured if "choices" in told else str(told["unit"])


def _text(value: Any) -> str:
    if isinstance(value, Mapping):
        return str(value["text"])
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)
