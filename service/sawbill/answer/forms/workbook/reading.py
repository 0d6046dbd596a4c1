"""Sheets of tables that people read: one under the other, with headings in words, and without what is empty."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sawbill.answer.columns import Cell, Column, Json, Table, plain
from sawbill.answer.forms.workbook.book import HEAD, LINE, Book
from sawbill.answer.forms.workbook.programs import lines_of, write_cell
from sawbill.answer.tables import TABLES
from sawbill.answer.told import CHECKS, SOURCES, STEPS, SUPPLIES, by_line, for_reader

WIDE: Final = 150
"""How much stands side by side on a printed page and can be read [characters]."""
LEAST: Final = 6
"""How wide a column is at least [characters]."""
LONG: Final = 30
"""What is longer stands last, and takes all the room that is left [characters]."""
SHORT: Final = ("kg", "lb", "mm", "m2", "sq ft", "min")
"""The units that stand beside a heading."""
_SPARE: Final = 3
"""What a column is wider than what stands in it [characters]."""
_NARROW: Final = 1.1
"""How many letters of a text stand in the width of one digit, which is what widths are counted in."""
_IN_WORDS: Final = ("rule", "status")
"""The columns whose cells are names for programs, which people read with spaces."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A table as people read it: the columns that they are shown elsewhere, those of `more` too.

    labelled: whether its title says already what line its rows are of.
    """

    table: Table
    more: tuple[str, ...] = ()
    labelled: bool = False


@dataclass(frozen=True, slots=True)
class Read:
    """A sheet: its tables one under the other."""

    name: str
    tables: tuple[Shown, ...]


def _plainly(*names: str) -> tuple[Shown, ...]:
    return tuple(Shown(TABLES[name]) for name in names)


READ: Final = (
    Read("Cutting", _plainly("cut-list", "cutting-plan", "saw-stops", "near-misses", "leftovers",
                             "tools", "carried-pieces")),
    Read("Building", (*_plainly("hardware"), Shown(SUPPLIES), Shown(STEPS))),
    Read("Holes", _plainly("drilling")),
    Read("Checking", (*_plainly("warnings"), Shown(CHECKS, ("message",)), Shown(SOURCES))),
    Read("Reckoning", _plainly("calculations")),
)  # fmt: skip
"""The sheets after the first two, in the order in which they are needed."""


def lines(answer: Json) -> Read:
    """A sheet of what each line has to cut, and bears; nothing is on it where there is one line."""
    return Read("Lines", tuple(Shown(table, labelled=True) for table in by_line(answer)))


Laid = tuple[str, Sequence[Column], Sequence[Sequence[Cell]]]


def reading(book: Book, of: Read, answer: Json, header: str) -> None:
    """Write a sheet of tables; none where all of them are empty."""
    tables = [laid for each in of.tables if (laid := _laid(each, answer))]
    if not tables:
        return
    sheet = book.sheet(of.name, header)
    sheet.set_landscape()
    widths = _widths(tables)
    for i, width in enumerate(widths):
        sheet.set_column(i, i, width + _SPARE)
    written = _Sheet(book, sheet, widths)
    for each in tables:
        written.table(*each)
    sheet.print_area(0, 0, written.row - 2, len(widths) - 1)


def heading(column: Column) -> str:
    """What a column is called in words, with the unit of its numbers."""
    words, unit = column.title, column.unit
    if column.is_number and unit in SHORT:
        words = f"{words.removesuffix(f' {unit}')} [{unit}]"
    return words[:1].upper() + words[1:]


def _laid(of: Shown, answer: Json) -> Laid | None:
    """What is shown of a table: no empty column, no label that is always the same; its longest text stands last."""
    table = for_reader(of.table, answer.get("units", "metric"))
    rows, alone = table.rows(answer), len(answer.get("lines", ())) < 2
    if not rows:
        return None
    shown = [
        (i, column) for i, column in enumerate(table.columns)
        if (column.shown or column.name in of.more) and not (column.name == "label" and (alone or of.labelled))
        and any(row[i] not in (None, "") for row in rows)
    ]  # fmt: skip
    longest = max(shown, key=lambda each: _longest(row[each[0]] for row in rows))
    if not longest[1].is_number and _longest(row[longest[0]] for row in rows) > LONG:
        shown = [*(each for each in shown if each is not longest), longest]
    cells = [[_in_words(column, row[i]) for i, column in shown] for row in rows]
    return table.title, [column for _, column in shown], cells


def _longest(cells: Iterable[Cell]) -> int:
    return max(len(line) for cell in cells for line in plain(cell).split("\n"))


def _in_words(column: Column, cell: Cell) -> Cell:
    if column.name in _IN_WORDS and isinstance(cell, str):
        return cell.replace("-", " ").replace("_", " ")
    return cell


def _widths(tables: Sequence[Laid]) -> list[int]:
    """How wide each column is, for all tables that stand in it; what is long and stands last has what is left."""
    widths = [LEAST] * max(len(columns) for _, columns, _ in tables)
    for _, columns, rows in tables:
        for i, column in enumerate(columns):
            longest = _longest(row[i] for row in rows)
            spread = longest > LONG and i + 1 == len(columns)
            words = max(map(len, heading(column).split()))
            widths[i] = max(widths[i], LEAST if spread else min(longest, LONG), words)
    left = WIDE - sum(widths) - _SPARE * len(widths)
    return [*widths[:-1], widths[-1] + max(0, left)]


class _Sheet:
    """A sheet being written; row: the next one, from 0."""

    def __init__(self, book: Book, sheet: Any, widths: Sequence[int]) -> None:
        self.book, self.sheet, self.widths, self.row = book, sheet, widths, 0

    def table(self, title: str, columns: Sequence[Column], rows: Sequence[Sequence[Cell]]) -> None:
        """Write a table, and leave a row free."""
        looks = self.book.looks
        for i in range(len(self.widths)):
            self.sheet.write_blank(self.row, i, None, looks["part"])
        self.sheet.write_string(self.row, 0, title, looks["part"])
        self.sheet.set_row(self.row, HEAD)
        self.row += 1
        last = self.widths[len(columns) - 1 :]
        widths = [*self.widths[: len(columns) - 1], sum(last) + _SPARE * (len(last) - 1)]
        self._heads(columns, widths)
        for cells in rows:
            for part in _parts(cells):
                self._cells(columns, part, widths)
        self.row += 1

    def _heads(self, columns: Sequence[Column], widths: Sequence[int]) -> None:
        names = [heading(column) for column in columns]
        for i in range(len(columns), len(self.widths)):
            self.sheet.write_blank(self.row, i, None, self.book.looks["heads"])
        for i, (column, name) in enumerate(zip(columns, names, strict=True)):
            look = self.book.looks["number heads" if column.is_number else "heads"]
            self.sheet.write_string(self.row, i, name, look)
        self._high(names, widths)

    def _cells(self, columns: Sequence[Column], cells: Sequence[Cell], widths: Sequence[int]) -> None:
        last = len(columns) - 1
        if last + 1 < len(self.widths) and isinstance(cells[last], str):
            self.sheet.merge_range(self.row, last, self.row, len(self.widths) - 1, "", self.book.looks["text"])
        for i, (column, cell) in enumerate(zip(columns, cells, strict=True)):
            write_cell(self.book, self.sheet, (self.row, i), column, cell)
        self._high(list(map(plain, cells)), widths)

    def _high(self, texts: Sequence[str], widths: Sequence[int]) -> None:
        """Make the row as high as its texts take where they are wrapped, and go on to the next."""
        lines = max(
            lines_of(text, int(_NARROW * (width + _SPARE - 1))) for text, width in zip(texts, widths, strict=True)
        )
        self.sheet.set_row(self.row, LINE * lines)
        self.row += 1


def _parts(cells: Sequence[Cell]) -> Iterator[list[Cell]]:
    """The rows that a row takes: its long texts go on line by line, so that none is too tall for a page."""
    lines = [cell.split("\n") if isinstance(cell, str) else [cell] for cell in cells]
    for i in range(max(map(len, lines))):
        yield [line[i] if i < len(line) else None for line in lines]
