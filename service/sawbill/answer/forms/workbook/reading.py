"""Sheets of tables that people read: one under the other, with headings in words, and without what is empty.

Of several lines each has its own cut list, steps and checks. A long text stands under its row, over the whole width.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from sawbill.answer.columns import Cell, Column, Json, Table, plain
from sawbill.answer.forms.workbook.book import HEAD, LINE, Book
from sawbill.answer.forms.workbook.grid import grid
from sawbill.answer.forms.workbook.programs import lines_of, write_cell
from sawbill.answer.tables import TABLES
from sawbill.answer.told import CHECKS, SOURCES, STEPS, SUPPLIES, by_line, cuts_by_line, for_reader

PORTRAIT: Final = 125
LANDSCAPE: Final = 165
"""How much stands side by side on a printed page and can be read [characters]."""
LEAST: Final = 6
"""How wide a column is at least [characters]."""
LONG: Final = 18
"""What is longer is wrapped; the longest stands last, and takes all the room that is left [characters]."""
LAST: Final = 40
"""How wide such a last column is at least [characters]."""
SHORT_NAME: Final = 10
"""What heading is never wrapped [characters]."""
SHORT: Final = ("kg", "lb", "mm", "m2", "sq ft", "min")
"""The units that stand beside a heading."""
_SPARE: Final = 2
"""What a column is wider than what stands in it [characters]."""
_SPARE_BOLD: Final = 5
"""The same where that is bold [characters]."""
_NARROW: Final = 1.15
"""How many letters of a text stand in the width of one digit, which is what widths are counted in."""
_IN_WORDS: Final = ("rule", "status")
"""The columns whose cells are names for programs, which people read with spaces."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A table as people read it: the columns that they are shown elsewhere, those of `more` too.

    each: the tables that it comes as, those of each line where there are several; under: the column whose text stands
    under its row.
    """

    table: Table
    more: tuple[str, ...] = ()
    each: Callable[[Table, Json], Sequence[Table]] = lambda table, _: [table]
    under: str = ""


@dataclass(frozen=True, slots=True)
class Read:
    """A sheet: its tables one under the other, on pages as wide as these characters."""

    name: str
    wide: int
    tables: tuple[Shown, ...]


def _plainly(*names: str) -> tuple[Shown, ...]:
    return tuple(Shown(TABLES[name]) for name in names)


READ: Final = (
    Read("Cutting", PORTRAIT, (
        Shown(TABLES["cut-list"], each=lambda table, answer: cuts_by_line(answer) or [table]),
        *_plainly("cutting-plan", "saw-stops", "near-misses", "leftovers", "tools", "carried-pieces"),
    )),
    Read("Building", PORTRAIT, (*_plainly("hardware"), Shown(SUPPLIES), Shown(STEPS, each=by_line, under="text"))),
    Read("Checking", LANDSCAPE, (*_plainly("warnings"), Shown(CHECKS, ("message",), by_line), Shown(SOURCES))),
    Read("Reckoning", LANDSCAPE, _plainly("calculations")),
)  # fmt: skip
"""The sheets after the first ones, in the order in which they are needed."""


@dataclass(frozen=True, slots=True)
class _Laid:
    """A table to write; under: the text that stands under each row, none for most tables."""

    title: str
    columns: Sequence[Column]
    rows: Sequence[Sequence[Cell]]
    under: Sequence[str]

    def widths(self) -> list[int]:
        """How wide each column is at least, with what is left free beside it."""
        found = []
        for i, column in enumerate(self.columns):
            longest = _longest(row[i] for row in self.rows)
            name = heading(column)
            words = len(name) if len(name) <= SHORT_NAME else max(map(len, name.split()))
            last = self.spreads() and i + 1 == len(self.columns)
            most = LAST if last or self.under else LONG
            found.append(max(LEAST, words, min(longest, most)) + (_SPARE_BOLD if self.under else _SPARE))
        return found

    def spreads(self) -> bool:
        """Whether its last column is of long texts, which take all the room that is left."""
        return not self.columns[-1].is_number and _longest(row[-1] for row in self.rows) > LONG


def reading(book: Book, of: Read, answer: Json, header: str) -> None:
    """Write a sheet of tables; none where all of them are empty."""
    tables = [
        laid for shown in of.tables for each in shown.each(shown.table, answer)
        if (laid := _laid(shown, each, answer))
    ]  # fmt: skip
    if not tables:
        return
    sheet = book.sheet(of.name, header)
    if of.wide == LANDSCAPE:
        sheet.set_landscape()
    widths, begins = grid([each.widths() for each in tables], [each.spreads() for each in tables], of.wide)
    for i, width in enumerate(widths):
        sheet.set_column(i, i, width)
    written = _Sheet(book, sheet, widths)
    for laid, edges in zip(tables, begins, strict=True):
        written.table(laid, edges)
    sheet.print_area(0, 0, written.row - 2, len(widths) - 1)


def heading(column: Column) -> str:
    """What a column is called in words, with the unit of its numbers."""
    words, unit = column.title, column.unit
    if column.is_number and unit in SHORT:
        words = f"{words.removesuffix(f' {unit}')} [{unit}]"
    return words[:1].upper() + words[1:]


def _laid(shown: Shown, table: Table, answer: Json) -> _Laid | None:
    """What is shown of a table: no empty column, no label that is always the same; its longest text stands last."""
    table = for_reader(table, answer.get("units", "metric"))
    rows = table.rows(answer)
    if not rows:
        return None
    same = len(answer.get("lines", ())) < 2 or table.title != shown.table.title
    chosen = [
        (i, column) for i, column in enumerate(table.columns)
        if (column.shown or column.name in shown.more) and not (column.name == "label" and same)
        and column.name != shown.under and any(row[i] not in (None, "") for row in rows)
    ]  # fmt: skip
    longest = max(chosen, key=lambda each: _longest(row[each[0]] for row in rows))
    if not shown.under and not longest[1].is_number and _longest(row[longest[0]] for row in rows) > LONG:
        chosen = [*(each for each in chosen if each is not longest), longest]
    cells = [[_in_words(column, row[i]) for i, column in chosen] for row in rows]
    texts = [i for i, column in enumerate(table.columns) if column.name == shown.under]
    under = [plain(row[i]) for i in texts for row in rows]
    return _Laid(table.title, [column for _, column in chosen], cells, under)


def _longest(cells: Iterable[Cell]) -> int:
    return max(len(line) for cell in cells for line in plain(cell).split("\n"))


def _in_words(column: Column, cell: Cell) -> Cell:
    if column.name in _IN_WORDS and isinstance(cell, str):
        return cell.replace("-", " ").replace("_", " ")
    return cell


class _Sheet:
    """A sheet being written; row: the next one, from 0."""

    def __init__(self, book: Book, sheet: Any, widths: Sequence[int]) -> None:
        self.book, self.sheet, self.widths, self.row = book, sheet, widths, 0

    def table(self, laid: _Laid, edges: Sequence[int]) -> None:
        """Write a table whose columns begin at these columns of the sheet, and leave a row free."""
        for i in range(len(self.widths)):
            self.sheet.write_blank(self.row, i, None, self.book.looks["part"])
        self.sheet.write_string(self.row, 0, laid.title, self.book.looks["part"])
        self.sheet.set_row(self.row, HEAD)
        self.row += 1
        self._heads(laid.columns, edges)
        for i, cells in enumerate(laid.rows):
            for part in _parts(cells):
                self._cells(laid.columns, part, edges, "step" if laid.under else "text")
            for line in laid.under[i].split("\n") if laid.under else ():
                self._under(line, edges[1])
        self.row += 1

    def _heads(self, columns: Sequence[Column], edges: Sequence[int]) -> None:
        names = [heading(column) for column in columns]
        for i, (column, name) in enumerate(zip(columns, names, strict=True)):
            look = self.book.looks["number heads" if column.is_number else "heads"]
            self._joined(i, edges, look)
            self.sheet.write_string(self.row, edges[i], name, look)
        self._high(names, edges)

    def _cells(self, columns: Sequence[Column], cells: Sequence[Cell], edges: Sequence[int], look: str) -> None:
        for i, (column, cell) in enumerate(zip(columns, cells, strict=True)):
            if cell is not None:
                self._joined(i, edges, self.book.looks[look])
                write_cell(self.book, self.sheet, (self.row, edges[i]), column, cell, look)
        self._high(list(map(plain, cells)), edges)

    def _under(self, line: str, first: int) -> None:
        """Write a line of a text, from the second column of its table on."""
        edges = [first, len(self.widths)]
        self._joined(0, edges, self.book.looks["text"])
        self.sheet.write_string(self.row, first, line, self.book.looks["text"])
        self._high([line], edges)

    def _joined(self, i: int, edges: Sequence[int], look: Any) -> None:
        """Join the cells of the sheet that a cell of a table takes."""
        if edges[i + 1] > edges[i] + 1:
            self.sheet.merge_range(self.row, edges[i], self.row, edges[i + 1] - 1, "", look)

    def _high(self, texts: Sequence[str], edges: Sequence[int]) -> None:
        """Make the row as high as its texts take where they are wrapped, and go on to the next."""
        widths = [sum(self.widths[edges[i] : edges[i + 1]]) for i in range(len(texts))]
        lines = max(lines_of(text, int(_NARROW * (width - 1))) for text, width in zip(texts, widths, strict=True))
        self.sheet.set_row(self.row, LINE * lines)
        self.row += 1


def _parts(cells: Sequence[Cell]) -> Iterator[list[Cell]]:
    """The rows that a row takes: its long texts go on line by line, so that none is too tall for a page."""
    lines = [cell.split("\n") if isinstance(cell, str) else [cell] for cell in cells]
    for i in range(max(map(len, lines))):
        yield [line[i] if i < len(line) else None for line in lines]
