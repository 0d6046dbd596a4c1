"""The columns of a table: what each is called, means and is counted in, and where its cells are found.

One list of columns makes a table's CSV, workbook, text, page, JSON and documentation. A column that shows a key of the
answer has its name, meaning, unit and example from there (`of`); others are told here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final, Literal

from sawbill.answer.declared.fields import UNIT, Field
from sawbill.answer.declared.quoted.making import Minutes

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
    example: Any
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


def listed(name: str) -> Callable[[Json], Iterable[Json]]:
    """Read the rows of a list, none where there is no such list."""
    return lambda answer: answer.get(name, ())


def table(
    title: str, each: Field, *groups: Sequence[Column], records: Callable[[Json], Iterable[Json]] | None = None
) -> Table:  # fmt: skip
    """The table of a list of the answer, under the list's name; records: finds its rows, if not the list's own."""
    name, rows = each.key.replace("_", "-"), records or listed(each.key)
    return Table(name, title, each.meaning, columns(*groups), rows)


def plain(cell: Cell) -> str:
    """Write a cell as a file has it: a number with a dot and nothing else, nothing for what there is not."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    return f"{cell:f}" if isinstance(cell, Decimal) else str(cell)


def of(
    each: Field, meaning: str = "", *, name: str = "", between: str = " ", shown: bool = True
) -> tuple[Column, ...]:  # fmt: skip
    """The columns that show a key of the answer: two for a length or a time.

    meaning: where that of the key would not do, in a table of several kinds of rows; name: under which its rows have
    it, if not the key's; between: what stands between the texts of a list.
    """
    name, meaning = name or each.key, meaning or meaning_of(each)
    match each.kind:
        case "length":
            return _length(name, each.example, meaning, shown=shown)
        case "group" if each.of is Minutes:
            return _times(name.removesuffix("_minutes"), name, meaning)
        case "rows" if isinstance(each.of, Field):

            def joined(row: Json) -> str:
                return between.join(map(str, row.get(name) or ()))

            return text(name, meaning, str(each.of.example), joined, shown=shown)
        case "money":
            return money(name, meaning, str(each.example), shown=shown)
        case "text" | "whole" | "number" | "flag":
            return (Column(name, meaning, each.kind, each.example, _by(name), unit_of(each), shown),)
    raise ValueError(f"{name} has no cell: it is {each.kind}")


def text(
    name: str, meaning: str, example: str, read: Reader | None = None, *, shown: bool = True
) -> tuple[Column, ...]:  # fmt: skip
    """A column of text; where it is found is by its name, unless told."""
    return (Column(name, meaning, "text", example, read or _by(name), shown=shown),)


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


def money(
    name: str, meaning: str, example: str, read: Reader | None = None, *, shown: bool = True
) -> tuple[Column, ...]:  # fmt: skip
    """A column of amounts, in what the column `currency` says."""
    return (Column(name, meaning, "money", example, read or _by(name), f"the column {CURRENCY}", shown),)


def flag(name: str, meaning: str, *, example: bool, shown: bool = True) -> tuple[Column, ...]:
    """A column of yes and no."""
    return (Column(name, meaning, "flag", example, _by(name), shown=shown),)


def currency() -> tuple[Column, ...]:
    """The column that says what the amounts of a row are in."""
    return text(CURRENCY, "The currency of the row's amounts (ISO 4217).", "USD", shown=False)


def columns(*groups: Sequence[Column]) -> tuple[Column, ...]:
    """Join groups of columns. Raises ValueError: two columns have one name."""
    found = tuple(column for group in groups for column in group)
    if len({column.name for column in found}) < len(found):
        raise ValueError(f"two columns have one name: {', '.join(column.name for column in found)}")
    return found


def meaning_of(each: Field) -> str:
    """What a key means, as it is said of a column: units stand beside, and what is null in JSON is empty here."""
    meaning = UNIT.sub("", each.meaning).replace("; null", "; empty")
    if each.choices and each.choices[0] not in meaning:
        *others, last = each.choices
        meaning = f"{meaning.removesuffix('.')}: {', '.join(others)} or {last}."
    return meaning


def unit_of(each: Field) -> str:
    """What the numbers of a key are counted in, as it is said of a column; empty for none."""
    return "the column unit" if each.unit == "unit" else each.unit


def _length(name: str, example: Any, meaning: str, *, shown: bool) -> tuple[Column, ...]:
    """Two columns of a length: its number in millimetres, and its text as a workshop writes it."""

    def part(key: str) -> Reader:
        return lambda row: None if row.get(name) is None else row[name][key]

    return (
        Column(f"{name}_mm", f"{meaning} Exact.", "number", example["mm"], part("mm"), "mm", shown=False),
        Column(name, f"{meaning} As a workshop writes it.", "text", example["text"], part("text"), shown=shown),
    )


def _times(name: str, key: str, meaning: str) -> tuple[Column, ...]:
    """Two columns of a time: at least and at most."""

    def end(which: str) -> Reader:
        return lambda row: None if row.get(key) is None else row[key][which]

    return tuple(
        Column(
            f"{name}_{end_of.key}",
            f"{meaning} {meaning_of(end_of)}",
            "whole",
            end_of.example,
            end(end_of.key),
            end_of.unit,
        )
        for end_of in Minutes.fields
    )


def _by(name: str) -> Reader:
    return lambda row: row.get(name)
