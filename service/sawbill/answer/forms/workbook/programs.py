"""The sheets that programs read: a table each, under its own name, every column under the name that it always has."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from textwrap import wrap
from typing import Any, Final

from sawbill.answer.columns import Cell, Column, Table, plain
from sawbill.answer.forms.workbook.book import LINE, Book, decimals_of
from sawbill.answer.records import ADDED

WIDEST: Final = 40
"""How wide a column may be; longer texts are wrapped [characters]."""
PAGE: Final = 300
"""How much is printed side by side on one page, small as it is then [characters]; what is wider takes several."""
NAMED: Final = 2
"""How many columns stand on each of several pages, to say what its rows are."""
SHARE: Final = "share of 1"
"""The unit of numbers that are shown as percentages."""

Filled = tuple[Table, Sequence[Sequence[Cell]]]


def programs(book: Book, tables: Iterable[Filled], *, hidden: bool = False) -> None:
    """Write tables, each with its rows; hidden: where other sheets tell people the same."""
    for table, rows in tables:
        sheet = book.sheet(table.name)
        _write_sheet(book, sheet, table, rows)
        if hidden:
            sheet.hide()


def noted(book: Book, name: str, lines: Sequence[str]) -> None:
    """Write lines for people on a sheet of their own."""
    sheet = book.sheet(name)
    sheet.set_column(0, 0, max(map(len, lines)))
    for place, line in enumerate(lines):
        sheet.write_string(place, 0, line, book.looks["line"])


def _write_sheet(book: Book, sheet: Any, table: Table, rows: Sequence[Sequence[Cell]]) -> None:
    sheet.freeze_panes(1, 0)
    sheet.repeat_rows(0)
    sheet.set_landscape()
    widths = [_width(column, [row[i] for row in rows]) for i, column in enumerate(table.columns)]
    across = -(-sum(widths) // PAGE)
    sheet.fit_to_pages(across, 0)
    if across > 1:
        sheet.repeat_columns(0, NAMED - 1)
    for i, column in enumerate(table.columns):
        sheet.set_column(i, i, widths[i])
        sheet.write_string(0, i, column.name, book.looks["number head" if column.is_number else "head"])
        for number, row in enumerate(rows, 1):
            write_cell(book, sheet, (number, i), column, row[i])
    for number, row in enumerate(rows, 1):
        sheet.set_row(number, LINE * max(map(_lines, row)))
    if table.name == "costs":
        _write_total(sheet, table, rows, book.looks["money"])


def write_cell(
    book: Book, sheet: Any, place: tuple[int, int], column: Column, cell: Cell, look: str = "text"
) -> None:  # fmt: skip
    """Write a cell as what it is: a number, a share as a percentage, a yes or no, or a text of this look."""
    if cell is None:
        return
    if column.kind == "flag":
        sheet.write_boolean(*place, bool(cell), book.looks["flag"])
    elif column.is_number:
        sheet.write_number(*place, float(cell), book.looks["share" if column.unit == SHARE else column.kind])
    else:
        sheet.write_string(*place, plain(cell), book.looks[look])


def _write_total(sheet: Any, table: Table, rows: Sequence[Sequence[Cell]], money: Any) -> None:
    """Let the total compute itself from what adds to it, to the currency's decimals; it shows ours till it does."""
    names = [column.name for column in table.columns]
    amount, adds = names.index("amount"), chr(ord("A") + names.index("adds"))
    costs = [row[0] for row in rows]
    last, at = 1 + max(i for i, cost in enumerate(costs) if cost in ADDED), 1 + costs.index("total")
    total = rows[at - 1][amount]
    assert isinstance(total, Decimal)
    formula = f"=ROUND(SUM({adds}2:{adds}{last + 1}),{decimals_of(total)})"
    sheet.write_formula(at, amount, formula, money, float(total))


def _width(column: Column, cells: Sequence[Cell]) -> int:
    lines = (len(line) for cell in cells for line in plain(cell).split("\n"))
    return min(WIDEST, max(len(column.name), *lines, 4)) + 3


def _lines(cell: Cell) -> int:
    return lines_of(plain(cell), WIDEST)


def lines_of(text: str, width: int) -> int:
    """How many lines a text takes where it is wrapped, words kept whole: not every sheet finds out by itself."""
    return sum(len(wrap(line, width)) or 1 for line in text.split("\n"))


def most_decimals(tables: Iterable[Filled]) -> int:
    """How many decimals the amounts of tables have, as their currency has; none where there are none."""
    amounts = (
        row[i] for table, rows in tables for i, column in enumerate(table.columns) if column.kind == "money"
        for row in rows
    )  # fmt: skip
    return max((decimals_of(amount) for amount in amounts if isinstance(amount, Decimal)), default=0)
