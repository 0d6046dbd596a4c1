"""The grid of a comparison: designs x option values x price books x quantities, one combination a row.

An option that a design does not have is left out for that design, and its rows say so; an option that a design is
given by itself is not swept for it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from math import prod
from typing import Any, Final, overload

from sawbill.trade.design import Design

MOST_ROWS: Final = 500
"""How many rows a comparison may have whose rows are held all at once."""
MOST_SWEPT: Final = 250_000
"""How many rows one may have whose rows are not: a job."""


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


@dataclass(frozen=True)
class Grid(Sequence[Combination]):
    """The rows, each made when it is asked for, by design, option by option, then price book, then quantity.

    What is swept: values by option, as they are written; how many price books; quantities.
    """

    entries: Sequence[Entry]
    options: Mapping[str, Sequence[Any]]
    books: int
    quantities: Sequence[int]

    @property
    def size(self) -> int:
        """How many rows there are, counted without making them: also more than any sequence has."""
        return self.ends[-1] if self.ends else 0

    def __len__(self) -> int:
        """How many rows there are. Raises OverflowError: more than any sequence has."""
        return self.size

    @cached_property
    def ends(self) -> tuple[int, ...]:
        """By entry, the number of the first row after its own."""
        each = self.books * len(self.quantities)
        return tuple(accumulate(each * prod(len(self.options[name]) for name in self.swept(e)) for e in self.entries))

    @overload
    def __getitem__(self, at: int) -> Combination: ...
    @overload
    def __getitem__(self, at: slice) -> Sequence[Combination]: ...
    def __getitem__(self, at: int | slice) -> Combination | Sequence[Combination]:
        """Make a row by its number, or some. Raises IndexError: there is none."""
        numbers = range(len(self))[at]
        return self._row(numbers) if isinstance(numbers, int) else [self._row(number) for number in numbers]

    def __iter__(self) -> Iterator[Combination]:
        """Make one row after the other."""
        return map(self._row, range(len(self)))

    def _row(self, number: int) -> Combination:
        place = next(i for i, end in enumerate(self.ends) if number < end)
        entry, left = self.entries[place], number - (self.ends[place - 1] if place else 0)
        left, quantity = divmod(left, len(self.quantities))
        left, book = divmod(left, self.books)
        chosen = {}
        for name in reversed(self.swept(entry)):
            left, value = divmod(left, len(self.options[name]))
            chosen[name] = self.options[name][value]
        known = {option.name for option in entry.design.options}
        left_out = tuple(name for name in self.options if name not in known)
        options = {**entry.options, **dict(reversed(chosen.items()))}
        return Combination(number, entry.label, entry.design, options, left_out, book, self.quantities[quantity])

    def swept(self, entry: Entry) -> list[str]:
        """The options that are swept for an entry."""
        known = {option.name for option in entry.design.options}
        return [name for name in self.options if name in known and name not in entry.options]
