"""The grid of a proposal: for every design and price book, each of the values that its open options may take."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import prod
from typing import Any, Final

from sawbill.quoting.comparing.grid import Combination, Entry

MOST_COMBINATIONS: Final = 20_000
"""How many combinations a proposal may have."""


@dataclass(frozen=True, slots=True)
class Opened:
    """An option left open: its values as they are written, and the place of the usual one, None where it is not among
    them; usual: as it is written."""

    name: str
    values: tuple[Any, ...]
    usual: Any
    at: int | None


@dataclass(frozen=True, slots=True)
class Table:
    """A design and a price book: all combinations of what is open, the last option changing first."""

    entry: Entry
    book: int
    opened: tuple[Opened, ...]

    @property
    def size(self) -> int:
        """How many combinations there are."""
        return prod(len(each.values) for each in self.opened)

    def places(self, number: int) -> tuple[int, ...]:
        """Which value of each open option a combination has."""
        found = []
        for each in reversed(self.opened):
            number, place = divmod(number, len(each.values))
            found.append(place)
        return tuple(reversed(found))


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a combination stands: its number in the whole grid, its table, the place of each of its values."""

    number: int
    table: Table
    places: tuple[int, ...]

    @property
    def options(self) -> Mapping[str, Any]:
        """All that it is asked for with, as it is written."""
        chosen = {each.name: each.values[i] for each, i in zip(self.table.opened, self.places, strict=True)}
        return {**self.table.entry.options, **chosen}

    @property
    def changed(self) -> tuple[tuple[Opened, Any], ...]:
        """The open options that are not as usual, and what they are."""
        pairs = zip(self.table.opened, self.places, strict=True)
        return tuple((each, each.values[i]) for each, i in pairs if i != each.at)

    def apart(self, other: Spot) -> int | None:
        """In how many open options two of one design differ; None: they are of two designs."""
        if self.table.entry is not other.table.entry:
            return None
        mine, its = self.options, other.options
        return len([name for name in mine.keys() | its.keys() if mine.get(name) != its.get(name)])

    def combination(self, quantity: int) -> Combination:
        """The same as a row of a comparison."""
        entry = self.table.entry
        return Combination(self.number, entry.label, entry.design, self.options, (), self.table.book, quantity)


@dataclass(frozen=True, slots=True)
class Grid:
    """All tables, one after the other; quantity: how many are made of each."""

    tables: Sequence[Table]
    quantity: int

    @property
    def size(self) -> int:
        """How many combinations there are, counted without making them."""
        return sum(table.size for table in self.tables)

    @property
    def opened(self) -> int:
        """In how many options the combinations of one design may differ."""
        return max((sum(len(each.values) > 1 for each in table.opened) for table in self.tables), default=0)

    def spots(self) -> Iterator[Spot]:
        """Every combination in order."""
        number = 0
        for table in self.tables:
            for within in range(table.size):
                yield Spot(number, table, table.places(within))
                number += 1
