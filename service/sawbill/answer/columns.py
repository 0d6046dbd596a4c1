"""The columns of a table: what each is called, means and is counted in, and where its cells are found.

One list of columns makes a table's CSV, workbook, text, page, JSON and documentation.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final, Literal

Json = Mapping[str, Any]
Cell = str | int | Decimal | bool | None
Kind = Literal["text", "whole", "number", "money", "flag"]
Reader = Callable[[Json], Any]

CURRENCY: Final = "currency"
"""The name of the column that says what the amounts of a row are in."""


@dataclass(frozen=True, slots=True)
class Column:
    """A column; unit: of its numbers, empty for none; read: finds its cell in a row; shown: where people read."""

    name: str
    meaning: str
    kind: Kind
    example: str | int | float | bool
    read: Reader
    unit: str = ""
    shown: bool = True

    @property
    def title(self) -> str:
        """Its name for people."""
        return self.name.replace("_", " ")

    @property
    def is_number(self) -> bool:
        """Whether its cells stand to the right."""
        return self.kind in ("whole", "number", "money")

    def cell(self, row: Json) -> Cell:
        """Find its cell in a row; numbers exact."""
        value = self.read(row)
        if value is None or self.kind in ("text", "flag", "whole"):
            return value  # type: ignore[no-any-return]  # JSON
        return Decimal(str(value))


@dataclass(frozen=True, slots=True)
class Table:
    """A table; records: finds what its rows are made of in the JSON of a quote, a cutting plan or a catalogue."""

    name: str
    title: str
    meaning: str
    columns: tuple[Column, ...]
    records: Callable[[Json], Iterable[Json]]

    def rows(self, answer: Json) -> list[tuple[Cell, ...]]:
        """Give its rows, a cell a column; where prices are of several books, each record says its currency."""
        more = {CURRENCY: answer["price_book"][CURRENCY]} if "price_book" in answer else {}
        return [tuple(column.cell({**record, **more}) for column in self.columns) for record in self.records(answer)]


def plain(cell: Cell) -> str:
    """Write a cell as a file has it: a number with a dot and nothing else, nothing for what there is not."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return f"{cell:f}" if isinstance(cell, Decimal) else str(cell)


def text(
    name: str, meaning: str, example: str, read: Reader | None = None, *, shown: bool = True
) -> tuple[Column, ...]:  # fmt: skip
    """A column of text; where it is found is by its name, unless told."""
    return (Column(name, meaning, "text", example, read or _by(name), shown=shown),)


def words(name: str, meaning: str, example: str, *, between: str = " ", shown: bool = True) -> tuple[Column, ...]:
    """A column of texts that the JSON has as a list."""
    return text(name, meaning, example, lambda row: between.join(row.get(name) or ()), shown=shown)


def whole(
    name: str, meaning: str, example: int, read: Reader | None = None, *, unit: str = "", shown: bool = True
) -> tuple[Column, ...]:
    """A column of whole numbers."""
    return (Column(name, meaning, "whole", example, read or _by(name), unit, shown),)


def number(
    name: str, meaning: str, example: float, unit: str, read: Reader | None = None, *, shown: bool = True
) -> tuple[Column, ...]:
    """A column of numbers with one unit for all."""
    return (Column(name, meaning, "number", example, read or _by(name), unit, shown),)


def money(name: str, meaning: str, example: str, *, shown: bool = True) -> tuple[Column, ...]:
    """A column of amounts, in what the column `currency` says."""
    return (Column(name, meaning, "money", example, _by(name), f"the column {CURRENCY}", shown),)


def flag(name: str, meaning: str, *, example: bool, shown: bool = True) -> tuple[Column, ...]:
    """A column of yes and no."""
    return (Column(name, meaning, "flag", example, _by(name), shown=shown),)


def length(name: str, meaning: str, millimetres: float, written: str) -> tuple[Column, ...]:
    """Two columns of a length: its number in millimetres, and its text as a workshop writes it."""

    def part(key: str) -> Reader:
        return lambda row: None if row.get(name) is None else row[name][key]

    return (
        Column(f"{name}_mm", f"{meaning} Exact.", "number", millimetres, part("mm"), "mm", shown=False),
        Column(name, f"{meaning} As a workshop writes it.", "text", written, part("text")),
    )


def minutes(name: str, meaning: str, least: int, most: int) -> tuple[Column, ...]:
    """Two columns of a time: at least and at most."""

    def part(key: str) -> Reader:
        return lambda row: row[f"{name}_minutes"][key]

    return (
        Column(f"{name}_least", f"{meaning} At least.", "whole", least, part("least"), "min"),
        Column(f"{name}_most", f"{meaning} At most.", "whole", most, part("most"), "min"),
    )


def currency() -> tuple[Column, ...]:
    """The column that says what the amounts of a row are in."""
    return text(CURRENCY, "The currency of the row's amounts (ISO 4217).", "USD", shown=False)


def columns(*groups: Sequence[Column]) -> tuple[Column, ...]:
    """Join groups of columns. Raises ValueError: two columns have one name."""
    found = tuple(column for group in groups for column in group)
    if len({column.name for column in found}) < len(found):
        raise ValueError(f"two columns have one name: {', '.join(column.name for column in found)}")
    return found


def _by(name: str) -> Reader:
    return lambda row: row.get(name)
