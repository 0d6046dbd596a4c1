"""Tables as a workbook (Office Open XML, ISO/IEC 29500), a sheet each: numbers as numbers, a total that computes."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from textwrap import wrap
from typing import Any, Final

from sawbill.answer.columns import Cell, Column, Json, Table, plain
from sawbill.answer.records import ADDED

LETTER: Final = 1
A4: Final = 9
"""Papers by their numbers in a workbook (ISO/IEC 29500-1, pageSetup, paperSize; from memory)."""
MARGIN: Final = 0.4
"""Of a printed page at its sides [in]."""
LINE: Final = 15
"""The height of one line [pt]."""
WIDEST: Final = 40
"""How wide a column may be; longer texts are wrapped [characters]."""
PAGE: Final = 300
"""How much is printed side by side on one page, small as it is then [characters]; what is wider takes several."""
NAMED: Final = 2
"""How many columns stand on each of several pages, to say what its rows are."""
MADE: Final = datetime(2000, 1, 1)
"""The creation date, pinned: else it would be all that differs between two workbooks of one quote."""
_OPTIONS: Final = {
    "in_memory": True,
    "strings_to_formulas": False,
    "strings_to_urls": False,
    "strings_to_numbers": False,
}


def workbook_bytes(tables: Sequence[Table], answer: Json, title: str) -> bytes:
    """Write tables of a quote or a catalogue; the same content gives the same bytes."""
    import xlsxwriter  # heavy, and needed by nothing else

    out = io.BytesIO()
    with xlsxwriter.Workbook(out, _OPTIONS) as workbook:
        workbook.set_properties({"title": title, "created": MADE})
        filled = [(table, table.rows(answer)) for table in tables]
        decimals = max((_decimals(table, rows) for table, rows in filled), default=0)
        looks: dict[str, dict[str, Any]] = {
            "head": {"bold": True, "bottom": 1, "align": "left", "indent": 1},
            "number head": {"bold": True, "bottom": 1, "align": "right"},
            "money": {"num_format": f"#,##0.{'0' * decimals}" if decimals else "#,##0"},
            "whole": {"num_format": "0"},
            "number": {"num_format": "0.0###"},
            "text": {"num_format": "@", "text_wrap": True, "align": "left", "indent": 1},
        }
        formats = {name: workbook.add_format({"valign": "top", **look}) for name, look in looks.items()}
        paper = LETTER if answer.get("units") == "inch" else A4
        for table, rows in filled:
            _write_sheet(workbook.add_worksheet(table.name), table, rows, paper, formats)
    return out.getvalue()


def _write_sheet(
    sheet: Any, table: Table, rows: Sequence[Sequence[Cell]], paper: int, formats: dict[str, Any]
) -> None:  # fmt: skip
    sheet.freeze_panes(1, 0)
    sheet.repeat_rows(0)
    sheet.set_landscape()
    sheet.set_paper(paper)
    sheet.set_margins(left=MARGIN, right=MARGIN)
    sheet.set_footer("&L&A&R&P / &N")
    widths = [_width(column, [row[i] for row in rows]) for i, column in enumerate(table.columns)]
    across = -(-sum(widths) // PAGE)
    sheet.fit_to_pages(across, 0)
    if across > 1:
        sheet.repeat_columns(0, NAMED - 1)
    for i, column in enumerate(table.columns):
        sheet.set_column(i, i, widths[i])
        sheet.write_string(0, i, column.name, formats["number head" if column.is_number else "head"])
        for number, row in enumerate(rows, 1):
            _write_cell(sheet, number, i, column, row[i], formats)
    for number, row in enumerate(rows, 1):
        sheet.set_row(number, LINE * max(map(_lines, row)))
    if table.name == "costs":
        _write_total(sheet, table, rows, formats["money"])


def _write_cell(sheet: Any, row: int, place: int, column: Column, cell: Cell, formats: dict[str, Any]) -> None:
    if cell is None:
        return
    if column.is_number:
        sheet.write_number(row, place, float(cell), formats[column.kind])
    else:
        sheet.write_string(row, place, plain(cell), formats["text"])


def _write_total(sheet: Any, table: Table, rows: Sequence[Sequence[Cell]], money: Any) -> None:
    """Let the total compute itself from what adds to it, to the currency's decimals; it shows ours till it does."""
    names = [column.name for column in table.columns]
    amount, adds = names.index("amount"), chr(ord("A") + names.index("adds"))
    costs = [row[0] for row in rows]
    last, at = 1 + max(i for i, cost in enumerate(costs) if cost in ADDED), 1 + costs.index("total")
    total = rows[at - 1][amount]
    assert isinstance(total, Decimal)
    decimals = _decimals_of(total)
    sheet.write_formula(at, amount, f"=ROUND(SUM({adds}2:{adds}{last + 1}),{decimals})", money, float(total))


def _width(column: Column, cells: Sequence[Cell]) -> int:
    lines = (len(line) for cell in cells for line in plain(cell).split("\n"))
    return min(WIDEST, max(len(column.name), *lines, 4)) + 3


def _lines(cell: Cell) -> int:
    """How many lines a cell takes where its text is wrapped, words kept whole: not every sheet finds out by itself."""
    return sum(len(wrap(line, WIDEST)) or 1 for line in plain(cell).split("\n"))


def _decimals(table: Table, rows: Sequence[Sequence[Cell]]) -> int:
    """How many decimals the amounts of a table have, as their currency has; none where there are none."""
    amounts = (row[i] for i, column in enumerate(table.columns) if column.kind == "money" for row in rows)
    return max((_decimals_of(amount) for amount in amounts if isinstance(amount, Decimal)), default=0)


def _decimals_of(amount: Decimal) -> int:
    return max(0, -int(amount.as_tuple().exponent))
