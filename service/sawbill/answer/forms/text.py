"""Tables as aligned text, for a terminal and for plain reading."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal

from sawbill.answer.columns import Column, Json, Table, plain
from sawbill.answer.told import READ, cuts_by_line, for_reader
from sawbill.trade import measures

Layout = Callable[[Sequence[Column], Sequence[Sequence[str]]], Iterator[str]]
"""How cells are set in lines, the titles of the columns first."""


def aligned(columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> Iterator[str]:
    """Set cells in columns as wide as they are, numbers to the right."""
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row in rows:
        cells = (
            cell.rjust(width) if column.is_number else cell.ljust(width)
            for column, cell, width in zip(columns, row, widths, strict=True)
        )
        yield f"  {'  '.join(cells)}".rstrip()


def table_text(table: Table, answer: Json, layout: Layout = aligned) -> str:
    """Write a table under its title: the columns that people read, and of these those that are not empty."""
    table = for_reader(table, answer.get("units", "metric"))
    rows = [[plain(cell) for cell in row] for row in table.rows(answer)]
    shown = [i for i, column in enumerate(table.columns) if column.shown and any(row[i] for row in rows)]
    columns = [table.columns[i] for i in shown]
    cells = [[column.title for column in columns], *([_one_line(row[i]) for i in shown] for row in rows)]
    return "\n".join([table.title, *layout(columns, cells)]) if rows else f"{table.title}\n  none"


def quote_text(answer: Json, layout: Layout = aligned) -> str:
    """Write a whole quote, or a cutting plan: its tables that have rows, and how far it is proven."""
    book, proof = answer["price_book"], answer["proof"]
    lines = cuts_by_line(answer)
    tables = (each for table in READ for each in (lines if lines and table.name == "cut-list" else [table]))
    told = [table_text(table, answer, layout) for table in tables if any(True for _ in table.records(answer))]
    load = answer.get("load_home")
    if load and load["longest"]:
        mass = measures.told(Decimal(str(load["mass_kg"])), "kg", answer["units"])
        told.append(f"Boards to fetch: {mass}, the longest {load['longest']['text']}.")
    told.append(f"Amounts in {book['currency']}, prices of {book['name']} as of {book['as_of']}.")
    told.append(f"Lumber cost {proof['status'].replace('_', ' ')}: at least {proof['bound']}, gap {proof['gap']}.")
    if float(proof.get("credited", 0)):
        told.append(f"Offcuts to keep are worth {proof['credited']}.")
    return "\n\n".join(told)


def _one_line(text: str) -> str:
    return " ".join(text.splitlines())
