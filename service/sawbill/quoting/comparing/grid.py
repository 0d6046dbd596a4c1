"""The grid of a comparison: designs x option values x price books x quantities, one combination a row.

An option that a design does not have is left out for that design, and its rows say so; an option that a design is
given by itself is not swept for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import prod
from typing import Any, Final

from sawbill.trade.design import Design

MOST_ROWS: Final = 500
"""How many rows a comparison may have."""


@dataclass(frozen=True, slots=True)
class Entry:
    """A design to compare, with the options that all its rows have, as they are written."""

    label: str
    design: Design
    options: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Combination:
    """One row's question; number: its place in the grid, from 0; book: the place of its price book.

    options: those of the entry and those swept, as they are written; left_out: those the design does not have.
    """

    number: int
    label: str
    design: Design
    options: Mapping[str, Any]
    left_out: tuple[str, ...]
    book: int
    quantity: int


@dataclass(frozen=True, slots=True)
class Grid:
    """What is swept: values by option, as they are written; how many price books; quantities."""

    entries: Sequence[Entry]
    options: Mapping[str, Sequence[Any]]
    books: int
    quantities: Sequence[int]

    @property
    def size(self) -> int:
        """How many rows there are, counted without making them."""
        values = (prod(len(self.options[name]) for name in self._swept(entry)) for entry in self.entries)
        return sum(values) * self.books * len(self.quantities)

    def combinations(self) -> Iterator[Combination]:
        """The rows in order: by design, then option by option, then price book, then quantity."""
        number = 0
        for entry in self.entries:
            swept = self._swept(entry)
            known = {option.name for option in entry.design.options}
            left_out = tuple(name for name in self.options if name not in known)
            values = product(*(self.options[name] for name in swept))
            for chosen, book, quantity in product(values, range(self.books), self.quantities):
                options = {**entry.options, **dict(zip(swept, chosen, strict=True))}
                yield Combination(number, entry.label, entry.design, options, left_out, book, quantity)
                number += 1

    def _swept(self, entry: Entry) -> list[str]:
        known = {option.name for option in entry.design.options}
        return [name for name in self.options if name in known and name not in entry.options]
